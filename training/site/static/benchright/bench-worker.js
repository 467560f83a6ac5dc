// Keeps bench pages, and what they show, for hours without network. The network always comes first: a kept copy is
// given out only when the site does not answer, and it is marked with its day, so that the page can say so.
// Whatever else is asked for without network, a page that names nobody says so and lists what is kept.
const KEPT = "bench-3"; // raise the number when what is kept changes its form: older caches are then thrown away
const SHELL = "offline-1"; // holds nothing of anybody
const MOST = 150;
const PATIENCE = 4000; // ms; a weak network must not leave somebody with open hands before an empty page
const DAY = 86_400_000; // ms
const PAGE = /^\/bench\/[^/]+\/$/;
const OFFLINE = "/offline/";
const OWNER = "/bench/owner"; // no address of the site: whose pages lie here, and until when the sign-in lasts
const UNTIL = "X-Until"; // milliseconds of this device's clock
const SINCE = "/offline/since"; // nor this: when that page was put aside
let turn = Promise.resolve(); // one after the other: what somebody else kept is gone before anything new is put in

const inTurn = (act) => (turn = turn.then(act, act));
addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(begin()));
addEventListener("message", (event) => event.waitUntil(inTurn(() => hear(event))));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === "/sign-out/") event.respondWith(signOut(event));
  else if (request.method === "GET" && request.mode === "navigate") event.respondWith(page(request, pathname));
  else if (request.method === "GET" && !pathname.startsWith("/bench")) event.respondWith(part(request));
});

async function begin() {
  const ours = [KEPT, SHELL];
  for (const name of await caches.keys()) if (/^(bench|offline)-/.test(name) && !ours.includes(name)) await caches.delete(name);
  await clients.claim();
}

async function signOut(event) {
  await caches.delete(KEPT);
  event.waitUntil(inTurn(() => caches.delete(KEPT))); // what is being put aside just now
  return fetch(event.request);
}

async function hear({ data, source }) {
  await belongTo(data.login, data.until);
  await keepShell().catch(() => {}); // the network may be gone again
  if (!data.keep) return;
  await keep(data.keep);
  source.postMessage("kept");
}

// Of whoever held this device before, nothing is shown to the next one, also when they forgot to sign out.
async function belongTo(login, until) {
  const owner = await (await caches.open(KEPT)).match(OWNER);
  const isSame = owner && await owner.text() === login;
  if (isSame && !until) return;
  if (!isSame) await caches.delete(KEPT);
  const headers = until ? { [UNTIL]: String(until) } : {};
  await (await caches.open(KEPT)).put(OWNER, new Response(login, { headers }));
}

async function keepShell() {
  const cache = await caches.open(SHELL);
  const since = await (await cache.match(SINCE))?.text();
  if (Date.now() - Number(since ?? 0) < DAY) return;
  const answer = await fetch(OFFLINE, { credentials: "omit" }); // it must come as nobody's
  const html = await answer.clone().text();
  const parts = [...html.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map(([, address]) => address);
  await cache.addAll([...new Set(parts)]);
  await cache.put(OFFLINE, answer);
  await cache.put(SINCE, new Response(String(Date.now())));
}

async function keep(addresses) {
  const cache = await caches.open(KEPT);
  for (const address of addresses) {
    const answer = await fetch(address, { credentials: "same-origin" }).catch(() => null);
    if (answer?.ok && !answer.redirected) await cache.put(address, answer);
  }
  const kept = (await cache.keys()).filter(({ url }) => !url.endsWith(OWNER));
  for (const old of kept.slice(0, Math.max(0, kept.length - MOST))) await cache.delete(old); // the oldest come first
}

async function page(request, pathname) {
  const copy = PAGE.test(pathname) && await (await caches.open(KEPT)).match(pathname);
  if (!copy) return fetch(request).catch(async () => (await caches.match(OFFLINE)) ?? Response.error());
  const late = new Promise((_, fail) => setTimeout(fail, PATIENCE));
  return Promise.race([fetch(request), late]).catch(() => marked(copy));
}

async function marked(copy) {
  let html = (await copy.text()).replace('data-copy="fresh"', `data-copy="${copy.headers.get("Date") || "an earlier day"}"`);
  const until = (await (await caches.open(KEPT)).match(OWNER))?.headers.get(UNTIL);
  html = html.replace(/ data-lasts="\d*"/, until ? ` data-ends="${until}"` : "");
  if (until && Date.now() >= Number(until)) {
    html = html.replace(/<details class="who">[^]*?<\/details>/, "").replace('id="sign-in-ended" hidden', 'id="sign-in-ended"');
  }
  const headers = new Headers(copy.headers);
  for (const name of ["Content-Length", "Content-Encoding"]) headers.delete(name); // they told of the bytes as they came
  return new Response(html, { headers });
}

async function part(request) {
  return fetch(request).catch(async () => (await caches.match(request)) ?? Response.error());
}
