// What a form that saves itself needs from the browser.

// An entry that waited its turn goes to the address its page gives now: the answer before it may
// have brought a newer edition. Not after a refusal, which must be read first; and not for a button
// such as "Take it out", where a second click is never meant for the next row. Undo pressed twice is
// meant for the change before, too.
let refused = false;
document.addEventListener("htmx:after:request", ({ detail: { ctx } }) => {
  if (ctx.sourceElement.matches("form")) refused = ctx.response.status >= 400;
});
document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  const form = ctx.sourceElement;
  if (!refused && form.matches(".saves, .changes form")) ctx.request.action = form.getAttribute("hx-post");
});

// What is refused is brought into view; a page of its own is read from its top.
document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  if (!refused || !ctx.sourceElement.matches("form")) return;
  const section = ctx.sourceElement.closest(".move, .card, details, section") ?? document;
  const result = document.getElementById(ctx.sourceElement.dataset.result);
  const parts = [section, result].filter((one) => one);
  const choice = section.querySelector(".field:has(.other-version)");
  const [told] = parts.flatMap((one) => [...one.querySelectorAll(".error[role=alert], [aria-invalid=true]")]);
  (choice ?? told)?.scrollIntoView({ block: "nearest" });
  (choice ?? told)?.dispatchEvent(new Event("seamslate:shown", { bubbles: true }));
});
document.addEventListener("htmx:after:history:push", () => scrollTo(0, 0));

// Where what an act brings stands elsewhere on the page, she is taken there. The form itself may
// have become another one by then; what has the keyboard keeps it, where it is only called otherwise.
let result = "";
document.addEventListener("htmx:before:swap", ({ detail: { ctx } }) => {
  result = refused ? "" : (ctx.sourceElement.dataset.result ?? "");
});
document.addEventListener("htmx:after:swap", () => {
  const part = document.getElementById(result);
  if (!part) return;
  const { was, now } = part.dataset;
  const at = around[0]?.startsWith(was) ? document.getElementById(around[0].replace(was, now)) : null;
  if (!at) part.tabIndex = -1;
  (at ?? part).focus({ preventScroll: true });
  part.scrollIntoView({ block: "start" });
});

// A date or a time that is typed is whole once its field is left, but the browser tells of a change
// with every figure: of a 26 it would save the 2. Enter says that it is whole, too.
let keyed = null;
let held = false;
document.addEventListener("keydown", ({ target: field, key }) => {
  if (field === keyed && key === "Enter") tellChange(); // where no button is, the form is not sent
  else if (field !== keyed && field.matches?.("input[type=date], input[type=time]")) {
    keyed = field;
    held = false;
  }
});
document.addEventListener(
  "change",
  (event) => {
    if (event.target !== keyed) return;
    event.stopImmediatePropagation();
    held = true;
  },
  { capture: true },
);
document.addEventListener("focusout", ({ target: field }) => {
  if (field === keyed) tellChange();
});

function tellChange() {
  const field = keyed;
  keyed = null;
  if (held) field.dispatchEvent(new Event("change", { bubbles: true }));
}

document.addEventListener(
  "submit",
  ({ target: form }) => {
    if (keyed?.form === form) held = false; // sent with the others of its form, as by Enter
  },
  { capture: true },
);

// A file that is too large is told of beside its field, before it is sent: beyond some size the
// server reads nothing of it and can only answer with another page.
document.addEventListener(
  "change",
  (event) => {
    const { target: field } = event;
    const { largest, tooLarge } = field.dataset;
    if (!(field.files?.[0]?.size > largest)) return;
    event.stopPropagation();
    const told = document.createElement("p");
    told.id = `${field.id}-error`;
    told.className = "error";
    told.setAttribute("role", "alert");
    told.textContent = tooLarge;
    field.parentElement.querySelector(".after").replaceChildren(told);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", told.id);
    field.value = "";
  },
  { capture: true },
);

// A button that is gone once its act is done leaves the keyboard where it stood: on the nearest
// part around it that is still there.
let around = [];
document.addEventListener("htmx:before:swap", () => {
  around = [];
  for (let one = document.activeElement; one; one = one.parentElement) if (one.id) around.push(one.id);
});
document.addEventListener("htmx:after:swap", () => {
  if (document.activeElement && document.activeElement !== document.body) return;
  const part = around.map((id) => document.getElementById(id)).find((one) => one);
  if (!part || part.id === "page") return;
  if (!part.matches("a[href], button, input, select, textarea, summary, [tabindex]")) part.tabIndex = -1;
  part.focus({ preventScroll: true });
});

// The settings save themselves: the page, of which only a part is renewed, takes the look at once.
document.addEventListener("change", ({ target: field }) => {
  if (!field.matches("[data-settings] [name=look]")) return;
  if (field.value) document.documentElement.dataset.look = field.value;
  else delete document.documentElement.dataset.look;
});

// A page that the browser kept whole, and shows again on Back, may show a plan that is no more.
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
