"""The list of shots in a real browser: opened in place, edited, ticked and put in order by keys."""

import re

import pytest
from playwright.sync_api import Page, expect

SHOTS = "/episodes/small-wardrobe-3/shots"


@pytest.fixture
def shots(page: Page, address: str) -> Page:
    page.goto(f"{address}{SHOTS}")
    page.evaluate("document.body.dataset.whole = 'as it was'")  # gone once the page is loaded anew
    return page


def test_shots_are_edited_in_place_one_after_another(shots: Page) -> None:
    """Two stand open; each is saved by the edition that the other's answer brought."""
    for title in ("The four measures", "Linen drying on the line"):
        shots.get_by_role("link", name=title, exact=True).click()
    first, other = shots.locator("#shot-measures"), shots.locator(".shot.is-open").first
    expect(shots.locator(".shot.is-open")).to_have_count(2)
    for row, words in ((first, "Four."), (other, "Linen."), (first, "Five."), (other, "Wind.")):
        row.get_by_label("Narration").fill(words)
        row.get_by_label("Narration").blur()
        expect(row.locator(".shot-open > p").first).to_have_text(words)
    expect(shots.locator(".error")).to_have_count(0)
    tick = shots.locator(".filmed-tick").last
    tick.click()
    expect(tick).to_have_attribute("aria-pressed", "true")
    expect(tick).to_be_focused()
    expect(shots.locator(".facts")).to_contain_text(re.compile(r"1 of \d+"))
    expect(shots.locator(".shot.is-open")).to_have_count(2)
    first.get_by_role("link", name="Done").click()
    expect(shots.locator(".shot.is-open")).to_have_count(1)
    expect(shots.locator("body")).to_have_attribute("data-whole", "as it was")


def test_a_shot_is_put_in_order_by_keys(shots: Page) -> None:
    ids = shots.locator(".shot").evaluate_all("rows => rows.map((row) => row.id)")
    handle = shots.locator(f"#{ids[1]} [data-handle]")
    handle.focus()
    handle.press("ArrowDown")
    expect(shots.locator(".shot").nth(2)).to_have_id(ids[1])
    expect(shots.locator(".shot").nth(1)).to_have_id(ids[2])
    expect(shots.locator(f"#{ids[1]} [data-handle]")).to_be_focused()
    expect(shots.locator("body")).to_have_attribute("data-whole", "as it was")
