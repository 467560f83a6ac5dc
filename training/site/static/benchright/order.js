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
    list.closest("form").dispatchEvent(new Event("change")); // it was chosen, so it is saved
  }
  const said = document.getElementById(list.dataset.order);
  if (said) {
    const place = [...list.children].indexOf(row) + 1;
    said.textContent = `${row.dataset.name}: place ${place} of ${list.children.length}.`;
  }
});

// The arrows go from row to row and between Up and Down; below the last row comes the button that goes on.
document.addEventListener("keydown", (event) => {
  const button = event.target.closest("[data-order] button[data-move]");
  if (!button) return;
  const row = button.closest("li");
  const other = { ArrowUp: row.previousElementSibling, ArrowDown: row.nextElementSibling }[event.key];
  const beside = { ArrowLeft: "up", ArrowRight: "down" }[event.key];
  const next = event.key === "ArrowDown" && !other ? button.form.querySelector("button.primary")
    : other?.querySelector(`[data-move=${button.dataset.move}]`) ?? (beside && row.querySelector(`[data-move=${beside}]`));
  if (!next) return;
  event.preventDefault();
  next.focus();
});
