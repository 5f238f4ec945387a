"""The whole job once, through the real server, in headless Chromium."""

import re
from pathlib import Path

from playwright.sync_api import Browser, Page, Route, expect

from tests.handouts.read_pages import words_of
from webapp.units import both


def _start(page: Page, address: str) -> None:
    page.goto(f"{address}/start")
    page.get_by_label("Title").fill("Harbour Smock")
    page.get_by_label("Drop-shoulder smock").check()
    page.get_by_role("button", name="Start the episode").click()
    page.get_by_role("link", name="Type the measures").click()


def _fill_body(page: Page) -> None:
    for name, length in (
        ("Bust", "100 cm"),
        ("Hip", "104 cm"),
        ("Head", "22 1/2 in"),
        ("Upper arm", "31"),
    ):
        field = page.locator("#body-form").get_by_label(re.compile(rf"^{name}\b"))
        field.fill(length)
        field.blur()
    expect(page.locator("#body-upper-arm")).to_have_value("31 cm")


def _companion(page: Page, folder: Path) -> str:
    """The text of the companion, made and taken out."""
    page.get_by_role("link", name="Handouts", exact=True).click()
    page.get_by_role("button", name="Make the companion").click()
    file = page.get_by_role("link", name="Download the companion")
    expect(file).to_be_visible(timeout=180_000)
    with page.expect_download() as waiting:
        file.click()
    target = folder / "companion.pdf"
    waiting.value.save_as(target)
    return words_of(target.read_bytes())


def test_from_an_empty_episode_to_a_printed_companion(
    page: Page, address: str, tmp_path: Path
) -> None:
    _start(page, address)
    _fill_body(page)

    page.get_by_role("link", name="Cloth", exact=True).click()
    used = page.locator("dl.facts dd", has_text="%")
    first_lay = used.inner_text()
    page.get_by_role("link", name="Draft", exact=True).click()
    front = page.locator("figure.drawing").first
    # Half girth + ease is the width of the flat garment (common practice, no source):
    # (104 + 24) / 4 = 32 cm at the hem of each half on the fold.
    expect(front).to_contain_text(both(320, "cm"))
    ease = page.get_by_label("Body ease")
    ease.fill("9 m")
    ease.blur()
    expect(page.locator("#choice-body-ease-error")).to_contain_text("9 m")
    expect(front).to_contain_text(both(320, "cm"))
    ease.fill("32 cm")
    ease.blur()
    expect(front).to_contain_text(both(340, "cm"))
    expect(page.locator("#choice-body-ease-error")).to_have_count(0)

    page.get_by_role("link", name="Cloth", exact=True).click()
    expect(used).not_to_have_text(first_lay)
    bought = page.locator("dl.facts dd").first
    expect(bought).to_contain_text("yd")
    before = bought.inner_text()
    page.get_by_role("link", name="Draft", exact=True).click()
    length = page.get_by_label("Smock length")
    length.fill("110 cm")
    length.blur()
    # The centre front is the length less the neck depth: 110 - 10 = 100 cm.
    expect(front).to_contain_text(both(1000, "cm"))
    page.get_by_role("link", name="Cloth", exact=True).click()
    expect(bought).not_to_have_text(before)

    page.get_by_role("link", name="Shots", exact=True).click()
    form = page.locator("#new-shot-form")
    form.get_by_label("Title").fill("The hem, close")
    form.get_by_label("Narration").fill("Half the hem is {Front.hem}, wide enough to stride in.")
    form.get_by_role("button", name="Add the shot").click()
    page.get_by_role("link", name="The hem, close", exact=True).click()
    expect(page.locator(".shot.is-open", has_text="The hem, close")).to_contain_text(
        f"Half the hem is {both(340, 'cm')}, wide enough"
    )

    text = _companion(page, tmp_path)
    assert "Harbour Smock" in text
    for mm in (1360.0, 1100.0):  # girth all round = 104 + 32 cm; length
        cm, inch = both(mm, "cm").split(" (")
        assert cm in text
        assert inch.rstrip(")") in text


def test_the_later_save_of_two_tabs_is_told(page: Page, address: str) -> None:
    brief = f"{address}/episodes/small-wardrobe-3/brief"
    page.goto(brief)
    other = page.context.new_page()
    other.goto(brief)
    other.get_by_label("Who the video is for").fill("Beginners")
    other.get_by_label("Who the video is for").blur()
    expect(other.locator(".saving")).to_have_text("Saved")
    page.get_by_label("Channel").fill("Another name")
    page.get_by_label("Channel").blur()
    expect(page.locator("#elsewhere")).to_contain_text("changed in another tab")
    expect(page.locator(".saving")).to_contain_text("Saved. The plan was changed elsewhere, too")
    expect(page.get_by_label("Who the video is for")).to_have_value("Beginners")
    page.reload()
    expect(page.get_by_label("Channel")).to_have_value("Another name")
    expect(page.get_by_label("Who the video is for")).to_have_value("Beginners")


