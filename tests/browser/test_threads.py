"""Loose threads in a real browser: a link opens the thing itself, a mend takes one click."""

from playwright.sync_api import Browser, Page, expect

SMOCK = "/episodes/small-wardrobe-3"


def _misspell_a_figure(page: Page, address: str) -> None:
    page.goto(f"{address}{SMOCK}/shots")
    page.locator(".shot h3 a").first.click()
    narration = page.locator(".shot.is-open").get_by_label("Narration")
    narration.fill("Turn {Frnt.hem} up.")
    narration.blur()
    expect(page.locator(".saving")).to_have_text("Saved")


def test_a_link_opens_what_is_folded_away(page: Page, address: str) -> None:
    page.goto(f"{address}{SMOCK}/draft")
    neck = page.get_by_label("Neck half width")
    neck.fill("7 cm")  # a head does not pass
    neck.blur()
    expect(page.locator(".saving")).to_have_text("Saved")
    page.goto(f"{address}{SMOCK}/threads")
    page.get_by_role("link", name="Open the check “Neck opening”").first.click()
    expect(page.locator("form:target")).to_be_in_viewport()
    expect(page.locator("form:target").get_by_label("It needs at least")).to_be_visible()


def test_a_mend_takes_one_click_and_one_to_take_back(page: Page, address: str) -> None:
    _misspell_a_figure(page, address)
    page.goto(f"{address}{SMOCK}/threads")
    loose = page.get_by_text("quotes {Frnt.hem}, which does not exist.")
    expect(loose).to_be_visible()
    page.get_by_role("button", name="Write {Front.hem}").click()
    expect(page.get_by_text("Done: write {Front.hem}.")).to_be_visible()
    expect(loose).to_have_count(0)
    page.get_by_role("button", name="Undo it").click()
    expect(loose).to_be_visible()
    expect(page.get_by_text("Done:")).to_have_count(0)


def test_it_is_mended_without_script_too(page: Page, browser: Browser, address: str) -> None:
    _misspell_a_figure(page, address)
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(f"{address}{SMOCK}/threads")
    plain.get_by_role("button", name="Write {Front.hem}").click()
    expect(plain.get_by_text("Done: write {Front.hem}.")).to_be_visible()
    plain.get_by_role("button", name="Undo it").click()
    expect(plain.get_by_text("quotes {Frnt.hem}, which does not exist.")).to_be_visible()
    plain.context.close()


def test_the_page_fits_a_phone(page: Page, address: str) -> None:
    _misspell_a_figure(page, address)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{address}{SMOCK}/threads")
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
