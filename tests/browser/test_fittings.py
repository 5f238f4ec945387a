"""A fitting in a real browser: written down, seen before it is cut, made the draft, taken back."""

from playwright.sync_api import Browser, Page, expect

from webapp.units import both_called

FITTINGS = "/episodes/small-wardrobe-3/fittings"
NEW = both_called("Front.neck depth", 110, "cm")
FITTED = "Second try-on"


def _write_down(page: Page, address: str, found: str = "It still pulls at the throat.") -> None:
    page.goto(f"{address}{FITTINGS}")
    form = page.locator("#new-fitting-form")
    form.get_by_label("Title").fill(FITTED)
    form.get_by_label("What you found").fill(found)
    form.get_by_role("button", name="Write it down").click()


def _deepen_the_neck(page: Page, figure: str) -> None:
    form = page.locator("#change-choice")
    form.get_by_label("Figure", exact=True).select_option("lighthouse-smock/front neck depth")
    form.get_by_label("New figure").fill(figure)
    form.get_by_role("button", name="Add this change").click()


def _old_and_new(page: Page, name: str) -> list[str]:
    row = page.locator(".compared tr").filter(has=page.get_by_role("rowheader", name=name))
    return row.first.locator("td").all_inner_texts()


def test_a_neck_is_deepened_compared_and_taken_back(page: Page, address: str) -> None:
    _write_down(page, address)
    opened = page.locator("#fitting-second-try-on")
    expect(opened.get_by_label("What you found")).to_have_value("It still pulls at the throat.")
    _deepen_the_neck(page, "11")
    expect(opened.get_by_text("Front neck depth: 9 cm").first).to_be_visible()
    expect(page.get_by_role("heading", name="What moves")).to_be_visible()
    _, moved = _old_and_new(page, "Neck depth")
    assert moved.replace("\u00a0", " ") == NEW
    opened.get_by_role("button", name="Make this the draft").click()
    expect(page.get_by_role("status").filter(has_text="is the draft now")).to_be_visible()
    page.get_by_role("link", name="Compare with the draft before it").first.click()
    expect(page.get_by_role("heading", name="Every figure that changed")).to_be_visible()
    expect(page.locator("figure.nested").first).to_contain_text(f"1: {FITTED}")
    assert _old_and_new(page, "Neck depth")[1].replace("\u00a0", " ") == NEW
    page.get_by_role("link", name="Fittings").last.click()
    revisions = page.locator(".revisions li")
    revisions.filter(has_text="First draft").get_by_role("button", name="Go back to this").click()
    expect(revisions.first).to_contain_text("2: Back to First draft")
    expect(revisions).to_have_count(3)
    page.goto(f"{address}{FITTINGS.replace('fittings', 'draft')}")
    expect(page.get_by_label("Front neck depth")).to_have_value("9 cm")


def test_a_fitting_that_cannot_be_cut_offers_no_draft(page: Page, address: str) -> None:
    _write_down(page, address)
    _deepen_the_neck(page, "2 m")
    expect(page.get_by_text("Kept as a note: it cannot be cut.")).to_be_visible()
    expect(page.get_by_role("button", name="Make this the draft")).to_have_count(0)
    page.get_by_role("button", name="Take out").press("Enter")
    expect(page.get_by_text("so far it is a note")).to_be_visible()
    # The button is gone; the keyboard stays where it stood.
    expect(page.locator("#fitting-second-try-on")).to_be_focused()


def test_a_move_is_added_to_a_piece(page: Page, address: str) -> None:
    _write_down(page, address)
    page.locator("#change-move > summary").click()
    page.get_by_label("Piece").select_option("lighthouse-smock/Pocket")
    page.get_by_label("Move", exact=True).select_option("taper")
    page.get_by_role("button", name="Go on").click()
    page.locator("#add-edge").select_option("left side")
    page.locator("#add-end").select_option("foot")
    page.locator("#add-by").fill("a bit")
    page.locator("#add-form").get_by_role("button").click()
    expect(page.locator("#add-by-error")).to_be_visible()
    expect(page.locator("#add-by")).to_have_value("a bit")
    page.locator("#add-by").fill("1 cm")
    page.locator("#add-form").get_by_role("button").click()
    expect(page.get_by_text("Pocket: taper added", exact=True).first).to_be_visible()


def test_it_is_all_done_without_script_and_on_a_phone(browser: Browser, address: str) -> None:
    size = {"width": 390, "height": 844}
    context = browser.new_context(java_script_enabled=False, viewport=size)  # type: ignore[arg-type]
    page = context.new_page()
    _write_down(page, address, "https://example.org/" + "fitting" * 30)
    _deepen_the_neck(page, "11 cm")
    page.get_by_role("button", name="Make this the draft").click()
    expect(page.get_by_role("status").filter(has_text="is the draft now")).to_be_visible()
    for path in (page.url, f"{address}{FITTINGS}", f"{address}{FITTINGS}/compare"):
        page.goto(path)
        expect(page.locator("h1")).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    context.close()
