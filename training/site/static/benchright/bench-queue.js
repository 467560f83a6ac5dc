// Jobs written down without network wait here, in this browser, until the site has taken them. Each carries a mark
// made once, by which the site knows a job that comes a second time. A page tells `bench:send`, and hears `bench:told`.
const QUEUE = "bench-queue";
const read = () => JSON.parse(localStorage.getItem(QUEUE) ?? "[]");
const tell = (detail) => dispatchEvent(new CustomEvent("bench:told", { detail }));
let isSending = false;
let isAskedAgain = false;
// Not every device says when its network is back, so what waits is tried again by the clock as well, ever more rarely.
const [SOON, RARELY] = [3_000, 120_000]; // milliseconds
let pause = SOON;
let next = null;

async function sendOne(job) {
  const asked = await fetch(job.current, { headers: { Accept: "application/json" }, signal: AbortSignal.timeout(10_000) });
  if (!asked.ok || asked.redirected) throw new Error("signed out, or the site is not well");
  const { token, login } = await asked.json();
  if (login !== job.login) return null; // somebody else's: it waits until they are signed in
  const body = new URLSearchParams(job.fields);
  const answer = await fetch(job.address, { method: "POST", body, headers: { Accept: "application/json", "X-CSRFToken": token } });
  if (!answer.ok || answer.redirected) throw new Error("not taken");
  return answer.json();
}

async function sendAll() {
  isAskedAgain = isSending;
  if (isSending) return;
  isSending = true;
  try {
    for (const job of read().filter((each) => !each.refused)) {
      const said = await sendOne(job);
      if (!said || said.not_mine) continue;
      // Read again: another page may have added a job meanwhile. A refused one stays, until somebody puts it right.
      const others = read().filter((other) => other.fields.mark !== job.fields.mark);
      localStorage.setItem(QUEUE, JSON.stringify(said.refused ? [...others, { ...job, refused: said.refused }] : others));
      tell({ job, ...said });
    }
  } catch {
    tell({ waits: true });
  } finally {
    isSending = false;
    if (isAskedAgain) sendAll();
    else later();
  }
}

function later() {
  clearTimeout(next);
  if (!read().some((job) => !job.refused)) return;
  next = setTimeout(sendAll, pause);
  pause = Math.min(2 * pause, RARELY);
}

function soon() {
  pause = SOON;
  sendAll();
}

addEventListener("bench:send", (event) => {
  const others = read().filter((other) => other.fields.mark !== event.detail.fields.mark);
  localStorage.setItem(QUEUE, JSON.stringify([...others, event.detail]));
  soon();
});
addEventListener("online", soon);
addEventListener("pageshow", (event) => { if (event.persisted) soon(); });
document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(); });
if (read().length) sendAll();
