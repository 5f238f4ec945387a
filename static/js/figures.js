// Offers the figures there are while one is typed. Without script they are listed on the page.

const PART = /[^+\-*/×(),]*$/u; // what is being typed: all since the last sign
const MOST = 40; // the list scrolls
let offer = null; // { box, input, names, at }

function matches(input) {
  const typed = input.value.slice(0, input.selectionStart);
  const part = PART.exec(typed)[0].trimStart().toLowerCase();
  if (part && !/^\p{L}/u.test(part)) return [];
  const list = input.dataset.figures || "figures"; // where those stand that fit this field
  const names = [...document.querySelectorAll(`#${list} [data-name]`)].map((n) => n.textContent);
  const starts = names.filter((name) => name.toLowerCase().startsWith(part));
  const holds = names.filter((name) => !starts.includes(name) && name.toLowerCase().includes(part));
  const found = [...starts, ...(part ? holds : [])].slice(0, MOST);
  return found.length === 1 && found[0].toLowerCase() === part ? [] : found;
}

function close() {
  offer?.input.removeAttribute("aria-activedescendant");
  offer?.input.setAttribute("aria-expanded", "false");
  offer?.box.remove();
  offer = null;
}

function show(input) {
  close();
  const names = matches(input);
  if (!names.length) return;
  const box = document.createElement("ul");
  box.className = "offer";
  box.id = "figure-offer";
  box.setAttribute("role", "listbox");
  box.setAttribute("aria-label", "Figures you can use");
  names.forEach((name, place) => {
    const row = box.appendChild(document.createElement("li"));
    row.id = `figure-offer-${place}`;
    row.setAttribute("role", "option");
    row.setAttribute("aria-selected", "false");
    row.textContent = name;
    row.addEventListener("pointerdown", (event) => {
      event.preventDefault(); // the field keeps its focus
      take(name);
    });
  });
  input.after(box);
  input.setAttribute("role", "combobox");
  input.setAttribute("aria-controls", box.id);
  input.setAttribute("aria-expanded", "true");
  offer = { box, input, names, at: -1 };
}

function take(name) {
  const { input } = offer;
  const before = input.value.slice(0, input.selectionStart);
  const after = input.value.slice(input.selectionStart);
  const part = PART.exec(before)[0];
  const gap = /^\s*/.exec(part)[0];
  const head = before.slice(0, before.length - part.length) + gap + name;
  input.value = head + after;
  input.setSelectionRange(head.length, head.length);
  close();
}

function go(by) {
  offer.at = (offer.at + by + offer.names.length) % offer.names.length;
  [...offer.box.children].forEach((row, place) => {
    row.setAttribute("aria-selected", String(place === offer.at));
    if (place === offer.at) row.scrollIntoView({ block: "nearest" });
  });
  offer.input.setAttribute("aria-activedescendant", `figure-offer-${offer.at}`);
}

document.addEventListener("input", ({ target }) => {
  if (target.matches?.("[data-figures]")) show(target);
});
document.addEventListener("click", ({ target }) => {
  if (target.matches?.("[data-figures]") && !offer) show(target);
});
document.addEventListener("focusout", ({ target }) => {
  if (offer?.input === target) close();
});
document.addEventListener("keydown", (event) => {
  if (!offer || event.target !== offer.input) return;
  if (event.key === "Escape") close();
  else if (event.key === "ArrowDown") go(1);
  else if (event.key === "ArrowUp") go(-1);
  else if (event.key === "Enter" && offer.at >= 0) take(offer.names[offer.at]);
  else return;
  event.preventDefault();
});
