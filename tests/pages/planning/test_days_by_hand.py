"""Shots moved by hand on the page of shoot days, what is filmed, and the rest of a day."""

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from tests.pages.planning.reading import FIRST, IN_PART, SECOND, ended, shots_of
from webapp.pages.days_view import DaysView
from webapp.pages.house import House
from webapp.pages.shoot_days import job_key
from webapp.plan.day_edits import with_shots_on
from webapp.plan.day_moves import told_cost, wrong_way_round


def test_a_shot_goes_to_another_day_and_its_cost_is_told(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.plan(smock)
    answer = client.post(
        f"{days}/{FIRST}/shots/intro/place",
        data={"list": SECOND.isoformat(), "place": "1"},
        headers=IN_PART,
    )
    assert shots_of(house, smock)[1] == ("intro",)
    view: DaysView = answer.context["view"]
    assert view.move_told == told_cost(before, house.plan(smock))
    assert "more of changing over" in view.move_told
    assert view.move_told in answer.text


@pytest.mark.parametrize(
    ("form", "typed"), [("place", {"place": "2"}), ("move", {"way": "earlier"})]
)
def test_an_order_that_cannot_be_built_is_refused_with_the_reason(
    client: TestClient, days: str, smock: str, house: House, form: str, typed: dict[str, str]
) -> None:
    before = shots_of(house, smock)
    answer = client.post(f"{days}/{FIRST}/shots/cut-before/{form}", data=typed, headers=IN_PART)
    assert answer.status_code == 422
    assert "would stand before shot" in answer.text
    assert "which it waits on. So it stays where it was." in answer.text
    assert shots_of(house, smock) == before


def test_a_shot_goes_to_the_end_of_another_day_by_its_date(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{FIRST}/shots/cut-front/move", data={"way": SECOND.isoformat()})
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": SECOND.isoformat()})
    assert shots_of(house, smock)[1] == ("cut-front", "intro")
    answer = client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": "up"}, headers=IN_PART)
    assert answer.status_code == 422


def test_no_place_is_told(client: TestClient, days: str, smock: str, house: House) -> None:
    before = shots_of(house, smock)
    for typed in ({}, {"place": "first"}, {"place": "1", "list": "some day"}):
        answer = client.post(f"{days}/{FIRST}/shots/intro/place", data=typed, headers=IN_PART)
        assert answer.status_code == 422
    assert shots_of(house, smock) == before


def test_a_shot_filmed_today_lets_the_rest_go_on_from_now(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{FIRST}/shots/intro/filmed")
    episode = house.store.get(smock)
    filmed = next(shot.filmed for shot in episode.shots if shot.id == "intro")
    assert filmed is not None
    assert filmed.day == FIRST
    assert episode.shoot_days[0].goes_on_at == "13:10"
    assert house.plan(smock).days[0].to_film[0].begins.likely == 13 * 60 + 10
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": "to film"})
    assert all(shot.filmed is None for shot in house.store.get(smock).shots)


def test_all_of_a_day_is_filmed_with_one_click(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": "filmed"})
    assert len([shot for shot in house.store.get(smock).shots if shot.filmed]) == 1
    client.post(f"{days}/{FIRST}/filmed")
    assert [shot.filmed.day for shot in house.store.get(smock).shots if shot.filmed] == [FIRST] * 5
    assert "All of it is filmed." in client.get(days).text
    answer = client.post(f"{days}/{FIRST}/filmed", headers=IN_PART)
    assert answer.status_code == 422
    assert "No shot of this day is left to film." in answer.text


def test_what_is_filmed_ahead_of_its_day_was_filmed_today(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{FIRST}/shots/intro/place", data={"list": str(SECOND), "place": "1"})
    client.post(f"{days}/{SECOND}/shots/intro/filmed")
    filmed = next(shot.filmed for shot in house.store.get(smock).shots if shot.id == "intro")
    assert filmed is not None
    assert filmed.day == FIRST
    assert house.store.get(smock).shoot_days[1].goes_on_at is None


def test_a_day_that_is_filmed_in_part_asks_when_the_rest_begins(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    house.store.change(smock, "two days", lambda e: with_shots_on(e, SECOND, ["cut-front"]))
    house.store.change(smock, "two days", lambda e: with_shots_on(e, SECOND, ["intro"]))
    asked = "Some of this day is filmed and some is not: say at what time it goes on"
    assert asked not in client.get(days).text
    client.post(f"{days}/{SECOND}/shots/intro/filmed")
    assert client.get(days).text.count(asked) == 1
    empty = client.post(f"{days}/{SECOND}/when", data={"goes_on_at": ""}, headers=IN_PART)
    late = client.post(f"{days}/{SECOND}/when", data={"goes_on_at": "18:00"}, headers=IN_PART)
    assert (empty.status_code, late.status_code) == (422, 422)
    assert 'id="day-2027-01-05-when-at-error"' in late.text
    client.post(f"{days}/{SECOND}/when", data={"goes_on_at": "14:00"})
    assert house.store.get(smock).shoot_days[1].goes_on_at == "14:00"
    assert asked not in client.get(days).text


def test_the_rest_of_a_day_is_planned_from_now_on(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{SECOND}/delete")  # or all of it would be filmed then: cloth rests
    client.post(f"{days}/{FIRST}/shots/intro/filmed")
    page = client.get(days).text
    assert "Plan the rest from then on" in page
    assert 'value="13:10"' in page
    client.post(f"{days}/{FIRST}/go-on", data={"goes_on_at": "13:30"})
    assert ended(house, smock).state == "done"
    assert house.store.get(smock).shoot_days[0].goes_on_at == "13:30"
    first = house.plan(smock).days[0]
    assert len(first.to_film) == 4
    assert first.to_film[0].begins.likely == 13 * 60 + 30


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("", "Write a time of the day"), ("soon", "Write a time"), ("21:30", "The day ends at 21:00")],
)
def test_a_time_that_cannot_go_on_is_told_and_nothing_is_planned(
    client: TestClient, days: str, smock: str, house: House, typed: str, sentence: str
) -> None:
    answer = client.post(f"{days}/{FIRST}/go-on", data={"goes_on_at": typed}, headers=IN_PART)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert house.jobs.get(job_key(smock)) is None


def test_what_was_moved_by_hand_is_told_against_the_plan(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/search")
    assert ended(house, smock).state == "done"
    to = FIRST if "intro" in shots_of(house, smock)[1] else SECOND
    client.post(f"{days}/{FIRST}/shots/intro/place", data={"list": str(to), "place": "1"})
    assert "1 shot was moved by hand since the days were planned" in client.get(days).text
    client.post(f"{days}/{FIRST}", data={"ends": "20:00"})
    assert "The hours of the days were changed since" in client.get(days).text


def test_what_stands_the_wrong_way_round_is_one_message_with_the_act_that_mends_it(
    client: TestClient, smock: str, house: House
) -> None:
    """The demo's second day a week later: 136 pairs of shots, on two days."""
    days = f"/episodes/{smock}/days"
    second, third = (day.day for day in house.store.get(smock).shoot_days[1:3])
    later = second + timedelta(days=7)
    page = client.post(f"{days}/{second}", data={"day": f"{later}"}, headers=IN_PART).text
    wrong = wrong_way_round(house.plan(smock))
    assert len(wrong) == 2
    assert page.count(f"<strong>{wrong[0].told_all}.</strong>") == 1
    card = page.split(f'id="day-{third}"')[1].split("</section>")[0]
    (box,) = re.findall(r'<div class="note-box bad">(.*?)</div>', card, re.DOTALL)
    shown, fold = box.split("<details")
    assert shown.count("<p>") == 1 + len(wrong[0].few)
    assert fold.count("<p>") == len(wrong[0].more) > 0
    assert f'action="{days}/search' in box


def test_a_day_that_is_moved_stays_open_and_says_where_it_has_gone(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    third = SECOND.replace(day=7).isoformat()
    house.store.change(smock, "one later", lambda e: with_shots_on(e, SECOND, ("cut-front",)))
    answer = client.post(f"{days}/{FIRST}", data={"day": third}, headers=IN_PART)
    view: DaysView = answer.context["view"]
    assert view.day_told == (
        "This day is Thursday, 7 January 2027 now: day 2 of 2. "
        "On 5 January 2027, 1 shot stands the wrong way round."
    )
    assert f'id="day-{third}-hours" open' in answer.text
    assert answer.text.count(view.day_told) == 1
    answer = client.post(f"{days}/{third}", data={"day": third}, headers=IN_PART)
    assert 'id="day-moved"' not in answer.text
    answer = client.post(f"{days}/{third}", data={"day": f"{FIRST}"}, follow_redirects=False)
    assert answer.headers["location"] == f"{days}#day-{FIRST}-form"  # without script
