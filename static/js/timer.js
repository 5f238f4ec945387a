// The clock of a time that is being taken. Without script the page shows it as it stood.

let stamp = null; // of the page that the clock is from
let since = 0; // when that page came, by the clock of this machine

function told(seconds) {
  const [minutes, rest] = [Math.floor(seconds / 60), Math.floor(seconds % 60)];
  const two = (count) => String(count).padStart(2, "0");
  return `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(rest)}`;
}

function tick() {
  const clock = document.querySelector("[data-clock]");
  if (!clock) return;
  if (clock.dataset.stamp !== stamp) [stamp, since] = [clock.dataset.stamp, Date.now()];
  const gone = "runs" in clock.dataset ? (Date.now() - since) / 1000 : 0;
  const text = told(Number(clock.dataset.clock) + Math.max(0, gone));
  if (clock.textContent !== text) clock.textContent = text;
}

tick();
setInterval(tick, 250);
document.addEventListener("htmx:after:swap", tick);
document.addEventListener("visibilitychange", tick); // a tablet that slept ticks no more
