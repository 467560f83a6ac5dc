// The bench view with script: steps change without a request, and place, values and page outlast network and battery.
const bench = document.getElementById("bench");
const steps = document.getElementById("bench-steps");
const { login, name, revision, fork, current } = bench.dataset;
const KEY = `bench-place:${login}:${name}`;
const LAST = Number(bench.dataset.count) + 1;
const by = (id) => document.getElementById(id);
const say = (id, text) => { const box = by(id); box.textContent = text; box.hidden = !text; };
const { days: ENGLISH, zone: ZONE } = document.documentElement.dataset;
const DAY = new Intl.DateTimeFormat(ENGLISH, { day: "numeric", month: "short", year: "numeric", timeZone: ZONE });
const day = (text) => Number.isNaN(Date.parse(text)) ? text : DAY.format(new Date(text));

// --- is this the revision in force? ---
const keptOn = () => day(bench.dataset.copy === "fresh" ? new Date().toISOString() : bench.dataset.copy);
const REVISION_KEPT = () =>
  `Kept copy of revision ${revision} from ${keptOn()}; not checked against the shop today.`;
const [SOON, RARELY] = [3_000, 60_000]; // milliseconds; not every device says when its network is back
let pause = SOON;
let again = null;
async function check() {
  clearTimeout(again);
  try {
    const answer = await fetch(current, { headers: { Accept: "application/json" }, signal: AbortSignal.timeout(4000) });
    if (!answer.ok || answer.redirected) throw new Error("no answer");
    const now = (await answer.json()).revision;
    pause = SOON;
    const retired = `Revision ${revision} is retired. Revision ${now} is the current one: `
      + "stop, load this page again and work from that one.";
    say("bench-copy", String(now) === revision ? "" : retired);
  } catch {
    say("bench-copy", REVISION_KEPT());
    again = setTimeout(check, pause);
    pause = Math.min(2 * pause, RARELY);
  }
}
if (bench.dataset.copy !== "fresh") say("bench-copy", REVISION_KEPT()); // said at once, not only when the asking failed
check();
addEventListener("online", check);
addEventListener("offline", () => say("bench-copy", REVISION_KEPT()));
document.addEventListener("visibilitychange", () => { if (!document.hidden) check(); });

// --- a copy for hours without network ---
if ("serviceWorker" in navigator && steps) {
  navigator.serviceWorker.addEventListener("message", () => say("bench-kept", "This page is kept on this device for hours without network."));
  navigator.serviceWorker.register("/bench/worker.js", { scope: "/" }).then(() => navigator.serviceWorker.ready).then((ready) => {
    if (bench.dataset.copy !== "fresh") return;
    const parts = [...document.querySelectorAll("link[href], script[src], img[src]")].map((part) => part.href || part.src);
    ready.active.postMessage({ login, keep: [...parts.filter((address) => address.startsWith(location.origin)), location.pathname] });
  }).catch(() => {}); // without it the page works as before, with network only
}

// --- the screen stays on ---
async function stayAwake() {
  if (!("wakeLock" in navigator)) return say("bench-awake", "This browser cannot keep the screen on. Set the device so.");
  try {
    await navigator.wakeLock.request("screen");
    say("bench-awake", "The screen stays on.");
  } catch {
    say("bench-awake", "The screen may go dark: the device did not allow otherwise.");
  }
}
if (steps) {
  stayAwake();
  document.addEventListener("visibilitychange", () => { if (!document.hidden) stayAwake(); });
}

// --- place and values ---
for (const key of Object.keys(localStorage)) { // of whoever worked on this device before, nothing is left lying
  if (key.startsWith("bench-place:") && !key.startsWith(`bench-place:${login}:`)) localStorage.removeItem(key);
}
const fields = steps ? [...steps.querySelectorAll("[name^=value-], [name^=held-], [name^=sure-], [name^=why-]")] : [];
const screens = [...bench.querySelectorAll("[data-place]")];
const said = (field) => field.type === "checkbox" ? (field.checked ? "yes" : "") : field.value.trim();
const given = () => Object.fromEntries(
  fields.map((field) => [field.name, said(field)]).filter(([, value]) => value));
