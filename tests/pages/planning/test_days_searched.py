"""Planning the shoot days from their page: the search, its stops, and what it tells."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

import pytest
from starlette.testclient import TestClient

from tests.pages.planning.reading import FIRST, IN_PART, SECOND, ended, shots_of
from webapp.errors import SeamslateError
from webapp.filming.shoot_days import clock_of
from webapp.jobs import Job
from webapp.pages import day_search, shoot_days
from webapp.pages.house import House
from webapp.pages.shoot_days import job_key
from webapp.plan.day_moves import out_of_order
from webapp.plan.day_planning import PlannedDays, planned_days, told_planned, with_planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

_CIRCLE = ("chalk-front", "cut-front")  # shots of steps, the first of which comes first


def test_planning_is_told_and_one_undo_takes_it_back(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    answer = client.post(f"{days}/search", headers=IN_PART)
    assert re.search(r"that wastes least\.</strong> \d+ % done\.", answer.text)
    assert 'hx-trigger="every 1s"' in answer.text
    job = ended(house, smock)
    assert job.state == "done", job.error
    after = house.store.get(smock)
    assert after.planned_days is not None
    assert sorted(s for own in shots_of(house, smock) for s in own) == sorted(
        s.id for s in after.shots
    )
    page = client.get(days)
    assert told_planned(after.planned_days) in page.text
    assert "every 1s" not in page.text
    assert house.store.standing(smock).undo == "the shoot days planned"
    client.post(f"/episodes/{smock}/undo")
    assert house.store.get(smock) == before


def test_what_is_put_elsewhere_while_the_days_are_planned_stays(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By her, or by someone else: what is found was sought for other days."""
    found = planned_days(house.plan(smock), seconds=0.2, first_day=FIRST)
    begun: list[Callable[[PlannedDays], object]] = []
    monkeypatch.setattr(house.jobs, "start", lambda *_, when_done, **__: begun.append(when_done))
    client.post(f"{days}/search")
    client.post(f"{days}/{FIRST}/shots/intro/move", data={"way": SECOND.isoformat()})
    before = house.store.get(smock)
    with pytest.raises(SeamslateError, match="put elsewhere"):
        begun[0](found)
    assert house.store.get(smock) == before
    client.post(f"{days}/search")
    begun[1](found)
    assert house.store.get(smock).planned_days is not None


def test_a_search_that_is_stopped_leaves_the_days_as_they_are(
    client: TestClient, days: str, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    client.post(f"{days}/search")
    answer = client.post(f"{days}/search/cancel", headers=IN_PART)
    assert "Plan the days" in answer.text
    assert "The search was stopped before its end." in answer.text
    assert ended(house, smock).state == "cancelled"
    assert house.store.get(smock) == before


def test_the_best_so_far_can_be_taken(
    client: TestClient, days: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = planned_days(house.plan(smock), seconds=0.2, first_day=FIRST)
    monkeypatch.setattr(house.jobs, "cancel", lambda _key, keep=None: keep and keep(found))
    answer = client.post(f"{days}/search/take", headers=IN_PART)
    assert answer.status_code == 200
    assert house.store.get(smock).planned_days is not None
    assert [own for own in shots_of(house, smock) if own] == [
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
    for name in shots_of(house, smock)[0]:
        client.post(f"{days}/{FIRST}/shots/{name}/move", data={"way": "off"})
    client.post(f"{days}/{FIRST}", data={"ends": "14:00"})  # the cloth is not dry by then
    client.post(f"{days}/search")
    job = ended(house, smock)
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
    assert house.store.standing(smock).undo == "a short day"
    assert "The days stay as they were: 5 shots stand on them" in page
    assert "would be on no day. It takes" in page
    assert page.count("and the longest day has 5 min") == 1  # not above it once more
    assert "As planned:" not in page
    page = client.post(f"{days}/search/all-the-same", headers=IN_PART).text
    assert shots_of(house, smock) == [()]
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
    assert len(shots_of(house, smock)[0]) == 4


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
    assert len(shots_of(house, smock)[0]) == 5


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
