"""The companion page: which edition is out, what changed since, and numbering the next."""

import re
from datetime import date

import pytest
from starlette.testclient import TestClient

from webapp.handouts.companion import companion_html
from webapp.pages import companion as page
from webapp.pages.companion import CompanionView
from webapp.pages.house import House
from webapp.plan.editions import edition_state
from webapp.plan.edits import with_choice

IN_PART = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def on_that_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page, "today", lambda: date(2027, 1, 12))


@pytest.fixture
def companion(smock: str) -> str:
    return f"/episodes/{smock}/companion"


def _text(client: TestClient, address: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", client.get(address).text))


def _view(client: TestClient, address: str) -> CompanionView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, CompanionView)
    return view


def _longer(house: House, smock: str, length: str) -> None:
    house.store.change(
        smock, "longer", lambda e: with_choice(e, "lighthouse-smock", "smock length", length)
    )


def test_the_first_edition_is_numbered_and_can_be_undone(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    assert "No edition is numbered yet." in _text(client, companion)
    assert "Number it edition 1" in _text(client, companion)
    answer = client.post(f"{companion}/edition", data={"number": "1"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"{companion}#edition")
    (edition,) = house.store.get(smock).editions
    assert (edition.number, edition.day) == (1, date(2027, 1, 12))
    text = _text(client, companion)
    assert "Edition 1 went out on 12 January 2027. No figure has changed since." in text
    assert "number it" not in text
    assert house.store.standing(smock).undo == "edition 1 of the companion numbered"
    client.post(f"/episodes/{smock}/undo", data={"page": "companion"})
    assert house.store.get(smock).editions == ()
    client.post(f"/episodes/{smock}/redo", data={"page": "companion"})
    assert house.store.get(smock).editions == (edition,)


def test_what_changed_since_is_listed_and_the_next_is_numbered(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    client.post(f"{companion}/edition", data={"number": "1"})
    _longer(house, smock, "74 cm")
    view, text = _view(client, companion), _text(client, companion)
    assert f"Edition 1 went out on 12 January 2027. {view.changed} figures have changed" in text
    assert view.changed > 5
    assert "Front length 72 cm (28 3/8 in) 74 cm (29 1/8 in)" in text
    assert "Edition 2 tells viewers what changed." in text
    answer = client.post(f"{companion}/edition", data={"number": "2"}, headers=IN_PART)
    assert answer.status_code == 200
    assert [one.number for one in house.store.get(smock).editions] == [1, 2]
    assert "Changed since edition 1" in _text(client, companion)
    assert "Changed since edition 1" in companion_html(house.printed_plan(smock))


def test_numbering_what_is_numbered_is_refused_in_words(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    client.post(f"{companion}/edition", data={"number": "1"})
    answer = client.post(f"{companion}/edition", data={"number": "1"})
    assert answer.status_code == 422
    assert "shows what edition 1 shows, so no new edition is needed" in answer.text
    other = client.post(f"{companion}/edition", data={"number": "2"})
    assert other.status_code == 422
    assert "The sheet is edition 1 now, so nothing was numbered." in other.text
    assert len(house.store.get(smock).editions) == 1


def test_a_page_that_is_out_of_date_numbers_nothing(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    seen = house.store.edition(smock)
    _longer(house, smock, "74 cm")
    answer = client.post(f"{companion}/edition?edition={seen}", data={"number": "1"})
    assert answer.status_code == 422
    assert "changed in another tab" in answer.text
    assert house.store.get(smock).editions == ()


def test_an_empty_episode_has_no_edition_to_number(client: TestClient, empty: str) -> None:
    assert "number it" not in _text(client, f"/episodes/{empty}/companion")
    answer = client.post(f"/episodes/{empty}/companion/edition", data={"number": "1"})
    assert answer.status_code == 422
    assert "so there is no edition to number" in answer.text


def test_the_sheet_of_another_size_is_of_the_same_edition(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    client.post(f"{companion}/edition", data={"number": "1"})
    _longer(house, smock, "74 cm")
    size = house.store.get(smock).sizes[-1].name
    client.post(f"{companion}/choices", data={"drawn_for": size})
    state = edition_state(house.plan(smock))
    assert "Draft of edition 2" in companion_html(house.printed_plan(smock), edition=state)
    view = _view(client, companion)
    assert view.size == size
    assert all(one.sizes == () for one in view.shown if one.kind == "cut")
