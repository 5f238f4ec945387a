"""What the disk refuses, in headless Chromium: told where saving is told, and typed text stays."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

from playwright.sync_api import Browser, Page, Response, Route, expect

from tests.small_disk import small_disk

BRIEF = "/episodes/small-wardrobe-3/brief"
Serve = Callable[[Path], AbstractContextManager[str]]


def type_in(page: Page, field: str, words: str) -> None:
    """Type into a field of the brief and leave it."""
    page.fill(f"[name={field}]", words)
    page.press(f"[name={field}]", "Tab")


def test_on_a_full_disk_what_is_typed_stays_and_is_saved_with_the_next_once_there_is_room(
    browser: Browser, serve: Serve, tmp_path: Path
) -> None:
    with (
        small_disk(tmp_path / "disk") as disk,
        serve(disk.folder) as address,
        browser.new_context() as context,
    ):
        page = context.new_page()
        page.goto(f"{address}{BRIEF}")
        saving = page.locator(".saving")
        disk.fill()
        type_in(page, "notes", "Bring the blue thread." * 100)
        for count in range(9):  # the log of the database may have room for one or two
            if "Saved" not in saving.inner_text():
                break
            type_in(page, "notes", f"Bring the blue thread {count}." * 100)
        expect(saving).to_contain_text("Not saved. There is no room left on the disk")
        expect(saving).to_contain_text("Everything that was told as saved is on the disk")
        typed = page.locator("[name=notes]").input_value()
        with page.expect_response(_refuses_the_audience):  # else there may be room by then
            type_in(page, "audience", "Beginners")
        expect(saving).to_contain_text("Not saved. There is no room left")
        expect(page.locator("[name=notes]")).to_have_value(typed)
        disk.make_room()
        with page.expect_response(_saves_the_notes):
            type_in(page, "promise", "A smock in a weekend")
        page.reload()
        expect(page.locator("[name=notes]")).to_have_value(typed)
        expect(page.locator("[name=audience]")).to_have_value("Beginners")
        expect(page.locator("[name=promise]")).to_have_value("A smock in a weekend")


def _refuses_the_audience(answer: Response) -> bool:
    return answer.status == 507 and "audience=" in (answer.request.post_data or "")


def _saves_the_notes(answer: Response) -> bool:
    return answer.ok and "notes=" in (answer.request.post_data or "")


def test_plans_that_are_held_for_a_moment_are_saved_to_by_itself_afterwards(
    browser: Browser, address: str
) -> None:
    def hold(route: Route) -> None:
        sentence = "Another program holds the plans just now."
        route.fulfill(
            status=503,
            body=sentence,
            headers={"content-type": "text/plain", "retry-after": "3", "hx-reswap": "none"},
        )

    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{address}{BRIEF}")
        context.route("**/brief?*", hold, times=2)
        type_in(page, "audience", "Beginners")
        saving = page.locator(".saving")
        expect(saving).to_have_text("Not saved. Another program holds the plans just now.")
        expect(page.locator("[name=audience]")).to_have_value("Beginners")
        expect(saving).to_have_text("Saved", timeout=15_000)  # nothing was pressed
        page.reload()
        expect(page.locator("[name=audience]")).to_have_value("Beginners")


def test_what_is_pressed_at_the_table_is_kept_with_the_reason_and_sent_later(
    browser: Browser, address: str
) -> None:
    full = "There is no room left on the disk."
    with browser.new_context(viewport={"width": 390, "height": 844}) as context:
        phone = context.new_page()
        phone.goto(f"{address}/episodes/small-wardrobe-3/table#step-hem")
        context.route("**/table/entries", lambda route: route.fulfill(status=507, body=full))
        phone.get_by_role("button", name="Filmed", exact=True).first.click()
        expect(phone.get_by_text(f"1 tick kept here, and sent again. {full}")).to_be_visible()
        context.unroute("**/table/entries")
        expect(phone.get_by_text("All is saved.")).to_be_visible(timeout=15_000)


def test_words_for_a_shot_that_was_taken_out_elsewhere_stay_to_be_copied(
    browser: Browser, address: str
) -> None:
    shots = f"{address}{BRIEF.removesuffix('brief')}shots"
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(shots)
        shot = page.locator("button.filmed-tick").first.get_attribute("value")
        page.goto(f"{shots}?edit={shot}")
        elsewhere = page.request.post(f"{shots}/{shot}/delete", headers={"origin": address})
        assert elsewhere.ok
        words = page.locator(f"#edit-{shot}-narration")
        words.fill("Words that took an hour")
        words.blur()
        expect(page.locator(".saving")).to_contain_text("was taken out of the plan meanwhile")
        expect(words).to_have_value("Words that took an hour")
        page.locator("button.filmed-tick").last.click()  # of another shot
        expect(page.locator(".saving")).to_have_text("Saved")
        expect(words).to_have_value("Words that took an hour")
