"""Shoot days in a real browser: planned, drawn from day to day, moved by keys, without script."""

from playwright.sync_api import Browser, Page, expect

DAYS = "/episodes/small-wardrobe-4/days"
FIRST, SECOND = "2027-01-29", "2027-01-31"


def _open(page: Page, *days: str) -> None:
    """See the timetables of these days, which stand open only for the next one to film."""
    for day in days:
        page.locator(f"#day-{day}-timetable:not([open]) > summary").click()


def _shots(page: Page, day: str) -> list[str]:
    found: list[str] = page.eval_on_selector_all(
        f"#day-{day} [data-row]", "rows => rows.map(row => row.id.split('-shot-')[1])"
    )
    return found


def _draw(page: Page, handle: str, to: str) -> None:
    """Draw a row by its handle to where another one stands."""
    page.locator(to).scroll_into_view_if_needed()
    page.locator(handle).scroll_into_view_if_needed()
    start, end = page.locator(handle).bounding_box(), page.locator(to).bounding_box()
    assert start
    assert end
    x = start["x"] + start["width"] / 2
    page.mouse.move(x, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(x, start["y"], steps=3)
    page.mouse.move(x, end["y"] + 2, steps=8)
    page.mouse.up()


def test_the_days_are_planned_and_taken_back(page: Page, address: str) -> None:
    page.goto(f"{address}{DAYS}")
    _open(page, SECOND)
    row = page.locator(f"#day-{SECOND}-shot-outro")
    row.locator("summary").click()
    row.get_by_role("button", name="Take off").click()
    expect(page.get_by_text("1 shot is on no day yet.")).to_be_visible()
    before = _shots(page, FIRST) + _shots(page, SECOND)
    page.get_by_role("button", name="Plan the days").click()
    looking = page.get_by_text("Looking for the order that wastes least.")
    expect(looking).to_be_visible(timeout=60_000)  # a job of its own begins first
    page.get_by_role("button", name="Stop, and take the best so far").click(timeout=60_000)
    expect(page.get_by_role("button", name="Plan the days again")).to_be_visible(timeout=60_000)
    expect(page.locator(".planned-told")).to_contain_text("in build order on as many days")
    assert sorted(_shots(page, FIRST) + _shots(page, SECOND)) == sorted([*before, "outro"])
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("1 shot is on no day yet.")).to_be_visible()
    assert _shots(page, FIRST) + _shots(page, SECOND) == before


def test_a_shot_is_drawn_to_another_place_and_its_cost_is_told(page: Page, address: str) -> None:
    page.goto(f"{address}{DAYS}")
    _open(page, SECOND)
    first, *_ = _shots(page, SECOND)
    _draw(page, f"#day-{SECOND}-shot-outro-handle", f"#day-{SECOND}-shot-{first}")
    told = page.locator(f"#day-{SECOND}-shot-outro .note-box")
    expect(told).to_contain_text("That ")
    assert _shots(page, SECOND)[0] == "outro"


def test_a_shot_goes_by_the_arrow_keys_into_the_next_day(page: Page, address: str) -> None:
    page.goto(f"{address}{DAYS}")
    last = _shots(page, FIRST)[-1]
    page.locator(f"#day-{FIRST}-shot-{last}-handle").focus()
    page.keyboard.press("ArrowDown")
    expect(page.locator("[role=status]", has_text="on 31 January 2027")).to_have_count(1)
    moved = page.locator(f"#day-{SECOND}-shot-{last}")
    expect(moved).to_be_visible()
    assert _shots(page, SECOND)[0] == last


