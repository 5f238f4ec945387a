// Live figures in a text: "{" offers those there are, and so does the button "Insert a figure".
// Without script they are listed on the shots page, and are typed.

const OPEN = /\{([^{}\n]{0,60})$/u; // a live figure that is being typed
const REST = /^[^{}\n]*\}/u; // … and its end, where an old one is typed over
const lists = new Map(); // by address: a promise of the figures, as { name, shown }
const picker = document.getElementById("figure-picker");
let offer = null; // under a field: { box, input, found, at }
let turn = 0; // counts what was typed, so that a list that comes late is not shown
let target = null; // the field that the picker writes to

function figuresOf(input) {
  const address = input.dataset.live;
  if (!lists.has(address)) lists.set(address, asked(address));
  return lists.get(address);
}

async function asked(address) {
  try {
    const answer = await fetch(address, { headers: { "HX-Request": "true" } });
    if (!answer.ok) throw new Error(answer.statusText);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const rows = [...page.querySelectorAll("[data-name]")];
    return rows.map((row) => ({ name: row.dataset.name, shown: row.textContent }));
  } catch {
    lists.delete(address); // the next time it is asked for anew
    return [];
  }
}

function matching(figures, typed) {
  const part = typed.trim().toLowerCase();
  const holds = figures.filter(({ name, shown }) => `${name} ${shown}`.toLowerCase().includes(part));
  const begins = ({ name, shown }) => [name, shown].some((t) => t.toLowerCase().startsWith(part));
  return [...holds.filter(begins), ...holds.filter((one) => !begins(one))];
}

function tell(count) {
  document.getElementById("figure-count").textContent =
    count === 1 ? "1 figure" : `${count || "No"} figures`;
}

function fill(box, found, take) {
  box.replaceChildren(
    ...found.map(({ name, shown }, place) => {
      const row = document.createElement("li");
      row.id = `${box.id}-${place}`;
      row.setAttribute("role", "option");
      row.setAttribute("aria-selected", "false");
      row.append(Object.assign(document.createElement("b"), { textContent: name }), " ");
      row.append(Object.assign(document.createElement("span"), { textContent: shown }));
      row.addEventListener("click", () => take(name));
      return row;
    }),
  );
  tell(found.length);
}

function choose(input, box, at) {
  [...box.children].forEach((row, place) => {
    row.setAttribute("aria-selected", String(place === at));
  });
  const row = box.children[at];
  if (!row) return input.removeAttribute("aria-activedescendant");
  input.setAttribute("aria-activedescendant", row.id);
  row.scrollIntoView({ block: "nearest" });
}

function stepped(key, at, count) {
  if (key === "ArrowDown") return (at + 1) % count;
  if (key === "ArrowUp") return (at + count - 1) % count;
  return null;
}

// Writes as typing does, so that the entry is saved when the field is left and can be undone.
function write(input, from, to, text) {
  input.focus();
  input.setSelectionRange(from, to);
  if (!document.execCommand("insertText", false, text)) {
    input.setRangeText(text, from, to, "end");
    input.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

// --- Under the field, while a figure is typed

function close() {
  if (!offer) return;
  const { input, box } = offer;
  offer = null;
  box.remove();
  for (const name of ["aria-activedescendant", "aria-controls"]) input.removeAttribute(name);
  if (input.matches("input")) input.setAttribute("aria-expanded", "false");
}

function take(name) {
  const { input } = offer;
  const before = input.value.slice(0, input.selectionStart);
  const after = input.value.slice(input.selectionStart);
  const from = before.length - OPEN.exec(before)[0].length;
  const to = before.length + (REST.exec(after)?.[0].length ?? 0);
  close();
  write(input, from, to, `{${name}}`);
  close(); // writing is typing, and would open it again
}

async function show(input) {
  const own = ++turn;
  if (!OPEN.test(input.value.slice(0, input.selectionStart))) return close();
  const figures = await figuresOf(input);
  if (own !== turn) return;
  const open = OPEN.exec(input.value.slice(0, input.selectionStart));
  close();
  if (!open || document.activeElement !== input) return;
  const found = matching(figures, open[1]);
  if (!found.length) return tell(0);
  const box = document.createElement("ul");
  box.id = "live-offer";
  box.className = "offer live-offer";
  box.setAttribute("role", "listbox");
  box.setAttribute("aria-label", "Figures you can quote");
  box.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps focus
  input.after(box);
  offer = { box, input, found, at: 0 };
  fill(box, found, take);
  input.setAttribute("aria-autocomplete", "list");
  input.setAttribute("aria-controls", box.id);
  if (input.matches("input")) {
    // a textarea is a text box of many lines and may not be called a combobox
    input.setAttribute("role", "combobox");
    input.setAttribute("aria-expanded", "true");
  }
  choose(input, box, 0);
}

document.addEventListener("input", ({ target: input }) => {
  if (input.matches?.("[data-live]")) show(input);
});
document.addEventListener("focusout", ({ target: input }) => {
  if (offer?.input === input) close();
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") turn += 1;
  if (!offer || event.target !== offer.input || event.isComposing) return;
  const at = stepped(event.key, offer.at, offer.found.length);
  if (at !== null) {
    offer.at = at;
    choose(offer.input, offer.box, at);
  } else if (event.key === "Enter") take(offer.found[offer.at].name);
  else if (event.key === "Escape") close();
  else return;
  event.preventDefault();
});

// --- The picker, for those who never heard of braces

if (picker) {
  const search = picker.querySelector("input");
  const box = picker.querySelector("[role=listbox]");
  const nothing = picker.querySelector("[data-nothing]");
  let figures = [];
  let found = [];
  let at = 0;

  function insert(name) {
    picker.close();
    const input = document.getElementById(target.id); // a save may have renewed it
    if (!input) return;
    const before = input.value.slice(0, target.from);
    const after = input.value.slice(target.to);
    const from = before.length - (OPEN.exec(before)?.[0].length ?? 0); // a figure begun by typing
    const gap = /[^\s(“‘"'/×–—-]$/u.test(before.slice(0, from)) ? " " : "";
    const text = `${gap}{${name}}`;
    write(input, from, target.to, /^[\p{L}\d]/u.test(after) ? `${text} ` : text);
  }

  function narrow() {
    found = matching(figures, search.value);
    fill(box, found, insert);
    nothing.hidden = found.length > 0;
    at = 0;
    choose(search, box, at);
  }

  document.addEventListener("click", async ({ target: pressed }) => {
    const button = pressed.closest?.("[data-insert]");
    const input = button && document.getElementById(button.dataset.insert);
    if (!input) return;
    target = { id: input.id, from: input.selectionStart, to: input.selectionEnd };
    if (!input.dataset.touched) target.from = target.to = input.value.length;
    figures = await figuresOf(input);
    search.value = "";
    picker.showModal();
    narrow();
    search.focus();
  });
  // The caret of a field that was never used stands at its beginning; a figure goes to its end.
  document.addEventListener("focusin", ({ target: input }) => {
    if (input.matches?.("[data-live]")) input.dataset.touched = "yes";
  });
  search.addEventListener("input", narrow);
  search.addEventListener("keydown", (event) => {
    const next = found.length ? stepped(event.key, at, found.length) : null;
    if (next !== null) choose(search, box, (at = next));
    else if (event.key === "Enter" && found[at]) insert(found[at].name);
    else return;
    event.preventDefault();
  });
  picker.querySelector("[data-close]").addEventListener("click", () => picker.close());
}
