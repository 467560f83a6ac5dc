// Tells the bench's worker who is signed in, so that it keeps nothing of somebody else, and notes when the site was last
// seen on this device. The note names nobody; whoever signs out takes it away. A kept page hides the name of its person
// when the sign-in has ended by time; by this device's own clock, which may differ from the site's.
const signedIn = document.querySelector("meta[name=signed-in]");
const { content: login, dataset: { lasts, ends } } = signedIn;
const { days, zone } = document.documentElement.dataset;
localStorage.setItem("bench-seen", JSON.stringify({ at: new Date().toISOString(), days, zone }));
if ("serviceWorker" in navigator) {
  const until = lasts ? Date.now() + 1000 * Number(lasts) : undefined; // a kept page does not know
  navigator.serviceWorker.register("/bench/worker.js", { scope: "/" })
    .then(() => navigator.serviceWorker.ready)
    .then((ready) => ready.active.postMessage({ login, until }))
    .catch(() => {}); // without it the site works as before, with network only
}

function hideName() {
  if (Date.now() < Number(ends)) return;
  document.querySelector("details.who")?.remove();
  document.getElementById("sign-in-ended").hidden = false;
}
if (ends) {
  hideName();
  setInterval(hideName, 60_000);
  document.addEventListener("visibilitychange", hideName);
}
