// What was typed or chosen here and is not stored. It alone is sent, so that what another tab changed
// is not written over; it stays as typed while other forms are saved; and nothing of it is lost
// without a question, nor is any asked where nothing would be.

const FIELDS = "input:not([type=hidden]), textarea, select";
const KEPT = "[data-again], [aria-invalid=true]"; // refused, or not taken for another reason
const LOST = "What you typed here is not saved and would be lost. Go on all the same?";
const taken = new WeakMap(); // fields of which the plan has what was typed, in other words
const underWay = new Set(); // saves that are not answered yet
let goal = null; // where she goes as soon as they are
let leaves = null; // a form that she leaves by its own link

const isTick = (field) => field.type === "checkbox" || field.type === "radio";
const indexGiven = ({ options }) => Math.max([...options].findIndex((one) => one.defaultSelected), 0);

// What the page gave the field to show, and what it shows now.
function given(field) {
  if (isTick(field)) return field.defaultChecked;
  return field.options ? indexGiven(field) : field.defaultValue.trim();
}
function shown(field) {
  if (isTick(field)) return field.checked;
  return field.options ? field.selectedIndex : field.value.trim();
}

function showGiven(field) {
  if (isTick(field)) field.checked = field.defaultChecked;
  else if (field.options) field.selectedIndex = indexGiven(field);
  else field.value = field.defaultValue;
}

function isChanged(field) {
  if (shown(field) === given(field)) return false;
  const known = taken.get(field);
  return !(known && known.shown === shown(field) && known.given === given(field));
}

const isToSend = (control) => control.matches(KEPT) || !control.matches(FIELDS) || isChanged(control);

// In a form that is sent by its button only words are lost, not what is ticked or chosen.
function isUnsaved(field) {
  if (field.matches("[type=file]:not([data-again])") || field.form === leaves) return false;
  if (field.form.matches(".saves")) return isToSend(field);
  if (field.matches(KEPT)) return shown(field) !== "";
  return field.form.matches("[hx-post]") && field.matches("textarea, [type=text]") && isChanged(field);
}
const unsaved = () =>
  [...document.querySelectorAll("form:is(.saves, [method=post])")]
    .flatMap((form) => [...form.elements])
    .filter((field) => field.matches(FIELDS) && isUnsaved(field));

// Marks what is not taken: it stays whatever another form's answer or an undo brings. What stands
// under the field is of what the plan has.
function keep(form, why = "unsent") {
  const fields = [...(form.elements ?? [])].filter((one) => one.matches(FIELDS) && isChanged(one));
  for (const field of fields) {
    field.dataset.again = why;
    for (const also of field.closest(".field")?.querySelectorAll(".also") ?? []) {
      const [words] = also.childNodes;
      if (words?.data) words.data = words.data.replace(/^=/u, "Still");
    }
  }
  return fields;
}

document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
  const { form, body } = ctx.request;
  if (!form?.matches(".saves")) return;
  for (const name of new Set(body.keys())) {
    const controls = [...form.elements].filter((one) => one.name === name && one.type !== "hidden");
    if (controls.length && !controls.some(isToSend)) body.delete(name);
  }
});

// --- Beside the answers to other forms

const isSave = (ctx) => ctx?.request?.method.toUpperCase() === "POST";
const valueGiven = (field) => {
  if (isTick(field)) return field.defaultChecked ? "yes" : "no";
  return field.options ? field.options[indexGiven(field)].value : field.defaultValue;
};
let chosen = []; // ticks and choices with what they were given before the answer
let had = new Map(); // what the plan had of each field, by its id, when its page was shown
let plans = []; // what she chose to have as the plan has it
let outrun = []; // what is typed about another version than the answer brought, and its address

document.addEventListener("htmx:after:request", ({ detail: { ctx } }) => {
  const { status } = ctx.response;
  if (isSave(ctx) && status >= 400 && status !== 422) keep(ctx.sourceElement, status === 409 ? "gone" : "unsent");
  if (status === 409) tellGone(ctx.sourceElement);
});
document.addEventListener("htmx:error", ({ detail: { ctx } }) => {
  if (isSave(ctx) && ctx.text === undefined) keep(ctx.sourceElement);
});

