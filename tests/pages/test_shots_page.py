"""The shots page: lines that open in place, which of them are shown, and what an edit sends."""

import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.pages.wording import called
from webapp.plan.shortening import shortenings

Send = Callable[..., str]
IN_PART = {"hx-request": "true"}
SAME = r'<li id="shot-([^"]+)" data-same></li>'
SENT = r'<li class="shot[^>]* id="shot-([^"]+)"'


@pytest.fixture
def shots(smock: str) -> str:
    return f"/episodes/{smock}/shots"


def _ids(house: House, smock: str) -> list[str]:
    return [shot.id for shot in house.store.get(smock).shots]


def _edition(house: House, smock: str) -> dict[str, int]:
    return {"edition": house.store.edition(smock)}


@pytest.fixture
def send(client: TestClient, house: House, smock: str) -> Send:
    """Sends a form of the page as it is shown now, by htmx; further headers last."""

    def sent(address: str, data: dict[str, str], headers: dict[str, str] | None = None) -> str:
        edition = _edition(house, smock)
        told = {**IN_PART, **(headers or {})}
        return client.post(address, params=edition, data=data, headers=told).text

    return sent


def test_every_shot_is_a_line_and_one_is_opened(
    client: TestClient, shots: str, house: House, smock: str
) -> None:
    ids = _ids(house, smock)
    whole = client.get(f"{shots}?edit={ids[3]}").text
    assert re.findall(SENT, whole) == ids
    assert re.findall(r'<form [^>]*id="edit-([^"]+)"', whole) == [ids[3]]
    alone = client.get(f"{shots}/{ids[3]}", headers=IN_PART).text
    assert re.findall(SENT, alone) == [ids[3]] and "<main" not in alone
    assert f'id="edit-{ids[3]}"' in alone
    closed = client.get(f"{shots}/{ids[3]}?closed=yes", headers=IN_PART).text
    assert f'id="edit-{ids[3]}"' not in closed
    plain = client.get(f"{shots}/{ids[3]}", follow_redirects=False)
    assert plain.headers["location"] == f"{shots}?edit={ids[3]}#shot-{ids[3]}"
    assert client.get(f"{shots}/none", headers=IN_PART).status_code == 404


def test_figures_to_quote_are_as_viewers_see_them_whatever_she_reads_first(
    client: TestClient, shots: str, house: House, smock: str
) -> None:
    hem = house.plan(smock).figures_mm["front.hem"]
    client.cookies.set("first_unit", "in")
    text = client.get(shots).text
    assert f"<td>{{front.hem}}</td><td>{called(hem, 'Front.hem', 'cm')}</td>" in text
    assert called(hem, "Front.hem", "in") not in text


def test_an_edit_sends_only_the_lines_it_changed(
    client: TestClient, send: Send, shots: str, house: House, smock: str
) -> None:
    """What is left out is exactly what looks as before."""
    ids = _ids(house, smock)
    before = client.get(shots).text
    answer = send(f"{shots}/{ids[3]}", {"narration": "Other words."})
    after = client.get(shots).text
    same, sent = re.findall(SAME, answer), re.findall(SENT, answer)
    assert sorted([*same, *sent]) == sorted(ids) and sent == [ids[3]]
    for one in same:
        assert _line(before, one) == _line(after, one)
    assert len(answer) * 2 < len(after)


def _line(page: str, shot: str) -> str:
    start = page.index(f'id="shot-{shot}"')
    return page[start : page.index("</li>", start)]


def test_a_shot_at_another_place_sends_the_next_one_too(
    client: TestClient, send: Send, shots: str, house: House, smock: str
) -> None:
    """It was filmed from there as well, and now the camera has to be brought."""
    every = house.store.get(smock).shots
    at, after = next((a, b) for a, b in pairwise(every) if a.place == b.place)
    client.get(shots)
    answer = send(f"{shots}/{at.id}", {"place": "On the roof"})
    assert set(re.findall(SENT, answer)) == {at.id, after.id}


def test_nothing_is_left_out_where_the_page_may_be_of_old(
    client: TestClient, shots: str, house: House, smock: str
) -> None:
    ids = _ids(house, smock)
    edition = _edition(house, smock)
    data = {"narration": "Other words."}
    without = client.post(f"{shots}/{ids[3]}", data=data, headers=IN_PART)
    assert without.status_code == 200 and "data-same" not in without.text
    for late, status in (({"narration": "Other."}, 422), ({"title": "Other"}, 200)):
        outdated = client.post(f"{shots}/{ids[3]}", params=edition, data=late, headers=IN_PART)
        assert outdated.status_code == status
        assert "data-same" not in outdated.text and re.findall(SENT, outdated.text) == ids


