// Keeps the screen on while the page is in sight, where the browser can, and says so where it cannot.

const HOW =
  "Set it on the device itself: in its settings, under the display, the time until the screen goes dark.";

export function keepAwake(part) {
  const button = part.querySelector("[data-wake-switch]");
  const told = part.querySelector("[data-wake-told]");
  if (!("wakeLock" in navigator)) {
    const why = isSecureContext
      ? "This browser cannot keep the screen on."
      : "This address is not a secure one (https), so the browser does not let a page keep the screen on.";
    const box = document.createElement("details");
    box.append(
      Object.assign(document.createElement("summary"), { textContent: "The screen may go dark" }),
      Object.assign(document.createElement("p"), { textContent: `${why} ${HOW}` }),
    );
    told.after(box);
    return;
  }
  let lock = null;
  let wanted = true;
  try {
    wanted = localStorage.getItem("table wake") !== "off";
  } catch {
    // nothing is kept here: it is on
  }

  function show(problem = "") {
    button.setAttribute("aria-checked", String(lock !== null));
    button.querySelector("[data-wake-word]").textContent = lock ? "yes" : "no";
    told.textContent = problem;
  }
  async function ask() {
    if (!wanted || lock || document.hidden) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => {
        lock = null;
        show();
      });
      show();
    } catch {
      show(`The device refuses it just now, perhaps to save its battery: the screen may go dark. ${HOW}`);
    }
  }
  button.hidden = false;
  button.addEventListener("click", async () => {
    wanted = lock === null;
    try {
      localStorage.setItem("table wake", wanted ? "on" : "off");
    } catch {
      // it holds for this visit
    }
    if (wanted) await ask();
    else await lock.release();
  });
  document.addEventListener("visibilitychange", ask);
  show();
  ask();
}
