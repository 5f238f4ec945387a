// At the table: one stop at a time, shots ticked and the clock pressed, whether or not there is a
// connection. Without script every stop stands on the page, with plain forms.

import { counted, Queue } from "./table-queue.js";
import { keepAwake } from "./table-wake.js";

// They are listed on the page of keys.
const KEYS = { ArrowRight: 1, ArrowLeft: -1, PageDown: 1, PageUp: -1 };
const ASK_MS = 20_000; // what is ticked on other devices is asked for so often
const SAVED_MS = 4000; // for so long it is told that all is saved
const WORTH_KEEPING_S = 60; // of a clock that could not be joined

const table = document.getElementById("table");
const bar = table.querySelector("[data-bar]");
const stops = [...table.querySelectorAll("[data-stop]")];
const list = document.getElementById("all-stops");
const page = JSON.parse(table.dataset.state).print; // of the plan that this page shows
const part = (name) => bar.querySelector(`[data-${name}]`);

let server = { ...JSON.parse(table.dataset.state), at: Date.now() };
let asking = false; // how the clock is stopped
let notice = ""; // told until the next press
let saved = "no"; // what was pressed here: it waits, or was just sent
let at = 0; // the place of the stop that is shown
let last = null; // the clock as it was last shown

const queue = new Queue(table.dataset.episode, table.dataset.sends, (state) => {
  if (state) {
    notice = "";
    const shown = last;
    server = { ...state, at: Date.now() };
    for (const one of state.told) if (one.act === "start") keepApart(one, shown);
  }
  render();
});

// --- Which stop is shown

