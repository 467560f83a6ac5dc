// Tells whether this device trusts the site. A browser that only let a warning pass opens pages, but takes no script
// that works without network (Service Workers, 3.1 and 6.5): so one that does nothing is offered, and taken out again.
const check = document.getElementById("check");
const button = document.getElementById("check-again");

async function ask() {
  if (!window.isSecureContext) return "unsafe";
  if (!("serviceWorker" in navigator)) return "old";
  try {
    await fetch(location.pathname, { method: "HEAD", cache: "no-store" });
  } catch {
    return "away";
  }
  try {
    const registration = await navigator.serviceWorker.register(check.dataset.worker);
    await registration.unregister();
    return "yes";
  } catch {
    return "no";
  }
}

async function show() {
  const result = await ask();
  for (const one of check.querySelectorAll("[data-result]")) one.hidden = one.dataset.result !== result;
  button.hidden = false;
}

button.addEventListener("click", show);
await show();
