// Keeps bench pages, and what they show, for hours without network. The network always comes first: a kept copy is
// given out only when the site does not answer, and it is marked with its day, so that the page can say so.
const KEPT = "bench-2"; // raise the number when what is kept changes its form: older caches are then thrown away
const MOST = 150;
const PATIENCE = 4000; // ms; a weak network must not leave somebody with open hands before an empty page
const PAGE = /^\/bench\/[^/]+\/$/;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(begin()));
addEventListener("message", (event) => event.waitUntil(keep(event.data.keep).then(() => event.source.postMessage("kept"))));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === "/sign-out/") event.respondWith(signOut(request));
  else if (request.method === "GET" && request.mode === "navigate" && PAGE.test(pathname)) event.respondWith(page(request, pathname));
  else if (request.method === "GET" && request.mode !== "navigate" && !pathname.startsWith("/bench")) event.respondWith(part(request));
});

async function begin() {
  for (const name of await caches.keys()) if (name.startsWith("bench-") && name !== KEPT) await caches.delete(name);
  await clients.claim();
}

async function signOut(request) {
  await caches.delete(KEPT);
  return fetch(request);
}

async function keep(addresses) {
  const cache = await caches.open(KEPT);
  for (const address of addresses) {
    const answer = await fetch(address, { credentials: "same-origin" }).catch(() => null);
    if (answer?.ok && !answer.redirected) await cache.put(address, answer);
  }
  const kept = await cache.keys();
  for (const old of kept.slice(0, Math.max(0, kept.length - MOST))) await cache.delete(old); // the oldest come first
}

async function page(request, pathname) {
  const copy = await (await caches.open(KEPT)).match(pathname);
  if (!copy) return fetch(request);
  const late = new Promise((_, fail) => setTimeout(fail, PATIENCE));
  return Promise.race([fetch(request), late]).catch(() => marked(copy));
}

async function marked(copy) {
  const html = (await copy.text()).replace('data-copy="fresh"', `data-copy="${copy.headers.get("Date") || "an earlier day"}"`);
  const headers = new Headers(copy.headers);
  for (const name of ["Content-Length", "Content-Encoding"]) headers.delete(name); // they told of the bytes as they came
  return new Response(html, { headers });
}

async function part(request) {
  return fetch(request).catch(async () => (await caches.match(request)) ?? Response.error());
}
