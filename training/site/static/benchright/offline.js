// Tells the bench's worker who is signed in, so that it keeps nothing of somebody else, and notes when the site was last
// seen on this device. The note names nobody; whoever signs out takes it away.
const login = document.querySelector("meta[name=signed-in]").content;
const { days, zone } = document.documentElement.dataset;
localStorage.setItem("bench-seen", JSON.stringify({ at: new Date().toISOString(), days, zone }));
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/bench/worker.js", { scope: "/" })
    .then(() => navigator.serviceWorker.ready)
    .then((ready) => ready.active.postMessage({ login }))
    .catch(() => {}); // without it the site works as before, with network only
}
