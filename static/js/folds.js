// A fold that an address leads to is open when one comes to it. What lies in a closed fold the
// browser opens by itself, but not the fold that is named.

function open() {
  let id;
  try {
    id = decodeURIComponent(location.hash.slice(1));
  } catch {
    return; // an address cut short somewhere
  }
  const fold = document.getElementById(id);
  if (fold instanceof HTMLDetailsElement) fold.open = true;
}

open();
addEventListener("hashchange", open);
// The same address once more is no change of it.
document.addEventListener("click", ({ target }) => {
  const link = target.closest?.("a[href]");
  if (link?.hash && link.hash === location.hash) open();
});
