// Says beside a measured value, at once, that it lies outside its range. What has a unit of its own is held against it by the site.
function look(field) {
  const typed = field.value.trim();
  const value = Number(typed.replace(",", ".").replace("−", "-"));
  const { low, high } = field.dataset;
  let said = "";
  if (typed && Number.isNaN(value)) said = /\d/.test(typed) ? "" : "This is not a number.";
  else if (typed && ((low && value < Number(low)) || (high && value > Number(high)))) {
    said = `Outside the range of ${low} to ${high}. Stop, and put it right or ask.`;
  }
  document.getElementById(`${field.id}-told`).textContent = said;
}
const lookAtAll = () => document.querySelectorAll("input[data-low]").forEach(look);

addEventListener("input", (event) => { if (event.target.matches("input[data-low]")) look(event.target); });
addEventListener("ranges:look", lookAtAll); // a page that fills in what was kept says so
lookAtAll();
