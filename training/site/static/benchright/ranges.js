// Says beside a measured value, at once, that it lies outside its range or cannot be read, and shows what is asked for then.
// What a field says stands in its data, in the reader's words. `data-judged` tells other scripts: "", "fine", "outside" or "unreadable".
const AMOUNT = /^([-−]?\d+(?:[.,]\d+)?)\s*(\D.*)?$/;
const SLACK = 1e-9; // of the bound, for what turning one unit into another may lose

function judged(field) {
  const typed = field.value.trim();
  if (!typed) return "";
  const { low, high, factors } = field.dataset;
  const found = AMOUNT.exec(typed);
  if (!found) return "unreadable";
  let value = Number(found[1].replace(",", ".").replace("−", "-"));
  const unit = (found[2] ?? "").trim().replace("⋅", "·");
  if (unit) {
    const turned = JSON.parse(factors || "{}")[unit];
    if (!turned) return "unreadable";
    value = value * turned[0] + turned[1];
  }
  const slack = SLACK * Math.max(Math.abs(low), Math.abs(high));
  const isOutside = (low && value < Number(low) - slack) || (high && value > Number(high) + slack);
  return isOutside ? "outside" : "fine";
}

function look(field) {
  field.dataset.judged = judged(field);
  document.getElementById(`${field.id}-told`).textContent = field.dataset[field.dataset.judged] ?? "";
  const stands = document.getElementById(`${field.id}-stands`);
  if (stands) stands.hidden = field.dataset.judged !== "outside";
}
const lookAtAll = () => document.querySelectorAll("input[data-low]").forEach(look);

addEventListener("input", (event) => { if (event.target.matches("input[data-low]")) look(event.target); });
addEventListener("ranges:look", lookAtAll); // a page that fills in what was kept says so
lookAtAll();
