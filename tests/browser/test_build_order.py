"""The build order in a real browser: steps are drawn into order, moved by keys, and refused."""

from playwright.sync_api import Browser, Page, Route, expect

BUILD = "/episodes/small-wardrobe-3/build"


def _order(page: Page) -> list[str]:
    found: list[str] = page.eval_on_selector_all(
        ".entries [data-row]", "rows => rows.map(row => row.id.slice('step-'.length))"
    )
    return found


def _draw(page: Page, handle: str, to: str) -> None:
    """Draw a row by its handle to where another one stands."""
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


def test_a_step_is_drawn_to_its_place(page: Page, address: str) -> None:
    page.goto(f"{address}{BUILD}")
    before = _order(page)
    _draw(page, "#step-pocket-hems-handle", "#step-deepen-neck")
    expect(page.locator(".saving")).to_have_text("Saved")
    after = _order(page)
    assert after.index("pocket-hems") == before.index("deepen-neck")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".saving")).to_have_text("Undone, and saved")
    assert _order(page) == before


def test_a_step_drawn_before_its_time_stays_and_is_told_why(page: Page, address: str) -> None:
    page.goto(f"{address}{BUILD}")
    before = _order(page)
    _draw(page, "#step-bind-neck-handle", "#step-cut-neck")
    reason = "“Bind the neck” stands before “Cut the neck binding”, which it waits on."
    told = page.locator("#step-bind-neck").get_by_role("alert")
    expect(told).to_have_text(reason)
    expect(told).to_be_in_viewport()
    assert _order(page) == before


def test_a_step_is_moved_by_the_arrow_keys_and_keeps_the_keyboard(page: Page, address: str) -> None:
    page.goto(f"{address}{BUILD}")
    before = _order(page)
    handle = page.locator("#step-pocket-hems-handle")
    handle.focus()
    for _ in range(3):
        page.keyboard.press("ArrowUp")
    place = before.index("pocket-hems") + 1 - 3
    told = page.locator("[role=status]", has_text=f"Hem the pocket mouths: place {place}")
    expect(told).to_have_count(1)
    expect(page.locator("#step-deepen-neck")).to_have_class("entry step drop-before")
    expect(page.locator(".saving")).to_have_text("Saved")  # one save for all three
    assert _order(page).index("pocket-hems") == before.index("pocket-hems") - 3
    expect(handle).to_be_focused()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Escape")  # thinks better of it
    expect(page.locator(".drop-before, .drop-after")).to_have_count(0)
    page.locator("#opened-pocket-hems summary").first.focus()
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Change Hem the pocket mouths").focus()
    page.keyboard.press("Alt+ArrowDown")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.entries [data-row]')]"
        ".findIndex(row => row.id === 'step-pocket-hems') === 9"
    )
    expect(page.get_by_role("link", name="Change Hem the pocket mouths")).to_be_visible()


def test_keys_pressed_while_the_page_is_renewed_are_not_lost(page: Page, address: str) -> None:
    page.goto(f"{address}{BUILD}")
    at = _order(page).index("pocket-hems")
    page.locator("#step-pocket-hems-handle").focus()

    def slowly(route: Route) -> None:
        page.wait_for_timeout(600)
        route.continue_()

    page.route("**/place*", slowly)
    page.keyboard.press("ArrowUp")
    page.wait_for_timeout(700)  # it is on its way
    page.keyboard.press("ArrowUp")
    page.wait_for_function(
        "at => [...document.querySelectorAll('.entries [data-row]')]"
        ".findIndex(row => row.id === 'step-pocket-hems') === at",
        arg=at - 2,
    )


def test_a_finger_draws_a_step_too(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.goto(f"{address}{BUILD}")
    before = _order(page)
    handle = page.locator("#step-pocket-hems-handle")
    handle.scroll_into_view_if_needed()
    start, end = handle.bounding_box(), page.locator("#step-cut-binding").bounding_box()
    assert start
    assert end
    client = context.new_cdp_session(page)
    x, y = start["x"] + 10, start["y"] + 15

    def touch(kind: str, *points: float) -> None:
        where = [{"x": points[0], "y": points[1]}] if points else []
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": where})

    touch("touchStart", x, y)
    for step in range(1, 11):
        touch("touchMove", x, y + (end["y"] + 2 - y) * step / 10)
    touch("touchEnd")
    expect(page.locator(".saving")).to_have_text("Saved")
    assert _order(page).index("pocket-hems") == before.index("cut-binding")
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0
    context.close()


def test_without_script_steps_go_earlier_and_later(browser: Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}{BUILD}")
    expect(page.locator("#step-pocket-hems-handle")).to_be_hidden()
    before = _order(page)
    page.locator("#step-pocket-hems summary").first.click()
    page.locator("#step-pocket-hems").get_by_role("button", name="Earlier").click()
    assert _order(page).index("pocket-hems") == before.index("pocket-hems") - 1
    page.locator("#step-chalk summary").first.click()
    page.locator("#step-chalk").get_by_role("button", name="Earlier").click()
    expect(page.get_by_role("alert")).to_have_text(
        "“Chalk the pieces” stands before “Press the cloth and square its end”, which it waits on."
    )
    context.close()


def test_one_more_tie_is_chosen_and_untied(page: Page, address: str) -> None:
    page.goto(f"{address}{BUILD}?edit=cuffs")
    page.get_by_label("Also after").select_option("Bind the neck")
    tie = page.locator("#step-after .tie", has_text="Bind the neck")
    expect(tie).to_be_visible()
    expect(page.get_by_label("Also after")).to_have_value("")
    tie.click()
    expect(tie).to_have_count(0)
    expect(page.locator("#step-cuffs")).to_contain_text("Waits on “Neaten the long seams”.")
