"""The call sheets: for one shoot day or for all, and what is to do before there is one."""

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import empty_leaves_at_once
from webapp.pages.call_sheets import CallSheetsView
from webapp.pages.house import House
from webapp.plan.edits import changed


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    empty_leaves_at_once(monkeypatch)


@pytest.fixture
def sheets(smock: str) -> str:
    return f"/episodes/{smock}/call-sheets"


def _view(client: TestClient, address: str) -> CallSheetsView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, CallSheetsView)
    return view


def test_a_day_has_a_sheet_of_its_own(
    client: TestClient, sheets: str, smock: str, house: House
) -> None:
    first, *_ = (one.day for one in house.store.get(smock).shoot_days)
    assert client.get(sheets).text.count(f"?day={first}") == 1
    assert f"{sheets}?day={first}" in client.get(f"/episodes/{smock}/days").text
    answer = client.post(f"{sheets}/print", data={"day": str(first)})
    assert answer.headers["location"] == f"{sheets}?day={first}#printed"
    view = _view(client, f"{sheets}?day={first}")
    assert view.printing.is_current
    assert view.printing.order.file_name == f"lighthouse-smock-call-sheet-{first}-a4.pdf"
    assert _view(client, sheets).printing.file is None
    assert client.get(f"{sheets}/call-sheet.pdf").status_code == 303
    assert client.get(f"{sheets}/call-sheet.pdf?day={first}").status_code == 200


def test_a_choice_of_paper_stays_with_the_day_shown(
    client: TestClient, sheets: str, smock: str, house: House
) -> None:
    first, *_ = (one.day for one in house.store.get(smock).shoot_days)
    answer = client.post(f"{sheets}/choices", data={"paper": "letter", "day": str(first)})
    assert answer.headers["location"] == f"{sheets}?day={first}#choices"
    assert house.store.get(smock).print_choices.paper == "letter"


@pytest.mark.parametrize("day", ["2001-01-01", "some day", "\x00"])
def test_a_day_that_is_not_there_means_every_day(client: TestClient, sheets: str, day: str) -> None:
    answer = client.post(f"{sheets}/print", data={"day": day})
    assert answer.status_code == 303


def test_no_threads_keep_her_own_sheet_back(
    client: TestClient, sheets: str, smock: str, house: House
) -> None:
    house.store.change(
        smock, "a broken draft", lambda e: changed(e, body=changed(e.body, measures={}))
    )
    assert "would mislead" not in client.get(sheets).text


def test_without_a_day_it_says_where_to_plan_one(client: TestClient, empty: str) -> None:
    page = client.get(f"/episodes/{empty}/call-sheets").text
    assert "There is no shoot day yet." in page
    assert f'href="/episodes/{empty}/days"' in page


def test_a_day_without_shots_says_so(
    client: TestClient, sheets: str, smock: str, house: House
) -> None:
    house.store.change(
        smock,
        "nothing planned",
        lambda e: changed(e, shoot_days=tuple(changed(day, shots=()) for day in e.shoot_days)),
    )
    assert "No shots are on a shoot day yet." in client.get(sheets).text
