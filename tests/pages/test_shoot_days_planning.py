"""Planning the shoot days from their page: the search, its stops, moves by hand, what is filmed."""

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, datetime

import pytest
from starlette.testclient import TestClient

from webapp.filming.shoot_days import ShootDay, clock_of
from webapp.jobs import Job
from webapp.pages import day_search, shoot_days
from webapp.pages.days_view import DaysView
from webapp.pages.shell import House
from webapp.pages.shoot_days import job_key
from webapp.plan.day_edits import with_shots_on
from webapp.plan.day_moves import out_of_order, told_cost
from webapp.plan.day_planning import PlannedDays, planned_days, told_planned, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

IN_PART = {"HX-Request": "true"}
FIRST, SECOND = date(2027, 1, 4), date(2027, 1, 5)
NOW = datetime(2027, 1, 4, 13, 10)
_CIRCLE = ("chalk-front", "cut-front")  # shots of steps, the first of which comes first


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """It is ten past one on the first shoot day."""
    monkeypatch.setattr(shoot_days, "now", lambda: NOW)
    return iter(())


@pytest.fixture
def days(smock: str, house: House) -> str:
    """The address of the shoot days of a smock with two long ones, five shots on the first."""

    def edit(episode: Episode) -> Episode:
        shots = ("intro", "chalk-front", "chalk-arm", "cut-before", "cut-front")
        kept = tuple(shot for shot in episode.shots if shot.id in shots)
        return changed(
            episode,
            shots=kept,
            shoot_days=(
                ShootDay(day=FIRST, ends="21:00", shots=tuple(s.id for s in kept)),
                ShootDay(day=SECOND),
            ),
            planned_days=None,
        )

    house.store.change(smock, "a small one", edit)
    return f"/episodes/{smock}/days"


def _shots(house: House, smock: str) -> list[tuple[str, ...]]:
    return [day.shots for day in house.store.get(smock).shoot_days]


def _ended(house: House, smock: str) -> Job:
    for _ in range(800):
        job = house.jobs.get(job_key(smock))
        assert job is not None
        if not job.is_going_on:
            return job
        time.sleep(0.05)
    raise AssertionError("Planning did not end within 40 s.")