document.addEventListener("htmx:before:swap", (event) => {
  const { ctx } = event.detail;
  const isOwn = (field) => ctx.sourceElement.contains(field);
  chosen = [...document.querySelectorAll("#page :is(select, [type=checkbox])")].map((one) => [one, given(one)]);
  outrun = [];
  const before = (one) => (one.matches("[data-again]") ? had.get(one.id) : null) ?? valueGiven(one);
  had = new Map([...document.querySelectorAll(`#page :is(${FIELDS})`)].map((one) => [one.id, before(one)]));
  for (const part of document.querySelectorAll(`.field:has(${KEPT})`)) {
    part.toggleAttribute("hx-morph-skip", !isOwn(part));
  }
  const { status } = ctx.response;
  const typed = unsaved().filter((field) => ctx.target?.contains(field));
  if (!typed.length) return;
  if (isSave(ctx) && status >= 400 && status !== 422) return event.preventDefault(); // a page of its own
  const others = typed.filter((field) => !isOwn(field));
  const next = new DOMParser().parseFromString(ctx.text, "text/html");
  const lost = others.filter(({ id }) => !next.getElementById(id));
  if (!isSave(ctx)) {
    const asks = /click|submit/u.test(ctx.sourceEvent?.type); // what looks by itself looks once more
    if (!lost.length) return;
    if (!(asks && confirm(LOST))) return event.preventDefault();
    document.getElementById("to-mend")?.remove();
    document.dispatchEvent(new CustomEvent("seamslate:let-go"));
  } else if (lost.some(({ dataset }) => dataset.again === "gone")) {
    event.preventDefault(); // hers to copy
  } else if (!ctx.sourceElement.closest(".changes") || status >= 400) {
    // Her own undo is no other version. Of her own form, what was typed since it was sent.
    const unsent = typed.filter((field) => !isOwn(field) || !ctx.request.body?.has?.(field.name));
    const otherwise = unsent.filter((field) => isOutrun(field, next.getElementById(field.id)));
    outrun = otherwise.map((field) => [field, field.form.getAttribute("hx-post")]);
  }
});

// What another tab made of it meanwhile she has not seen.
function isOutrun(field, next) {
  if (!next) return false;
  const other = document.querySelector(`[data-keep="${CSS.escape(field.id)}"]`);
  return valueGiven(next).trim() !== (other ? other.dataset.now : valueGiven(field)).trim();
}

document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  // Sent in the edition she saw, it is told, and not written over.
  for (const [field, address] of outrun) {
    field.dataset.again ||= "unsent";
    field.form?.setAttribute("hx-post", address);
  }
  // A tick that was pressed, and a choice, stands as it is although its page says otherwise.
  for (const [field, before] of chosen) {
    if (!field.isConnected || field.matches(KEPT) || given(field) === before) continue;
    showGiven(field);
  }
  const { form, body } = ctx.request;
  if (!(ctx.response?.status < 400) || !form?.matches("[hx-post]")) return;
  for (const field of form.elements) {
    if (!field.matches(FIELDS) || field.type === "file" || body.get(field.name) !== field.value) continue;
    taken.set(field, { shown: shown(field), given: given(field) });
  }
});

// It stays told where it is, whatever is saved afterwards; Undo in the other window may bring it back.
function tellGone(form) {
  if (!form.matches(".saves") || form.querySelector(".gone")) return;
  const told = document.createElement("p");
  const again = document.createElement("button");
  told.className = "error gone";
  again.className = "plain";
  again.textContent = "Try to save it again";
  told.append("Taken out of the plan elsewhere, so this is not saved. Copy what you need. ", again);
  form.prepend(told);
}

// --- A choice between two versions, which parts/forms.html shows. Nothing of its form is saved by
// the way, for that would be a choice she never made; all of it goes once it is made.

