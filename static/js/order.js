// Lists that are put in order by hand: a row is drawn by its handle, or moved from the keyboard.
//
// A list (data-order="a name") holds rows (data-row, with an id). In each row stands a form
// (data-place) with the hidden field "place" and a handle: a button (data-handle, with an id).
// Or one form serves all rows of a list (data-form, its id); its hidden field "row" is given the
// data-item of the row. A row that is put elsewhere sends its form with the number of its new
// place, counted from the list's data-begins (1 if it has none). Lists of one name hand their rows
// to each other; the form then has a hidden field "list" too, which is given the data-list of the
// list it comes to.
// A row may say between which places it can stand (data-first, data-last): the others are dimmed
// while it is in hand. The server decides, and says why not. Without script the handle is hidden
// and rows are moved by Earlier and Later.

const REST_MS = 450; // without a key pressed, until a row moved by keys is put down
const STIR_PX = 5; // that a pointer moves before it draws a row
const EDGE_PX = 70; // from the edge of the window, where it begins to scroll
const MARKS = ["drop-before", "drop-after", "drop-into", "out-of-reach"];

let hand = null; // what the pointer holds: { row, handle, pointer, x, y, scroller, from, drawn, spot }
let keys = null; // what the keyboard holds: { id, by, timer }
let asking = 0; // requests on their way
let back = null; // the handle that has the keyboard once the page is renewed: { id, name }
let refused = false; // the last move was answered with a reason why not

const said = document.createElement("p");
said.className = "hidden";
said.setAttribute("role", "status");
document.body.append(said);

const listOf = (row) => row.closest("[data-order]");
const rowsOf = (list) => [...list.querySelectorAll("[data-row]")].filter((one) => listOf(one) === list);
const groupOf = (row) => {
  const name = listOf(row).dataset.order;
  return [...document.querySelectorAll("[data-order]")].filter((one) => one.dataset.order === name);
};
const isOpen = (list) => !list.closest("details:not([open])");
const othersOf = (list, row) => rowsOf(list).filter((one) => one !== row);
const beginsOf = (list) => Number(list.dataset.begins ?? 1);
// Where one list goes on counting where another ends, a row that leaves the earlier counts no more.
const placeIn = ({ list, at }, row) =>
  beginsOf(list) + at - (row && beginsOf(listOf(row)) < beginsOf(list) ? 1 : 0);

// Every spot where the row can come to stand, from the first list to the last; and where it stands.
function spotsOf(row) {
  return groupOf(row).flatMap((list) =>
    Array.from({ length: othersOf(list, row).length + 1 }, (_, at) => ({ list, at })),
  );
}
const spotOf = (row) => ({ list: listOf(row), at: rowsOf(listOf(row)).indexOf(row) });
const same = (one, other) => one.list === other.list && one.at === other.at;

function unmark() {
  for (const mark of MARKS) {
    for (const one of document.querySelectorAll(`.${mark}`)) one.classList.remove(mark);
  }
}

function mark(row, spot) {
  unmark();
  const { first = -Infinity, last = Infinity } = row.dataset;
  for (const list of groupOf(row)) {
    rowsOf(list).forEach((one, at) => {
      const place = placeIn({ list, at });
      if (one !== row) one.classList.toggle("out-of-reach", place < first || place > last);
    });
  }
  if (same(spot, spotOf(row))) return;
  const others = othersOf(spot.list, row);
  if (!others.length) spot.list.classList.add("drop-into");
  else if (spot.at < others.length) others[spot.at].classList.add("drop-before");
  else others.at(-1).classList.add("drop-after");
}

// The place in words, for who does not see the page: where a row would stand, or stands.
function placed(row, spot) {
  const on = spot.list.dataset.called;
  return `place ${placeIn(spot, row)}${on ? `, ${on}` : ""}`;
}
const named = (row) => row.dataset.row || "It";

