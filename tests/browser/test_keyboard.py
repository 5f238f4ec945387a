"""The whole job from the keyboard alone, from a fresh folder to a companion in the hand.

WCAG 2.2: 2.1.1 Keyboard, 2.1.2 No keyboard trap, 2.4.3 Focus order, 2.4.7 Focus visible.
"""

import re
from pathlib import Path

import pdfplumber
import pytest
from playwright.sync_api import Page, expect

from webapp.pages.keys import KeysView

MOST_STOPS = 150  # between two controls of one page; a trap would need more
# What has the keyboard: its words, and whether it shows. A part inside a field for a date is
# marked by the browser itself.
AT = """() => {
  const at = document.activeElement;
  const label = at.labels?.[0] ?? document.getElementById(at.getAttribute("aria-labelledby"));
  const words = at.getAttribute("aria-label") || (label ?? at).innerText || at.value || "";
  const {outlineStyle, outlineWidth} = getComputedStyle(at);
  const seen = (outlineStyle !== "none" && parseFloat(outlineWidth) >= 2)
    || !at.matches(":focus-visible") && /^(date|time)$/.test(at.type);
  return [at.tagName, words.replace(/\\s+/g, " ").trim(), seen];
}"""


def _at(page: Page) -> tuple[str, str]:
    page.wait_for_load_state()
    tag, words, seen = page.evaluate(AT)
    if tag != "BODY":
        assert seen, f"The keyboard is at {tag} “{words}”, which does not show it."
    return tag, words


def _go_to(page: Page, words: str, tag: str = "", key: str = "Tab") -> None:
    """Press Tab until the control whose words match has the keyboard."""
    passed = []
    for _ in range(MOST_STOPS):
        page.keyboard.press(key)
        at = _at(page)
        if re.match(words, at[1]) and tag in ("", at[0]):
            return
        passed.append(at[1])
    raise AssertionError(f"No “{words}” among {passed}")


def _press(page: Page, words: str, key: str = "Enter", tag: str = "") -> None:
    _go_to(page, words, tag)
    page.keyboard.press(key)


def _page(page: Page, shown: str, heading: str) -> None:
    """Go back to the episode's menu, and by it to another page."""
    _go_to(page, f"{shown}$", "A", key="Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text(heading)


def _saved(page: Page) -> None:
    """What was typed is kept, and the keyboard is still at a control."""
    expect(page.locator(".saving")).to_have_text("Saved")
    assert _at(page)[0] != "BODY"


def _start(page: Page) -> None:
    _go_to(page, "Title")
    page.keyboard.type("The Harbour Smock")
    _press(page, "Drop-shoulder smock", "Space")
    _press(page, "Start the episode")
    page.wait_for_url("**/episodes/the-harbour-smock")
    _press(page, "Type the measures")
    page.wait_for_url("**/brief*")
    for name, length in (("Bust", "92"), ("Hip", "38 1/2 in"), ("Head", "56"), ("Upper arm", "29")):
        _go_to(page, rf"{name}\b", "INPUT")
        page.keyboard.type(length)
    page.keyboard.press("Tab")
    expect(page.locator("#body-upper-arm")).to_have_value("29 cm")
    _saved(page)
    page.keyboard.press("Shift+Tab")
    assert _at(page)[0] != "BODY"


def _change_a_choice(page: Page) -> None:
    _page(page, "Draft", "Draft")
    _go_to(page, "Body ease")
    page.keyboard.press("Control+A")
    page.keyboard.type("30 cm")
    page.keyboard.press("Enter")
    _saved(page)
    expect(page.get_by_role("button", name="Undo: body ease to 30 cm")).to_be_enabled()
    assert _at(page)[1].startswith("Body ease")
    _go_to(page, "Undo: body ease to 30 cm$", "BUTTON", key="Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Body ease")).to_have_value("24 cm")
    assert _at(page)[0] != "BODY"


def _move_a_step(page: Page) -> None:
    _page(page, "Build order", "Build order")
    rows = page.locator(".entries [data-row]")
    at = [row.get_attribute("id") for row in rows.all()].index("step-cuffs")
    _go_to(page, "Move “Hem the cuffs")
    for key, place in (("ArrowDown", at + 1), ("ArrowUp", at)):
        page.keyboard.press(key)
        expect(rows.nth(place)).to_have_id("step-cuffs")
        _saved(page)
        expect(page.locator("#step-cuffs-handle")).to_be_focused()


def _add_a_shot_and_tick_one(page: Page) -> None:
    _page(page, "Shots", "Shots")
    _press(page, "another shot", tag="A")
    _go_to(page, "Title")
    page.keyboard.type("The hem, close")
    page.keyboard.press("Enter")
    _saved(page)
    expect(page.get_by_role("link", name="The hem, close", exact=True)).to_be_visible()
    _page(page, "Shots", "Shots")
    _press(page, "Filmed : Chalk", "Space")
    expect(page.locator("#tick-shot-chalk")).to_have_attribute("aria-pressed", "true")
    assert _at(page)[0] != "BODY"


