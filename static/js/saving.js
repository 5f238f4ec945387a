// Tells how it stands with what was changed: being saved, saved, or why not. What was typed stays
// in its field, whatever is told.

const told = document.getElementById("saving");
const again = document.getElementById("save-again");
const KEPT_MS = 4000; // as long as it takes to notice
const READ_MS = 12000; // as long as a sentence takes that was not waited for
const PATIENCE_MS = 300; // what is saved sooner is only told as saved
const AGAIN_MS = 3000; // between two looks whether there is a connection again
const KNOCK = "/static/mark.svg"; // something small to ask for
const DONE = { undo: "Undone, and saved", redo: "Made again, and saved" };
const NOT_DONE = { undo: "Nothing was undone", redo: "Nothing was made again" };
const STAYS = " What you typed stays here and goes with the next entry that can be saved.";
const ELSEWHERE = "Not saved yet: the plan was changed elsewhere. Choose beside the field";
const LATE = "Not done yet: the plan was changed elsewhere. Look at it, then do it again";
const LATE_TYPED = "Not saved yet: the plan was changed elsewhere. Look at it, then save what you typed";
const NO_CONNECTION = "Not saved: no connection. What you typed stays here";
const NOT_PRESSED = "Not done: no connection. Press it again once there is one";
const SIGNED_OUT = "Not saved: you are signed out. What you typed stays here";
const REFUSED = [503, 507]; // the disk or the database refuses, and says in a sentence why
const WAITING = "form.saves :is([data-again], [aria-invalid=true])";
const NOT_TAKEN = [401, 500, ...REFUSED];
const unsent = new Map(); // forms with an entry that was not taken: the last status, what was sent
let later = 0;
let knocking = 0;
let sending = false;
let signedOut = false;

// It stands at the other end of the window than what was pressed last, so that it does not cover
// what is pressed next.
const corner = told.parentElement;
function keepAway(event, y) {
  if (!corner.contains(event.target)) corner.classList.toggle("high", y > innerHeight / 2);
}
addEventListener("pointerdown", (event) => keepAway(event, event.clientY), { capture: true });
for (const looked of ["focusin", "seamslate:shown"]) {
  addEventListener(looked, (event) => {
    const { top, bottom } = event.target.getBoundingClientRect();
    keepAway(event, (top + bottom) / 2);
  });
}

function tell(words, look = "") {
  clearTimeout(later);
  told.className = `saving ${look}`;
  told.textContent = words;
  offer();
}

// What may be tried again by hand: not what is sent by itself as soon as there is a connection.
function offer() {
  const waiting = [...unsent].filter(([form]) => form.isConnected).map(([, { status }]) => status);
  again.hidden = knocking > 0 || !(waiting.length || signedOut);
  again.querySelector("a").hidden = !signedOut;
  again.querySelector("button").hidden = !waiting.length;
  // So much lower can the page be scrolled, and so much higher stands what has the keyboard.
  document.documentElement.style.setProperty("--told", `${again.parentElement.offsetHeight}px`);
}
again.querySelector("button").addEventListener("click", () => sendAgain(true));

// As in any program; the browser's own would keep the page as a file.
addEventListener("keydown", (event) => {
  if (event.key.toLowerCase() !== "s" || !(event.ctrlKey || event.metaKey) || event.altKey) return;
  event.preventDefault();
  const at = document.activeElement;
  at.blur(); // a field that is left tells what was changed
  at.focus({ preventScroll: true });
  sendAgain(true);
  if (sending || document.querySelector(".htmx-request")) return; // told once it is answered
  if (dispatchEvent(new Event("seamslate:is-all-saved", { cancelable: true }))) tellBriefly("Saved");
  else if (!told.textContent) tell("Not all is saved yet", "failed");
});

// What is told for a while: then how it stands with what is not saved yet.
function tellBriefly(words, ms = KEPT_MS) {
  tell(words, "kept");
  later = setTimeout(() => {
    const isAll = again.hidden && !document.querySelector(WAITING);
    tell(isAll ? "" : "Not all is saved yet", isAll ? "" : "failed");
  }, ms);
}

const actOf = (ctx) => ctx.request.action.split("?")[0].split("/").at(-1);
const changes = (ctx) => ctx?.request?.method?.toUpperCase() === "POST";

document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  if (!changes(ctx)) return;
  clearTimeout(later);
  later = setTimeout(tell, PATIENCE_MS, "Saving…", "under-way");
});

document.addEventListener("htmx:after:request", ({ detail: { ctx } }) => {
  if (!changes(ctx)) return;
  const { status, headers } = ctx.response;
  const act = actOf(ctx);
  signedOut = status === 401;
  // What is refused stands in its form to be mended; but it may be told of an answer that was lost.
  const isLost = status === 422 && unsent.get(ctx.sourceElement)?.status === 0;
  if (!NOT_TAKEN.includes(status) && !isLost) unsent.delete(ctx.sourceElement);
  if (REFUSED.includes(status)) {
    const soon = headers.has("retry-after");
    keepUnsent(ctx, status, soon);
    return tell(`Not saved. ${ctx.text}${soon ? "" : STAYS}`, "failed");
  }
  if (status === 500 && ctx.text) {
    keepUnsent(ctx, status); // not sent again by itself: it would go wrong again
    return tell(ctx.text, "failed"); // our fault; it names where the log has it
  }
  if (status === 401) {
    keepUnsent(ctx, status);
    return tell(SIGNED_OUT, "failed");
  }
  if (status === 409) {
    const isTyped = ctx.sourceElement.matches(".saves"); // no place for it any more: hers to copy
    return tell(isTyped ? `Not saved. ${ctx.text}` : ctx.text, "failed");
  }
  if (status === 422) {
    return tell(NOT_DONE[act] ?? "Not saved: something is to be mended", "failed");
  }
  if (status >= 400) {
    const why = new DOMParser().parseFromString(ctx.text, "text/html").querySelector("main .lead");
    return tell(why ? `Not saved. ${why.textContent}` : "Not saved: something went wrong. Try once more", "failed");
  }
  // A button may only start some work: the plan is as it was then, and so is its edition.
  const [before, now] = [ctx.request.action, ctx.text].map((text) => /\bedition=(\d+)/.exec(text)?.[1]);
  if (before && before === now && !ctx.sourceElement.matches(".saves")) return tell("");
  tellBriefly(DONE[act] ?? "Saved");
});

