// How is nothing that was typed lost? At each key a copy goes into this browser; every two seconds at most one goes to the site,
// beside the draft and not into it. Each opening of the page has a copy of its own, so that two windows never write over each other.
const WAIT = 1500; // milliseconds from the first key to the sending; with the way there, two seconds behind at most

function keepTyping(form) {
  const prefix = form.dataset.copies;
  const told = document.getElementById("keeping");
  const fields = form.elements;
  let timer = 0;
  let sending = null;
  let isNew = false; // whether something was typed that the site does not have
  let isLeaving = false;

  const key = () => prefix + fields.desk.value;

  function copyHere(more) {
    const copy = { text: fields.text.value, reason: fields.reason.value, seen: fields.seen.value, at: Date.now(), ...more };
    try {
      localStorage.setItem(key(), JSON.stringify(copy));
    } catch {
      // No room or no permission in this browser: the site still keeps what is typed.
    }
  }

  function typed(event) {
    if (event.target !== fields.text && event.target !== fields.reason) return;
    isNew = true;
    copyHere();
    timer ||= setTimeout(send, WAIT);
  }

  async function send() {
    timer = 0;
    if (isLeaving || !isNew) return;
    if (sending) await sending;
    isNew = false;
    sending = post();
    await sending;
    sending = null;
    if (isNew) timer ||= setTimeout(send, WAIT);
  }

  async function post() {
    try {
      const answer = await fetch(form.dataset.keep, { method: "POST", body: kept(), redirect: "manual" });
      if (answer.type === "opaqueredirect") {
        told.textContent = "You are signed out. Sign in in another window, and go on here.";
        isNew = true;
      } else {
        told.textContent = (await answer.json()).said;
      }
    } catch {
      told.textContent = "The site does not answer. What you type is kept in this browser.";
      isNew = true;
    }
  }

  function kept() {
    const body = new FormData();
    for (const name of ["csrfmiddlewaretoken", "text", "reason", "seen", "desk"]) body.set(name, fields[name].value);
    return body;
  }

  // What is being sent must not arrive after the saved draft, so saving waits for it.
  form.addEventListener("submit", async (event) => {
    if (event.submitter?.name !== "save") return;
    if (sending) {
      event.preventDefault();
      await sending;
      form.requestSubmit(event.submitter);
      return;
    }
    isLeaving = true;
    copyHere({ sent: true });
  });
  addEventListener("pageshow", (event) => {
    if (event.persisted) isLeaving = false;
  });
  addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden" && isNew && !isLeaving) navigator.sendBeacon(form.dataset.keep, kept());
  });
  form.addEventListener("input", typed);
  offerCopies(form, prefix, key);
}

// What this browser kept of earlier openings: gone once it is saved, else offered with its time.
function offerCopies(form, prefix, key) {
  const panel = document.getElementById("kept");
  const fields = form.elements;
  const onSite = new Map([...panel.querySelectorAll("li[data-desk]")].map((item) => [item.dataset.desk, item]));
  for (const name of Object.keys(localStorage).filter((each) => each.startsWith(prefix) && each !== key())) {
    const copy = read(name);
    const desk = name.slice(prefix.length);
    const isSaved = copy?.sent && form.dataset.savedByMe === "yes" && copy.seen !== fields.seen.value;
    if (!copy || isSaved || copy.text === fields.text.value) {
      localStorage.removeItem(name);
    } else if (onSite.get(desk)?.querySelector("pre").textContent !== copy.text) {
      offer(copy, name, desk);
    }
  }
  for (const [desk, item] of onSite) item.querySelector("form").addEventListener("submit", () => localStorage.removeItem(prefix + desk));
  panel.hidden = panel.querySelectorAll("li").length === 0;

  function offer(copy, name, desk) {
    const item = document.getElementById("kept-here").content.cloneNode(true).firstElementChild;
    const { days, zone } = document.documentElement.dataset;
    const when = { dateStyle: "medium", timeStyle: "short", hourCycle: "h23", timeZone: zone };
    item.querySelector("[data-at]").textContent = new Date(copy.at).toLocaleString(days, when);
    item.querySelector("pre").textContent = copy.text;
    item.querySelector("[data-take]").addEventListener("click", () => {
      Object.assign(fields.text, { value: copy.text });
      Object.assign(fields.reason, { value: copy.reason });
      Object.assign(fields.seen, { value: copy.seen });
      Object.assign(fields.desk, { value: desk });
      remove();
      fields.text.focus();
      fields.text.dispatchEvent(new Event("input", { bubbles: true }));
    });
    item.querySelector("[data-drop]").addEventListener("click", () => {
      localStorage.removeItem(name);
      remove();
    });
    panel.querySelector("ul").append(item);
    function remove() {
      item.remove();
      panel.hidden = panel.querySelectorAll("li").length === 0;
      fields.text.focus();
    }
  }

  function read(name) {
    try {
      const copy = JSON.parse(localStorage.getItem(name));
      return typeof copy?.text === "string" && typeof copy.seen === "string" ? copy : null;
    } catch {
      return null;
    }
  }
}

keepTyping(document.getElementById("desk"));
