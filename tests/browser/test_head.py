"""The head of every page: what is saved and what is not, undo from the keyboard, the pages."""

import re
from urllib.request import Request, urlopen

from playwright.sync_api import Browser, Page, Route, expect

DRAFT = "/episodes/small-wardrobe-3/draft?garment=lighthouse-smock"


def test_what_found_no_connection_is_kept_told_and_sent_again(
    browser: Browser, address: str
) -> None:
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        ease = page.locator("#choice-body-ease")
        context.set_offline(True)
        ease.fill("31 cm")
        ease.press("Tab")
        expect(page.locator(".saving")).to_contain_text("Not saved: no connection")
        expect(ease).to_have_value("31 cm")
        context.set_offline(False)
        expect(page.locator("#undo")).to_contain_text("body ease to 31 cm")
        expect(page.locator(".saving")).to_have_text("Saved")


def test_what_the_house_did_not_answer_is_sent_once_it_does(browser: Browser, address: str) -> None:
    """A connection that the browser thinks it has, to a house that is not there for a while."""
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        context.route("**", lambda route: route.abort("connectionrefused"))
        ease = page.locator("#choice-body-ease")
        ease.fill("31 cm")
        ease.press("Tab")
        expect(page.locator(".saving")).to_contain_text("Not saved: no connection")
        expect(ease).to_have_value("31 cm")
        context.unroute("**")
        expect(page.locator("#undo")).to_contain_text("body ease to 31 cm")  # nothing was pressed
        expect(page.locator(".saving")).to_have_text("Saved")


def test_a_save_whose_answer_was_lost_is_told_as_saved(browser: Browser, address: str) -> None:
    """It was stored before the connection dropped: sent again, it is no other tab's change."""
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        context.route("**/choices?*", _drop_the_answer, times=1)
        ease = page.locator("#choice-body-ease")
        ease.fill("31 cm")
        ease.press("Tab")
        expect(page.locator(".saving")).to_contain_text("Not saved: no connection")
        expect(page.locator("#undo")).to_contain_text("body ease to 31 cm")
        expect(page.locator(".saving")).to_have_text("Saved")
        expect(page.locator("#to-mend")).to_have_count(0)
        expect(ease).to_have_value("31 cm")


def test_what_is_typed_on_after_a_lost_answer_is_saved_too(browser: Browser, address: str) -> None:
    brief = f"{address}/episodes/small-wardrobe-3/brief"
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(brief)
        saving, audience, channel = map(page.locator, (".saving", "#audience", "#channel"))
        context.route("**/brief?*", _drop_the_answer, times=1)
        audience.fill("Beginners")
        audience.press("Tab")
        expect(saving).to_contain_text("Not saved: no connection")
        context.route("**", lambda route: route.abort("connectionrefused"))
        channel.fill("Another name")
        with page.expect_event("requestfailed"):
            channel.press("Tab")
        context.unroute("**")
        expect(page.locator("#undo")).to_be_enabled()
        expect(saving).to_have_text("Saved")
        expect(page.locator("#to-mend")).to_have_count(0)
        page.goto(brief)
        expect(audience).to_have_value("Beginners")
        expect(channel).to_have_value("Another name")


def test_an_answer_that_is_cut_short_is_a_lost_one(browser: Browser, address: str) -> None:
    """Of what was stored, and of what is sent again: it is sent until it is answered whole."""
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        page.evaluate(_CUT_SHORT, 2)
        ease = page.locator("#choice-body-ease")
        ease.fill("31 cm")
        ease.press("Tab")
        expect(page.locator(".saving")).to_contain_text("Not saved: no connection")
        expect(page.locator("#undo")).to_contain_text("body ease to 31 cm", timeout=20_000)
        expect(page.locator(".saving")).to_have_text("Saved")
        expect(ease).to_have_value("31 cm")


# The next so many answers break off before they are read to their end.
_CUT_SHORT = """(times) => {
  const whole = Response.prototype.text;
  Response.prototype.text = function () {
    if (!--times) Response.prototype.text = whole;
    return Promise.reject(new TypeError("network error"));
  };
}"""


def _drop_the_answer(route: Route) -> None:
    """It is stored, and the connection drops before that is told."""
    route.fetch(max_redirects=0)
    route.abort("connectionreset")


def _saved(page: Page, field: str, typed: str) -> None:
    page.locator(field).fill(typed)
    page.locator(field).press("Tab")
    expect(page.locator(".saving")).to_have_text("Saved")
    expect(page.locator("#undo")).to_be_enabled()


