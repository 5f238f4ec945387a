// Copies the text that a button names. Without script the text is marked by hand.

const saying = new WeakMap(); // what a button says: the page may be renewed around it meanwhile

document.addEventListener("click", async ({ target }) => {
  const button = target.closest?.("[data-copies]");
  if (!button) return;
  const text = document.getElementById(button.dataset.copies).textContent;
  let told = "Copied";
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    getSelection().selectAllChildren(document.getElementById(button.dataset.copies));
    told = "Marked: copy it by the keyboard";
  }
  if (!saying.has(button)) saying.set(button, button.textContent); // else it was pressed before
  button.textContent = told;
  setTimeout(() => (button.textContent = saying.get(button)), 2000);
});
