"""The draft in a real browser: a piece drawn from nothing, edges chosen on it, figures offered."""

import re

import pytest
from playwright.sync_api import Page, expect

from webapp.units import both

DRAFT = "/episodes/small-wardrobe-3/draft?garment=lighthouse-smock"


def _open_move(page: Page, number: int) -> None:
    page.locator(f"#move-{number} summary").click()


def test_a_piece_is_drawn_from_a_shape_and_moves(page: Page, address: str) -> None:
    page.goto(f"{address}{DRAFT}")
    page.locator("#new-piece > summary").click()
    page.locator("#new-piece-name-5").fill("Yoke")
    page.get_by_role("button", name="Add the piece").click()
    page.get_by_role("button", name="Rectangle", exact=True).click()
    page.locator("#add-width").fill("30 cm")
    page.locator("#add-length").fill("20 cm")
    page.get_by_role("button", name="Add the move").click()
    drawing = page.locator("figure.drawing")
    expect(drawing).to_contain_text(both(300, "cm"))
    page.locator("#next-move summary").click()
    page.get_by_role("button", name="Taper", exact=True).click()
    page.locator("#add-by").fill("2 cm")
    page.locator('[data-line="right side"]').click(force=True)
    expect(page.locator("#add-edge")).to_have_value("right side")
    page.get_by_role("button", name="Add the move").click()
    # 30 cm less 2 cm at the hem.
    expect(drawing).to_contain_text(both(280, "cm"))


def test_an_edge_chosen_on_the_drawing_goes_to_the_open_move(page: Page, address: str) -> None:
    page.goto(f"{address}{DRAFT}&piece=Pocket")
    page.locator("#next-move summary").click()
    page.get_by_role("button", name="Slope", exact=True).click()
    expect(page.locator("#add-form")).to_be_visible()
    page.locator('[data-line="left side"]').click(force=True)
    expect(page.locator("#add-edge")).to_have_value("left side")
    page.locator("#add-end").focus()
    page.locator('[data-line="foot"]').click(force=True)
    expect(page.locator("#add-end")).to_have_value("foot")
    expect(page.locator("#add-edge")).to_have_value("left side")


def test_figures_are_offered_while_one_is_typed(page: Page, address: str) -> None:
    page.goto(f"{address}{DRAFT}&piece=Back")
    _open_move(page, 0)
    width = page.locator("#move-0-width")
    width.fill("")
    width.press_sequentially("bust / 4 + fro")
    offered = page.locator("#figure-offer li")
    expect(offered.first).to_be_visible()
    names = offered.all_inner_texts()
    assert all("fro" in name.lower() for name in names)
    width.press("ArrowDown")
    width.press("Enter")
    expect(width).to_have_value(f"bust / 4 + {names[0]}")
    width.press_sequentially(" + bu")
    width.press("Escape")
    expect(offered).to_have_count(0)


def test_a_refused_figure_stays_at_its_move_and_the_old_drawing_is_marked(
    page: Page, address: str
) -> None:
    page.goto(f"{address}{DRAFT}&piece=Front")
    _open_move(page, 1)
    width = page.locator("#move-1-width")
    width.fill("90 cm")
    width.blur()
    expect(page.locator("#move-1")).to_contain_text("wider than")
    expect(page.locator("figure.drawing.old")).to_contain_text("As it was before")
    expect(width).to_have_value("90 cm")
    width.fill("12 cm")
    width.blur()
    expect(page.locator("figure.drawing.old")).to_have_count(0)


@pytest.mark.parametrize("width", [390, 1280])
def test_a_piece_does_not_scroll_sideways(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{address}{DRAFT}&piece=Front")
    for number in range(4):
        _open_move(page, number)
    overflow = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert overflow <= 0


def test_the_loose_threads_are_counted_again_after_an_edit(page: Page, address: str) -> None:
    page.goto(f"{address}{DRAFT}")
    count = page.locator(".tape-threads .count")
    expect(count).to_have_text("0")
    neck = page.get_by_label("Neck half width")
    neck.fill("7 cm")  # a head does not pass
    neck.blur()
    expect(page.locator(".saving")).to_have_text("Saved")
    expect(count).to_have_text(re.compile(r"^[1-9]\d*$"))
    page.get_by_role("button", name="Undo").click()
    expect(count).to_have_text("0")