def test_undo_is_for_the_change_it_names(page: Page, address: str) -> None:
    brief = f"{address}/episodes/small-wardrobe-3/brief"
    page.goto(brief)
    _saved(page, "#audience", "Beginners")
    with page.context.new_page() as other:
        other.goto(brief)
        _saved(other, "#channel", "Another name")
    page.locator("#undo").click()
    expect(page.locator("#not-done")).to_contain_text("Nothing was undone")
    expect(page.locator(".saving")).to_have_text("Nothing was undone")
    expect(page.locator("#audience")).to_have_value("Beginners")
    expect(page.locator("#channel")).to_have_value("Another name")
    expect(page.locator("#undo")).to_be_enabled()
    page.locator("main").click(position={"x": 2, "y": 2})
    page.keyboard.press("Control+z")  # twice at once: the second is for the change before
    page.keyboard.press("Control+z")
    expect(page.locator("#undo")).to_be_disabled()
    expect(page.locator("#not-done")).to_have_count(0)
    expect(page.locator("#audience")).not_to_have_value("Beginners")
    expect(page.locator("#channel")).not_to_have_value("Another name")


def test_what_is_not_sent_yet_is_spared_by_an_undo(browser: Browser, address: str) -> None:
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        ease = page.locator("#choice-body-ease")
        ease.fill("30 cm")
        ease.press("Tab")
        expect(page.locator("#undo")).to_contain_text("body ease to 30 cm")
        context.route("**/choices?*", lambda route: route.abort("connectionrefused"))
        ease.fill("31 cm")
        ease.press("Tab")
        expect(page.locator(".saving")).to_contain_text("Not saved: no connection")
        page.locator("#undo").click()
        expect(page.locator("#redo")).to_contain_text("body ease to 30 cm")
        expect(ease).to_have_value("31 cm")
        context.unroute("**/choices?*")
        expect(page.locator("#undo")).to_contain_text("body ease to 31 cm")
        expect(page.locator(".saving")).to_have_text("Saved")
        expect(ease).to_have_value("31 cm")


def test_undo_leaves_her_at_the_place_where_she_is(page: Page, address: str) -> None:
    page.goto(f"{address}/episodes/small-wardrobe-3/cloth")
    page.get_by_text("About this cloth").first.click()
    width = page.locator("#cloth-0-width")
    width.fill("140 cm")
    width.press("Tab")
    expect(page.locator("#undo")).to_contain_text("the cloth")
    page.evaluate("document.activeElement.blur(), scrollTo(0, 400)")
    page.keyboard.press("Control+z")
    expect(page.locator("#redo")).to_contain_text("the cloth")
    expect(page.locator(".saving")).to_have_text("Undone, and saved")
    expect(width).to_have_value("150 cm")
    expect(width).to_be_visible()
    assert page.evaluate("scrollY") == 400
    expect(page).to_have_url(f"{address}/episodes/small-wardrobe-3/cloth")


