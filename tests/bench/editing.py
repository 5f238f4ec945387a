"""From an entry that is left to the redrawn piece, in headless Chromium on loopback."""

import shutil
from collections.abc import Iterator

from playwright.sync_api import Page, sync_playwright

FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", "--disable-component-update",
         "--disable-sync")  # fmt: skip

# The time between the change of a field and the next frame after the drawing is another one.
_MEASURE = """([field, value, drawing]) => new Promise((done) => {
  const input = document.querySelector(field);
  const before = document.querySelector(drawing).innerHTML;
  input.value = value;
  const start = performance.now();
  input.dispatchEvent(new Event("change", { bubbles: true }));
  const look = () => document.querySelector(drawing).innerHTML !== before
    ? requestAnimationFrame(() => done(performance.now() - start)) : requestAnimationFrame(look);
  look();
})"""


def edits(port: int, rounds: int) -> Iterator[tuple[str, list[float]]]:
    """Milliseconds of an edited choice with every piece on the page, of an edited move of one.

    Every edit is to a new figure, so that nothing drafted or drawn before can be used again.
    """
    with sync_playwright() as playwright:
        found = shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        base = f"http://127.0.0.1:{port}/episodes/small-wardrobe-3/draft?garment=lighthouse-smock"
        page.goto(base)
        field = "#choice-body-ease"
        yield "choice", [_edit(page, field, f"{200 + n} mm") for n in range(rounds)]
        page.goto(f"{base}&piece=Front")
        page.click("#move-1 summary")
        field = "#move-1-width"
        yield "move", [_edit(page, field, f"{80 + n} mm") for n in range(rounds)]
        browser.close()


def _edit(page: Page, field: str, value: str) -> float:
    taken = float(page.evaluate(_MEASURE, [field, value, "figure.drawing"]))
    page.wait_for_timeout(150)  # the count of loose threads comes after it
    return taken
