// Says when the site was last seen, and which write-ups this device has kept.
const seen = JSON.parse(localStorage.getItem("bench-seen") ?? "null");
const WHEN = { dateStyle: "medium", timeStyle: "short", hourCycle: "h23" };
const say = (moment) => new Intl.DateTimeFormat(seen?.days, { ...WHEN, timeZone: seen?.zone }).format(new Date(moment));
if (seen) document.getElementById("seen").textContent = `. Last seen ${say(seen.at)}`;

const list = document.getElementById("kept");
const names = "caches" in window ? (await caches.keys()).filter((name) => name.startsWith("bench-")) : [];
for (const name of names) {
  const cache = await caches.open(name);
  for (const request of await cache.keys()) {
    const { pathname } = new URL(request.url);
    if (!/^\/bench\/[^/]+\/$/.test(pathname)) continue;
    const answer = await cache.match(request);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const [row, link, on] = ["li", "a", "small"].map((tag) => document.createElement(tag));
    link.href = pathname;
    link.textContent = page.querySelector("h1").textContent;
    on.textContent = `revision ${page.getElementById("bench").dataset.revision}, kept ${say(answer.headers.get("Date") ?? Date.now())}`;
    row.append(link, on);
    list.append(row);
  }
}
document.getElementById("nothing-kept").hidden = list.children.length > 0;
