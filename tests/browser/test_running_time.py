"""Running time in a real browser: shortened by clicks, a chapter typed, with and without script."""

import pytest
from playwright.sync_api import Browser, Page, expect

SKIRT = "/episodes/small-wardrobe-4/running-time"


def test_a_click_shortens_the_video_and_a_chapter_is_typed_beside_its_shot(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{SKIRT}")
    over = page.locator(".facts .over")
    expect(over).to_have_text("0:33")
    page.get_by_role("button", name="Speed up “Sew the waist seam”").click()
    expect(over).to_have_text("0:23")
    shots = page.locator("details.chapter").filter(has_text="Cut the long curves")
    shots.locator("summary").click()
    row = page.locator("li.screen").filter(has_text="Cut the long curves")
    row.get_by_label("Opens chapter").fill("Cut it")
    row.get_by_label("Opens chapter").blur()
    chapter = page.locator(".chapter-title", has_text="Cut it")
    expect(chapter).to_be_visible()
    chapter.click()
    expect(row.get_by_label("Opens chapter")).to_have_value("Cut it")
    page.get_by_role("button", name="Undo").click()
    expect(chapter).to_have_count(0)


def test_all_that_is_enough_takes_one_click_without_script_too(
    browser: Browser, address: str
) -> None:
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(f"{address}{SKIRT}")
    plain.get_by_role("button", name="Do all 3").click()
    expect(plain.locator(".facts .over")).to_have_count(0)
    expect(plain.get_by_text("Under its target of 8:30")).to_be_visible()
    plain.context.close()


@pytest.mark.parametrize("width", [390, 820])
def test_the_page_fits_a_phone_and_a_tablet(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{address}{SKIRT}")
    page.get_by_text("More ways to shorten it").click()
    expect(page.get_by_role("button", name="Leave out “Press from the inside”")).to_be_visible()
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