// Where a row in hand is to go: it has not moved yet, and may not be able to.
function tell(row, spot) {
  const { first, last } = row.dataset;
  const place = placeIn(spot, row);
  const cannot = place < (first ?? -Infinity) || place > (last ?? Infinity) ? ", where it cannot stand" : "";
  const perhaps = first === undefined && !same(spot, spotOf(row)) ? ", if it can stand there" : "";
  said.textContent = `${named(row)}: ${placed(row, spot)}${cannot || perhaps}`;
}

function put(row, spot) {
  unmark();
  const form = row.querySelector("form[data-place]") ?? document.getElementById(listOf(row).dataset.form);
  if (!form || same(spot, spotOf(row))) return;
  if (form.elements.row) form.elements.row.value = row.dataset.item;
  form.elements.place.value = placeIn(spot, row);
  if (form.elements.list) form.elements.list.value = spot.list.dataset.list ?? "";
  back = { id: row.querySelector("[data-handle]").id, name: row.dataset.row };
  form.requestSubmit();
}

// --- With a pointer: mouse, pen or finger

function spotUnder(row, x, y) {
  const far = (list) => {
    const box = list.getBoundingClientRect();
    const dx = Math.max(box.left - x, 0, x - box.right);
    const dy = Math.max(box.top - y, 0, y - box.bottom);
    return dx * dx + dy * dy;
  };
  const list = groupOf(row).filter(isOpen).reduce((best, one) => (far(one) < far(best) ? one : best));
  const above = ({ top, height }) => top + height / 2 < y;
  const at = othersOf(list, row).filter((one) => above(one.getBoundingClientRect())).length;
  return { list, at };
}

// What scrolls with the row in it: a part of the page, or the page.
function scrollerOf(row) {
  for (let one = row.parentElement; one; one = one.parentElement) {
    if (one.scrollHeight > one.clientHeight && /auto|scroll/u.test(getComputedStyle(one).overflowY)) {
      return one;
    }
  }
  return document.scrollingElement;
}
const scrolled = ({ scroller }) => scrollY + (scroller === document.scrollingElement ? 0 : scroller.scrollTop);

function draw() {
  const { row, x, y, from } = hand;
  row.style.transform = `translateY(${y + scrolled(hand) - from}px)`;
  hand.spot = spotUnder(row, x, y);
  mark(row, hand.spot);
}

function scrollAtTheEdge() {
  if (!hand?.drawn) return;
  const { scroller, y } = hand;
  const box = scroller === document.scrollingElement ? null : scroller.getBoundingClientRect();
  const top = Math.max(box?.top ?? 0, 0) + EDGE_PX;
  const bottom = Math.min(box?.bottom ?? innerHeight, innerHeight) - EDGE_PX;
  const over = Math.min(y - top, 0) + Math.max(y - bottom, 0);
  if (over) {
    scroller.scrollBy(0, over / 4);
    draw();
  }
  requestAnimationFrame(scrollAtTheEdge);
}

function letGo() {
  if (!hand) return null;
  const held = hand;
  hand = null;
  held.row.classList.remove("in-hand");
  held.row.style.transform = "";
  unmark();
  return held;
}

document.addEventListener("pointerdown", (event) => {
  const handle = event.target.closest?.("[data-handle]");
  const row = handle?.closest("[data-row]");
  if (!row || event.button !== 0 || hand) return;
  const { clientX: x, clientY: y, pointerId: pointer } = event;
  const scroller = scrollerOf(row);
  hand = { row, handle, pointer, x, y, scroller, drawn: false, spot: null };
  hand.from = y + scrolled(hand);
  handle.setPointerCapture(pointer);
});
document.addEventListener("pointermove", (event) => {
  if (event.pointerId !== hand?.pointer) return;
  hand.x = event.clientX;
  hand.y = event.clientY;
  if (!hand.drawn) {
    if (Math.abs(hand.y + scrolled(hand) - hand.from) < STIR_PX) return;
    hand.drawn = true;
    hand.row.classList.add("in-hand");
    requestAnimationFrame(scrollAtTheEdge);
  }
  draw();
});
document.addEventListener("pointerup", (event) => {
  if (event.pointerId !== hand?.pointer) return;
  const held = letGo();
  if (held.drawn) put(held.row, held.spot);
});
document.addEventListener("pointercancel", letGo);

