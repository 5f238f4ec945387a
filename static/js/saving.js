// Tells how it stands with what was changed: being saved, saved, or why not. What was typed stays
// in its field, whatever is told.

const told = document.getElementById("saving");
const KEPT_MS = 4000; // as long as it takes to notice
const PATIENCE_MS = 300; // what is saved sooner is only told as saved
const AGAIN_MS = 3000; // between two looks whether there is a connection again
const KNOCK = "/static/mark.svg"; // something small to ask for
const DONE = { undo: "Undone, and saved", redo: "Made again, and saved" };
const NOT_DONE = { undo: "Nothing was undone", redo: "Nothing was made again" };
const unsent = new Set(); // forms with an entry that found no connection
let later = 0;
let knocking = 0;

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
  const { status } = ctx.response;
  const act = actOf(ctx);
  if (status === 422) return tell(NOT_DONE[act] ?? "Not saved: something is to be mended", "failed");
  if (status >= 400) return tell("Not saved: something went wrong. Try once more", "failed");
  // A button may only start some work: the plan is as it was then, and so is its edition.
  const [before, now] = [ctx.request.action, ctx.text].map((text) => /\bedition=(\d+)/.exec(text)?.[1]);
  if (before && before === now && !ctx.sourceElement.matches(".saves")) return tell("");
  tell(DONE[act] ?? "Saved", "kept");
  later = setTimeout(tell, KEPT_MS, "");
});

document.addEventListener("htmx:error", ({ detail: { ctx } }) => {
  if (!changes(ctx) || ctx.response) return;
  if (ctx.sourceElement.matches("form.saves")) {
    unsent.add(ctx.sourceElement);
    // Kept as it was typed, whatever another form's answer or an undo brings before it is sent.
    for (const one of ctx.sourceElement.elements) {
      if (one.matches("input, textarea") && one.value !== one.defaultValue) one.dataset.again = "";
    }
    knocking ||= setInterval(knock, AGAIN_MS);
  }
  tell("Not saved: no connection. What you typed stays here", "failed");
});

// It is sent again as soon as anything shows that there is a connection: that the browser has one
// says nothing of the house, so we knock.
async function knock() {
  const answer = await fetch(KNOCK, { method: "HEAD", cache: "no-store" }).catch(() => null);
  if (answer?.ok) sendAgain();
}
addEventListener("beforeunload", (event) => {
  if ([...unsent].some((form) => form.isConnected)) event.preventDefault(); // the browser asks her
});

function sendAgain() {
  clearInterval(knocking);
  knocking = 0;
  const forms = [...unsent].filter((form) => form.isConnected);
  unsent.clear();
  for (const form of forms) form.requestSubmit();
}
addEventListener("online", sendAgain);
document.addEventListener("htmx:finally:request", ({ detail: { ctx } }) => {
  if (ctx?.response?.status < 400) sendAgain();
});
