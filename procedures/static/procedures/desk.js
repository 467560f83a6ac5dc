// Where does each line of the text stand on the page, and what is said of it? Without this script the findings stand below.
// A copy of the text, one element a line, lies behind the field: it wraps as the field does, so it knows where each line is.
const MOST_LINES = 4000; // more elements than that would make typing slow
const form = document.getElementById("desk");
const text = form.elements.text;
const found = document.getElementById("found");
const preview = document.getElementById("preview");
const mirror = document.createElement("div");
const layOut = besideLines(text, found);

// A line number of a finding becomes a button that leads to the line.
function makeButtons() {
  for (const place of found.querySelectorAll("span[data-go]")) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = place.className;
    button.textContent = place.textContent;
    button.addEventListener("click", () => goToLine(text, Number(button.closest("li").dataset.line)));
    place.replaceWith(button);
  }
}

// The sheet beside the text shows the step that the cursor stands in.
let shownStep = "";
function showStep() {
  const above = text.value.slice(0, text.selectionStart).split("\n");
  const heading = above.reverse().find((line) => /^ {0,3}###(?!#)/.test(line));
  const id = heading?.match(/\{#([a-z0-9-]+)\}\s*$/)?.[1] || "";
  if (!id || id === shownStep) return;
  shownStep = id;
  const step = document.getElementById(`step-${id}`);
  if (step && preview.scrollHeight > preview.clientHeight) {
    preview.scrollTop += step.getBoundingClientRect().top - preview.getBoundingClientRect().top;
  }
}

makeButtons();
layOut();
text.addEventListener("input", layOut);
for (const event of ["keyup", "click"]) text.addEventListener(event, showStep);
new ResizeObserver(layOut).observe(text.parentElement);

const told = document.getElementById("keeping");
document.addEventListener("htmx:afterSettle", () => {
  makeButtons();
  layOut();
  shownStep = "";
});
// An answer from another address (the sign-in page, for one) is no check.
document.addEventListener("htmx:beforeSwap", (event) => {
  const asked = new URL(document.querySelector(".desk").getAttribute("hx-post"), location.href);
  const answered = event.detail.xhr.responseURL;
  if (!answered || new URL(answered).pathname === asked.pathname) return;
  event.detail.shouldSwap = false;
  told.textContent = "You are signed out. Sign in in another window, and go on here.";
});
for (const event of ["htmx:responseError", "htmx:sendError"]) {
  document.addEventListener(event, () => {
    told.textContent = "The site does not answer. What you type is kept in this browser.";
  });
}

function besideLines(text, found) {
  mirror.className = "mirror";
  mirror.setAttribute("aria-hidden", "true");
  text.parentElement.prepend(mirror);
  text.form.classList.add("lined");
  return () => {
    const lines = text.value.split("\n");
    const few = lines.length <= MOST_LINES;
    mirror.hidden = !few;
    if (few) copy(lines);
    const last = mirror.lastElementChild;
    text.style.blockSize = few ? `${last.offsetTop + last.offsetHeight + 16}px` : "70vh";
    text.style.overflow = few ? "" : "auto";
    mark(found);
    place(found, few);
  };
}

function copy(lines) {
  while (mirror.childElementCount > lines.length) mirror.lastElementChild.remove();
  while (mirror.childElementCount < lines.length) mirror.append(document.createElement("div"));
  lines.forEach((line, index) => {
    const row = mirror.children[index];
    const said = line || "\u200b"; // an empty line is as high as any other
    if (row.textContent !== said) row.textContent = said;
  });
}

function mark(found) {
  for (const row of mirror.querySelectorAll(".named")) row.classList.remove("named", "faulty");
  for (const item of found.querySelectorAll("li[data-line]")) {
    const row = mirror.children[item.dataset.line - 1];
    row?.classList.add("named");
    if (item.classList.contains("error")) row?.classList.add("faulty");
  }
}

// Each finding at the height of its line, or right below the finding above it.
function place(found, few) {
  const list = found.querySelector(".by-line");
  if (!list) return;
  const beside = few && getComputedStyle(found).position === "relative";
  let free = beside ? list.offsetTop : 0;
  for (const item of list.children) {
    const row = mirror.children[item.dataset.line - 1];
    item.style.position = beside ? "" : "static";
    item.style.insetBlockStart = "";
    if (!beside) continue;
    const top = Math.max(free, row ? row.offsetTop : 0);
    item.style.insetBlockStart = `${top}px`;
    free = top + item.offsetHeight + 6;
  }
  found.style.minBlockSize = beside ? `${free}px` : "";
}

function goToLine(text, line) {
  const lines = text.value.split("\n");
  const start = lines.slice(0, line - 1).reduce((sum, each) => sum + each.length + 1, 0);
  text.focus({ preventScroll: true });
  text.setSelectionRange(start, start + (lines[line - 1] || "").length);
  mirror.children[line - 1]?.scrollIntoView({ block: "center" });
}
