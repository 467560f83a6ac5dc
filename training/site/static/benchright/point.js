// Where on the drawing does the answer point? Shows the cross at once, and takes a tap to the exact spot.
// Without this script the cells and the two numbers say the same, and the server draws the cross.
"use strict";
const spot = document.querySelector("[data-spot]");
if (spot) {
  const form = spot.closest("form");
  const [across, down] = [form.elements.across, form.elements.down];
  const over = spot.querySelector(".over");
  const box = over.viewBox.baseVal;
  const said = document.getElementById(spot.dataset.spot);
  const show = () => {
    const cross = over.querySelector(".cross");
    const whole = across.value !== "" && down.value !== "";
    cross.toggleAttribute("hidden", !whole);
    if (!whole) return;
    const [x, y] = [box.x + Number(across.value), box.y + Number(down.value)];
    for (const end of ["x1", "x2"]) cross.querySelector("[data-across]").setAttribute(end, x);
    for (const end of ["y1", "y2"]) cross.querySelector("[data-down]").setAttribute(end, y);
    cross.querySelector("circle").setAttribute("cx", x);
    cross.querySelector("circle").setAttribute("cy", y);
    if (said) said.textContent = `Across ${across.value}, down ${down.value}.`;
  };
  const free = () => {
    for (const cell of spot.querySelectorAll("[name=cell]")) cell.checked = false;
  };
  spot.addEventListener("click", (event) => {
    // A key press on a cell comes as a click without a count; it keeps the cell's own middle.
    if (event.detail === 0 || event.target.matches("input")) return;
    event.preventDefault();
    const at = spot.getBoundingClientRect();
    across.value = Math.round(((event.clientX - at.left) / at.width) * box.width);
    down.value = Math.round(((event.clientY - at.top) / at.height) * box.height);
    free();
    show();
    form.dispatchEvent(new Event("change")); // it was chosen, as if by a cell
  });
  spot.addEventListener("change", (event) => {
    across.value = event.target.dataset.across;
    down.value = event.target.dataset.down;
    show();
  });
  for (const number of [across, down]) {
    number.addEventListener("input", () => {
      free();
      show();
    });
  }
}
