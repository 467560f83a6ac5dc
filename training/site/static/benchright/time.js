// Is the time of a sitting nearly over? Says so two minutes before, so that there is time to take more.
// Without this script the page says until when there is time, and the same button gives more.
"use strict";
const part = document.querySelector("[data-ends]");
if (part) {
  const left = new Date(part.dataset.ends) - Date.now() - 120_000;
  setTimeout(() => part.querySelector("[data-soon]").removeAttribute("hidden"), Math.max(0, left));
}