let at = Number(bench.dataset.at);
let timer;
// Made here and not by the site: a kept copy of the page serves for several jobs, and each needs a mark of its own.
let mark = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

function keep() {
  const place = { revision, fork, at, mark, given: given(), on: new Date().toISOString() };
  localStorage.setItem(KEY, JSON.stringify(place));
  clearTimeout(timer);
  timer = setTimeout(sendPlace, 1500);
}

async function sendPlace() {
  try {
    const { token, login: who } = await (await fetch(current, { headers: { Accept: "application/json" } })).json();
    if (who !== login) return;
    const body = new URLSearchParams({ ...given(), revision, fork, step: String(at) });
    await fetch(steps.action, { method: "POST", body, headers: { Accept: "application/json", "X-CSRFToken": token } });
  } catch { /* no network: it is kept here, and sent with the next change */ }
}

// --- what keeps the work at a step: the field to fill, and what is said of it ---
function openValue(field) {
  const { judged, fill, unreadable, stands } = field.dataset;
  if (judged === "unreadable") return [field, unreadable];
  if (judged === "") return fill ? [field, fill] : null;
  if (judged !== "outside") return null;
  const [sure, why] = ["sure-", "why-"].map((name) => by(field.id.replace("value-", name)));
  if (sure.checked && why.value.trim()) return null;
  return [sure.checked ? why : sure, stands];
}

function stillOpen(screen) {
  const values = [...screen.querySelectorAll("input[data-low]")].map(openValue);
  const held = screen.querySelector("[name^=held-]:not(:checked)");
  return values.find((open) => open) ?? (held && [held, steps.dataset.hold]);
}

// What must be read stands above the bar, if a drawing that is a quarter smaller makes it so; the bar says when more is below.
const QUARTER = 0.25;
const below = (screen) => Math.max(...[...screen.querySelectorAll(".must, .say > *")].map((part) => part.getBoundingClientRect().bottom))
  - steps.querySelector(".bar").getBoundingClientRect().top;

function fit() {
  const screen = screens.find((each) => !each.hidden);
  const drawings = [...screen.querySelectorAll(".drawing > :is(svg, img)")];
  for (const drawing of drawings) drawing.style.maxBlockSize = "";
  const heights = drawings.map((drawing) => drawing.getBoundingClientRect().height);
  const all = heights.reduce((sum, height) => sum + height, 0);
  const over = below(screen);
  if (over <= 0 || over > QUARTER * all) return;
  drawings.forEach((drawing, place) => { drawing.style.maxBlockSize = `${heights[place] * (1 - over / all) - 1}px`; });
}

function more() {
  const screen = screens.find((each) => !each.hidden);
  by("bench-more").hidden = at === LAST || !screen || below(screen) < 4;
}

function show(wanted, focus = true) {
  const open = screens.find((screen) => Number(screen.dataset.place) < wanted && stillOpen(screen));
  const before = at;
  at = Math.min(Math.max(wanted, 1), LAST, open ? Number(open.dataset.place) : LAST);
  if (at !== before) dispatchEvent(new Event("bench:step"));
  const [missing, says] = (at < wanted && open && stillOpen(open)) || [null, ""];
  say("bench-stop", says);
  for (const screen of screens) screen.hidden = Number(screen.dataset.place) !== at;
  steps.querySelector(".go").hidden = at === LAST;
  steps.elements.step.value = at;
  if (focus) {
    steps.scrollIntoView();
    (missing ?? screens.find((screen) => !screen.hidden).querySelector("h2")).focus({ preventScroll: !missing });
  }
  if (at !== LAST) fit();
  more();
}
const go = (wanted) => { show(wanted); keep(); };

