// Whether the plan was changed elsewhere since this page was shown: looked for when she comes back to
// it, and now and then while it is in sight. It is told; nothing else of the page is touched.

const EVERY_MS = 30000;

async function look() {
  const line = document.getElementById("outdated");
  if (document.hidden || !line?.hidden || isSaving()) return;
  const { since: address } = line.dataset;
  const answer = await fetch(address).catch(() => null);
  const { told } = answer?.status === 200 ? await answer.json().catch(() => ({})) : {};
  // What she saved herself meanwhile brought the page up to date, or is about to.
  if (!told || line.dataset.since !== address || isSaving()) return;
  line.firstElementChild.textContent = told;
  line.hidden = false;
  if (line.getBoundingClientRect().bottom > 0) return;
  document.dispatchEvent(new CustomEvent("seamslate:outdated", { detail: told })); // it is out of sight
}

const isSaving = () => document.querySelector("form.htmx-request") !== null;

document.addEventListener("click", ({ target }) => {
  if (target.closest("#outdated button")) location.reload(); // the browser asks where anything would be lost
});
document.addEventListener("visibilitychange", look);
addEventListener("focus", look);
setInterval(look, EVERY_MS);
