"""What is typed and not stored, in headless Chromium: it stays, can be sent again, and she is asked
before it would be lost; where nothing would be, nothing is asked."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Dialog, Page, Route, expect

EPISODE = "/episodes/small-wardrobe-3"
BRIEF = f"{EPISODE}/brief"
SAVES = re.compile(r"\?edition=")


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page on which a refusal is no fault of its own."""
    with browser.new_context(viewport={"width": 1280, "height": 900}) as context:
        yield context.new_page()


def type_in(page: Page, field: str, words: str) -> None:
    """Type into a field, and stay in it: the browser asks nobody who never touched its page."""
    page.locator(field).click()
    page.keyboard.press("Control+a")
    page.keyboard.type(words)


def save(page: Page, field: str, words: str) -> None:
    type_in(page, field, words)
    page.keyboard.press("Tab")


def expect_question(page: Page) -> None:
    """The browser asks before the tab is closed; she stays."""
    with page.expect_event("dialog", timeout=10_000) as told:
        page.close(run_before_unload=True)
    assert told.value.type == "beforeunload"
    told.value.dismiss()


def expect_none(page: Page) -> None:
    """The tab closes without a question."""
    page.on("dialog", Dialog.dismiss)
    with page.expect_event("close", timeout=10_000):
        page.close(run_before_unload=True)


def save_elsewhere(page: Page, address: str, **fields: str) -> None:
    sent = page.request.post(f"{address}{BRIEF}", headers={"origin": address}, form={**fields})
    assert sent.ok


def refuses(status: int, words: str = "Sign in first.") -> Callable[[Route], None]:
    def answer(route: Route) -> None:
        headers = {"content-type": "text/plain", "hx-reswap": "none"}
        route.fulfill(status=status, headers=headers, body=words)

    return answer


def test_a_page_is_left_without_a_question_where_all_is_stored(page: Page, address: str) -> None:
    """After saves, also of what the plan has in other words, after undo and a refusal mended."""
    page.goto(f"{address}{BRIEF}")
    tick, undo = page.locator("#sleepwear"), page.locator("#undo")
    tick.check()
    expect(undo).to_contain_text("sleepwear")
    undo.click()
    expect(page.locator("#redo")).to_contain_text("sleepwear")
    expect(tick).not_to_be_checked()
    save(page, "#number", "three")
    expect(page.locator("#number")).to_have_attribute("aria-invalid", "true")
    save(page, "#number", "3")
    expect(page.locator("#number")).not_to_have_attribute("aria-invalid", "true")
    save(page, "#audience", " Beginners ")
    expect(undo).to_contain_text("who the video is for")
    type_in(page, "#target_seconds", "18")  # the plan has 18:00
    with page.expect_response(SAVES):
        page.keyboard.press("Enter")
    expect(page.locator(".saving")).to_have_text("Saved")
    expect(page.locator("#target_seconds")).to_have_value("18")
    expect_none(page)


