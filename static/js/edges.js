// An edge is chosen on the drawing for the move that is open. The list of edges in its form does the
// same for those who use no pointer.

let last = null; // the edge field used last

document.addEventListener("focusin", ({ target }) => {
  if (target.matches?.("[data-edge]")) last = target.id;
});

function wanted() {
  const open = [...document.querySelectorAll("#add-form, .move details[open] form.saves")];
  const fields = open.flatMap((form) => [...form.querySelectorAll("[data-edge]")]);
  return fields.find((field) => field.id === last) ?? fields[0];
}

document.addEventListener("click", ({ target }) => {
  const line = target.closest?.("[data-line]");
  const field = line && wanted();
  if (!field) return;
  const edge = line.dataset.line;
  if (![...field.options].some((option) => option.value === edge)) return;
  field.value = edge;
  field.focus();
  field.dispatchEvent(new Event("change", { bubbles: true }));
});