def test_planning_is_told_and_one_undo_takes_it_back(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    answer = client.post(f"{days}/search", headers=IN_PART)
    assert re.search(r"that wastes least\.</strong> \d+ % done\.", answer.text)
    assert 'hx-trigger="every 1s"' in answer.text
    job = _ended(house, smock)
    assert job.state == "done", job.error
    after = house.store.get(smock)
    assert after.planned_days is not None
    assert sorted(s for own in _shots(house, smock) for s in own) == sorted(
        s.id for s in after.shots
    )
    page = client.get(days)
    assert told_planned(after.planned_days) in page.text
    assert "every 1s" not in page.text
    assert house.store.undo_words(smock) == "the shoot days planned"
    client.post(f"/episodes/{smock}/undo")
    assert house.store.get(smock) == before


def test_a_search_that_is_stopped_leaves_the_days_as_they_are(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    client.post(f"{days}/search")
    answer = client.post(f"{days}/search/cancel", headers=IN_PART)
    assert "Plan the days" in answer.text
    assert "The search was stopped before its end." in answer.text
    assert _ended(house, smock).state == "cancelled"
    assert house.store.get(smock) == before


def test_the_best_so_far_can_be_taken(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = planned_days(house.plan(smock), seconds=0.2, first_day=FIRST)
    monkeypatch.setattr(house.jobs, "cancel", lambda _key, keep=None: keep and keep(found))
    answer = client.post(f"{days}/search/take", headers=IN_PART)
    assert answer.status_code == 200
    assert house.store.get(smock).planned_days is not None
    assert [own for own in _shots(house, smock) if own] == [
        day.shots for day in found.days if day.shots
    ]


@pytest.mark.usefixtures("days")
def test_what_the_search_reports_is_what_it_found_so_far(smock: str, house: House) -> None:
    told: list[tuple[str, object]] = []

    def report(words: str, so_far: object = None, /) -> None:
        told.append((words, so_far))

    found = day_search.search(report, house.store.get(smock), FIRST, False)
    assert all(words.startswith("Best so far: ") for words, _ in told)
    assert told[-1][1] is not None
    assert told[-1][1].days == found.days  # type: ignore[attr-defined]


def test_why_nothing_can_be_planned_is_said_and_the_days_stay(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shoot_days, "now", lambda: datetime(2027, 2, 1, 9, 0))
    before = house.store.get(smock)
    answer = client.post(f"{days}/search", headers=IN_PART)
    assert answer.status_code == 422
    told = r'<p class="error"[^>]*>No shoot day is left from 1 February 2027 on'
    assert len(re.findall(told, answer.text)) == 1
    assert client.get(days).text.count("No shoot day is left from 1 February 2027 on") == 1
    assert house.jobs.get(job_key(smock)) is None
    assert house.store.get(smock) == before


def test_a_shot_that_no_day_can_hold_is_told_before_planning(client: TestClient, days: str) -> None:
    client.post(f"{days}/{FIRST}", data={"starts": "20:55"})
    client.post(f"{days}/{SECOND}", data={"ends": "09:05"})
    assert "and the longest day has 5 min: give a day more hours." in client.get(days).text


def test_what_fits_on_no_day_is_told_with_the_reason_until_it_is_on_one(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{SECOND}/delete")
    for name in _shots(house, smock)[0]:
        client.post(f"{days}/{FIRST}/shots/{name}/move", data={"way": "off"})
    client.post(f"{days}/{FIRST}", data={"ends": "14:00"})  # the cloth is not dry by then
    client.post(f"{days}/search")
    job = _ended(house, smock)
    assert job.result.unplaced, job
    page = client.get(days).text
    assert f"{len(job.result.unplaced)} shots do not fit on " in page
    assert f"{job.result.unplaced[0].told()} 3 shots wait on it: " in page
    client.post(f"{days}/{FIRST}/rest")
    page = client.get(days).text
    assert "on no day" not in page
    assert job.result.unplaced[0].told() not in page


def _too_short(house: House, smock: str) -> PlannedDays:
    """What planning comes to where the five shots stand on a day that has room for none."""

    def edit(episode: Episode) -> Episode:
        return changed(episode, shoot_days=(changed(episode.shoot_days[0], ends="09:05"),))

    house.store.change(smock, "a short day", edit)
    return planned_days(house.plan(smock), seconds=0.05, first_day=FIRST)


def test_days_are_not_emptied_for_a_plan_that_holds_less_unless_that_is_asked_for(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = _too_short(house, smock)
    before = house.store.get(smock)

    def at_once(key: str, *_: object, when_done: Callable[[object], object], **_more: str) -> None:
        when_done(found)
        house.jobs._jobs[key] = Job(key, state="done", result=found)

    monkeypatch.setattr(house.jobs, "start", at_once)
    page = client.post(f"{days}/search", headers=IN_PART).text
    assert house.store.get(smock) == before
    assert house.store.undo_words(smock) == "a short day"
    assert "The days stay as they were: 5 shots stand on them" in page
    assert "would be on no day. It takes" in page
    assert page.count("and the longest day has 5 min") == 1  # not above it once more
    assert "As planned:" not in page
    page = client.post(f"{days}/search/all-the-same", headers=IN_PART).text
    assert _shots(house, smock) == [()]
    assert "5 shots do not fit on " in page
    assert "is on no day. It takes" in page
    client.post(f"{days}/{FIRST}/rest")  # all of them put back by hand
    page = client.get(days).text
    assert "on no day" not in page
    assert page.count("and the longest day has 5 min") == 1
    for _ in range(2):
        client.post(f"/episodes/{smock}/undo")
    assert house.store.get(smock) == before
    assert "Plan what fits all the same" in client.get(days).text


def test_what_fits_all_the_same_is_not_planned_once_something_has_changed(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    found = _too_short(house, smock)
    house.jobs._jobs[job_key(smock)] = Job(job_key(smock), state="done", result=found)
    client.post(f"{days}/{FIRST}/shots/cut-front/move", data={"way": "off"})
    answer = client.post(f"{days}/search/all-the-same", headers=IN_PART)
    assert answer.status_code == 422
    assert "Something was changed since: plan the days again." in answer.text
    assert len(_shots(house, smock)[0]) == 4


def test_the_best_so_far_is_not_taken_where_it_holds_less(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = _too_short(house, smock)
    house.jobs._jobs[job_key(smock)] = Job(job_key(smock), so_far=found)
    assert "take the best so far" not in client.get(days).text
    monkeypatch.setattr(house.jobs, "cancel", lambda _key, keep=None: keep and keep(found))
    answer = client.post(f"{days}/search/take", headers=IN_PART)
    assert answer.status_code == 422
    assert "The days stay as they were" in answer.text
    assert len(_shots(house, smock)[0]) == 5


def test_while_steps_wait_in_a_circle_no_shot_is_told_to_stand_the_wrong_way_round(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    def edit(episode: Episode) -> Episode:
        chalk, cut = (next(s.step for s in episode.shots if s.id == n) for n in _CIRCLE)
        garment, *others = episode.garments
        steps = tuple(
            changed(one, after=(*one.after, cut)) if one.id == chalk else one
            for one in garment.steps
        )
        return changed(episode, garments=(changed(garment, steps=steps), *others))

    found = planned_days(house.plan(smock), seconds=0.05, first_day=FIRST)
    house.store.change(smock, "planned", lambda e: with_planned_days(evaluate(e), found))
    house.store.change(smock, "a circle", edit)
    assert house.plan(smock).order_problem
    assert out_of_order(house.plan(smock))
    page = client.get(days).text
    assert "No day can be planned while steps wait on each other" in page
    assert "stands before" not in page
    assert "The steps were changed since." in page


def test_a_shot_goes_to_another_day_and_its_cost_is_told(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.plan(smock)
    answer = client.post(
        f"{days}/{FIRST}/shots/intro/place",
        data={"list": SECOND.isoformat(), "place": "1"},
        headers=IN_PART,
    )
    assert _shots(house, smock)[1] == ("intro",)
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
    before = _shots(house, smock)
    answer = client.post(f"{days}/{FIRST}/shots/cut-before/{form}", data=typed, headers=IN_PART)
    assert answer.status_code == 422
    assert "would stand before shot" in answer.text
    assert "which it waits on. So it stays where it was." in answer.text
    assert _shots(house, smock) == before


def test_a_shot_goes_to_the_end_of_another_day_by_its_date(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{FIRST}/shots/cut-front/move", data={"way": SECOND.isoformat()})
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": SECOND.isoformat()})
    assert _shots(house, smock)[1] == ("cut-front", "intro")
    answer = client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": "up"}, headers=IN_PART)
    assert answer.status_code == 422


def test_no_place_is_told(client: TestClient, days: str, smock: str, house: House) -> None:
    before = _shots(house, smock)
    for typed in ({}, {"place": "first"}, {"place": "1", "list": "some day"}):
        answer = client.post(f"{days}/{FIRST}/shots/intro/place", data=typed, headers=IN_PART)
        assert answer.status_code == 422
    assert _shots(house, smock) == before


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


@pytest.mark.parametrize("proven", [True, False])
def test_days_that_stay_are_told_as_the_best_only_where_that_is_proven(
    client: TestClient, days: str, smock: str, house: House, *, proven: bool
) -> None:
    found = planned_days(house.plan(smock), seconds=0.2, first_day=FIRST)
    found = replace(found, kept=True, bound=found.minutes + found.idle if proven else 1.0)
    house.store.change(smock, "planned", lambda e: with_planned_days(evaluate(e), found))
    house.jobs._jobs[job_key(smock)] = Job(job_key(smock), state="done", result=found)
    text = client.get(days).text
    assert ("No plan can be better: the days stay as they were." in text) == proven
    assert ("Nothing better was found" in text) == (not proven)
    assert ("proven best" in text) == proven


def test_a_day_that_is_likely_late_is_told_to_leave_room_on(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    ends = house.plan(smock).days[0].ends.likely
    client.post(f"{days}/{FIRST}", data={"ends": clock_of(ends)})
    text = client.get(days).text
    assert "while 5 January 2027 is empty: plan the days with “Leave room” ticked." in text


def test_the_rest_of_a_day_is_planned_from_now_on(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    client.post(f"{days}/{SECOND}/delete")  # or all of it would be filmed then: cloth rests
    client.post(f"{days}/{FIRST}/shots/intro/filmed")
    page = client.get(days).text
    assert "Plan the rest from then on" in page
    assert 'value="13:10"' in page
    client.post(f"{days}/{FIRST}/go-on", data={"goes_on_at": "13:30"})
    assert _ended(house, smock).state == "done"
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
    assert _ended(house, smock).state == "done"
    to = FIRST if "intro" in _shots(house, smock)[1] else SECOND
    client.post(f"{days}/{FIRST}/shots/intro/place", data={"list": str(to), "place": "1"})
    assert "1 shot was moved by hand since the days were planned" in client.get(days).text
    client.post(f"{days}/{FIRST}", data={"ends": "20:00"})
    assert "The hours of the days were changed since" in client.get(days).text
