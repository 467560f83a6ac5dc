// Says that the site is still at work, once a page has kept somebody waiting for a second, and for how long.
// Without this script the browser's own sign of loading says so.
const told = document.getElementById("waiting");
let ticking = null;

function begin() {
  stop();
  const since = Date.now();
  ticking = setInterval(() => {
    const seconds = Math.round((Date.now() - since) / 1000);
    told.querySelector("[data-seconds]").textContent = seconds;
    told.hidden = false;
  }, 1000);
}

function stop() {
  clearInterval(ticking);
  told.hidden = true;
}

// Other scripts may take a click or a form into their own hands, so it is looked at when all of them have heard it.
const unlessTaken = (event) => setTimeout(() => { if (!event.defaultPrevented) begin(); });

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  const elsewhere = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey || event.button;
  const stays = !link || link.target || link.hasAttribute("download") || link.getAttribute("href").startsWith("#");
  if (!stays && !elsewhere) unlessTaken(event);
});
document.addEventListener("submit", unlessTaken);
document.addEventListener("htmx:beforeRequest", begin);
document.addEventListener("htmx:afterRequest", stop);
addEventListener("keydown", (event) => { if (event.key === "Escape") stop(); }); // loading was broken off
addEventListener("pageshow", stop); // back from the page that was waited for
