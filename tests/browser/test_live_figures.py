"""Live figures in a real browser: by keyboard while one types, by a button, on a phone."""

import re

from playwright.sync_api import Locator, Page, expect

SMOCK = "/episodes/small-wardrobe-3"


def _narration(page: Page, address: str) -> Locator:
    page.goto(f"{address}{SMOCK}/shots?edit=intro#shot-intro")
    field = page.get_by_label("Narration").first
    field.fill("Turn up ")
    field.press("End")
    return field


def _saved(page: Page, field: Locator) -> None:
    field.blur()
    expect(page.locator(".saving")).to_have_text("Saved")
    page.wait_for_load_state("networkidle")  # the count of loose threads follows


def test_a_brace_offers_the_figures_narrowed_as_one_types(page: Page, address: str) -> None:
    field = _narration(page, address)
    field.press_sequentially("{front.h")
    rows = page.get_by_role("listbox", name="Figures you can quote").get_by_role("option")
    expect(rows.first).to_have_text(re.compile(r"^Front\.h.* \d.* cm \(.* in\)$"))
    expect(rows.first).to_have_attribute("aria-selected", "true")
    expect(field).to_have_attribute("aria-activedescendant", "live-offer-0")
    field.press("Escape")
    expect(rows).to_have_count(0)
    field.press_sequentially("em")
    expect(rows.first).to_contain_text("Front.hem")
    name = rows.nth(1).locator("b").inner_text()
    field.press("ArrowDown")
    expect(field).to_have_attribute("aria-activedescendant", "live-offer-1")
    field.press("ArrowUp")
    field.press("Enter")
    expect(field).to_have_value("Turn up {Front.hem}")
    assert name != "Front.hem"
    _saved(page, field)
    expect(page.locator("#shot-intro .live").first).to_have_text(re.compile(r"cm \(.* in\)"))


def test_a_length_finds_all_figures_that_come_to_it(page: Page, address: str) -> None:
    field = _narration(page, address)
    field.press_sequentially("{36")
    rows = page.get_by_role("listbox", name="Figures you can quote").get_by_role("option")
    expect(rows.first).to_contain_text("36")
    assert all("36" in words for words in rows.all_inner_texts())
    rows.first.click()
    expect(field).to_have_value(re.compile(r"^Turn up \{[^{}]+\}$"))


def test_the_button_opens_the_same_list_to_search_in(page: Page, address: str) -> None:
    field = _narration(page, address)
    page.locator("#edit-intro").get_by_role("button", name="Insert a figure").first.click()
    picker = page.get_by_role("dialog", name="Insert a figure")
    search = picker.get_by_role("combobox", name="Find it by its name or its length")
    expect(search).to_be_focused()
    search.press_sequentially("back.hem")
    first = picker.get_by_role("option").first
    expect(first).to_contain_text("Back.hem")
    expect(search).to_have_attribute("aria-activedescendant", first.get_attribute("id") or "")
    search.press("Enter")
    expect(picker).to_be_hidden()
    expect(field).to_be_focused()
    expect(field).to_have_value("Turn up {Back.hem}")
    _saved(page, field)


def test_the_button_ends_a_figure_that_was_begun_by_typing(page: Page, address: str) -> None:
    field = _narration(page, address)
    field.press_sequentially("to {fro")
    field.press("Escape")
    page.locator("#edit-intro").get_by_role("button", name="Insert a figure").first.click()
    search = page.get_by_role("dialog").get_by_role("combobox")
    search.fill("front.hem")
    search.press("Enter")
    expect(field).to_have_value("Turn up to {Front.hem}")
    _saved(page, field)


def test_escape_leaves_the_text_as_it_was(page: Page, address: str) -> None:
    field = _narration(page, address)
    page.locator("#edit-intro").get_by_role("button", name="Insert a figure").first.click()
    page.get_by_role("dialog").get_by_role("combobox").press("Escape")
    expect(page.get_by_role("dialog")).to_be_hidden()
    page.wait_for_load_state("networkidle")
    expect(field).to_have_value("Turn up")  # saved meanwhile


def test_on_a_phone_the_picker_fits_and_a_touch_inserts(page: Page, address: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{address}{SMOCK}/brief")
    field = page.get_by_label("What viewers will have made by the end")
    field.fill("A smock.")
    page.get_by_role("button", name="Insert a figure").click()
    picker = page.get_by_role("dialog", name="Insert a figure")
    picker.get_by_role("combobox").fill("front.hem")
    box = picker.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 390
    picker.get_by_role("option").first.click()
    expect(field).to_have_value("A smock. {Front.hem}")
    _saved(page, field)
    expect(page.get_by_text("Viewers read: A smock.")).to_be_visible()


def test_what_is_typed_in_one_unit_is_mended_with_one_click(page: Page, address: str) -> None:
    field = _narration(page, address)
    field.fill("Cut 12 in off.")
    _saved(page, field)
    page.get_by_role("button", name="Write 30.5 cm (12 in)").click()
    expect(field).to_have_value("Cut 30.5 cm (12 in) off.")
    expect(page.get_by_text("stands without")).to_have_count(0)
    page.wait_for_load_state("networkidle")