def test_undo_and_redo_from_the_keyboard_spare_what_is_being_typed(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{DRAFT}")
    ease = page.locator("#choice-body-ease")
    ease.fill("31 cm")
    ease.press("Tab")
    expect(page.locator("#undo")).to_contain_text("body ease to 31 cm")
    ease.press("Control+z")  # the field's own, which is an entry like any other
    expect(ease).to_have_value("26 cm")
    ease.press("Tab")
    expect(page.locator("#undo")).to_contain_text("body ease to 26 cm")
    page.locator("#undo").focus()
    page.keyboard.press("Control+z")
    expect(page.locator("#redo")).to_contain_text("body ease to 26 cm")
    expect(ease).to_have_value("31 cm")
    page.keyboard.press("Control+Shift+z")
    expect(page.locator("#undo")).to_contain_text("body ease to 26 cm")


def test_the_pages_open_on_a_phone_without_script(browser: Browser, demo: str) -> None:
    """The head and the closed list take no more than 150 px of it."""
    with browser.new_context(
        viewport={"width": 390, "height": 800}, java_script_enabled=False
    ) as context:
        page = context.new_page()
        page.goto(f"{demo}/episodes/small-wardrobe-3/cloth")
        main = page.locator("main").bounding_box()
        assert main is not None and main["y"] <= 150
        pages = page.get_by_role("navigation", name="Pages of this episode")
        expect(pages.get_by_role("link", name="Shopping")).to_be_hidden()
        pages.get_by_text("Pages: Cloth").click()
        pages.get_by_role("link", name="Shopping").click()
        expect(page).to_have_url(f"{demo}/episodes/small-wardrobe-3/shopping")


def test_the_tape_covers_no_field_that_has_the_keyboard(page: Page, demo: str) -> None:
    """WCAG 2.2, 2.4.11, going backwards, where the tape stands over the fields above."""
    page.goto(f"{demo}/episodes/small-wardrobe-3/brief")
    page.locator("main :is(input, textarea)").last.focus()
    tape = page.locator(".tape").bounding_box()
    assert tape is not None
    for _ in range(25):
        page.keyboard.press("Shift+Tab")
        top = page.evaluate("document.activeElement.getBoundingClientRect().top")
        assert top >= tape["height"] - 1, page.evaluate("document.activeElement.outerHTML")


def test_what_a_mend_is_told_in_covers_nothing_that_has_the_keyboard(
    page: Page, address: str
) -> None:
    page.set_viewport_size({"width": 1280, "height": 600})
    page.goto(f"{address}/episodes/small-wardrobe-4/threads")
    page.locator("main form[action*=mend] button").first.click()
    expect(page.locator(".note-box.done")).to_be_visible()
    covered = """() => {
      const at = document.activeElement, {left, top, width, height} = at.getBoundingClientRect();
      const hit = document.elementFromPoint(left + width / 2, top + height / 2);
      return !at.contains(hit) && hit?.closest(".note-box.done") && at.outerHTML;
    }"""
    page.locator("main :is(a, button)").last.focus()
    for _ in range(40):
        page.keyboard.press("Shift+Tab")
        assert not (told := page.evaluate(covered)), told


def test_what_is_not_saved_is_told_beside_what_has_the_keyboard(page: Page, demo: str) -> None:
    """WCAG 2.2, 2.4.11, on a phone and on a page that is zoomed, where it takes the whole width."""
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{demo}/episodes/small-wardrobe-3/brief")
    covered = """() => {
      const { top, bottom } = document.activeElement.getBoundingClientRect();
      const told = document.getElementById("saving").getBoundingClientRect();
      const stands = document.activeElement !== document.body;
      return stands && top < told.bottom && bottom > told.top && document.activeElement.outerHTML;
    }"""
    page.locator(".saving").evaluate(
        "it => (it.textContent = 'Not saved: no connection. What you typed stays here')"
    )
    for _ in range(70):
        page.keyboard.press("Tab")
        assert not (told := page.evaluate(covered)), told


def test_a_fold_is_open_when_an_address_leads_to_it(page: Page, demo: str) -> None:
    page.goto(f"{demo}/episodes/small-wardrobe-3/shots#mark-several")
    fold = page.locator("details#mark-several")
    expect(fold).to_have_attribute("open", "")
    fold.locator("summary").first.click()
    expect(fold).not_to_have_attribute("open", "")
    page.locator('.jumps a[href="#mark-several"]').click()  # the same address once more
    expect(fold).to_have_attribute("open", "")


def test_back_shows_the_plan_as_it_is_and_takes_the_next_change(
    browser: Browser, address: str
) -> None:
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{DRAFT}")
        for ease, told in (("31 cm", "31 cm"), ("32 cm", "32 cm")):
            page.locator("#choice-body-ease").fill(ease)
            page.locator("#choice-body-ease").press("Tab")
            expect(page.locator("#undo")).to_contain_text(f"body ease to {told}")
            page.goto(f"{address}/keys")
            page.go_back()
            expect(page.locator("#choice-body-ease")).to_have_value(ease)
        expect(page.locator("#to-mend")).to_have_count(0)


def test_the_words_of_undo_are_whole_whatever_is_changed(page: Page, address: str) -> None:
    """WCAG 2.2, 1.4.13: nothing of them is only for who can hover."""
    page.set_viewport_size({"width": 1280, "height": 800})
    shot = f"{address}/episodes/small-wardrobe-3/days/2026-12-19/shots/cowl-on"
    urlopen(Request(f"{shot}/move", method="POST", data=b"way=earlier")).close()
    page.goto(f"{address}/episodes/small-wardrobe-3/brief")
    undo = page.locator("#undo")
    expect(undo).to_have_text("Undo: a shot moved within its day")
    expect(undo).not_to_have_attribute("title", re.compile("."))
    fits = "one => one.scrollWidth <= one.clientWidth && one.scrollHeight <= one.clientHeight"
    assert undo.evaluate(fits)
    head = page.locator("header.house").bounding_box()
    undo.evaluate("one => one.append(' and one more, and many others after these')")
    assert undo.evaluate(fits)
    grown = page.locator("header.house").bounding_box()
    assert head and grown and grown["height"] < head["height"] + 30  # a line or two