def test_words_for_a_form_with_a_button_are_asked_about_until_it_is_pressed(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{EPISODE}/sizes")
    name, button = page.get_by_label("New size"), page.get_by_role("button", name="Add the size")
    name.click()
    page.keyboard.type("XXL")
    expect_question(page)
    page.keyboard.press("Control+s")
    expect(page.locator(".saving")).to_have_text("Not all is saved yet")
    button.click()
    expect(page.locator("#undo")).to_contain_text("XXL")
    expect_none(page)


def test_a_form_that_is_left_by_its_own_link_is_left_without_a_question(
    page: Page, address: str
) -> None:
    piece = f"{address}{EPISODE}/draft?garment=lighthouse-smock&piece=Front"
    page.goto(f"{piece}&add=scoop")
    type_in(page, "#add-form input[type=text] >> nth=0", "7 cm")
    expect_question(page)
    page.get_by_role("link", name="Do not add it").click()
    expect(page).to_have_url(piece)


def test_what_is_answered_with_a_page_of_its_own_is_told_where_it_was_typed(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    told = "<main><p class='lead'>That is more than one form may hold.</p></main>"
    answer = {"status": 413, "content_type": "text/html", "body": f"<div id=page>{told}</div>"}
    page.context.route(SAVES, lambda route: route.fulfill(**answer))  # type: ignore[arg-type]
    save(page, "#notes", "Much")
    expect(page.locator(".saving")).to_have_text("Not saved. That is more than one form may hold.")
    expect(page.locator("#notes")).to_have_value("Much")
    expect_question(page)


def test_the_keys_that_save_in_any_program_save_here(page: Page, address: str) -> None:
    page.goto(f"{address}{BRIEF}")
    type_in(page, "#audience", "Beginners")
    page.keyboard.press("Control+s")
    expect(page.locator("#undo")).to_contain_text("who the video is for")
    expect(page.locator("#audience")).to_be_focused()
    not_taken = refuses(401)
    page.context.route(SAVES, not_taken)
    type_in(page, "#audience", "Whoever sews")
    page.keyboard.press("Control+s")
    expect(page.locator(".saving")).to_contain_text("signed out")
    page.context.unroute(SAVES, not_taken)
    page.keyboard.press("Control+s")
    expect(page.locator(".saving")).to_have_text("Saved")
    page.reload()
    expect(page.locator("#audience")).to_have_value("Whoever sews")


@pytest.mark.parametrize("status", [401, 409, 422, 500, 503, 507, 0])
def test_what_is_not_taken_is_asked_about(page: Page, address: str, status: int) -> None:
    page.goto(f"{address}{BRIEF}")
    if status == 422:
        save(page, "#number", "three")
        expect(page.locator("#number")).to_have_attribute("aria-invalid", "true")
    else:
        page.context.route(SAVES, refuses(status) if status else lambda route: route.abort())
        save(page, "#audience", "Beginners")
    expect(page.locator(".saving.failed")).to_contain_text("Not saved" if status != 500 else "Sign")
    expect_question(page)


def test_what_is_still_being_typed_is_asked_about(page: Page, address: str) -> None:
    page.goto(f"{address}{BRIEF}")
    type_in(page, "#audience", "Beginners")
    expect_question(page)
    with page.expect_response(SAVES):
        page.keyboard.press("Tab")
    expect(page.locator("#undo")).to_contain_text("who the video is for")
    expect_none(page)


def test_a_link_pressed_out_of_a_field_saves_it_first(page: Page, address: str) -> None:
    asked: list[str] = []
    page.on("dialog", lambda one: (asked.append(one.type), one.dismiss()))
    page.goto(f"{address}{BRIEF}")
    link = page.locator('.tape a[href$="/draft"]')
    type_in(page, "#number", "three")
    link.click()
    expect(page.locator("#number")).to_have_attribute("aria-invalid", "true")
    expect(page).to_have_url(f"{address}{BRIEF}")  # she stays where it is refused
    save(page, "#number", "4")
    type_in(page, "#audience", "Beginners")
    link.click()
    expect(page).to_have_url(f"{address}{EPISODE}/draft")
    page.goto(f"{address}{BRIEF}")
    expect(page.locator("#audience")).to_have_value("Beginners")
    assert asked == []


def test_a_shot_is_not_closed_over_what_is_refused_without_a_question(
    page: Page, address: str
) -> None:
    asked: list[Dialog] = []
    page.on("dialog", lambda one: (asked.append(one), one.dismiss()))
    page.goto(f"{address}{EPISODE}/shots?edit=cowl-on")
    takes = page.locator("#edit-cowl-on-takes")
    done = page.get_by_role("link", name="Done with")
    save(page, "#edit-cowl-on-takes", "many")
    expect(takes).to_have_attribute("aria-invalid", "true")
    with page.expect_event("dialog"):
        done.click()
    expect(page.locator(".saving")).to_contain_text("Not saved")
    assert [one.type for one in asked] == ["confirm"]
    expect(takes).to_have_value("many")
    save(page, "#edit-cowl-on-takes", "2")
    expect(takes).not_to_have_attribute("aria-invalid", "true")
    done.click()
    expect(takes).to_have_count(0)
    assert len(asked) == 1


def test_what_was_refused_while_signed_out_is_saved_again_by_one_button(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    again = page.get_by_role("button", name="Save it again")
    signed_out = refuses(401)
    page.context.route(SAVES, signed_out)
    save(page, "#audience", "Beginners")
    expect(page.locator(".saving")).to_contain_text("you are signed out")
    expect(page.get_by_role("link", name="Sign in")).to_have_attribute("target", "_blank")
    bust = page.locator("#body-bust")
    save(page, "#body-bust", "90 cm")
    expect(page.locator(".field:has(#body-bust) .also")).to_contain_text("Still 92 cm")
    again.click()
    expect(page.locator(".saving")).to_contain_text("you are still signed out")
    page.context.unroute(SAVES, signed_out)
    again.click()
    expect(page.locator("#undo")).to_contain_text("measurements of the body")
    expect(page.locator(".field:has(#body-bust) .also")).to_contain_text("= 90 cm")
    expect(again).to_be_hidden()
    page.reload()
    expect(bust).to_have_value("90 cm")
    expect(page.locator("#audience")).to_have_value("Beginners")
    expect_none(page)


def test_a_restart_that_signs_her_out_is_told_with_the_way_in(page: Page, address: str) -> None:
    """While there is no connection it is tried again by itself; then it is hers to sign in."""
    page.goto(f"{address}{BRIEF}")

    def cut(route: Route) -> None:
        route.abort()

    page.context.route(SAVES, cut)
    save(page, "#audience", "Beginners")
    expect(page.locator(".saving")).to_contain_text("no connection")
    page.context.unroute(SAVES, cut)
    page.context.route(SAVES, refuses(401))
    expect(page.locator(".saving")).to_have_text(
        "Not saved: you are signed out. What you typed stays here", timeout=10_000
    )
    expect(page.get_by_role("link", name="Sign in")).to_be_visible()
    expect(page.get_by_role("button", name="Save it again")).to_be_visible()


def test_back_from_signing_in_it_is_saved_by_itself_but_a_fault_is_hers_to_try(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    for status in (401, 500):
        not_taken = refuses(status)
        page.context.route(SAVES, not_taken)
        save(page, "#audience", f"Beginners, {status}")
        expect(page.get_by_role("button", name="Save it again")).to_be_visible()
        page.context.unroute(SAVES, not_taken)
        page.evaluate("dispatchEvent(new Event('focus'))")
        if status == 500:
            expect(page.locator(".saving.failed")).to_be_visible()
            page.get_by_role("button", name="Save it again").click()
        expect(page.locator(".saving")).to_have_text("Saved")
        expect(page.get_by_role("button", name="Save it again")).to_be_hidden()
    expect(page.locator("#undo")).to_contain_text("who the video is for")
    expect_none(page)


@pytest.mark.parametrize("choice", ["Save mine", "Keep the plan’s"])
def test_once_the_choice_is_made_all_of_the_form_is_saved_and_nothing_is_left_to_mend(
    page: Page, address: str, choice: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs")
    save(page, "#audience", "Mine")
    expect(page.locator("#audience-other")).to_contain_text("Theirs")
    expect_question(page)
    save(page, "#promise", "A smock by Sunday")
    expect(page.locator("#promise-waits")).to_have_text(
        "Not saved yet: choose at “Who the video is for” first."
    )
    expect(page.locator(".saving")).to_contain_text("choose at “Who the video is for” first")
    page.locator("#sleepwear").check()
    expect(page.locator("#sleepwear-waits")).to_be_visible()
    save(page, "#body-bust", "90 cm")  # another form, by whose answer all of it stays
    expect(page.locator("#undo")).to_contain_text("measurements of the body")
    expect(page.locator("#promise")).to_have_value("A smock by Sunday")
    expect(page.locator("#audience")).to_have_value("Mine")
    page.locator("#audience-other").get_by_text(choice).click()
    expect(page.locator("#undo")).to_contain_text("promise")
    for gone in ("#to-mend", ".other-version", ".waits", ".send-again", "main .error"):
        expect(page.locator(gone)).to_have_count(0)
    page.reload()
    expect(page.locator("#promise")).to_have_value("A smock by Sunday")
    expect(page.locator("#sleepwear")).to_be_checked()
    expect(page.locator("#audience")).to_have_value("Mine" if choice == "Save mine" else "Theirs")
    expect_none(page)


def test_no_key_makes_a_choice_that_is_open(page: Page, address: str) -> None:
    """Enter in another field of the form would write over what the other has."""
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs", title="Their title")
    at_once = "field => { field.value = 'My title'; }"  # sent with the next, not by itself
    page.locator("#title").evaluate(at_once)
    save(page, "#audience", "Mine")
    expect(page.locator("#audience-other")).to_contain_text("Theirs")
    type_in(page, "#channel", "A channel")
    page.keyboard.press("Enter")
    expect(page.locator("#channel-waits")).to_be_visible()
    expect(page.locator("#title-other")).to_contain_text("Their title")
    expect(page.locator("#audience-other")).to_contain_text("Theirs")
    page.locator("#audience-other").get_by_text("Save mine").click()
    expect(page.locator("#audience-other")).to_have_count(0)
    expect(page.locator("#title-other")).to_be_visible()  # that choice is still hers
    page.locator("#title-other").get_by_text("Keep the plan’s").click()
    expect(page.locator("#undo")).to_contain_text("channel")
    for field, words in (
        ("#title", "Their title"),
        ("#audience", "Mine"),
        ("#channel", "A channel"),
    ):
        expect(page.locator(field)).to_have_value(words)
    expect_none(page)


def test_the_plan_s_version_is_the_one_it_has_when_it_is_chosen(page: Page, address: str) -> None:
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs")
    save(page, "#audience", "Mine")
    expect(page.locator("#audience-other")).to_contain_text("Theirs")
    save_elsewhere(page, address, audience="Theirs by now")
    page.locator("#audience-other").get_by_text("Keep the plan’s").click()
    expect(page.locator("#audience")).to_have_value("Theirs by now")
    expect_none(page)


def test_what_goes_beside_what_was_changed_elsewhere_is_saved_and_told(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, title="Theirs")
    save(page, "#audience", "Mine")
    expect(page.locator(".saving")).to_have_text(
        "Saved. The plan was changed elsewhere, too: “title”"
    )
    expect(page.locator("#title")).to_have_value("Theirs")
    expect(page.locator(".other-version")).to_have_count(0)
    save(page, "#audience", "Mine again")
    expect(page.locator("#elsewhere")).to_have_count(0)
    expect_none(page)


def test_a_choice_is_asked_only_where_the_plan_is_not_as_it_was_shown(
    page: Page, address: str
) -> None:
    """One shot of a title each: the second is told, with nothing to choose between."""
    page.goto(f"{address}{EPISODE}/shots")
    shots = f"{address}{EPISODE}/shots"
    form = {"title": "From the door", "card": "Theirs"}
    assert page.request.post(shots, headers={"origin": address}, form=form).ok
    page.locator("#new-shot [name=title]").fill("From the door")
    page.get_by_role("button", name="Add the shot").click()
    expect(page.locator(".saving")).to_have_text(
        "Not done yet: the plan was changed elsewhere. Look at it, then do it again"
    )
    expect(page.locator(".other-version")).to_have_count(0)
    page.get_by_role("button", name="Add the shot").click()
    expect(page.get_by_role("link", name="From the door")).to_have_count(2)


def test_where_the_plan_s_is_kept_and_nothing_else_was_typed_nothing_is_left_either(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs")
    save(page, "#audience", "Mine")
    page.get_by_role("button", name="Keep the plan’s").click()
    expect(page.locator("#to-mend")).to_have_count(0)
    expect(page.locator("main .error")).to_have_count(0)
    expect(page.locator("#audience")).to_have_value("Theirs")
    expect(page.locator("#audience")).to_be_focused()
    expect(page.locator(".saving")).to_have_text("Saved")
    expect_none(page)


def test_another_version_that_came_while_there_was_no_connection_is_told_and_not_written_over(
    page: Page, address: str
) -> None:
    """The answer to another form of the page brings the newer edition, but she never saw it."""
    page.goto(f"{address}{BRIEF}")
    not_taken = refuses(500)
    page.context.route(SAVES, not_taken)
    save(page, "#audience", "Mine")
    expect(page.get_by_role("button", name="Save it again")).to_be_visible()
    page.context.unroute(SAVES, not_taken)
    save_elsewhere(page, address, audience="Theirs", channel="Another name")
    save(page, "#body-bust", "90 cm")
    expect(page.locator("#channel")).to_have_value("Another name")
    page.get_by_role("button", name="Save it again").click()
    expect(page.locator("#audience-other")).to_contain_text("Theirs")
    expect(page.locator("#audience")).to_have_value("Mine")


@pytest.mark.parametrize("width", [390, 1280])
def test_what_is_told_of_a_fault_fits_and_the_page_can_be_read_above_it(
    page: Page, address: str, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{address}{BRIEF}")
    log = "/home/someone/.local/share/seamslate/log/seamslate.log"
    page.context.route(
        SAVES, refuses(500, f"Something went wrong. The log says where: look in {log}.")
    )
    save(page, "#notes", "Mine")
    told = page.locator(".saving-corner")
    expect(told.get_by_role("button", name="Save it again")).to_be_visible()
    assert told.evaluate("(one) => one.getBoundingClientRect().left") >= 0
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    last = page.locator(".next-page a").last
    bottom = last.evaluate("(one) => one.getBoundingClientRect().bottom")
    assert bottom < told.evaluate("(one) => one.getBoundingClientRect().top")


def test_what_is_changed_elsewhere_is_told_on_a_page_that_is_come_back_to(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{BRIEF}")
    told = page.locator("#outdated")
    look = "dispatchEvent(new Event('focus'))"
    with page.expect_response("**/elsewhere?*"):
        page.evaluate(look)
    expect(told).to_be_hidden()
    save_elsewhere(page, address, title="Theirs")
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    page.evaluate(look)
    expect(told).to_contain_text("The plan was changed since this page was shown: “title”.")
    expect(page.locator("#saving")).to_contain_text("“title”.")
    told.get_by_role("button", name="Show it as it stands").click()
    expect(page.locator("#title")).to_have_value("Theirs")
    expect(told).to_be_hidden()


IS_COVERED = """(one) => {
    const [a, b] = [one, document.getElementById('saving')].map((it) => it.getBoundingClientRect());
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}"""


@pytest.mark.parametrize("width", [390, 1280])
def test_what_is_told_of_a_press_covers_nothing_near_it(
    page: Page, address: str, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{address}{BRIEF.replace('brief', 'shots')}")
    save_elsewhere(page, address, title="Theirs", audience="Theirs", channel="Theirs")
    ticks = page.locator(".filmed-tick")
    seen = ticks.evaluate_all(
        "(all) => all.map((one) => one.getBoundingClientRect().bottom < innerHeight)"
    )
    last = seen.index(False) - 1 if False in seen else len(seen) - 1
    for tick in (ticks.nth(last), ticks.nth(last - 1)):
        tick.click()
        expect(tick).to_have_attribute("aria-pressed", "true")
        expect(page.locator("#saving")).to_contain_text("Saved")
        for near in range(last - 2, last + 1):
            assert not ticks.nth(near).evaluate(IS_COVERED)


def test_what_is_told_on_a_phone_covers_nothing_that_is_to_be_chosen(
    page: Page, address: str
) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs")
    save(page, "#audience", "Mine")
    for name in ("Save mine", "Keep the plan’s"):
        expect(page.get_by_text(name)).to_be_in_viewport()
        assert not page.get_by_text(name).evaluate(IS_COVERED)


@pytest.mark.parametrize("field", ["#audience", "#body-bust"], ids=["own form", "other form"])
def test_what_is_typed_while_a_save_is_under_way_writes_over_nothing(
    page: Page, address: str, field: str
) -> None:
    """The answer brings another tab's change of just that field, below what she types there."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.goto(f"{address}{BRIEF}")
    save_elsewhere(page, address, audience="Theirs")
    sent = page.request.post(
        f"{address}{EPISODE}/body", headers={"origin": address}, form={"m bust": "99 cm"}
    )
    assert sent.ok
    page.route(SAVES, hold, times=1)
    with page.expect_request(SAVES):
        save(page, "#title", "The smock")
    type_in(page, field, "101 cm")
    held[0].continue_()
    expect(page.locator("#elsewhere")).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.locator(f"{field}-other")).to_contain_text("The plan has now")
    expect(page.locator(field)).to_have_value("101 cm")
