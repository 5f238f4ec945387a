"""Shots that are ticked as filmed on pages out of date: what was decided since stays decided."""

from datetime import date

import pytest
from starlette.testclient import TestClient

from tests.pages.planning.reading import IN_PART
from webapp.filming.shots import Shot
from webapp.pages.house import House

pytestmark = pytest.mark.usefixtures("database")

SHOT = "measures"


def shot(house: House, smock: str, id: str = SHOT) -> Shot:
    return next(one for one in house.store.get(smock).shots if one.id == id)


def left_to_film(house: House, smock: str) -> list[str]:
    return [one.id for one in house.store.get(smock).shots if one.filmed is None]


@pytest.mark.parametrize("several", [False, True])
def test_a_tick_that_was_taken_back_is_not_made_again_when_it_is_sent_once_more(
    client: TestClient, smock: str, house: House, several: bool
) -> None:
    """Its answer may have been lost."""
    base, edition = f"/episodes/{smock}", house.store.edition(smock)
    address, sent = f"{base}/shots/{SHOT}/filmed?edition={edition}", {}
    if several:
        address = f"{base}/filmed?edition={edition}"
        sent = {"shots": [SHOT, "intro"], "day": "2027-01-05"}
    assert client.post(address, data=sent).status_code == 303
    house.store.undo(smock)
    again = client.post(address, data=sent)
    assert again.status_code == 422
    assert "was taken back with Undo" in again.text
    assert 'class="other-version"' not in again.text
    assert shot(house, smock).filmed is None
    # It may be known no more what was taken back.
    client.post(f"{base}/brief?edition={edition + 2}", data={"title": "Theirs"})
    assert client.post(address, data=sent).status_code == 422
    assert shot(house, smock).filmed is None


@pytest.mark.parametrize("day", ["today", "2027-01-05"])
def test_a_tick_does_not_take_the_place_of_an_earlier_take_that_its_page_did_not_show(
    client: TestClient, smock: str, house: House, day: str
) -> None:
    base, edition = f"/episodes/{smock}", house.store.edition(smock)
    client.post(f"{base}/shots/{SHOT}/filmed?edition={edition}")
    client.post(f"{base}/shots/{SHOT}/to-film?edition={edition + 1}")
    before = shot(house, smock)
    assert before.earlier is not None
    on = str(date.today()) if day == "today" else day
    sent = {"shots": SHOT, "day": on, "at": "line"}
    late = client.post(f"{base}/filmed?edition={edition}", data=sent, headers=IN_PART)
    assert late.status_code == 422
    told = late.text.partition(f'id="shot-{SHOT}"')[2].partition("</li>")[0]
    assert ("was changed in another tab" if day == "today" else "is to be filmed again") in told
    assert shot(house, smock) == before
    assert client.post(f"{base}/filmed?edition={edition + 2}", data=sent).status_code == 303
    assert shot(house, smock).earlier is None


def test_a_tick_is_taken_beside_undo_and_redo_of_other_things(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}"
    for steps in ([house.store.undo], [house.store.undo, house.store.redo]):
        client.post(f"{base}/shots/{SHOT}", data={"narration": f"Other words {len(steps)}"})
        edition = house.store.edition(smock)
        for step in steps:
            assert step(smock)
        id = left_to_film(house, smock)[0]
        assert client.post(f"{base}/shots/{id}/filmed?edition={edition}").status_code == 303
        assert shot(house, smock, id).filmed is not None


def test_ticks_of_several_that_did_nothing_are_not_told_as_saved(
    client: TestClient, smock: str, house: House
) -> None:
    edition, address = house.store.edition(smock), f"/episodes/{smock}/filmed?edition="
    ids = left_to_film(house, smock)[:2]
    theirs = {"shots": ids, "day": "2027-01-07"}
    client.post(f"{address}{edition}", data=theirs)
    before = house.store.get(smock)
    late = client.post(f"{address}{edition}", data=theirs | {"day": "2027-01-05"})
    assert late.status_code == 422
    first, second = (shot(house, smock, id).title for id in ids)
    told = f"Shot “{first}” was ticked already: filmed on 7 January 2027. So was “{second}”."
    assert told in late.text
    assert 'value="2027-01-05"' in late.text
    assert house.store.get(smock) == before
    # Just what was meant is as it was meant, whoever did it.
    client.post(f"/episodes/{smock}/brief", data={"title": "Theirs"})
    assert client.post(f"{address}{edition}", data=theirs).status_code == 303


@pytest.mark.parametrize("act", ["filmed", "to-film"])
def test_a_line_that_names_no_shot_is_told(
    client: TestClient, smock: str, house: House, act: str
) -> None:
    before = house.store.get(smock)
    address = f"/episodes/{smock}/{act}?edition={house.store.edition(smock)}"
    assert client.post(address, data={"at": "line"}).status_code in (409, 422)
    assert house.store.get(smock) == before