// Of a page out of date: told once it stands there, since only then it is known whether there is a
// choice between two versions (unsaved.js).
document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
  if (!changes(ctx)) return;
  const also = document.getElementById("elsewhere");
  if (ctx.response.status < 400 && also) {
    const what = also.dataset.told;
    tellBriefly(`Saved. The plan was changed elsewhere, too${what ? `: ${what}` : ""}`, READ_MS);
  } else if (ctx.response.status === 422 && ctx.text.includes("data-late")) {
    const form = ctx.sourceElement;
    const late = form.matches(".saves") ? LATE_TYPED : LATE;
    tell(form.querySelector("[data-outdated]") ? ELSEWHERE : late, "failed");
  }
});

document.addEventListener("htmx:error", ({ detail: { ctx } }) => {
  if (!changes(ctx) || ctx.text !== undefined) return; // the answer was there, and whole
  keepUnsent(ctx, 0, true);
  tell(ctx.sourceElement.matches(".saves") ? NO_CONNECTION : NOT_PRESSED, "failed");
});

// By somebody else: static/js/elsewhere.js. What is told of her own entries comes first.
document.addEventListener("seamslate:outdated", ({ detail: words }) => {
  if (told.textContent) return;
  tell(words, "under-way");
  later = setTimeout(tell, READ_MS, "");
});

// Typed into a form that has a choice open: static/js/unsaved.js.
document.addEventListener("seamslate:waits", ({ detail: field }) => {
  tell(`Not saved yet: choose at “${field}” first`, "failed");
});

// What was refused and closed all the same: nothing of it is left to tell.
document.addEventListener("seamslate:let-go", () => tell(""));

// It is sent again with the next that is taken; where it may be `soon`, we knock.
function keepUnsent({ sourceElement: form, request: { action, body } }, status, soon = false) {
  if (!form.matches("form.saves")) return;
  const sent = { action, body: new URLSearchParams(body) };
  unsent.set(form, { status, sent: [...(unsent.get(form)?.sent ?? []), sent] });
  if (soon) knocking ||= setInterval(knock, AGAIN_MS);
}

// It is sent again as soon as anything shows that there is a connection: that the browser has one
// says nothing of the house, so we knock.
async function knock() {
  const answer = await fetch(KNOCK, { method: "HEAD", cache: "no-store" }).catch(() => null);
  if (answer?.ok) sendAgain();
}

async function sendAgain(byHand = false) {
  if (sending) return;
  const knocked = knocking > 0;
  clearInterval(knocking);
  knocking = 0;
  sending = true;
  for (const [form, { status, sent }] of [...unsent]) {
    if (status === 500 && !byHand) continue;
    const { why, known } = form.isConnected ? await sentAsItWas(form, sent) : {};
    if (why) {
      if (signedOut) unsent.set(form, { status: 401, sent }); // she signs in first: no use in knocking
      else if (knocked) knocking ||= setInterval(knock, AGAIN_MS);
      if (byHand) tell(why, "failed");
      else if (signedOut) tell(SIGNED_OUT, "failed");
      break;
    }
    unsent.delete(form);
    const mayGo = known || !form.querySelector("[data-outdated]"); // what is open there, she chooses
    if (form.isConnected && mayGo) form.requestSubmit();
  }
  sending = false;
  offer();
}

// Only its answer may have been lost. Sent as it was, the house knows it again, whatever was typed
// since; the form then goes on from the edition which that brought. Otherwise, why it is not taken.
async function sentAsItWas(form, sent) {
  let known = false;
  for (const { action, body } of sent) {
    const told = { method: "POST", body, headers: { "HX-Request": "true" } };
    const answer = await fetch(action, told).catch(() => null);
    const text = await answer?.text().catch(() => null);
    if (typeof text !== "string") return { why: "Not saved: still no connection" }; // or cut short
    signedOut = answer.status === 401;
    if (signedOut) return { why: "Not saved: you are still signed out" };
    if (REFUSED.includes(answer.status)) return { why: `Not saved. ${text}` };
    const edition = answer.ok && /\bedition=(\d+)/.exec(text)?.[1];
    if (!edition) continue;
    known = true;
    const address = form.getAttribute("hx-post");
    const shown = /\bedition=(\d+)/.exec(address)?.[1];
    if (Number(edition) > Number(shown) + 1) continue; // another tab's change, which she has not seen
    form.setAttribute("hx-post", address.replace(/\bedition=\d+/, `edition=${edition}`));
  }
  return { known };
}
addEventListener("online", () => sendAgain());
addEventListener("focus", () => unsent.size && sendAgain()); // from the tab where she signed in
document.addEventListener("htmx:finally:request", ({ detail: { ctx } }) => {
  if (ctx?.response?.status < 400) sendAgain();
});
