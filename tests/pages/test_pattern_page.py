"""The pattern page: both ways of printing it, and what is chosen for them."""

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import empty_leaves_at_once
from webapp.pages.house import House
from webapp.pages.pattern_sheets import PatternView
from webapp.pages.prints import Printing
from webapp.plan.edits import changed
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


def _ways(client: TestClient, address: str) -> dict[str, Printing]:
    return {way.kind: way.printing for way in _view(client, address).ways}


def test_pages_and_sheet_are_made_and_looked_at_each_by_itself(
    client: TestClient, pattern: str
) -> None:
    answer = client.post(f"{pattern}/print", data={"kind": "pattern-sheet"})
    assert answer.headers["location"] == f"{pattern}#pattern-sheet"
    ways = _ways(client, f"{pattern}?large=2")
    assert ways["pattern-sheet"].is_current
    assert ways["pattern-sheet"].shown == 2
    assert ways["pattern-a4"].file is None
    client.post(f"{pattern}/print", data={"kind": "pattern-a4"})
    ways = _ways(client, pattern)
    assert ways["pattern-a4"].is_current
    assert ways["pattern-letter"].file is None
    file = client.get(f"{pattern}/pattern.pdf?kind=pattern-sheet")
    assert (
        'filename="lighthouse-smock-pattern-sheet-84.1cm.pdf"'
        in file.headers["content-disposition"]
    )


def test_other_paper_is_another_file_and_the_first_is_not_lost(
    client: TestClient, pattern: str
) -> None:
    client.post(f"{pattern}/print", data={"kind": "pattern-a4"})
    companion = pattern.replace("/pattern", "/companion")
    client.post(f"{companion}/choices", data={"paper": "letter"})
    ways = _ways(client, pattern)
    assert list(ways) == ["pattern-letter", "pattern-a4", "pattern-sheet"]
    assert ways["pattern-a4"].is_current
    client.post(f"{pattern}/print", data={"kind": "pattern-letter"})
    ways = _ways(client, pattern)
    assert ways["pattern-letter"].is_current and ways["pattern-a4"].is_current
    assert 'name="paper"' not in client.get(pattern).text


def test_a_large_sheet_tells_its_size_in_both_units(client: TestClient, pattern: str) -> None:
    client.post(f"{pattern}/print", data={"kind": "pattern-sheet"})
    page = client.get(pattern).text
    # ISO 216: A4, of which the test's sheets are, is 210 × 297 mm
    assert "3 sheets, 21 × 29.7 cm (8 1/4 × 11 3/4 in), " in page
    client.post(f"{pattern}/choices", data={"roll_width": "wide"})
    assert "A bare number is in centimetres" in page


def test_a_draft_says_so_beside_its_download(client: TestClient, pattern: str) -> None:
    client.post(f"{pattern}/print", data={"kind": "pattern-a4"})
    assert "This one says “Draft of edition 1”." in client.get(pattern).text
    companion = pattern.replace("/pattern", "/companion")
    client.post(f"{companion}/edition", data={"number": "1"})
    client.post(f"{pattern}/print", data={"kind": "pattern-a4"})
    assert "This one says" not in client.get(pattern).text


def test_in_one_size_it_says_where_sizes_are_added(
    client: TestClient, pattern: str, smock: str, house: House
) -> None:
    assert '/sizes">Add sizes</a>' not in client.get(pattern).text
    house.store.change(smock, "one size", lambda e: changed(e, sizes=()))
    assert f'<a href="/episodes/{smock}/sizes">Add sizes</a>' in client.get(pattern).text


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
    assert "There is no piece yet" in page
