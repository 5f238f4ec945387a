"""A seam that no longer meets is told on the pages of its pieces, with what mends it."""

import pytest
from starlette.testclient import TestClient

from tests.plan import test_mends
from webapp.pages.draft_loose import loose_here
from webapp.pages.house import House
from webapp.pages.places import address

GARMENT = "lighthouse-smock"


def _at(smock: str, piece: str = "") -> str:
    return f"/episodes/{smock}/draft?garment={GARMENT}" + (f"&piece={piece}" if piece else "")


@pytest.fixture
def apart(house: House, smock: str) -> str:
    house.store.change(smock, "longer", test_mends.CASES["ease in"])
    return smock


@pytest.mark.parametrize("piece", ["", "Front", "Back", "Sleeve"])
def test_a_seam_that_does_not_meet_is_told_where_its_pieces_are(
    client: TestClient, apart: str, piece: str
) -> None:
    """By hand: the front is 2 cm longer below the arm, the sleeve's edges are as they were."""
    text = client.get(_at(apart, piece)).text
    assert "2\u00a0cm (13/16\u00a0in) of the first is left over." in text  # never broken
    assert ">Ease or gather in 2 cm (13/16 in)</button>" in text
    assert ("Go to Back" in text) is (piece != "Back")


def test_a_piece_without_part_in_it_says_nothing(client: TestClient, apart: str) -> None:
    assert "left over" not in client.get(_at(apart, "Pocket")).text


def test_the_thread_leads_to_where_it_is_told_and_mended(
    client: TestClient, house: House, apart: str
) -> None:
    plan = house.plan(apart)
    (row,) = loose_here(plan, plan.drafts[0])
    where, _ = address(plan, row.thread.place)
    assert where.partition("#")[2] == row.id
    text = client.get(where).text
    assert text.count(f'id="{row.id}"') == 1 and row.links[-1][0].partition("#")[2] in text


def test_it_is_mended_on_the_page_of_the_piece(
    client: TestClient, house: House, apart: str
) -> None:
    plan = house.plan(apart)
    (mend,) = loose_here(plan, plan.drafts[0], "Front")[0].mends
    sent = {"act": mend.act, "arg": mend.args, "garment": GARMENT, "piece": "Front"}
    answer = client.post(f"/episodes/{apart}/threads/mend", data=sent)
    assert answer.status_code == 303
    assert answer.headers["location"] == _at(apart, "Front")
    assert "left over" not in client.get(_at(apart, "Front")).text
    assert not [t for t in house.plan(apart).loose_threads if t.place.part == "seam"]


def test_hems_that_meet_are_told_on_both_pieces(
    client: TestClient, house: House, smock: str
) -> None:
    house.store.change(smock, "deeper", test_mends.CASES["hem alike"])
    for piece in ("Front", "Back"):
        text = client.get(_at(smock, piece)).text
        assert ">Finish Back as Front is</button>" in text
        assert ">Finish Front as Back is</button>" in text


def test_the_draft_says_that_viewers_have_an_older_one(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/companion/edition", data={"number": "1"})
    here = f"/episodes/{smock}/draft"
    assert "is out and figures of it have changed" not in client.get(here).text
    house.store.change(smock, "longer", test_mends.CASES["ease in"])
    told = "Edition 1 of the companion is out and figures of it have changed since"
    assert told in client.get(here).text
    assert told in client.get(f"{here}/outdated").text