def test_what_is_open_stays_open(send: Send, shots: str, house: House, smock: str) -> None:
    ids = _ids(house, smock)
    answer = send(
        f"{shots}/{ids[3]}",
        {"place": "On the roof"},
        {"open-rows": f"{ids[3]} {ids[4]} none"},
    )
    assert set(re.findall(r'<form [^>]*id="edit-([^"]+)"', answer)) == {ids[3], ids[4]}


def test_the_tick_at_a_line_marks_a_shot_as_filmed_and_takes_it_back(
    client: TestClient, send: Send, shots: str, house: House, smock: str
) -> None:
    base, one = f"/episodes/{smock}", _ids(house, smock)[0]
    client.get(shots)
    answer = send(f"{base}/filmed", {"shots": one, "day": "2027-01-04"})
    assert (
        f'id="tick-{one}" name="shots" value="{one}" form="tick-to-film" aria-pressed="true"'
        in answer
    )
    assert len(re.findall(SAME, answer)) == len(_ids(house, smock)) - 1
    assert re.findall(SENT, client.get(f"{shots}?only=filmed").text) == [one]
    client.post(f"{base}/to-film", data={"shots": one})
    assert house.store.get(smock).shots[0].filmed is None
    assert house.store.standing(smock).undo == "shot 1 to be filmed"
    assert client.post(f"{base}/to-film", data={"shots": "none"}).status_code in (404, 422)


def test_the_lines_are_asked_for_by_place_and_step(
    client: TestClient, shots: str, house: House, smock: str
) -> None:
    every = house.store.get(smock).shots
    place, step = every[0].place, next(shot.step for shot in every if shot.step)
    at_place = client.get(shots, params={"place": place}).text
    assert re.findall(SENT, at_place) == [shot.id for shot in every if shot.place == place]
    of_step = client.get(shots, params={"of": step}).text
    assert re.findall(SENT, of_step) == [shot.id for shot in every if shot.step == step]
    of_none = client.get(shots, params={"of": "-"}).text
    assert re.findall(SENT, of_none) == [shot.id for shot in every if not shot.step]
    assert "data-handle" not in at_place  # places between lines that are not shown
    assert "No shot is like that" in client.get(shots, params={"place": "Nowhere"}).text
    assert re.findall(SENT, client.get(f"{shots}?only=odd").text) == [shot.id for shot in every]


def test_what_was_asked_for_holds_while_the_page_is_edited(
    client: TestClient, send: Send, shots: str, house: House, smock: str
) -> None:
    every = house.store.get(smock).shots
    place = every[0].place
    answer = send(
        f"{shots}/{every[0].id}",
        {"narration": "Other words."},
        {"hx-current-url": f"http://testserver{shots}?place={place}"},
    )
    shown = [*re.findall(SAME, answer), *re.findall(SENT, answer)]
    assert sorted(shown) == sorted(shot.id for shot in every if shot.place == place)
    plain = client.post(
        f"{shots}/{every[0].id}",
        data={"narration": "More words."},
        headers={"referer": f"http://testserver{shots}?only=to-film"},
        follow_redirects=False,
    )
    assert plain.headers["location"] == f"{shots}?only=to-film"


def test_a_shot_is_put_in_another_place(client: TestClient, house: House, smock: str) -> None:
    ids = _ids(house, smock)
    where = f"/episodes/{smock}/shot-order"
    client.post(where, data={"row": ids[0], "place": "3"})
    assert _ids(house, smock) == [ids[1], ids[2], ids[0], *ids[3:]]
    client.post(where, data={"row": ids[0], "place": "1"})
    assert _ids(house, smock) == ids
    for row, place in ((ids[0], "0"), (ids[0], str(len(ids) + 1)), ("none", "1"), (ids[0], "x")):
        assert client.post(where, data={"row": row, "place": place}).status_code in (404, 422)
    assert _ids(house, smock) == ids


def test_an_opened_shot_is_left_out_in_the_words_and_ways_of_the_running_time(
    client: TestClient, send: Send, shots: str, house: House, smock: str
) -> None:
    offered = {one.args[0]: one for one in shortenings(house.plan(smock)) if one.act == "leave out"}
    stays, leaves = _ids(house, smock)[0], next(iter(offered))
    assert "Leave out" not in client.get(f"{shots}/{stays}", headers=IN_PART).text
    assert offered[leaves].words in client.get(f"{shots}/{leaves}", headers=IN_PART).text
    before = house.store.get(smock)
    there = client.post(
        f"/episodes/{smock}/running-time/act", data={"act": "leave out", "arg": leaves}
    )
    assert there.status_code == 303
    words, without = house.store.standing(smock).undo, house.store.get(smock)
    house.store.undo(smock)
    assert house.store.get(smock) == before
    assert f'id="shot-{leaves}"' not in send(f"{shots}/{leaves}/leave-out", {})
    assert house.store.get(smock) == without
    assert house.store.standing(smock).undo == words
    for kept in (stays, "none"):
        assert client.post(f"{shots}/{kept}/leave-out").status_code == 422
    assert house.store.get(smock) == without
