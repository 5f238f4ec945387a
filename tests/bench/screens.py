"""Every page and the edits made in place, in headless Chromium on loopback: weight and speed.

What is measured, all of it by the browser's own Performance API at 1280 × 900:

- kB: `transferSize` of the page and of every resource it loads, headers too, with an empty cache;
  without photos, and without the pictures of printed pages, which only stand there once printed.
- FCP, LCP: first and largest contentful paint of such a cold load, ms after the address was asked
  for; the server has shown the page once before, and `first` is what it needed that time. A page
  whose first load misses the aim is loaded four times more, and the median FCP of five is told.
- CLS: the sum of every layout shift that no input brought about, until nothing more is loaded.
- An edit: `next paint` is the longest Event Timing duration of what was typed and pressed, so how
  long the page was silent; `saved` is from the field's change to the painted page that shows the
  answer and says Saved; `task` is the longest stretch in which a key could not have been answered.
"""

import os
import shutil
import statistics
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from time import perf_counter
from typing import Any, Final
from uuid import uuid4

from playwright.sync_api import Browser, Page, sync_playwright

from tests.bench.editing import FLAGS
from tests.bench.told import ms, p95
from tests.every_page import SMOCK, WITHIN
from tests.large_episode import SHOTS, STEPS, large_episode
from webapp.plan.edits import changed
from webapp.store.episode_file import write_episode

Row = tuple[str, str, str]
LARGE: Final = "/episodes/large"
_LIGHTEST, _PAINT_MS, _EDIT_MS, _SHIFT = 200.0, 300.0, 100.0, 0.02

_OBSERVE: Final = """
  window.seen = { shift: 0, largest: 0, task: 0, events: [] };
  const watch = (type, act, more) => new PerformanceObserver((list) =>
    list.getEntries().forEach(act)).observe({ type, buffered: true, ...more });
  watch("layout-shift", (one) => { if (!one.hadRecentInput) seen.shift += one.value; });
  watch("largest-contentful-paint", (one) => { seen.largest = one.startTime; });
  watch("longtask", (one) => { seen.task = Math.max(seen.task, one.duration); });
  watch("event", (one) => { if (one.interactionId) seen.events.push(one.duration); },
    { durationThreshold: 16 });
"""
_LOADED: Final = """() => {
  const [page] = performance.getEntriesByType("navigation");
  const counted = performance.getEntriesByType("resource")
    .filter((one) => !/\\/photos\\/|\\/prints\\/.*png/.test(one.name));
  const [first] = performance.getEntriesByName("first-contentful-paint");
  return {
    kilobytes: [page, ...counted].reduce((sum, one) => sum + one.transferSize, 0) / 1000,
    document: page.transferSize / 1000, requests: counted.length + 1, first: first?.startTime ?? 0,
    largest: seen.largest, shift: seen.shift, nodes: document.querySelectorAll("*").length,
    server: page.responseEnd - page.requestStart,
  };
}"""
# From the change of a field to the frame after which the page says that it is saved.
_WAIT_SAVED: Final = """() => {
  const sign = () => document.querySelector(".saving");
  sign().textContent = "";
  let swapped = false;
  document.addEventListener("htmx:after:swap", () => { swapped = true; }, { once: true });
  seen.task = 0;
  seen.events = [];
  window.savedAfter = new Promise((done, refused) => {
    const begin = (event) => {
      if (event.type === "submit" && event.target.matches?.(".saves")) return;
      removeEventListener("change", begin, true);
      removeEventListener("submit", begin, true);
      const start = performance.now();
      const look = () => requestAnimationFrame(() => {
        if (/Not saved/.test(sign().textContent)) return refused(sign().textContent);
        if (!swapped || !/Saved/.test(sign().textContent)) return look();
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => done(performance.now() - start);
        port2.postMessage(""); // comes once this frame is painted
      });
      look();
    };
    addEventListener("change", begin, true);
    addEventListener("submit", begin, true);
  });
}"""


@dataclass(frozen=True)
class Edit:
    """An edit made in place: where, and how each round is done."""

    name: str
    address: str
    act: Callable[[Page, int], None]


def _typed(field: str, text: Callable[[int], str]) -> Callable[[Page, int], None]:
    """Another text typed over the old one; Tab leaves the field, which saves it."""

    def act(page: Page, n: int) -> None:
        page.locator(field).press("Control+a")
        page.keyboard.type(text(n))
        page.evaluate(_WAIT_SAVED)
        page.keyboard.press("Tab")

    return act


def _pressed(button: str) -> Callable[[Page, int], None]:
    def act(page: Page, _: int) -> None:
        page.evaluate(_WAIT_SAVED)
        page.locator(button).first.press("Enter")

    return act


_FORM: Final = "#edit-again-40-"
_SHOT: Final = "/shots?edit=again-40#shot-again-40"
_STEP: Final = "/build?edit=again-20#step-again-20"
_FILMED: Final = ".filmed-tick"
EDITS: Final = (
    Edit("a shot's narration", _SHOT, _typed(_FORM + "narration", "Sew {{bust}}, {}".format)),
    Edit("a shot's seconds", _SHOT, _typed(_FORM + "seconds", lambda n: str(20 + n))),
    Edit("a shot ticked as filmed", "/shots", _pressed(_FILMED)),
    Edit("a step's title", _STEP, _typed("#step-name", "Sew it, {}".format)),
    Edit("a choice of the draft", "/draft", _typed("#choice-body-ease", lambda n: f"{200 + n} mm")),
    Edit("a measure of the brief", "/brief", _typed("#body-bust", lambda n: f"{900 + n} mm")),
)  # fmt: skip


