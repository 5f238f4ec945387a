// Keys of the whole page, listed on /keys. Those that open a place are access keys of its links;
// here are undo and redo, which in a field belong to the browser, and Escape for what hangs open.

const HANGING = ".moved[open], .tape-pages[open]";

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    const open = [...document.querySelectorAll(HANGING)].find((one) => one.contains(event.target));
    if (!open) return;
    open.open = false;
    open.querySelector("summary").focus();
    return;
  }
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.defaultPrevented) return;
  if (event.target.closest("input:not([type=checkbox], [type=radio]), textarea, select, dialog")) return;
  const key = event.key.toLowerCase();
  const act = key === "y" || (key === "z" && event.shiftKey) ? "redo" : key === "z" ? "undo" : "";
  const button = act && document.getElementById(act);
  if (!button) return;
  event.preventDefault();
  button.click(); // a disabled one does nothing
});
