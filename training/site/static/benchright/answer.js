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
    try {
      const got = await fetch(form.action, { method: "POST", body, keepalive: true, redirect: "error" });
      if (got.status === 204) said.textContent = said.dataset.kept;
      else if (got.status === 409) said.textContent = await got.text();
      else said.textContent = "";
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
  form.addEventListener("submit", async (event) => {
    if (!sending) return;
    // An older choice on its way must not arrive behind this one.
    event.preventDefault();
    again = false;
    await sending;
    form.submit();
  });
}