// What the plan has as it had when the page was shown is no other version: nobody changed it.
document.addEventListener("htmx:after:swap", () => {
  for (const choice of document.querySelectorAll("[data-keep]")) {
    const before = had.get(choice.dataset.keep) ?? ""; // a form for one more is another one by now
    if (choice.dataset.now.trim() !== before.trim()) continue;
    delete document.getElementById(choice.dataset.keep).dataset.outdated;
    choice.closest(".other-version").remove();
  }
});

document.addEventListener("htmx:config:request", (event) => {
  const { request } = event.detail.ctx;
  const open = request.form?.querySelector("[data-outdated]");
  if (!open) return;
  event.preventDefault();
  const [label] = open.labels[0].childNodes;
  const name = label.textContent.trim();
  for (const field of keep(request.form)) if (!field.matches("[data-outdated]")) tellWaits(field, open.id, name);
  document.dispatchEvent(new CustomEvent("seamslate:waits", { detail: name }));
});

function tellWaits(field, open, name) {
  const part = field.closest(".field");
  const id = `${field.id}-waits`;
  if (!part || document.getElementById(id)) return;
  const told = document.createElement("p");
  const link = document.createElement("a");
  Object.assign(told, { id, className: "waits" });
  Object.assign(link, { href: `#${open}`, textContent: `choose at “${name}”` });
  told.append("Not saved yet: ", link, " first.");
  const after = part.querySelector(".after");
  if (after) after.prepend(told);
  else part.append(told);
  field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${id}`.trim());
}

document.addEventListener("click", (event) => {
  const other = event.target.closest?.("button")?.closest(".other-version");
  // Enter in a field presses the form's first button, whatever that is for.
  if (!other || document.activeElement?.matches(FIELDS)) return;
  event.preventDefault();
  const { keep: id, now } = other.querySelector("[data-keep]").dataset;
  const field = document.getElementById(id);
  if (event.target.closest("[data-keep]")) {
    if (isTick(field)) field.checked = field.defaultChecked = now === "yes";
    else field.value = field.defaultValue = now;
    for (const one of field.options ?? []) one.defaultSelected = one.selected;
    delete field.dataset.again;
    plans.push([field, shown(field)]);
  }
  delete field.dataset.outdated;
  field.focus();
  other.remove();
  // With what waits, or with nothing: the answer is a page with nothing left to choose.
  if (!field.form.querySelector("[data-outdated]")) field.form.requestSubmit();
});

// The plan may have another version still by then.
document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  if (!isSave(ctx) || ctx.sourceElement !== plans[0]?.[0].form) return;
  for (const [field, kept] of plans) if (shown(field) === kept) showGiven(field);
  plans = [];
});

// --- Before she leaves

function refuseWhereUnsaved(event) {
  if (unsaved().length) event.preventDefault();
}
addEventListener("beforeunload", refuseWhereUnsaved); // the browser asks her
addEventListener("seamslate:is-all-saved", refuseWhereUnsaved); // static/js/saving.js asks

// A link that is pressed out of a field saves it first, and waits for the answer: most often all is
// saved, and there is nothing to ask. What is refused keeps her here.
addEventListener(
  "click",
  (event) => {
    const link = event.target.closest?.("a[href]:not([download], [target])");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
    leaves = link.closest("form:not(.saves)");
    goAfterwards(event, () => link.click());
  },
  { capture: true },
);
addEventListener(
  "submit",
  (event) => {
    const { target: form, submitter } = event;
    if (form.matches("[hx-post]")) return;
    leaves = form;
    goAfterwards(event, () => form.requestSubmit(submitter));
  },
  { capture: true },
);

function goAfterwards(event, go) {
  if (!underWay.size || !unsaved().length) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  goal = go;
}

document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  if (ctx.sourceElement.matches("form.saves")) underWay.add(ctx);
});
document.addEventListener("htmx:finally:request", ({ detail: { ctx } }) => {
  underWay.delete(ctx);
  if (!(ctx.response?.status < 400)) goal = null;
  setTimeout(() => {
    if (underWay.size) return; // the next that waited its turn
    const go = goal;
    goal = null;
    go?.();
  });
});
