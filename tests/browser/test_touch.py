"""The whole job on a phone: 390 px wide, by touch alone."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pdfplumber
import pytest
from playwright.sync_api import Browser, Locator, Page, expect

WIDTH = 390
LEAST_PX = 24  # WCAG 2.2, 2.5.8 Target Size (Minimum)


@pytest.fixture
def phone(browser: Browser, fresh: str) -> Iterator[Page]:
    context = browser.new_context(
        base_url=fresh, viewport={"width": WIDTH, "height": 844}, has_touch=True, is_mobile=True
    )
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    yield page
    context.close()
    assert problems == []


def _tap(target: Locator) -> None:
    """Tap what a finger can hit without the page being moved sideways."""
    target.scroll_into_view_if_needed()
    box = target.bounding_box()
    assert box
    assert min(box["width"], box["height"]) >= LEAST_PX or _is_in_a_line(target), target
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= WIDTH
    target.tap()


def _is_in_a_line(target: Locator) -> bool:
    """2.5.8 leaves out what stands in a sentence, and native controls with a label around them."""
    found: bool = target.evaluate(
        "one => getComputedStyle(one).display === 'inline' || !!one.labels?.length"
    )
    return found


def _type(field: Locator, words: str) -> None:
    _tap(field)
    field.fill(words)
    field.blur()


def _open(page: Page, name: str, path: str) -> None:
    """To another page of the plan by the list of pages."""
    menu = page.locator("summary", has_text="Pages")
    _tap(menu)
    _tap(page.get_by_role("navigation", name="Pages").get_by_role("link", name=name, exact=True))
    page.wait_for_url(f"**/{path}")
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= WIDTH


def _start(page: Page) -> None:
    page.goto("/")
    _type(page.get_by_label("Title"), "The Harbour Smock")
    _tap(page.get_by_label("Drop-shoulder smock"))
    _tap(page.get_by_role("button", name="Start the episode"))
    _tap(page.get_by_role("link", name="Type the measures"))
    for name, length in (("Bust", "92 cm"), ("Hip", "38 1/2 in"), ("Head", "56 cm"),
                         ("Upper arm", "29 cm")):  # fmt: skip
        field = page.locator("#body-form").get_by_label(re.compile(rf"^{name}\b"))
        with page.expect_response(lambda answer: answer.request.method == "POST"):
            _type(field, length)
        expect(field).to_have_value(length)
    expect(page.locator(".saving")).to_have_text("Saved")


def test_the_whole_job_by_touch(phone: Page, tmp_path: Path) -> None:
    page = phone
    _start(page)

    _open(page, "Draft", "draft")
    _type(page.get_by_label("Body ease"), "30 cm")
    # Half girth + ease is the width of the flat garment (common practice, no source):
    # (97.8 + 30) / 4 = 31.95 cm at the hem of each half on the fold, with 24 cm of ease 30.45 cm.
    front = page.locator("figure.drawing").first
    expect(front).to_contain_text("32 cm")
    _tap(page.get_by_role("button", name="Undo: body ease to 30 cm"))
    expect(front).to_contain_text("30.5 cm")

    _open(page, "Shopping", "shopping")
    bought = page.get_by_role("checkbox").first
    _tap(bought)
    expect(bought).to_be_checked()

    _open(page, "Build order", "build")
    step = page.locator("[data-row] summary").first
    _tap(step)
    expect(page.locator("[data-row] details[open]")).to_have_count(1)

    _open(page, "Shoot days", "days")
    day = datetime.now(UTC).date() + timedelta(days=7)
    for label, typed in (("Date", day.isoformat()), ("Starts", "08:00"), ("Ends", "21:00")):
        page.get_by_label(label, exact=True).fill(typed)
    _tap(page.get_by_role("button", name="Add the day"))
    _tap(page.get_by_role("button", name="Plan the days"))
    stop = page.get_by_role("button", name="Stop, and take the best so far")
    expect(stop).to_be_visible(timeout=60_000)
    _tap(stop)
    again = page.get_by_role("button", name="Plan the days again")
    expect(again).to_be_visible(timeout=60_000)

    _tap(page.get_by_role("link", name="At the table", exact=True))
    filmed = page.get_by_role("button", name="Filmed", exact=True).locator("visible=true")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    for _ in range(30):
        if filmed.count():
            break
        _tap(page.get_by_role("button", name="Next", exact=True))
    _tap(filmed.first)
    expect(page.get_by_text("Filmed, kept here")).to_have_count(0)
    _tap(page.get_by_role("link", name="To the plan"))

    _open(page, "Handouts", "companion")
    _tap(page.get_by_role("button", name="Make the companion"))
    file = page.get_by_role("link", name="Download the companion")
    expect(file).to_be_visible(timeout=180_000)
    with page.expect_download() as waiting:
        _tap(file)
    target = tmp_path / "companion.pdf"
    waiting.value.save_as(target)
    with pdfplumber.open(target) as pdf:
        assert "The Harbour Smock" in (pdf.pages[0].extract_text() or "")
