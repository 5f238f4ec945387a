// Rows that a change left as they were are not sent again: the answer holds an empty row of the same
// id (data-same) in their place, and what the page shows stays. What is open is told with each
// request, so that it stays open; its forms are given the edition that the answer brought.

const ROWS = "[data-order] > [data-row]";
const FRESH = "#page form[hx-post*='edition=']:not([data-row] *)"; // any that the answer brought
const SKIP = "hx-morph-skip";
let kept = [];

document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
  const open = [...document.querySelectorAll(`${ROWS}.is-open`)].map((row) => row.dataset.item);
  if (open.length) ctx.request.headers["Open-Rows"] = open.join(" ");
});

document.addEventListener("htmx:before:swap", ({ detail: { ctx } }) => {
  kept = [...(ctx.text ?? "").matchAll(/<li id="([^"]+)" data-same>/gu)].map(([, id]) => id);
  for (const id of kept) document.getElementById(id)?.setAttribute(SKIP, "");
});

document.addEventListener("htmx:after:swap", () => {
  if (!kept.length) return;
  const edition = /[?&]edition=(\d+)/u.exec(document.querySelector(FRESH)?.action)?.[1];
  for (const id of kept) {
    const row = document.getElementById(id);
    row?.removeAttribute(SKIP);
    if (row?.hasAttribute("data-same")) return location.reload(); // it was not there after all
    if (row?.matches(".is-open") && edition) renew(row, edition);
  }
  kept = [];
});

function renew(row, edition) {
  for (const one of row.querySelectorAll("[action*='edition='], [data-live]")) {
    for (const name of ["action", "hx-post", "data-live"]) {
      const address = one.getAttribute(name);
      if (address) one.setAttribute(name, address.replace(/([?&]edition=)\d+/u, `$1${edition}`));
    }
  }
}
