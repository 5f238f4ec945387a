"""The first five minutes, as the README tells them: from a fresh folder to a companion."""

import re
from collections.abc import Callable
from pathlib import Path

import pdfplumber
from playwright.sync_api import Locator, Page, expect

MOST_ACTIONS = 12


def test_a_newcomer_makes_a_companion_in_twelve_actions(
    page: Page, fresh: str, tmp_path: Path
) -> None:
    actions = 0

    def act(do: Callable[[], object]) -> None:
        nonlocal actions
        actions += 1
        do()

    page.goto(fresh)
    act(lambda: page.get_by_label("Title").fill("The Harbour Smock"))
    act(lambda: page.get_by_label("Drop-shoulder smock").check())
    act(page.get_by_role("button", name="Start the episode").click)

    expect(page.locator(".next-words")).to_have_text(
        "Measure the body: bust, hip, head and upper arm"
    )
    act(page.get_by_role("link", name="Type the measures").click)
    for name, length in (("Bust", "92"), ("Hip", "38 1/2 in"), ("Head", "56"), ("Upper arm", "29")):
        act(lambda name=name, length=length: _type(page, name, length))
    # A bare number is taken in the unit that stands first.
    expect(_measure(page, "Upper arm")).to_have_value("29 cm")

    act(page.get_by_role("link", name="At a glance", exact=True).click)
    expect(page.locator(".garment-drawing svg")).to_be_visible()
    act(page.get_by_role("link", name="Open the companion").click)
    act(page.get_by_role("button", name="Make the companion").click)
    file = page.get_by_role("link", name="Download the companion")
    expect(file).to_be_visible(timeout=180_000)
    with page.expect_download() as waiting:
        act(file.click)

    assert actions <= MOST_ACTIONS
    target = tmp_path / "companion.pdf"
    waiting.value.save_as(target)
    with pdfplumber.open(target) as pdf:
        assert "The Harbour Smock" in (pdf.pages[0].extract_text() or "")


def _type(page: Page, name: str, length: str) -> None:
    """Type a measure and go on, by which it is kept."""
    _measure(page, name).fill(length)
    _measure(page, name).blur()


def _measure(page: Page, name: str) -> Locator:
    return page.locator("#body-form").get_by_label(re.compile(rf"^{name}\b"))
