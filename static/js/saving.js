// Tells how it stands with what was changed: being saved, saved, or why not. What was typed stays
// in its field, whatever is told.

const told = document.getElementById("saving");
const KEPT_MS = 4000; // as long as it takes to notice
const PATIENCE_MS = 300; // what is saved sooner is only told as saved
const AGAIN_MS = 3000; // between two looks whether there is a connection again
const KNOCK = "/static/mark.svg"; // something small to ask for
const DONE = { undo: "Undone, and saved", redo: "Made again, and saved" };
const NOT_DONE = { undo: "Nothing was undone", redo: "Nothing was made again" };
const STAYS = " What you typed stays here and goes with the next entry that can be saved.";
const ELSEWHERE = "Not saved yet: the plan was changed elsewhere. Choose beside the field";
const REFUSED = [503, 507]; // the disk or the database refuses, and says in a sentence why
const unsent = new Map(); // forms with an entry that was not taken: what was sent of each
const stranded = new Set(); // forms of what is not in the plan any more
let later = 0;
let knocking = 0;
let sending = false;

function tell(words, look = "") {
  clearTimeout(later);
  told.className = `saving ${look}`;
  told.textContent = words;
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
  if (REFUSED.includes(status)) {
    const soon = headers.has("retry-after");
    keepUnsent(ctx, soon);
    return tell(`Not saved. ${ctx.text}${soon ? "" : STAYS}`, "failed");
  }
  if (status === 500 && ctx.text) {
    keepTyped(ctx.sourceElement); // not sent again by itself: it would go wrong again
    return tell(ctx.text, "failed"); // our fault; it names where the log has it
  }
  if (status === 409) {
    keepTyped(ctx.sourceElement); // there is no place for it in the plan any more: hers to copy
    if (ctx.sourceElement.matches("form.saves")) stranded.add(ctx.sourceElement);
    return tell(`Not saved. ${ctx.text}`, "failed");
  }
  if (status === 401) return tell("Not saved: you are signed out. What you typed stays here: sign in in another tab, then save it again", "failed");
  if (status === 422) {
    const why = ctx.text.includes("data-outdated") ? ELSEWHERE : "Not saved: something is to be mended";
    return tell(NOT_DONE[act] ?? why, "failed");
  }
  if (status >= 400) return tell("Not saved: something went wrong. Try once more", "failed");
  // A button may only start some work: the plan is as it was then, and so is its edition.
  const [before, now] = [ctx.request.action, ctx.text].map((text) => /\bedition=(\d+)/.exec(text)?.[1]);
  if (before && before === now && !ctx.sourceElement.matches(".saves")) return tell("");
  tell(DONE[act] ?? "Saved", "kept");
  later = setTimeout(tell, KEPT_MS, "");
});

document.addEventListener("htmx:error", ({ detail: { ctx } }) => {
  if (!changes(ctx) || ctx.text !== undefined) return; // the answer was there, and whole
  keepUnsent(ctx, true);
  tell("Not saved: no connection. What you typed stays here", "failed");
});

// Kept as it was typed, whatever another form's answer or an undo brings before it is sent.
function keepTyped(form) {
  for (const one of form.elements ?? []) {
    if (one.matches("input, textarea") && one.value !== one.defaultValue) one.dataset.again = "";
  }
}

// It is sent again with the next that is taken; where it may be `soon`, we knock.
function keepUnsent({ sourceElement: form, request: { action, body } }, soon) {
  if (!form.matches("form.saves")) return;
  const sent = { action, body: new URLSearchParams(body) };
  unsent.set(form, [...(unsent.get(form) ?? []), sent]);
  keepTyped(form);
  if (soon) knocking ||= setInterval(knock, AGAIN_MS);
}

// It is sent again as soon as anything shows that there is a connection: that the browser has one
// says nothing of the house, so we knock.
async function knock() {
  const answer = await fetch(KNOCK, { method: "HEAD", cache: "no-store" }).catch(() => null);
  if (answer?.ok) sendAgain();
}
addEventListener("beforeunload", (event) => {
  if ([...unsent.keys(), ...stranded].some((form) => form.isConnected)) event.preventDefault(); // the browser asks her
});

async function sendAgain() {
  if (sending) return;
  const knocked = knocking > 0;
  clearInterval(knocking);
  knocking = 0;
  sending = true;
  for (const form of [...unsent.keys()]) {
    if (form.isConnected && !(await sentAsItWas(form))) {
      if (knocked) knocking ||= setInterval(knock, AGAIN_MS);
      break;
    }
    unsent.delete(form);
    if (form.isConnected) form.requestSubmit();
  }
  sending = false;
}

// Only its answer may have been lost. Sent as it was, the house knows it again, whatever was typed
// since; the form then goes on from the edition which that brought. False without a connection.
async function sentAsItWas(form) {
  for (const { action, body } of unsent.get(form)) {
    const told = { method: "POST", body, headers: { "HX-Request": "true" } };
    const answer = await fetch(action, told).catch(() => null);
    const text = await answer?.text().catch(() => null);
    if (typeof text !== "string") return false; // none, or it was cut short
    if (REFUSED.includes(answer.status)) return false;
    const edition = answer.ok && /\bedition=(\d+)/.exec(text)?.[1];
    if (!edition) continue;
    const address = form.getAttribute("hx-post").replace(/\bedition=\d+/, `edition=${edition}`);
    form.setAttribute("hx-post", address);
  }
  return true;
}
addEventListener("online", sendAgain);
document.addEventListener("htmx:finally:request", ({ detail: { ctx } }) => {
  if (ctx?.response?.status < 400) sendAgain();
});
