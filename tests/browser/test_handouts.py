"""Handouts in a real browser: made beside the page, leafed through, out of date after a change."""

from playwright.sync_api import Locator, Page, expect

BASE = "/episodes/small-wardrobe-4"


def _width(image: Locator) -> int:
    """How many pixels wide the picture is, once it has come."""
    found: int = image.evaluate("async one => { await one.decode(); return one.naturalWidth; }")
    return found


def test_a_sheet_is_made_leafed_through_and_out_of_date_after_a_change(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BASE}/worksheet?blank=true")
    page.get_by_role("button", name="Make the worksheet").click()
    expect(page.get_by_role("link", name="Download the worksheet")).to_be_visible(timeout=60_000)
    first = page.get_by_role("img", name="Page 1 of the worksheet")
    first.scroll_into_view_if_needed()
    assert _width(first) > 300
    first.click()
    expect(page.get_by_text("Page 1 of ", exact=False).first).to_be_visible()
    assert _width(page.locator(".leaf-large img")) > 1000
    page.get_by_label("Paper").select_option("letter")
    expect(page.get_by_text("Something was changed since these pages were made.")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("link", name="Download the worksheet")).to_be_visible()


def test_a_text_for_the_upload_is_copied(page: Page, address: str) -> None:
    page.context.grant_permissions(["clipboard-write"])
    page.goto(f"{address}{BASE}/files")
    row = page.locator("#file-chapters-vtt")
    row.get_by_text("Read and copy it").click()
    row.get_by_role("button", name="Copy all of it").click()
    expect(row.get_by_role("button", name="Copied")).to_be_visible()
    # The page is renewed meanwhile, as while files are made; the button finds its words back.
    page.evaluate("htmx.ajax('GET', location.href, {target: '#page', swap: 'outerMorph'})")
    expect(row.get_by_role("button", name="Copied")).to_have_count(0)
    page.wait_for_timeout(2500)
    expect(row.get_by_role("button", name="Copy all of it")).to_be_visible()
    page.evaluate("document.body.append(document.createElement('textarea'))")
    pasted = page.locator("body > textarea")
    pasted.press("Control+V")  # no page of ours may read the clipboard by itself
    copied = pasted.input_value()
    assert copied.startswith("WEBVTT")
    assert copied.strip() == row.locator("pre").inner_text().strip()
