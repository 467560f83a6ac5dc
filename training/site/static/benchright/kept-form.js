// What is typed into a form with data-keep stays in this browser until the site has taken it, whatever becomes of the page.
// The form comes back with the mark that it had, by which the site knows one that had arrived after all.
// The site says what it took in the address that it leads on to: ?taken=MARK.
const PREFIX = "kept-form:";
const NEVER = ["csrfmiddlewaretoken", "photos", "photos-kept"];
const form = document.querySelector("form[data-keep]");
const key = form && `${PREFIX}${form.dataset.keep}:${location.pathname}${location.search}`;

const keep = () => {
  const typed = [...new FormData(form)].filter(([name]) => !NEVER.includes(name));
  localStorage.setItem(key, JSON.stringify({ mark: form.elements.mark.value, typed }));
};

function fill({ typed }) {
  for (const [name, value] of typed) {
    const fields = [...form.elements].filter((field) => field.name === name);
    for (const field of fields) {
      if (field.type === "radio" || field.type === "checkbox") field.checked ||= field.value === value;
      else field.value = value;
    }
  }
}

const taken = new URLSearchParams(location.search).get("taken");
if (taken) {
  for (const name of Object.keys(localStorage)) {
    if (name.startsWith(PREFIX) && JSON.parse(localStorage.getItem(name)).mark === taken) localStorage.removeItem(name);
  }
  history.replaceState(null, "", location.pathname);
}

if (form) {
  const kept = JSON.parse(localStorage.getItem(key));
  if (kept && !form.hasAttribute("data-filled")) {
    fill(kept);
    const told = document.getElementById("kept-told");
    told.hidden = false;
    told.querySelector("button").addEventListener("click", () => { localStorage.removeItem(key); location.reload(); });
  }
  form.addEventListener("input", keep);
  dispatchEvent(new Event("ranges:look"));
}
