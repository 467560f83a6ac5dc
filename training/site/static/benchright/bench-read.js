// Reads the step aloud, by a voice of this device, for hands and eyes that are at the fork. Only when pressed: a bench
// that speaks by itself is switched off. A voice that lies elsewhere would be sent the shop's text, so it is not used.
const steps = document.getElementById("bench-steps");
const button = document.getElementById("bench-read");
const voice = window.speechSynthesis;
const language = document.documentElement.lang;
const begins = button?.textContent;
// What must not be missed comes first, then what to do, then what to fill in and what to wait for.
const PARTS = [".safety", "h2", ".say", ".fields:not(.folded .fields)", ".value", ".held .hold"];
const LEAVES = ":is(p, li, tr, dd, label):not(:has(p, li, tr)):not(.stands *, .outside, .tick)";
let reading = 0; // each press begins another reading, so that the end of an older one changes nothing

const ours = () => {
  const same = voice.getVoices().filter((each) => each.localService && each.lang.slice(0, 2) === language.slice(0, 2));
  return same.find((each) => each.lang.replace("_", "-") === language) ?? same[0];
};
const words = (part) => part.textContent.replace(/\s+/g, " ").trim();

function pieces(screen) {
  const found = PARTS.flatMap((wanted) => [...screen.querySelectorAll(wanted)]);
  return found.flatMap((part) => {
    const leaves = [...part.querySelectorAll(LEAVES)];
    return (leaves.length ? leaves : [part]).map((leaf) => {
      const name = leaf.tagName === "DD" ? `${words(leaf.previousElementSibling)}: ` : "";
      return name + words(leaf);
    });
  }).filter((text) => text);
}

function stop() {
  reading += 1;
  voice.cancel();
  button.textContent = begins;
}

function read() {
  if (button.textContent !== begins) return stop();
  stop();
  const mine = reading;
  const said = pieces(steps.querySelector("[data-place]:not([hidden])")).map((text) => {
    const piece = new SpeechSynthesisUtterance(text);
    [piece.lang, piece.voice] = [language, ours()];
    return piece;
  });
  said.at(-1).addEventListener("end", () => { if (mine === reading) stop(); });
  for (const piece of said) {
    piece.addEventListener("error", () => { if (mine === reading) stop(); });
    voice.speak(piece);
  }
  button.textContent = button.dataset.stop;
  return undefined;
}

function offer() {
  if (ours()) button.hidden = false;
}

if (steps && voice) {
  offer();
  voice.addEventListener?.("voiceschanged", offer); // many browsers learn of their voices a little later
  button.addEventListener("click", read);
  addEventListener("bench:step", stop);
  addEventListener("pagehide", stop);
}
