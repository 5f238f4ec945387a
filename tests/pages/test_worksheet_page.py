"""The worksheet: in a size with its figures, blank with formulas, and printed."""

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import empty_leaves_at_once
from webapp.pages.house import House
from webapp.pages.wording import unbroken
from webapp.pages.worksheet import WorksheetView
from webapp.units import both


def _view(client: TestClient, address: str) -> WorksheetView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, WorksheetView)
    return view


def test_the_worksheet_of_a_size_has_its_figures(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet")
    assert answer.status_code == 200
    # The demo's body: (98 + 26) / 4 + 4 = 35 cm is half the panel before the underarm is cut in.
    assert f"Draw a rectangle {unbroken(both(350, 'cm'))} wide" in answer.text
    assert "<svg" in answer.text
    assert "half" in answer.text


def test_the_blank_worksheet_has_formulas_and_room(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet?blank=true")
    assert "Draw a rectangle <strong>A</strong> wide" in answer.text
    assert "the larger of your bust and your hip" in answer.text
    assert '<td class="fill"></td>' in answer.text
    assert "<svg" not in answer.text.split("<main")[1]


def test_it_shows_the_unit_first_that_is_printed_first(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/worksheet/choices", data={"first_unit": "in"})
    shown = client.get(f"/episodes/{smock}/worksheet").text
    assert f"Draw a rectangle {unbroken(both(350, 'in'))} wide" in shown


def test_the_companion_points_to_the_worksheet(client: TestClient, smock: str) -> None:
    assert f"/episodes/{smock}/worksheet" in client.get(f"/episodes/{smock}/companion").text


def test_without_a_garment_it_says_where_to_begin(client: TestClient, empty: str) -> None:
    assert "There is no garment yet" in client.get(f"/episodes/{empty}/worksheet").text


def test_the_draft_page_points_to_the_worksheet(client: TestClient, smock: str) -> None:
    assert f"/episodes/{smock}/worksheet" in client.get(f"/episodes/{smock}/draft").text


def test_it_is_printed_in_the_size_asked_for(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    empty_leaves_at_once(monkeypatch)
    size = house.store.get(smock).sizes[-1].name
    base = f"/episodes/{smock}/worksheet"
    answer = client.post(f"{base}/print", data={"size": size.lower(), "blank": ""})
    assert answer.headers["location"] == f"{base}?size={size}#printed"
    assert _view(client, f"{base}?size={size}").printing.order.size == size
    file = client.get(f"{base}/worksheet.pdf?size={size}")
    name = f"lighthouse-smock-worksheet-{size.lower()}-a4.pdf"
    assert name in file.headers["content-disposition"]


def test_each_size_and_the_blank_one_are_files_of_their_own(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    empty_leaves_at_once(monkeypatch)
    base = f"/episodes/{smock}/worksheet"
    client.post(f"{base}/print", data={"size": "M", "blank": "true"})
    blank = _view(client, f"{base}?size=M&blank=true").printing
    assert blank.is_current
    assert blank.order.file_name == "lighthouse-smock-worksheet-blank-a4.pdf"
    assert _view(client, f"{base}?size=M").printing.file is None


@pytest.mark.parametrize("query", ["size=9XL", "blank=perhaps", "size=" + "x" * 200])
def test_an_unknown_size_is_said(client: TestClient, smock: str, query: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet/worksheet.pdf?{query}")
    assert answer.status_code in (404, 422)
    assert "Back to the episodes" in answer.text