def test_an_order_that_cannot_be_built_is_refused_where_it_was_tried(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{DAYS}")
    before = _shots(page, FIRST)
    row = page.locator(f"#day-{FIRST}-shot-cut-arc")
    at = before.index("cut-arc")
    row.locator("[data-handle]").focus()
    for _ in range(at):
        page.keyboard.press("ArrowUp")
    told = row.get_by_role("alert")
    expect(told).to_contain_text("So it stays where it was.")
    expect(told).to_be_in_viewport()
    assert _shots(page, FIRST) == before


def test_it_works_without_script(browser: Browser, address: str) -> None:
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.goto(f"{address}{DAYS}")
    _open(plain, SECOND)
    row = plain.locator(f"#day-{SECOND}-shot-outro")
    row.locator("summary").click()
    row.get_by_role("button", name="To 29 January 2027").click()
    expect(plain.locator(f"#day-{FIRST}-shot-outro")).to_be_visible()
    day = plain.locator(f"#day-{SECOND}")
    day.get_by_text("Hours, light, breaks and noise").click()
    day.get_by_label("Noise from").fill("11:00")
    day.get_by_label("To", exact=True).fill("11:30")
    day.get_by_role("button", name="Add the noise").click()
    assert "noise" in (plain.locator(".strip-key").text_content() or "")
    plain.context.close()


def test_the_page_fits_a_phone(page: Page, address: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{address}{DAYS}")
    for summary in page.locator("#day-2027-01-29 > details > summary").all():
        summary.click()
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0


def test_on_paper_every_timetable_is_unfolded_and_nothing_is_to_press(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{DAYS}")
    page.emulate_media(media="print", color_scheme="dark")
    for rows in page.locator(".timetable").all():
        expect(rows.locator(".tt-title").first).to_be_visible()
    expect(page.locator("main button:visible")).to_have_count(0)
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"


def test_a_day_whose_date_is_typed_is_followed_to_where_it_goes(page: Page, address: str) -> None:
    """Typed by keys, of which the browser tells one by one; then she goes on with its hours."""
    page.goto(f"{address}{DAYS}")
    page.locator(f"#day-{FIRST}-hours > summary").click()
    page.locator(f"#day-{FIRST}-day").focus()
    page.keyboard.type("02052027")
    expect(page.locator(f"#day-{FIRST}-day")).to_have_value("2027-02-05")
    page.locator(f"#day-{FIRST}-starts").focus()
    told = page.get_by_text("This day is Friday, 5 February 2027 now: day 2 of 2.")
    expect(told).to_be_in_viewport()
    starts = page.locator("#day-2027-02-05-starts")
    expect(starts).to_be_focused()
    expect(starts).to_be_in_viewport()
    days = page.locator(".shoot-day")
    expect(days).to_have_count(2)
    page.keyboard.type("1015AM")
    page.locator("#day-2027-02-05-ends").focus()
    expect(days.last.locator("h2")).to_contain_text("10:15")
    expect(page.locator("#day-2027-02-05-ends")).to_be_visible()
    page.locator("#undo").click()
    expect(days.last.locator("h2")).not_to_contain_text("10:15")  # one change, not one a key


def test_a_time_being_typed_is_saved_whatever_form_is_sent_meanwhile(
    page: Page, address: str
) -> None:
    """As when a lost entry of another form is sent again."""
    page.goto(f"{address}{DAYS}")
    page.locator(f"#day-{FIRST}-hours > summary").click()
    page.locator(f"#day-{FIRST}-starts").focus()
    page.keyboard.type("1015AM")
    page.evaluate("document.getElementById('day-all-form').requestSubmit()")
    expect(page.locator(".saving")).to_have_text("Saved")
    page.locator(f"#day-{FIRST}-ends").focus()
    expect(page.locator("#undo")).to_be_enabled()
    page.reload()
    expect(page.locator(f"#day-{FIRST}-starts")).to_have_value("10:15")


def test_a_time_is_saved_by_enter_too(page: Page, address: str) -> None:
    page.goto(f"{address}{DAYS}")
    page.locator(f"#day-{FIRST}-hours > summary").click()
    starts, title = page.locator(f"#day-{FIRST}-starts"), page.locator(".shoot-day h2").first
    starts.focus()
    page.keyboard.type("1015AM")
    page.keyboard.press("Enter")
    expect(title).to_contain_text("10:15")
    expect(starts).to_be_focused()


def test_the_days_are_planned_again_where_they_stand_the_wrong_way_round(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{DAYS}")
    page.locator(f"#day-{FIRST}-hours > summary").click()
    page.locator(f"#day-{FIRST}-day").fill("2027-02-05")
    wrong = page.locator(f"#day-{SECOND} .note-box", has_text="the wrong way round")
    expect(wrong).to_have_count(1)
    wrong.get_by_role("button", name="Plan the days").click()
    expect(page.locator("#planning-title")).to_be_in_viewport()
    expect(page.locator("#planning-now")).to_contain_text("Looking for", timeout=60_000)
    page.get_by_role("button", name="Stop, and leave the days as they are").click()


# What is drawn with an outline: one of several bars would be framed from the first to the last.
_OUTLINES = """() => [...document.querySelectorAll(".day-strip *")]
  .filter((one) => getComputedStyle(one).outlineStyle !== "none").map((one) => one.outerHTML)"""


def test_each_break_has_a_frame_of_its_own_in_the_drawing(page: Page, address: str) -> None:
    page.goto(f"{address}{DAYS}")
    drawing = page.locator(f"#day-{FIRST} svg.strip-wide")
    frame = drawing.locator(".break")
    expect(frame).to_have_count(1)
    own = page.locator(f"#day-{FIRST}-hours")
    own.locator("> summary").click()
    add = own.locator("form[id*=new-break]")
    add.locator("[name=at]").fill("10:30")
    add.locator("[name=minutes]").fill("15")
    add.get_by_role("button", name="Add the break").click()
    expect(own.locator("[aria-label=Breaks] > li")).to_have_count(4)
    assert (frame.get_attribute("d") or "").count("z") == 2
    assert page.evaluate(_OUTLINES) == []


def test_signs_and_minutes_stay_whole_on_a_narrow_screen(page: Page, address: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{address}/episodes/small-wardrobe-3/days")
    torn, close = page.evaluate(
        """() => {
          const rows = [...document.querySelectorAll(".tt-day[open] .tt-what")];
          const lines = (one) => one.getClientRects().length;
          const whole = rows.flatMap((row) => [
            ...row.querySelectorAll("summary > .muted, .sign"),
            ...row.parentElement.parentElement.querySelectorAll(".tt-minutes"),
          ]);
          const signs = rows.map((row) => [...row.querySelectorAll(".sign")]);
          const boxes = signs.map((row) => row.map((one) => one.getBoundingClientRect()));
          const close = boxes.flatMap((row) => row.slice(1).filter((box, at) =>
            box.top === row[at].top && box.left - row[at].right < 4));
          const torn = whole.filter((one) => lines(one) > 1);
          return [torn.map((one) => one.textContent), close.length];
        }"""
    )
    assert (torn, close) == ([], 0)
    assert page.locator(".tt-day[open] .sign", has_text="camera must be rolling").count() > 0