// --- From the keyboard: the arrow keys on the handle, with Alt anywhere in the row

function aimOf(row, by) {
  const spots = spotsOf(row);
  const now = spots.findIndex((one) => same(one, spotOf(row)));
  return spots[Math.max(0, Math.min(spots.length - 1, now + by))];
}

function putDown() {
  if (!keys || asking) return; // a row in hand waits for the page that is on its way
  const { id, by, timer } = keys;
  clearTimeout(timer);
  keys = null;
  const row = document.getElementById(id);
  if (row) put(row, aimOf(row, by));
}

function press(row, by) {
  if (keys && keys.id !== row.id) putDown();
  clearTimeout(keys?.timer);
  const all = Number.isFinite(by) ? (keys?.by ?? 0) + by : by;
  keys = { id: row.id, by: all, timer: setTimeout(putDown, REST_MS) };
  if (asking) return;
  const spots = spotsOf(row);
  const now = spots.findIndex((one) => same(one, spotOf(row)));
  keys.by = Math.max(-now, Math.min(spots.length - 1 - now, keys.by));
  const aim = aimOf(row, keys.by);
  mark(row, aim);
  tell(row, aim);
  document.querySelector(".drop-before, .drop-after")?.scrollIntoView({ block: "nearest" });
}

const WAYS = { ArrowUp: -1, ArrowDown: 1, Home: -Infinity, End: Infinity };

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && (hand || keys)) {
    event.preventDefault();
    letGo();
    clearTimeout(keys?.timer);
    keys = null;
    unmark();
    return;
  }
  const by = WAYS[event.key];
  const row = event.target.closest?.("[data-row]");
  if (by === undefined || !row || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const onHandle = event.target.matches("[data-handle]");
  const withAlt = event.altKey && Number.isFinite(by);
  if (!onHandle && !(withAlt && !event.target.matches("input, select, textarea"))) return;
  event.preventDefault();
  press(row, by);
});
document.addEventListener("focusout", ({ target }) => {
  if (keys && target.closest?.(`[id="${keys.id}"]`)) putDown();
});

// --- While the page is renewed

document.addEventListener("htmx:before:request", () => {
  asking += 1;
});
document.addEventListener("htmx:finally:request", () => {
  asking = Math.max(0, asking - 1);
  if (asking || !keys) return;
  const row = document.getElementById(keys.id);
  if (row) press(row, 0);
  else keys = null;
});
document.addEventListener("htmx:after:request", ({ detail: { ctx } }) => {
  refused = ctx.response?.status >= 400;
});
document.addEventListener("htmx:before:swap", letGo);
document.addEventListener("htmx:after:swap", () => {
  if (!back) return;
  const { id, name } = back;
  back = null;
  // On another list the row has another id.
  const row = [...document.querySelectorAll("[data-row]")].find((one) => one.dataset.row === name);
  const handle = document.getElementById(id) ?? row?.querySelector("[data-handle]");
  if (!handle) return;
  for (let one = handle; (one = one.closest("details:not([open])")); ) one.open = true;
  handle.focus({ preventScroll: true });
  const moved = handle.closest("[data-row]");
  const place = placed(moved, spotOf(moved));
  said.textContent = refused ? `${named(moved)} stays at ${place}` : `${named(moved)}: now ${place}`;
  const why = refused && document.querySelector("[data-row] .error[role=alert], .error[role=alert]");
  (why || handle.closest("[data-row]"))?.scrollIntoView({ block: why ? "center" : "nearest" });
});
