"""The pattern page: both ways of printing it, and what is chosen for them."""

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import empty_leaves_at_once
from webapp.pages.pattern_sheets import PatternView
from webapp.pages.shell import House
from webapp.units import both


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    empty_leaves_at_once(monkeypatch)


@pytest.fixture
def pattern(smock: str) -> str:
    return f"/episodes/{smock}/pattern"


def _view(client: TestClient, address: str) -> PatternView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, PatternView)
    return view


def test_pages_and_sheet_are_made_and_looked_at_each_by_itself(
    client: TestClient, pattern: str
) -> None:
    answer = client.post(f"{pattern}/print", data={"kind": "pattern-sheet"})
    assert answer.headers["location"] == f"{pattern}#sheet"
    view = _view(client, f"{pattern}?large=2")
    assert view.sheet.is_current
    assert view.sheet.shown == 2
    assert view.tiled.file is None
    client.post(f"{pattern}/print", data={"kind": "pattern"})
    assert _view(client, pattern).tiled.is_current
    file = client.get(f"{pattern}/pattern.pdf?kind=pattern-sheet")
    assert 'filename="lighthouse-smock-pattern-sheet.pdf"' in file.headers["content-disposition"]


def test_other_paper_is_another_file_and_the_first_is_not_lost(
    client: TestClient, pattern: str
) -> None:
    client.post(f"{pattern}/print", data={"kind": "pattern"})
    client.post(f"{pattern}/choices", data={"paper": "letter"})
    view = _view(client, pattern)
    assert not view.tiled.is_current
    assert "On Letter pages, to stick together" in client.get(pattern).text
    client.post(f"{pattern}/choices", data={"paper": "a4"})
    assert _view(client, pattern).tiled.is_current  # a second look is there at once


@pytest.mark.parametrize(
    ("typed", "kept"), [("36 in", "36 in"), ("91,4", "91,4 cm"), ("", ""), (" 0.9 m ", "0.9 m")]
)
def test_the_width_of_a_roll_is_kept_as_typed(
    client: TestClient, pattern: str, smock: str, house: House, typed: str, kept: str
) -> None:
    assert client.post(f"{pattern}/choices", data={"roll_width": typed}).status_code == 303
    assert house.store.get(smock).print_choices.roll_width == kept


@pytest.mark.parametrize("typed", ["10 cm", "wide", "1e9", "3 m", "<b>"])
def test_a_width_that_no_shop_has_is_told_beside_the_field_and_not_lost(
    client: TestClient, pattern: str, smock: str, house: House, typed: str
) -> None:
    answer = client.post(f"{pattern}/choices", data={"roll_width": typed, "edges": "butt"})
    assert answer.status_code == 422
    assert 'id="print-roll-width-error"' in answer.text
    shown = answer.text.replace("&lt;", "<").replace("&gt;", ">")
    assert f'value="{typed}"' in shown
    choices = house.store.get(smock).print_choices
    assert (choices.roll_width, choices.edges) == ("", "overlap")


def test_one_size_or_all_ticked_ones_over_each_other(
    client: TestClient, pattern: str, smock: str, house: House
) -> None:
    assert 'name="sizes"' not in client.get(pattern).text
    client.post(f"{pattern}/choices", data={"nested": "yes"})
    assert house.store.get(smock).print_choices.nested is True
    shown = client.get(pattern).text
    assert 'name="sizes"' in shown
    assert 'name="drawn_for"' not in shown


def test_a_width_is_shown_in_both_units(client: TestClient, pattern: str) -> None:
    client.post(f"{pattern}/choices", data={"roll_width": "36 in"})
    first, second = both(914.4, "cm").split(" (")
    shown = client.get(pattern).text.replace("\u00a0", " ")
    assert f"= {first}" in shown
    assert second in shown


def test_without_pieces_it_says_where_to_begin(client: TestClient, empty: str) -> None:
    page = client.get(f"/episodes/{empty}/pattern").text
    assert "There are no pieces yet, so there is nothing to print." in page
