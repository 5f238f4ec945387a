"""The build order page: steps drawn into order, refusals, rests, ties, and the scale of times."""

import html
import re

import pytest
from starlette.testclient import TestClient

from webapp.pages.build_order import BuildView, hours
from webapp.pages.build_view import BAR, time_scale
from webapp.pages.house import House
from webapp.plan.step_edits import step_of

IN_PART = {"HX-Request": "true"}


@pytest.fixture
def steps(smock: str) -> str:
    """The address of the steps."""
    return f"/episodes/{smock}/build/steps"


def _order(house: House, episode: str) -> list[str]:
    return [row.step.id for row in house.plan(episode).steps]


def _view(client: TestClient, episode: str, query: str = "") -> BuildView:
    view: BuildView = client.get(f"/episodes/{episode}/build{query}").context["view"]
    return view


def test_a_step_is_put_to_its_place(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    before = _order(house, smock)
    answer = client.post(f"{steps}/pocket-hems/place", data={"place": "6"})
    assert answer.status_code == 303
    assert answer.headers["location"].endswith("/build#step-pocket-hems")
    after = _order(house, smock)
    assert after[5] == "pocket-hems"
    assert [s for s in after if s != "pocket-hems"] == [s for s in before if s != "pocket-hems"]


def test_an_order_that_cannot_be_built_is_refused_where_the_step_stands(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    before = _order(house, smock)
    answer = client.post(f"{steps}/bind-neck/place", data={"place": "2"}, headers=IN_PART)
    assert answer.status_code == 422
    told = html.unescape(answer.text)
    assert "“Bind the neck” stands before “Cut the neck binding”, which it waits on." in told
    assert told.count('role="alert"') == 1
    assert _order(house, smock) == before
    assert house.store.standing(smock).undo is None


def test_what_a_refusal_offers_is_done_with_its_button(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    answer = client.post(f"{steps}/pockets/place", data={"place": "3"}, headers=IN_PART)
    refused = answer.context["view"].refused
    assert (refused.beside, refused.side) == ("Hem the pocket mouths", "after")
    assert refused.nearest is None
    assert refused.carried[-1] == "Hem the pocket mouths"
    assert html.unescape(answer.text).count("so that it stands at place") == 1
    sent = {"place": "3", "along": "yes"}
    assert client.post(f"{steps}/pockets/place", data=sent, headers=IN_PART).status_code == 200
    assert _order(house, smock).index("pockets") == refused.with_them - 1


@pytest.mark.parametrize("place", ["", "0", "-1", "last", "1e3", "99999", "٣"])
def test_a_place_that_is_none_is_told(
    client: TestClient, smock: str, steps: str, house: House, place: str
) -> None:
    before = _order(house, smock)
    answer = client.post(f"{steps}/hem/place", data={"place": place}, headers=IN_PART)
    assert answer.status_code == 422
    assert "Say to which place" in answer.text
    assert _order(house, smock) == before


def test_a_place_on_a_page_out_of_date_is_told_and_changes_nothing(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    edition = house.store.edition(smock)
    client.post(f"{steps}/pocket-hems/place?edition={edition}", data={"place": "6"})
    before = _order(house, smock)
    late = client.post(
        f"{steps}/pocket-hems/place?edition={edition}", data={"place": "5"}, headers=IN_PART
    )
    assert late.status_code == 422
    assert _order(house, smock) == before


def test_a_row_says_where_its_step_can_stand(client: TestClient, smock: str, house: House) -> None:
    view = _view(client, smock)
    order = _order(house, smock)
    row = view.by_id["pocket-hems"]
    assert row.first == order.index("cut-pieces") + 2
    assert row.last == order.index("pockets")
    assert {run.garment for run in view.runs} == {"Lighthouse Smock", "Tube cowl"}
    assert view.runs[1].begins == len(view.runs[0].rows) + 1


# --- Rests -----------------------------------------------------------------------------------


def test_a_rest_is_typed_told_and_counted_in_the_whole(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    for step in ("wash", "hang"):
        client.post(f"{steps}/{step}", data={"rest_hours": ""})
    assert not _view(client, smock).idle
    saved = client.post(f"{steps}/hang", data={"rest_hours": "24 h"}, headers=IN_PART)
    assert saved.status_code == 200
    assert step_of(house.store.get(smock), "hang").rest_hours == 24
    view = _view(client, smock)
    (idle,) = view.idle
    assert (idle.step.id, idle.rests.id) == ("hem", "hang")
    assert idle.minutes == 24 * 60
    assert "cowl-cut" in {one.id for one in idle.meanwhile}
    assert view.graph.chain_rest_minutes == 24 * 60
    told = html.unescape(client.get(f"/episodes/{smock}/build").text)
    assert "Before “Hem the smock” you wait 24 h, until “Hang it overnight” has rested." in told
    assert "Rests 24 h before what comes after it." in told


@pytest.mark.parametrize(
    ("typed", "found"), [("", 0), ("24", 24), ("1,5", 1.5), ("0.5 h", 0.5), ("240 hours", 240)]
)
def test_hours_are_read_as_people_type_them(typed: str, found: float) -> None:
    assert hours(typed) == found


@pytest.mark.parametrize("typed", ["a day", "-1", "1e3", "1.2.3", "241", "9" * 30, "²"])
def test_hours_that_are_none_are_told_beside_their_field(
    client: TestClient, smock: str, steps: str, house: House, typed: str
) -> None:
    before = step_of(house.store.get(smock), "hang")
    answer = client.post(f"{steps}/hang", data={"rest_hours": typed}, headers=IN_PART)
    assert answer.status_code == 422
    assert "rest_hours" in answer.context["view"].answers.errors
    assert f'value="{typed}"' in answer.text
    assert step_of(house.store.get(smock), "hang") == before


# --- What a step must come after -------------------------------------------------------------


def test_a_step_is_tied_to_one_more_and_let_loose_again(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    client.post(f"{steps}/cuffs", data={"also_after": "bind-neck"})
    assert step_of(house.store.get(smock), "cuffs").after == ("finish-seams", "bind-neck")
    client.post(f"{steps}/cuffs", data={"after": ["", "bind-neck"]})
    assert step_of(house.store.get(smock), "cuffs").after == ("bind-neck",)


def test_offered_is_only_what_can_be_waited_on_and_is_not_yet(
    client: TestClient, smock: str
) -> None:
    ties = _view(client, smock, "?edit=bind-neck").ties
    assert ties is not None
    assert [one.id for one in ties.direct] == ["cut-binding"]
    assert "cut-pieces" in {one.id for one in ties.through}
    offered = {name for _, steps in ties.offered for name, _ in steps}
    assert "pockets" in offered
    assert "cowl-cut" in offered
    assert not offered & {"bind-neck", "hem", "last-press", "cut-binding", "cut-pieces"}


def test_a_tie_to_what_waits_on_the_step_is_told_as_a_circle(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    answer = client.post(f"{steps}/bind-neck", data={"also_after": "hem"}, headers=IN_PART)
    assert answer.status_code == 422
    assert "which waits on" in answer.text
    assert step_of(house.store.get(smock), "bind-neck").after == ("cut-binding",)
    answer = client.post(f"{steps}/bind-neck", data={"also_after": "moon"}, headers=IN_PART)
    assert answer.status_code == 422


# --- Off camera ------------------------------------------------------------------------------


def test_long_hand_work_is_divided_with_one_click_and_put_together_with_undo(
    client: TestClient, smock: str, steps: str, house: House
) -> None:
    page = html.unescape(client.get(f"/episodes/{smock}/build").text)
    assert "<strong>Bind the neck</strong>: film the first 10\u00a0cm (4\u00a0in) of" in page
    assert "<strong>Chalk the pieces</strong>: film the first line, do" in page
    assert "<strong>Press it one last time</strong>: film the first seam, do" in page
    answer = client.post(f"{steps}/bind-neck/rest-off-camera", headers=IN_PART)
    assert answer.status_code == 200
    order = _order(house, smock)
    assert order[order.index("bind-neck") + 1] == "bind-neck-rest"
    form = html.unescape(client.get(f"/episodes/{smock}/build?edit=bind-neck").text)
    assert re.search(r"Sew by hand \([a-z ]+\), the first 10 cm \(4 in\): ", form)
    again = client.post(f"{steps}/bind-neck/rest-off-camera", headers=IN_PART)
    assert again.status_code == 422
    client.post(f"/episodes/{smock}/undo", data={"page": "build"})
    assert "bind-neck-rest" not in _order(house, smock)


# --- The scale of the bars -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("longest", "told"),
    [
        (0, ("0", "1 min")),
        (4.2, ("0", "1", "2", "3", "4", "5 min")),
        (47, ("0", "10", "20", "30", "40", "50 min")),
        (60, ("0", "10", "20", "30", "40", "50", "60 min")),
        (200, ("0", "1", "2", "3", "4 h")),
        (6000, ("0", "24", "48", "72", "96", "120 h")),
    ],
)
def test_every_bar_lies_on_the_same_scale(longest: float, told: tuple[str, ...]) -> None:
    scale = time_scale(longest)
    assert tuple(words for _, words in scale.marks) == told
    assert scale.marks[-1][0] == pytest.approx(BAR)
    assert scale.at(longest) <= BAR
    assert len(scale.ticks) == 5 * (len(told) - 1) + 1