def screen_rows(port: int) -> Iterator[Row]:
    """Every page of the demo smock and of the large episode, then the edits of the large one."""
    _bring_in(port)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        yield (
            f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} CPUs",
            "",
            "",
        )
        found, late = [], []
        addresses = ["/", "/settings", "/series", "/keys"]
        addresses += [base + page for base in (SMOCK, LARGE) for page in WITHIN]
        for address in addresses:
            if (one := _loaded(browser, port, address)) is None:
                continue
            if one["first"] > _PAINT_MS:
                one = _median_paint(browser, port, address, one)
            if one["first"] > _PAINT_MS:
                late.append(f"{address} {one['first']:.0f} ms")
            found.append(one)
            yield _told(address, one), "", ""
        large = f"{STEPS} steps, {SHOTS} shots"
        for name, key, form, aim in (
            ("heaviest page without photos", "kilobytes", "{:.0f} kB", _LIGHTEST),
            ("slowest first contentful paint", "first", "{:.0f} ms", _PAINT_MS),
            ("most layout shift", "shift", "{:.3f}", _SHIFT),
        ):
            yield name, form.format(max(one[key] for one in found)), form.format(aim)
        yield f"first paint misses its aim: {', '.join(late) or 'nowhere'}", "", ""
        for edit in EDITS:
            yield from _edit_rows(browser, port, edit, large)
        browser.close()


def _bring_in(port: int) -> None:
    """The large episode, as its file is brought in on the first page."""
    mark, file = uuid4().hex, write_episode(changed(large_episode(), id="large", title="Large"))
    head = f'--{mark}\r\ncontent-disposition: form-data; name="file"; filename="l.json"\r\n\r\n'
    body = head.encode() + file.encode() + f"\r\n--{mark}--\r\n".encode()
    request = urllib.request.Request(
        f"http://127.0.0.1:{port}/episodes/import",
        body,
        {"content-type": f"multipart/form-data; boundary={mark}"},
    )
    with urllib.request.urlopen(request) as answer:
        assert answer.url.split("?")[0].endswith(LARGE), answer.url  # brought in anew, at a glance


def _loaded(browser: Browser, port: int, address: str) -> dict[str, Any] | None:
    """What a cold load of the page comes to; None where there is no such page."""
    url = f"http://127.0.0.1:{port}{address}"
    start = perf_counter()
    try:
        with urllib.request.urlopen(url) as answer:
            answer.read()
    except urllib.error.HTTPError:
        return None
    first_ms = 1000 * (perf_counter() - start)
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.add_init_script(_OBSERVE)
    page = context.new_page()
    page.goto(url, wait_until="networkidle")
    page.wait_for_function("performance.getEntriesByName('first-contentful-paint').length")
    one: dict[str, Any] = page.evaluate(_LOADED)
    context.close()
    return {**one, "first_ms": first_ms}


def _median_paint(browser: Browser, port: int, address: str, one: dict[str, Any]) -> dict[str, Any]:
    more = [_loaded(browser, port, address) for _ in range(4)]
    return {**one, "first": statistics.median(each["first"] for each in (one, *more) if each)}


def _told(address: str, one: dict[str, Any]) -> str:
    return (
        f"{address.removeprefix('/episodes/'):<32}"
        f"{one['kilobytes']:>5.0f} kB ({one['document']:.0f} page){one['requests']:>4} requests"
        f"  FCP {one['first']:>4.0f}  LCP {one['largest']:>4.0f} ms  CLS {one['shift']:.3f}"
        f"{one['nodes']:>7,} nodes  server {one['server']:>4.0f} ms, first {one['first_ms']:,.0f}"
    )


def _edit_rows(
    browser: Browser, port: int, edit: Edit, large: str, rounds: int = 20
) -> Iterator[Row]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.add_init_script(_OBSERVE)
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{port}{LARGE}{edit.address}", wait_until="networkidle")
    silent, saved, task = [], [], []
    for n in range(-2, rounds):
        edit.act(page, n + 2)
        after = float(page.evaluate("savedAfter"))
        page.wait_for_timeout(120)  # the count of loose threads, and the observers, come after it
        if n < 0:
            continue  # what is there once a page is used
        saved.append(after)
        silent.append(float(page.evaluate("Math.max(0, ...seen.events)")))
        task.append(float(page.evaluate("seen.task")))
    context.close()
    label = f"{edit.name}, {large}"
    for what, times in (("next paint", silent), ("saved", saved), ("task", task)):
        aim = f"{_EDIT_MS:.0f} ms" if what != "task" else ""
        yield f"{label}: {what}, median", ms(statistics.median(times) / 1000, 0), ""
        yield f"{label}: {what}, p95", ms(p95(times) / 1000, 0), aim
