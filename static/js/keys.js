// Keys of the whole page, listed on /keys. Those that open a place are access keys of its links;
// here are undo and redo, which in a field belong to the browser, and Escape for what hangs open.

const HANGING = ".moved[open], .tape-pages[open]";

// Wherever the keyboard is: what hangs open may cover it. What is nearer takes the key first.
addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || event.defaultPrevented || document.querySelector("dialog:modal")) return;
  const hanging = [...document.querySelectorAll(HANGING)];
  const open = hanging.find((one) => one.contains(event.target)) ?? hanging[0];
  if (!open) return;
  const at = document.activeElement;
  open.open = false;
  // The pages stand beside their fold, not in it, and are gone with it.
  if (open.contains(at) || !at.checkVisibility()) open.querySelector("summary").focus();
});

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.defaultPrevented) return;
  if (event.target.closest("input:not([type=checkbox], [type=radio]), textarea, select, dialog")) return;
  const key = event.key.toLowerCase();
  const act = key === "y" || (key === "z" && event.shiftKey) ? "redo" : key === "z" ? "undo" : "";
  const button = act && document.getElementById(act);
  if (!button) return;
  event.preventDefault();
  button.click(); // a disabled one does nothing
});