function remembered(name, value) {
  const key = `table ${table.dataset.episode} ${name}`;
  try {
    if (value !== undefined) localStorage.setItem(key, value);
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function show(place, { focus = true } = {}) {
  if (!stops[place]) return;
  at = place;
  asking = false;
  const stop = stops[at];
  for (const one of stops) one.classList.toggle("is-shown", one === stop);
  history.replaceState(null, "", `#${stop.id}`);
  remembered(`at ${table.dataset.order}`, stop.id);
  if (focus) {
    scrollTo(0, 0);
    stop.querySelector("h2").focus({ preventScroll: true });
  }
  render();
}

const placeOf = (id) => stops.findIndex((one) => one.id === id);

function begin() {
  const wanted = [
    decodeURIComponent(location.hash.slice(1)),
    remembered(`at ${table.dataset.order}`),
    table.querySelector(".stop.is-shown")?.id,
  ];
  const place = wanted.map(placeOf).find((one) => one >= 0) ?? 0;
  table.classList.add("walks");
  bar.hidden = false;
  if (list) {
    list.removeAttribute("open");
    list.querySelector("[data-close]").hidden = false;
  }
  show(place, { focus: false });
  scrollTo(0, 0);
}

// --- How it stands: what the server told, and on it what waits here

const waiting = (acts) => queue.entries.filter((one) => acts.includes(one.act));

function filmedOf(shot) {
  const own = waiting(["filmed", "to film"]).findLast((one) => one.item === shot);
  if (own) return own.act === "filmed" ? { kept: true } : null;
  return shot in server.filmed ? { day: server.filmed[shot] } : null;
}

function clock() {
  let now = server.timer && { ...server.timer, at: server.at };
  for (const one of waiting(["start", "pause", "go on", "stop"])) {
    const moment = Date.parse(one.at);
    const { timed, item, label } = one;
    if (one.act === "start" && !now) {
      now = { timed, item, kind: "", title: label, runs: true, seconds: 0, at: moment, start: one.id };
    } else if (!now || now.timed !== timed || now.item !== item) {
      continue;
    } else if (one.act === "stop") {
      now = null;
    } else if (now.runs !== (one.act === "go on")) {
      now = { ...now, seconds: secondsOf(now, moment), at: moment, runs: !now.runs };
    }
  }
  return now;
}
const secondsOf = ({ runs, seconds, at: since }, moment = Date.now()) =>
  seconds + (runs ? Math.max(0, (moment - since) / 1000) : 0);

// A clock that was begun here without a connection, while another ran: its time so far is kept.
function keepApart(entry, shown) {
  const stopped = queue.entries.some((one) => one.act === "stop" && one.start === entry.id);
  if (stopped || shown?.start !== entry.id || secondsOf(shown) < WORTH_KEEPING_S) return;
  const { timed, item, label } = entry;
  const seconds = Math.round(secondsOf(shown));
  queue.amend(entry.id, "The clock here was stopped, and its time is kept.");
  queue.add({ act: "stop", timed, item, start: entry.id, seconds, goes_on: true, label });
}

// --- What is pressed

function tick(box, act) {
  const shot = box.closest(".table-shot");
  const title = shot.querySelector("h3 b")?.textContent ?? shot.closest("[data-stop]").dataset.title;
  const entry = { act, item: box.dataset.tick, label: `Shot “${title}”` };
  if (act === "filmed") {
    const said = JSON.parse(box.querySelector("input")?.value ?? "[]");
    entry.said = said.map(([name, cm, inch]) => ({ name, cm, inch }));
    entry.narration = shot.querySelector("[data-narration]")?.textContent ?? "";
    entry.card = shot.querySelector("[data-card]")?.textContent ?? "";
  }
  queue.add(entry);
}

function stopClock(more) {
  const now = clock();
  if (!now) return;
  const { timed, item, kind, title } = now;
  const begun = JSON.parse(remembered("clock") ?? "null");
  const start = now.start ?? (begun?.timed === timed && begun.item === item ? begun.start : "");
  const entry = { act: "stop", timed, item, start, seconds: Math.round(secondsOf(now)), label: title };
  queue.add({ ...entry, ...(kind && { kind }), ...more });
}

function startClock() {
  const { time, title } = stops[at].dataset;
  if (!time) return;
  const [timed, item] = ["step", time.slice(time.indexOf(":") + 1)];
  const { id } = queue.add({ act: "start", timed, item, label: title });
  remembered("clock", JSON.stringify({ timed, item, start: id }));
}

function pressClock(act) {
  const { timed, item, kind, title, start } = clock();
  queue.add({ act, timed, item, label: title, ...(kind && { kind }), ...(start && { start }) });
}

const PRESSES = {
  start: startClock,
  pause: () => pressClock("pause"),
  "go on": () => pressClock("go on"),
  ask: () => (asking = true),
  no: () => (asking = false),
  done: () => stopClock({}),
  later: () => stopClock({ goes_on: true }),
  switch: () => {
    stopClock({});
    startClock();
  },
};

bar.addEventListener("click", ({ target }) => {
  const button = target.closest("button");
  if (!button) return;
  const { press, go } = button.dataset;
  notice = "";
  if (press) {
    if (press !== "ask") asking = false;
    PRESSES[press]();
    render();
    // The pressed button may have made room for another one.
    if (button.hidden) bar.querySelector(".bar-buttons button:not([hidden])")?.focus();
  } else if (go) {
    show(at + Number(go));
  } else if ("list" in button.dataset) {
    list.showModal();
    // It opens at its top where that shows the stop: there are the orders to choose from.
    const here = list.querySelector("[aria-current=true][data-jump]");
    if (here?.getBoundingClientRect().bottom > innerHeight) here.scrollIntoView({ block: "center" });
  } else if (button.dataset.understood) {
    queue.forget(button.dataset.understood);
  }
});

document.addEventListener("submit", (event) => {
  const { target: form, submitter: button } = event;
  if (form.matches("[data-stop]")) {
    event.preventDefault();
    const box = button?.closest("[data-tick]");
    if (!box) return;
    tick(box, button.matches(".tick-button") ? "filmed" : "to film");
    [...box.querySelectorAll("button")].find((one) => one.offsetParent)?.focus({ preventScroll: true });
  } else if (form.matches("[data-act]") && (queue.entries.length || !queue.reached)) {
    event.preventDefault();
    notice = "Undo and redo need the connection, and that all is sent.";
    list.close();
    render();
  }
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link) return;
  if (link.matches("[data-jump]")) {
    event.preventDefault();
    list.close();
    show(placeOf(link.hash.slice(1)));
  } else if (!queue.reached && !(link.hash && link.pathname === location.pathname)) {
    event.preventDefault();
    if (list?.open) list.close();
    notice = "There is no connection: another page could not be shown. What you pressed is kept here.";
    render();
  }
});

document.addEventListener("keydown", (event) => {
  const by = KEYS[event.key];
  if (!by || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (list?.open || event.target.closest("input, textarea, select")) return;
  // The page is read to its end first, then turned.
  const { scrollTop, scrollHeight, clientHeight } = document.scrollingElement;
  const ends = by > 0 ? scrollTop + clientHeight >= scrollHeight - 2 : scrollTop <= 2;
  if (event.key.startsWith("Page") && !ends) return;
  if (!stops[at + by]) return;
  event.preventDefault();
  show(at + by);
});

list?.querySelector("[data-close]").addEventListener("click", () => list.close());
addEventListener("hashchange", () => show(placeOf(location.hash.slice(1))));

// --- What is seen

function render() {
  renderTicks();
  renderClock();
  renderQueue();
  if (!stops.length) return;
  part('go="-1"').disabled = at === 0;
  part('go="1"').disabled = at === stops.length - 1;
}

function renderTicks() {
  for (const box of table.querySelectorAll("[data-tick]")) {
    const filmed = filmedOf(box.dataset.tick);
    hide(box.querySelector(".tick-button"), Boolean(filmed));
    hide(box.querySelector(".tick-done"), !filmed);
    const day = filmed?.day ? ` ${filmed.day}` : "";
    const told = filmed?.kept && !queue.reached ? "Filmed, kept here" : `Filmed${day}`;
    write(box.querySelector(".tick-told"), told);
  }
  for (const one of table.querySelectorAll("[data-spent]")) {
    const spent = server.spent[one.dataset.spent];
    write(one, spent ? ` · timed so far: ${spent}` : "");
  }
  for (const link of list?.querySelectorAll("[data-jump]") ?? []) {
    const stop = document.getElementById(link.hash.slice(1));
    const boxes = [...stop.querySelectorAll("[data-tick]")];
    const left = boxes.filter((one) => !filmedOf(one.dataset.tick)).length;
    if (boxes.length) write(link.querySelector("[data-left]"), left ? `${left} to film` : "filmed");
    const head = stop.querySelector("[data-left-of]");
    if (head) write(head, left ? `, ${left} to film` : ", all filmed");
    if (stop === stops[at]) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  for (const form of list?.querySelectorAll("[data-act]") ?? []) {
    const { act } = form.dataset;
    const words = server[act];
    form.action = `${form.action.split("?")[0]}?change=${server[`${act}_change`]}`;
    form.hidden = form.querySelector("button").disabled = !words;
    write(form.querySelector("[data-act-words]"), words);
  }
}

function renderClock() {
  if (!stops.length) return;
  const now = clock();
  last = now;
  const { time } = stops[at].dataset;
  const own = now && `step:${now.item}` === time && now.timed === "step";
  const seen = {
    start: !now && time,
    pause: now?.runs && !asking,
    "go on": now && !now.runs && !asking,
    ask: now && !asking,
    switch: now && !asking && time && !own,
    done: now && asking,
    later: now && asking && ["step", "shoot day"].includes(now.timed),
    no: now && asking,
  };
  for (const button of bar.querySelectorAll("[data-press]")) hide(button, !seen[button.dataset.press]);
  bar.querySelector(".bar-clock").hidden = !now && !time;
  part("clock-told").hidden = !now;
  if (!now) return;
  write(part("clock-title"), `${now.title}${now.kind ? `, ${now.kind}` : ""}${now.runs ? "" : ": paused"}`);
  renderFace(now);
}

function renderFace(now) {
  const seconds = Math.floor(secondsOf(now));
  const two = (count) => String(count).padStart(2, "0");
  const minutes = Math.floor(seconds / 60);
  write(part("clock-face"), `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(seconds % 60)}`);
}

function renderQueue() {
  const kept = counted(queue.entries);
  if (kept) saved = "waits";
  else if (saved === "waits") {
    saved = "yes";
    setTimeout(() => {
      saved = saved === "yes" ? "no" : saved;
      render();
    }, SAVED_MS);
  }
  let told = saved === "yes" ? "All is saved." : "";
  if (notice) told = notice;
  else if (queue.gone) told = `This episode was deleted.${kept ? ` ${kept} kept here, until it is put back.` : ""}`;
  else if (!queue.reached && queue.why) told = `${kept ? `${kept} kept here, and sent again. ` : ""}${queue.why}`;
  else if (!queue.reached && kept) {
    told = `${kept} kept here, sent when the connection is back. Keep this page open.`;
  } else if (!queue.reached) told = "No connection. Go on: all is kept here and sent later. Keep this page open.";
  else if (kept) told = "Saving …";
  if (!queue.keeps && kept) told += " This browser keeps nothing once the page is closed.";
  write(part("queue-told"), told);
  bar.querySelector(".table-queue").classList.toggle("is-waiting", !queue.reached);
  renderRefused();
  part("changed").hidden = server.print === page || !queue.reached || queue.entries.length > 0;
}

function renderRefused() {
  const box = part("refused");
  const [first] = queue.refused;
  if (box.dataset.id === (first?.id ?? "")) return;
  box.dataset.id = first?.id ?? "";
  box.replaceChildren();
  if (!first) return;
  const words = document.createElement("p");
  const named = first.sentence.includes(first.label);
  words.textContent = named ? first.sentence : `${first.label}: ${first.sentence}`;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.dataset.understood = first.id;
  button.textContent = "Understood";
  box.append(words, button);
}

// What stays as it is is not touched: a page of many shots is drawn anew with each press.
function hide(element, hidden) {
  if (element.hidden !== hidden) element.hidden = hidden;
}

function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

keepAwake(table.querySelector("[data-wake]"));
begin();
queue.send();
setInterval(() => {
  if (!document.hidden) queue.send();
}, ASK_MS);
setInterval(() => {
  if (last?.runs) renderFace(last);
}, 500);