def test_two_people_choose_which_of_two_titles_should_stand(
    browser: Browser, page: Page, address: str
) -> None:
    """Each in a browser of their own; neither's title is written over without their word."""
    brief = f"{address}/episodes/small-wardrobe-3/brief"
    page.goto(brief)
    others = browser.new_context()
    other = others.new_page()
    other.goto(brief)
    other.get_by_label("Title").fill("Theirs")
    other.get_by_label("Title").blur()
    expect(other.locator(".saving")).to_have_text("Saved")
    title, saving = page.get_by_label("Title"), page.locator(".saving")

    title.fill("Mine")
    title.blur()
    both = page.locator("#title-other")
    expect(both).to_contain_text("The plan has now: Theirs")
    expect(title).to_have_value("Mine")

    page.get_by_label("Channel").fill("Another name")  # by the way: it makes no choice
    page.get_by_label("Channel").blur()
    expect(page.locator("#channel-waits")).to_contain_text("choose at “Title” first")
    other.reload()
    expect(other.get_by_label("Title")).to_have_value("Theirs")
    page.locator("#body-hip").fill("99 cm")  # of another form, which is saved
    page.locator("#body-hip").blur()
    expect(saving).to_have_text("Saved")
    expect(title).to_have_value("Mine")

    with page.expect_response("**/brief?edition=*") as kept:
        both.get_by_role("button", name="Keep the plan’s").click()
    assert kept.value.ok
    expect(title).to_have_value("Theirs")
    expect(both).to_have_count(0)
    other.reload()
    expect(other.get_by_label("Channel")).to_have_value("Another name")
    expect(other.get_by_label("Title")).to_have_value("Theirs")

    page.get_by_label("Series").fill("Large Wardrobe")
    with page.expect_response("**/brief?edition=*"):
        page.get_by_label("Series").blur()
    other.get_by_label("Title").fill("Theirs again")
    other.get_by_label("Title").blur()
    expect(other.locator(".saving")).to_contain_text("Saved. The plan was changed elsewhere, too")
    page.reload()
    expect(title).to_have_value("Theirs again")
    expect(page.get_by_label("Series")).to_have_value("Large Wardrobe")
    others.close()


def test_an_entry_queued_behind_a_refusal_is_refused_too(page: Page, address: str) -> None:
    brief = f"{address}/episodes/small-wardrobe-3/brief"
    page.goto(brief)
    other = page.context.new_page()
    other.goto(brief)
    other.get_by_label("Title").fill("From the other tab")
    other.get_by_label("Title").blur()
    expect(other.locator(".saving")).to_have_text("Saved")

    held: list[Route] = []
    saves = "**/brief?edition=*"

    def hold(route: Route) -> None:
        held.append(route)

    def let_go(number: int) -> None:
        while len(held) <= number:
            page.wait_for_timeout(20)
        held[number].continue_()

    page.route(saves, hold)
    page.get_by_label("Title").fill("Mine")
    with page.expect_request(saves):
        page.get_by_label("Series").fill("Mine, too")  # leaves the title, which is sent
    page.get_by_label("Series").blur()  # the first is still on its way: this one waits its turn
    with page.expect_request(saves):
        let_go(0)
    expect(page.locator("#main")).to_contain_text("changed in another tab")
    with page.expect_response(saves) as second:
        let_go(1)
    assert second.value.status >= 400
    expect(page.locator("#main")).to_contain_text("changed in another tab")
    other.reload()
    expect(other.get_by_label("Title")).to_have_value("From the other tab")
    expect(page.get_by_label("Series")).to_have_value("Mine, too")


def test_a_refused_entry_stays_while_another_form_is_saved(page: Page, address: str) -> None:
    page.goto(f"{address}/episodes/small-wardrobe-3/brief")
    hip = page.locator("#body-hip")
    hip.fill("abc")
    hip.blur()
    expect(page.locator("#body-hip-error")).to_be_visible()
    page.get_by_label("Who the video is for").fill("Beginners")
    page.get_by_label("Who the video is for").blur()
    expect(page.locator(".saving")).to_have_text("Saved")
    expect(hip).to_have_value("abc")
    expect(page.locator("#body-hip-error")).to_be_visible()
    hip.fill("99 cm")
    hip.blur()
    expect(page.locator("#body-hip-error")).to_have_count(0)
    expect(hip).to_have_value("99 cm")


def test_a_second_click_never_takes_out_the_next_row(page: Page, address: str) -> None:
    page.goto(f"{address}/episodes/small-wardrobe-3/shopping")
    rows = page.locator("section[aria-labelledby=notions] details")
    before = rows.count()
    rows.first.locator("summary").click()
    rows.first.get_by_role("button", name="Take out").dblclick()
    expect(rows).to_have_count(before - 1)
    page.wait_for_timeout(1000)
    page.reload()
    expect(rows).to_have_count(before - 1)


def test_without_script_every_page_reads_and_forms_have_a_button(
    browser: Browser, address: str
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    base = f"{address}/episodes/small-wardrobe-3"
    for path in ("draft", "sizes", "worksheet", "cloth", "shopping", "build", "shots", "companion",
                 "pattern", "call-sheets", "files", "threads"):  # fmt: skip
        page.goto(f"{base}/{path}")
        expect(page.locator("h1")).to_be_visible()
    page.goto(f"{base}/brief")
    page.get_by_label("Channel").fill("Written without script")
    page.locator("#brief-form").get_by_role("button", name="Save").click()
    expect(page.get_by_label("Channel")).to_have_value("Written without script")
    context.close()
