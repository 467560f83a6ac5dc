// Which step comes next? Moves a row of an ordering list up or down without a page load, and says so aloud.
// Without this script the same buttons send the form, and the server moves the row.
"use strict";
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-order] button[data-move]");
  if (!button) return;
  event.preventDefault();
  const list = button.closest("[data-order]");
  const row = button.closest("li");
  const up = button.dataset.move === "up";
  const other = up ? row.previousElementSibling : row.nextElementSibling;
  if (other) {
    if (up) list.insertBefore(row, other);
    else list.insertBefore(other, row);
    for (const moved of list.querySelectorAll(".moved")) moved.classList.remove("moved");
    row.classList.add("moved");
    button.focus();
  }
  const said = document.getElementById(list.dataset.order);
  if (said) {
    const place = [...list.children].indexOf(row) + 1;
    said.textContent = `${row.dataset.name}: place ${place} of ${list.children.length}.`;
  }
});
