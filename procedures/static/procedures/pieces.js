// How does a piece of the language come into the text at the cursor, moving and changing nothing else?
function putIn(text, source) {
  const { value, selectionEnd: at } = text;
  let piece = source.textContent.replace("{#new-step}", () => `{#${freeId(value)}}`);
  if ("block" in source.dataset) piece = onItsOwnLines(piece, value, at, "apart" in source.dataset);
  text.focus();
  text.setSelectionRange(at, at);
  // The old command keeps the browser's own undo; where it is gone, the piece comes in without.
  if (!document.execCommand("insertText", false, piece)) {
    text.setRangeText(piece, at, at, "end");
    text.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

function freeId(value) {
  let id = "new-step";
  for (let turn = 2; value.includes(`{#${id}}`); turn += 1) id = `new-step-${turn}`;
  return id;
}

function onItsOwnLines(piece, value, at, apart) {
  const before = value.slice(0, at);
  const after = value.slice(at);
  let start = before === "" || before.endsWith("\n") ? "" : "\n";
  let end = after === "" || after.startsWith("\n") ? "" : "\n";
  if (apart && before !== "" && !(before + start).endsWith("\n\n")) start += "\n";
  if (apart && after !== "" && !(end + after).startsWith("\n\n")) end += "\n";
  return start + piece + end;
}

for (const button of document.querySelectorAll("[data-piece]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    putIn(document.getElementById("id_text"), document.getElementById(button.dataset.piece));
  });
}
document.querySelector(".pieces").hidden = false;
