// Copies the text that a button names. Without script the text is marked by hand.

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
  button.dataset.words ??= button.textContent; // it may be pressed again before they are back
  button.textContent = told;
  setTimeout(() => (button.textContent = button.dataset.words), 2000);
});
