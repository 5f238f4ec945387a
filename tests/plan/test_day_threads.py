"""Shoot days with clock times, and what is told of them."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from webapp.build.work_time import Estimate, total
from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.filming.filming_time import changeover_minutes, filming_minutes
from webapp.filming.shoot_days import ShootDay, told_clock
from webapp.filming.shots import Filmed, Shot
from webapp.plan import day_threads
from webapp.plan.days import DayPlan, day_plans, hours
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import LooseThread

DAY = date(2027, 1, 4)
NEXT = DAY + timedelta(days=1)


def _step(name: str, minutes: float, *after: str, **fields: object) -> Step:
    time = Minutes(low=minutes, likely=minutes, high=minutes)
    return Step(id=name, name=name, after=after, work=(Work(kind="other", minutes=time),), **fields)


def _shot(name: str, step: str = "", place: str = "Over the table", **fields: object) -> Shot:
    kind = "step" if step else "styling"
    return Shot(
        id=name, kind=kind, step=step, title=name, place=place, screen_seconds=60, **fields
    )  # fmt: skip


STEPS = (
    _step("wash", 30, off_camera=True),
    _step("cut", 20, "wash"),
    _step("sew", 40, "cut"),
    _step("hang", 5, "sew", off_camera=True),
    _step("hem", 10, "hang"),
)
SHOTS = (
    _shot("cut-a", "cut"),
    _shot("cut-b", "cut"),
    _shot("sew-a", "sew", "At the machine"),
    _shot("hem-a", "hem", "At the machine"),
    _shot("look", "", "In the yard"),
)
EPISODE = Episode(id="e", title="E", garments=(Recipe(id="g", name="G", steps=STEPS),), shots=SHOTS)


def _on(*days: ShootDay, **fields: object) -> Episode:
    return changed(EPISODE, shoot_days=days, **fields)


def _days(*days: ShootDay) -> tuple[DayPlan, ...]:
    return day_plans(evaluate(_on(*days)))


def _day(shots: Sequence[str], day: date = DAY, **fields: str) -> ShootDay:
    return ShootDay(day=day, shots=tuple(shots), **fields)


def _found(rule: object, episode: Episode) -> list[LooseThread]:
    assert callable(rule)
    return list(rule(evaluate(episode)))


ALL = [shot.id for shot in SHOTS]

# --- What is done when -----------------------------------------------------------------------


def test_a_step_is_worked_once_and_after_what_it_waits_on_off_camera() -> None:
    (day,) = _days(_day(ALL))
    assert [shot.worked for shot in day.shots] == [("wash",), (), (), ("hang",), ()]
    assert [shot.work.likely for shot in day.shots] == [30, 0, 0, 5, 0]


def test_a_steps_own_work_goes_on_from_its_shots_in_equal_parts() -> None:
    """The camera is there before the shears: of 20 minutes of cutting 10 after each shot."""
    (day,) = _days(_day(ALL))
    assert [round(shot.goes_on.likely, 6) for shot in day.shots] == [10, 10, 40, 10, 0]
    for shot in day.shots:
        assert shot.starts.likely <= shot.rolls.likely < shot.ends.likely <= shot.free.likely


def test_parts_of_a_step_are_quick_or_slow_together() -> None:
    whole = Estimate(10, 20, 35).with_pace({"cut": 0.5, "all": 0.3})
    assert total([whole.part(4, "cutting")] * 4).deviation == pytest.approx(whole.deviation, 0.02)
    assert total([whole.part(4, "cutting")] * 4).mean == pytest.approx(whole.mean, 0.01)


def test_a_step_goes_on_from_its_shots_on_whatever_day_they_are() -> None:
    """Of 20 minutes of cutting 10 after each of its two shots, as on one day."""
    later, earlier = _day(["cut-b", "hem-a"], NEXT), _day(["cut-a"])
    one, two = _days(later, earlier)  # by date, in whatever order they are stored
    assert [one.day, two.day] == [earlier, later]
    assert [shot.worked_ids for shot in one.shots] == [("wash", "cut")]
    assert [shot.worked_ids for shot in two.shots] == [(), ("hang", "hem")]
    assert [shot.goes_on.likely for shot in one.shots] == [10]
    assert [shot.goes_on.likely for shot in two.shots] == [10, 10]


def test_a_step_with_shots_that_are_still_on_no_day_is_not_worked_before_its_shots() -> None:
    (day,) = _days(_day(["hem-a"]))
    assert [shot.worked_ids for shot in day.shots] == [("wash", "hang", "hem")]


def test_of_a_step_of_which_a_shot_was_filmed_the_rest_goes_on_from_the_others() -> None:
    """What it waited on is done."""
    shots = (changed(SHOTS[0], filmed=Filmed()), *SHOTS[1:])
    plan = evaluate(_on(_day(["cut-b", "sew-a"]), shots=shots))
    (day,) = day_plans(plan)
    assert [shot.worked_ids for shot in day.shots] == [(), ("sew",)]
    assert [shot.goes_on.likely for shot in day.shots] == [10, 40]


def test_steps_that_wait_on_each_other_in_a_circle_still_have_times() -> None:
    steps = (_step("cut", 20, "sew"), _step("sew", 40, "cut"))
    plan = evaluate(_on(_day(ALL), garments=(Recipe(id="g", name="G", steps=steps),)))
    assert plan.order_problem
    (day,) = day_plans(plan)
    assert [shot.worked_ids for shot in day.shots] == [("cut",), (), ("sew",), (), ()]


# --- Clock times -----------------------------------------------------------------------------


def test_the_camera_is_set_up_anew_each_day_and_moved_in_the_days_own_order() -> None:
    (day,) = _days(_day(["look", "cut-a", "cut-b"]))
    shots = (SHOTS[4], SHOTS[0], SHOTS[1])
    by_hand = [
        total(
            [
                changeover_minutes(before, shot),
                filming_minutes(shot, 60, spoken_s=0, one_way=False),
            ]
        )
        for before, shot in zip((None, *shots[:-1]), shots, strict=True)
    ]
    for shot, filming in zip(day.shots, by_hand, strict=True):
        assert shot.filming.mean == pytest.approx(filming.mean)
        # Setting up and filming are slow or quick together, so no narrower than if they were not.
        assert filming.deviation <= shot.filming.deviation < 1.15 * filming.deviation
    assert by_hand[1].likely > by_hand[2].likely  # the camera moves only once


def test_the_day_ends_at_its_start_and_the_total_of_all_its_minutes() -> None:
    (day,) = _days(_day(ALL, starts="08:30"))
    parts = [part for shot in day.shots for part in (shot.work, shot.filming, shot.goes_on)]
    whole = total(parts)
    assert day.ends.mean == pytest.approx(8.5 * 60 + whole.mean)
    assert day.ends.deviation == pytest.approx(whole.deviation)
    assert day.ends.likely == pytest.approx(8.5 * 60 + whole.likely, abs=0.5)
    assert day.shots[0].starts == Estimate(540, 540, 540)  # 08:30 and 30 minutes of work
    assert day.shots[-1].free == day.ends


def test_the_clock_never_goes_back(smock: Episode) -> None:
    for day in day_plans(evaluate(smock)):
        for points in ("low", "likely", "high"):
            times = [
                round(getattr(time, points), 9)
                for shot in day.shots
                for time in (shot.starts, shot.ends)
            ]
            assert times == sorted(times), points


def test_a_day_without_shots_ends_as_it_starts_and_is_told_so() -> None:
    (day,) = _days(_day([]))
    assert day.ends == Estimate(540, 540, 540)
    assert day.told == "No shot is on this day yet."


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.2, "1 min"), (25.4, "25 min"), (60, "1 h"), (100, "1 h 40 min"), (119.7, "2 h")],
)
def test_stretches_of_time_in_words(minutes: float, words: str) -> None:
    assert hours(minutes) == words


def test_the_file_holds_the_days_with_their_clock_times() -> None:
    plan = evaluate(_on(_day(["cut-a", "gone"], starts="23:30", ends="23:59")))
    (told,) = plan_json(plan)["shoot_days"]
    (day,) = day_plans(plan)
    filming = day.shots[0].filming
    assert told == {
        "day": "2027-01-04",
        "starts": "23:30",
        "ends": "23:59",
        "dark_from": None,
        "beforehand": [],
        "breaks": [],
        "shots": [
            {
                "id": "cut-a",
                "starts": "24:00",  # 30 minutes of washing later
                "rolls": "24:20",  # and 20 to set up
                "minutes": {"low": filming.low, "likely": filming.likely, "high": filming.high},
                "work_minutes_after": {"low": 10, "likely": 10, "high": 10},
                "filmed": False,
            }
        ],
        "changes_of_place": 0,
        "changing_minutes": 20,
        "waiting_minutes": 0,
        "likely_end": f"24:{10 + round(filming.likely):02}",
        "latest_end": f"24:{10 + round(filming.high):02}",
        "chance_in_time": pytest.approx(0, abs=1e-4),
        "chance_in_time_and_light": pytest.approx(0, abs=1e-4),
    }


# --- Ends and light --------------------------------------------------------------------------


def _ends(shots: Sequence[str] = ALL) -> Estimate:
    (day,) = _days(_day(shots))
    return day.ends


def _clock(minutes: float) -> str:
    return f"{int(minutes) // 60:02}:{int(minutes) % 60:02}"


def test_a_day_that_ends_in_time_is_no_thread() -> None:
    episode = _on(_day(ALL, ends=_clock(_ends().high + 1)))
    assert _found(day_threads.shoot_day_past_its_end, episode) == []
    assert "in time for" in day_plans(evaluate(episode))[0].told


def test_a_day_that_likely_takes_longer_must_be_mended() -> None:
    ends = _clock(_ends().likely - 30)
    (thread,) = _found(day_threads.shoot_day_past_its_end, _on(_day(ALL, ends=ends)))
    assert thread.severity == "must"
    assert (thread.place.page, thread.place.item) == ("days", "2027-01-04")
    assert thread.sentence.startswith("4 January 2027 likely ends at ")
    assert thread.sentence.endswith(f" min after its end at {ends}.")


def test_a_day_that_may_take_longer_is_worth_a_look() -> None:
    ends = _clock(_ends().likely + 2)
    (thread,) = _found(day_threads.shoot_day_past_its_end, _on(_day(ALL, ends=ends)))
    assert thread.severity == "should"
    assert f"in time for {ends}, but 9 times in 10 only by" in thread.sentence


def test_a_day_past_midnight_is_told_as_such() -> None:
    (thread,) = _found(
        day_threads.shoot_day_past_its_end, _on(_day(ALL, starts="23:00", ends="23:59"))
    )
    assert "the next day" in thread.sentence


def test_daylight_tells_which_shots_are_in_the_dark_and_from_when_to_when() -> None:
    (day,) = _days(_day(ALL))
    dark = _clock(day.shots[2].ends.likely - 2)
    first, last = (told_clock(day.shots[at].ends.likely) for at in (2, -1))
    (thread,) = _found(day_threads.shoot_day_past_daylight, _on(_day(ALL, dark_from=dark)))
    assert thread.severity == "must"
    assert thread.sentence == (
        f"On 4 January 2027 it is dark from {dark}, and 3 shots end after that: 3–5, the first at "
        f"{first}, the last at {last}."
    )


def test_one_shot_in_the_dark_is_told_by_its_name() -> None:
    (day,) = _days(_day(ALL))
    end = day.shots[-1].ends.likely
    (thread,) = _found(
        day_threads.shoot_day_past_daylight, _on(_day(ALL, dark_from=_clock(end - 1)))
    )
    only = day.shots[-1].plan
    assert thread.sentence.endswith(
        f", and shot {only.number}, “{only.shot.title}”, ends after that, at {told_clock(end)}."
    )


def test_shots_that_may_end_in_the_dark_are_worth_a_look() -> None:
    dark = _clock(_ends().likely + 2)
    (thread,) = _found(day_threads.shoot_day_past_daylight, _on(_day(ALL, dark_from=dark)))
    assert thread.severity == "should"
    assert "may end after that" in thread.sentence
    assert f"as late as {told_clock(_ends().high)}" in thread.sentence


@pytest.mark.parametrize("dark", [None, "23:00"])
def test_lamps_and_long_days_are_no_thread(dark: str | None) -> None:
    episode = _on(ShootDay(day=DAY, shots=tuple(ALL), dark_from=dark))
    assert _found(day_threads.shoot_day_past_daylight, episode) == []


# --- Which shots -----------------------------------------------------------------------------

PUBLISH = Brief(publish_date=date(2027, 1, 15))


def test_shots_on_no_day_are_told_once_a_day_is_planned() -> None:
    assert _found(day_threads.shots_on_no_day, EPISODE) == []
    (thread,) = _found(day_threads.shots_on_no_day, _on(_day(ALL[:3])))
    assert (thread.severity, thread.page) == ("should", "days")
    assert thread.sentence == "Shots 4 and 5 are on no shoot day."
    (thread,) = _found(day_threads.shots_on_no_day, _on(_day(ALL[:4])))
    assert thread.sentence == "Shot 5, “look”, is on no shoot day."
    assert _found(day_threads.shots_on_no_day, _on(_day(ALL))) == []


def test_shots_on_no_day_are_told_with_the_publish_date() -> None:
    shots = tuple(_shot(f"s{number}") for number in range(12))
    (thread,) = _found(day_threads.shots_on_no_day, changed(EPISODE, shots=shots, brief=PUBLISH))
    assert thread.sentence == (
        "12 shots are on no shoot day and the publish date is 15 January 2027."
    )


def test_a_shot_that_was_filmed_needs_no_day() -> None:
    shots = tuple(changed(shot, filmed=Filmed()) for shot in SHOTS)
    assert _found(day_threads.shots_on_no_day, _on(_day([]), shots=shots, brief=PUBLISH)) == []


def test_a_shot_on_two_days_is_told() -> None:
    (thread,) = _found(day_threads.shots_on_two_days, _on(_day(ALL), _day(["look"], NEXT)))
    assert thread.sentence == (
        "Shot 5, “look”, is on 4 January 2027 and 5 January 2027: take it off all but one."
    )
    assert _found(day_threads.shots_on_two_days, _on(_day(ALL[:4]), _day(["look"], NEXT))) == []


def test_a_shot_that_was_taken_out_is_told_and_takes_no_time() -> None:
    episode = _on(_day([*ALL, "gone"]))
    (thread,) = _found(day_threads.unknown_shots_on_days, episode)
    assert thread.sentence == "4 January 2027 lists the shot “gone”, which is not there any more."
    assert day_plans(evaluate(episode))[0].ends == _ends()
    assert _found(day_threads.unknown_shots_on_days, _on(_day(ALL))) == []


# --- The publish date ------------------------------------------------------------------------


@pytest.mark.parametrize("later", [0, 3])
def test_shots_on_the_publish_date_or_after_must_be_moved(later: int) -> None:
    brief = Brief(publish_date=DAY - timedelta(days=later))
    episode = _on(_day(ALL), brief=brief)
    (thread,) = _found(day_threads.filmed_after_publishing, episode)
    assert thread.severity == "must"
    assert thread.sentence.startswith("5 shots are to be filmed on 4 January 2027, and the pub")


def test_what_is_filmed_already_is_not_to_be_filmed_after_publishing() -> None:
    shots = (*(changed(shot, filmed=Filmed()) for shot in SHOTS[:4]), SHOTS[4])
    episode = _on(_day(ALL), brief=Brief(publish_date=DAY), shots=shots)
    (thread,) = _found(day_threads.filmed_after_publishing, episode)
    assert thread.sentence.startswith("1 shot is to be filmed on 4 January 2027")


def test_without_a_publish_date_nothing_is_at_risk() -> None:
    assert _found(day_threads.filmed_after_publishing, _on(_day(ALL))) == []
    assert _found(day_threads.filmed_after_publishing, changed(EPISODE, brief=PUBLISH)) == []