def _plan_a_day(page: Page) -> None:
    _page(page, "Shoot days", "Shoot days")
    _press(page, "the first day", tag="A")
    _go_to(page, "Date")
    page.keyboard.type("12182026")
    _go_to(page, "Starts")
    page.keyboard.type("0900AM")
    _go_to(page, "Ends")
    page.keyboard.type("0530PM")
    _press(page, "Add the day")
    _saved(page)
    _press(page, "Plan the days")
    stop = "Stop, and take the best so far"
    expect(page.get_by_role("button", name=stop)).to_be_visible(timeout=60_000)
    _press(page, stop)
    expect(page.get_by_role("button", name="Plan the days again")).to_be_visible(timeout=60_000)
    assert _at(page)[0] != "BODY"


def test_the_whole_job_from_the_keyboard(page: Page, fresh: str, tmp_path: Path) -> None:
    page.goto(fresh)
    _start(page)
    _change_a_choice(page)
    _move_a_step(page)
    _add_a_shot_and_tick_one(page)
    _plan_a_day(page)
    _page(page, "Handouts", "Companion")
    _press(page, "Make the companion")
    expect(page.get_by_role("link", name="Download the companion")).to_be_visible(timeout=180_000)
    _go_to(page, "Download the companion")
    with page.expect_download() as waiting:
        page.keyboard.press("Enter")
    target = tmp_path / "companion.pdf"
    waiting.value.save_as(target)
    with pdfplumber.open(target) as pdf:
        assert "The Harbour Smock" in (pdf.pages[0].extract_text() or "")


SMOCK = "/episodes/small-wardrobe-3"
ACCESS_KEYS = [
    ("N", "/cloth", "/shopping"),
    ("P", "/cloth", "/sizes"),
    ("G", "/cloth", ""),
    ("T", "/cloth", "/threads"),
    ("A", "/cloth", "/table"),
    ("G", "/table", ""),
]


def _access_key(page: Page, letter: str) -> None:
    """Press it with Alt; a page's own key press sends no letter with Alt, as a keyboard does."""
    key = {"key": letter.lower(), "code": f"Key{letter}", "modifiers": 1}
    typed = {"text": letter.lower(), "unmodifiedText": letter.lower()}
    session = page.context.new_cdp_session(page)
    session.send("Input.dispatchKeyEvent", {"type": "keyDown", **key, **typed})
    session.send("Input.dispatchKeyEvent", {"type": "keyUp", **key})
    session.detach()


@pytest.mark.parametrize(("letter", "page_before", "page_after"), ACCESS_KEYS)
def test_an_access_key_opens_the_page_that_is_told(
    page: Page, demo: str, letter: str, page_before: str, page_after: str
) -> None:
    assert f"Access key + {letter}" in {key for part in KeysView().keys for key, _ in part.rows}
    page.goto(f"{demo}{SMOCK}{page_before}")
    _access_key(page, letter)
    page.wait_for_url(re.compile(f"{re.escape(demo + SMOCK + page_after)}(#.*)?$"))


def test_the_access_keys_for_finding_and_for_the_keys(page: Page, demo: str) -> None:
    page.goto(f"{demo}{SMOCK}/cloth")
    _access_key(page, "F")
    expect(page.locator("#find-in-episode")).to_be_focused()
    page.keyboard.type("hem")
    page.keyboard.press("Enter")
    page.wait_for_url("**/find?q=hem")
    _access_key(page, "K")
    page.wait_for_url("**/keys")


def test_the_access_key_for_finding_works_on_a_page_that_is_zoomed(page: Page, demo: str) -> None:
    """400 % of 1280 px are 320 (WCAG 2.2, 1.4.10); the field shows while it has the keyboard."""
    page.set_viewport_size({"width": 320, "height": 256})
    page.goto(f"{demo}{SMOCK}/cloth")
    find = page.locator("#find-in-episode")
    expect(find).not_to_be_in_viewport()
    _access_key(page, "F")
    expect(find).to_be_focused()
    expect(find).to_be_in_viewport(ratio=1)


def test_escape_closes_the_figures_that_moved_wherever_the_keyboard_is(
    page: Page, address: str
) -> None:
    """WCAG 2.2, 2.4.11: what hangs open may cover a field, until Esc, which moves no focus."""
    page.goto(f"{address}{SMOCK}/draft?garment=lighthouse-smock")
    ease = page.locator("#choice-body-ease")
    ease.fill("31 cm")
    ease.press("Tab")
    moved, summary = page.locator("details.moved"), page.locator("details.moved > summary")
    summary.press("Enter")
    expect(moved).to_have_attribute("open", "")
    summary.press("Escape")
    expect(moved).not_to_have_attribute("open", "")
    summary.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("region", name="Figures that moved")).to_be_focused()
    page.keyboard.press("Escape")
    expect(moved).not_to_have_attribute("open", "")
    expect(summary).to_be_focused()
    summary.press("Enter")
    ease.press("Escape")
    expect(moved).not_to_have_attribute("open", "")
    expect(ease).to_be_focused()


def test_escape_closes_the_list_of_pages_and_keeps_the_keyboard(page: Page, demo: str) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{demo}{SMOCK}/cloth")
    summary = page.locator(".tape-pages > summary")
    summary.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="At a glance").first).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator(".tape-pages")).not_to_have_attribute("open", "")
    expect(summary).to_be_focused()
