// What was chosen or moved is sent to the site at once, so that a closed lid or an empty battery loses nothing.
// Without this script the buttons save it. Only "Next" hands an answer in, and it goes only once what was chosen is safe.
"use strict";
const form = document.querySelector("form[data-keep]");
if (form) {
  const said = document.getElementById(form.dataset.keep);
  const PATIENCE = 5_000; // milliseconds
  let sending = null;
  let again = false;
  let isLost = false;
  const send = async () => {
    const body = new FormData(form);
    body.delete("go");
    body.append("chosen", "yes");
    try {
      // A redirect tells that the sitting has ended meanwhile: it is not followed, and nothing was kept.
      const signal = AbortSignal.timeout(PATIENCE);
      const got = await fetch(form.action, { method: "POST", body, keepalive: true, redirect: "manual", signal });
      isLost = false;
      if (got.type === "opaqueredirect") {
        said.textContent = said.dataset.ended;
        return;
      }
      if (!got.ok) throw new Error(got.status);
      said.textContent = got.status === 204 ? said.dataset.kept : await got.text();
      // What is sent next builds on this one. A choice that comes late, behind the button, does not count.
      form.elements.seen.value = got.headers.get("X-Kept-At") ?? form.elements.seen.value;
    } catch {
      isLost = true;
      said.textContent = said.dataset.lost;
    }
  };
  const sendAll = async () => {
    do {
      again = false;
      await send();
    } while (again);
    sending = null;
  };
  const keep = () => {
    // One at a time, and the newest choice last.
    if (sending) again = true;
    else sending = sendAll();
    return sending;
  };
  form.addEventListener("change", keep);
  addEventListener("online", () => { if (isLost) keep(); });
  form.addEventListener("submit", async (event) => {
    if (!sending && !isLost) return;
    event.preventDefault();
    const { submitter } = event;
    await (sending ?? keep());
    if (!isLost) form.requestSubmit(submitter);
  });
  // By keyboard: the arrows go from box to box, Enter from list to list, so that nobody has to tab through them.
  form.addEventListener("keydown", (event) => {
    const kinds = { ArrowDown: ["input[type=checkbox]", 1], ArrowUp: ["input[type=checkbox]", -1], Enter: ["select", 1] };
    const [kind, step] = kinds[event.key] ?? [];
    if (!kind || !event.target.matches(kind)) return;
    event.preventDefault();
    const all = [...form.querySelectorAll(kind)];
    const next = all[all.indexOf(event.target) + step];
    (next ?? (event.key === "Enter" ? form.querySelector("button.primary") : event.target)).focus();
  });
}
