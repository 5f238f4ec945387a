"""Places and looks in a real browser: minutes typed row by row, a look put on, without script."""

import pytest
from playwright.sync_api import Browser, Page, expect

SKIRT = "/episodes/small-wardrobe-4/set-ups"
BETWEEN = "Minutes from Over the table to At the machine or back"


def test_minutes_are_typed_row_by_row_and_what_is_refused_stays(page: Page, address: str) -> None:
    page.goto(f"{address}{SKIRT}")
    first = page.get_by_label(BETWEEN)
    second = page.get_by_label("Minutes from At the machine to At the ironing board or back")
    first.fill("4")
    first.press("Tab")
    expect(first).to_have_value("2, 4, 10")
    expect(second).to_be_focused()
    second.fill("9 4 2")
    second.press("Tab")
    expect(page.locator("#pair-2-error")).to_contain_text("The three should rise")
    row = page.locator("li").filter(has=first)
    expect(row.get_by_text("yours")).to_be_visible()
    first.fill("")
    first.press("Tab")
    expect(row.get_by_text("yours")).to_have_count(0)
    expect(second).to_have_value("9 4 2")
    page.wait_for_load_state("networkidle")


def test_a_look_is_put_on_where_it_is_edited(page: Page, address: str) -> None:
    page.goto(f"{address}{SKIRT}")
    page.get_by_role("link", name="Change Skirt under the smock").click()
    page.get_by_text("The shots it is worn in").first.click()
    page.get_by_label("1. Welcome, and the skirt").first.check()
    expect(page.get_by_text("Worn in shots 1, 32")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Worn in shot 32")).to_be_visible()


def test_minutes_are_typed_without_script_too(browser: Browser, address: str) -> None:
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(f"{address}{SKIRT}")
    plain.get_by_label(BETWEEN).fill("1, 2, 4")
    plain.get_by_label(BETWEEN).press("Enter")
    expect(plain.get_by_label(BETWEEN)).to_have_value("1, 2, 4")
    plain.context.close()


@pytest.mark.parametrize("width", [390, 820])
def test_the_page_fits_a_phone_and_a_tablet(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{address}{SKIRT}")
    expect(page.get_by_label(BETWEEN)).to_be_visible()
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