function begin() {
  const own = JSON.parse(localStorage.getItem(KEY) ?? "null");
  if (own && own.revision === revision && own.fork === fork && own.on > bench.dataset.keptAt) {
    for (const field of fields) {
      if (field.type === "checkbox") field.checked = own.given[field.name] === "yes";
      else field.value = own.given[field.name] ?? "";
    }
    mark = own.mark ?? mark;
    if (!new URLSearchParams(location.search).has("step")) at = own.at;
  }
  dispatchEvent(new Event("ranges:look"));
  show(at, false);
  if (at > 1) steps.scrollIntoView();
  addEventListener("scroll", more, { passive: true });
  addEventListener("resize", () => { if (at !== LAST) fit(); more(); });
  refusedEarlier();
  steps.addEventListener("input", keep);
  steps.addEventListener("input", () => say("bench-stop", ""));
  steps.addEventListener("submit", (event) => { event.preventDefault(); go(at + (event.submitter?.value === "back" ? -1 : 1)); });
  by("bench-last").addEventListener("click", (event) => { event.preventDefault(); go(LAST - 1); });
  addEventListener("keydown", keys);
  swipes();
  by("bench-job").addEventListener("submit", send);
  addEventListener("bench:told", told);
}

function refusedEarlier() {
  const form = by("bench-job");
  const job = JSON.parse(localStorage.getItem("bench-queue") ?? "[]").find((each) => each.refused && each.login === login && each.address === form.action);
  if (!job) return;
  mark = job.fields.mark;
  const typed = JSON.parse(job.fields.given);
  for (const field of fields) {
    if (field.type === "checkbox") field.checked = typed[field.name] === "yes";
    else field.value = typed[field.name] ?? "";
  }
  dispatchEvent(new Event("ranges:look"));
  for (const [field, value] of Object.entries(job.fields)) if (form.elements[field]) form.elements[field].value = value;
  show(LAST);
  told({ detail: job });
}

function keys(event) {
  // On a button, link or field the keys do what they always do there.
  if (event.ctrlKey || event.altKey || event.metaKey || at === LAST || event.target.closest("input, textarea, select, button, a, summary")) return;
  const wanted = { ArrowRight: at + 1, Enter: at + 1, " ": at + 1, ArrowLeft: at - 1, Home: 1, End: LAST }[event.key];
  if (wanted === undefined) return;
  event.preventDefault();
  go(wanted);
}

function swipes() {
  let from = null;
  steps.addEventListener("touchstart", (event) => { from = event.touches.length === 1 ? event.touches[0] : null; }, { passive: true });
  steps.addEventListener("touchend", (event) => {
    const to = event.changedTouches[0];
    if (!from || event.target.closest("input")) return;
    const [across, down] = [to.clientX - from.clientX, to.clientY - from.clientY];
    if (Math.abs(across) > 70 && Math.abs(across) > 2 * Math.abs(down)) go(at + (across < 0 ? 1 : -1));
  }, { passive: true });
}

// --- the job ---
function send(event) {
  event.preventDefault();
  const form = by("bench-job");
  form.elements.mark.value = mark;
  form.elements.given.value = JSON.stringify(given());
  const sent = Object.fromEntries(new FormData(form));
  delete sent.csrfmiddlewaretoken; // the one in a kept copy is old; a fresh one is fetched for the sending
  say("bench-refused", "");
  dispatchEvent(new CustomEvent("bench:send", { detail: { login, current, address: form.action, fields: { ...sent, login } } }));
}

function told({ detail }) {
  if (detail.waits) {
    say("bench-sent", "Not sent yet: the job is kept on this device and sent when the network is back. Load this page again for the next fork.");
    if (by("bench-job").elements.mark.value === mark) finish();
    return undefined;
  }
  if (detail.refused) {
    say("bench-sent", "");
    by("bench-end").hidden = at !== LAST;
    return say("bench-refused", `${detail.refused} Nothing you typed is lost: put it right and send it again.`);
  }
  say("bench-sent", detail.done);
  if (detail.job.fields.mark === mark) finish();
  return undefined;
}

function finish() {
  clearTimeout(timer);
  // An empty place, newer than whatever a kept copy or the site still holds of the finished job.
  localStorage.setItem(KEY, JSON.stringify({ revision, fork, at: 1, given: {}, on: new Date().toISOString() }));
  by("bench-end").hidden = true; // the job is out of this page's hands
}

if (steps) begin();
