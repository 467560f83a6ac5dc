// What was chosen is sent to the site at once, so that a closed lid or an empty battery loses nothing.
// Without this script the button saves it. Only the button hands an answer in.
"use strict";
const form = document.querySelector("form[data-keep]");
if (form) {
  const said = document.getElementById(form.dataset.keep);
  let sending = null;
  let again = false;
  const send = async () => {
    const body = new FormData(form);
    body.append("chosen", "yes");
    body.append("seen", form.dataset.seen);
    try {
      // A redirect tells that the sitting has ended meanwhile: it is not followed, and nothing was kept.
      const got = await fetch(form.action, { method: "POST", body, keepalive: true, redirect: "manual" });
      if (got.type === "opaqueredirect") {
        said.textContent = said.dataset.ended;
        return;
      }
      if (!got.ok) throw new Error(got.status);
      said.textContent = got.status === 204 ? said.dataset.kept : await got.text();
      // What is sent next builds on this one. A choice that comes late, behind the button, does not count.
      form.dataset.seen = got.headers.get("X-Kept-At") ?? form.dataset.seen;
    } catch {
      said.textContent = said.dataset.lost;
    }
  };
  const keep = async () => {
    // One at a time, and the newest choice last.
    if (sending) {
      again = true;
      return;
    }
    do {
      again = false;
      sending = send();
      await sending;
    } while (again);
    sending = null;
  };
  form.addEventListener("change", keep);
}
