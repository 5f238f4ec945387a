"""Which times count: those of what is done, its sittings as one, each minute once, no slips."""

from datetime import date
from typing import Any

import pytest

from tests.plan.day_specimens import MONDAY, TUESDAY, day, episode, shot
from webapp.build.time_kinds import RatePrints
from webapp.build.time_log import TimeEntry
from webapp.draft.construction import Step, Work
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.publishing import after_filming
from webapp.plan.sittings import whole_times, wholes
from webapp.plan.time_edits import with_time, with_time_changed, with_time_right
from webapp.plan.times import times_report


def _sitting(number: int, minutes: float, episode: str = "", timed: str = "editing") -> TimeEntry:
    worked_out = {"low": 800, "likely": 1200, "high": 2400}
    share = {"kind": "editing", "share": 1, "rates": RatePrints(EVERY_RATE).of(("editing",))}
    return TimeEntry.model_validate(
        {"id": f"time-{number}", "timed": timed, "title": "Editing", "kind": "editing",
         "day": date(2027, 1, number), "minutes": minutes, "table": worked_out, "shown": worked_out,
         "episode": episode, "shares": [share]}
    )  # fmt: skip


def _logged(smock: Episode, *entries: TimeEntry, done: bool = False) -> Episode:
    brief = changed(smock.brief, done=("editing",) if done else ())
    return changed(smock, time_log=entries, earlier_times=(), brief=brief)


def test_sittings_count_as_one_once_the_editing_is_done(smock: Episode) -> None:
    """600 + 900 + 900 min for 1200: twice as long, said once."""
    sittings = (_sitting(1, 600), _sitting(2, 900), _sitting(3, 900))
    assert whole_times(_logged(smock, *sittings)) == ()
    (whole,) = whole_times(_logged(smock, *sittings, done=True))
    assert (whole.minutes, whole.table.likely) == (2400, 1200)
    learned = evaluate(_logged(smock, *sittings, done=True)).learned["editing"]
    assert learned.times == 1
    assert learned.factor == pytest.approx(2 ** (1 / 3))  # one time counts a third


def test_a_sitting_of_what_is_not_done_moves_no_rate(smock: Episode) -> None:
    """An hour and a half of twenty-four teaches nothing; it is only taken off what is left."""
    before, after = (
        after_filming(evaluate(_logged(smock, *sittings)))[1]
        for sittings in ((), (_sitting(1, 90),))
    )
    assert after.whole == before.whole
    assert after.left.likely < before.left.likely


def test_other_times_and_other_episodes_stay_apart(smock: Episode) -> None:
    step = _sitting(4, 900, timed="step")
    earlier = (_sitting(1, 600, "A"), _sitting(2, 700, "B"), _sitting(3, 800, "A"))
    found = whole_times(changed(_logged(smock, step), earlier_times=earlier))
    assert [(one.episode, one.minutes) for one in found] == [("", 900), ("A", 1400), ("B", 700)]


# --- What goes on, what is far off, what is part of another --------------------------------------

STEPS = (
    Step(id="fit", name="Fit it", work=(Work(kind="try on"), Work(kind="other"))),
    Step(id="odd", name="Look for the scissors", work=(Work(kind="other"),)),
)
EPISODE = episode(STEPS, [shot("a", "fit"), shot("b", "odd")], day(MONDAY, "a", "b"))
THE_DAY = MONDAY.isoformat()


def _timed(*times: dict[str, Any]) -> Episode:
    """Written down one after another against the table; each a step's unless it says otherwise."""
    made, plan = EPISODE, evaluate(EPISODE)
    for each in times:
        made = with_time(made, plan, **{"timed": "step", "item": "fit", "minutes": 14, **each})
    return made


def _standings(*times: dict[str, Any]) -> list[str]:
    return [one.standing for one in wholes(_timed(*times))]


def test_a_first_sitting_of_a_step_teaches_nothing_until_it_is_done() -> None:
    """4 minutes of likely 15, and 12 more in the evening."""
    first = {"minutes": 4, "goes_on": True}
    assert evaluate(_timed(first)).work == evaluate(EPISODE).work
    assert _standings(first) == ["not done"]
    (whole,) = whole_times(_timed(first, {"minutes": 12}))
    assert whole.minutes == 16
    assert _standings(first, {"minutes": 12}, first) == ["not done"]
    done = with_time_changed(_timed(first), "time-1", goes_on=False)
    assert [one.standing for one in wholes(done)] == ["counts"]


def test_sittings_are_far_off_or_right_together() -> None:
    """The clock ran on in the second."""
    night = ({"minutes": 4, "goes_on": True}, {"minutes": 900})
    assert _standings(*night) == ["far off"]
    assert whole_times(with_time_right(_timed(*night), "time-2"))[0].minutes == 904


def test_what_was_done_again_is_a_time_of_its_own() -> None:
    """14 minutes, unpicked and sewn again in 10, the last 4 of these in the evening."""
    again = {"minutes": 6, "again": True, "goes_on": True}
    assert _standings({}, again) == ["counts", "not done"]
    found = whole_times(_timed({}, again, {"minutes": 4}))
    assert [one.minutes for one in found] == [14, 10]
    assert _standings({}, {**again, "goes_on": False}, {"kind": "other", "minutes": 4}) == [
        "counts", "counts", "in another",
    ]  # fmt: skip
    sitting = {"timed": "shoot day", "item": THE_DAY, "minutes": 60}
    assert _standings(sitting, {**sitting, "again": True}) == ["counts", "counts"]
    edited = (_sitting(1, 600), changed(_sitting(2, 900), again=True))
    (one,) = whole_times(_logged(EPISODE, *edited, done=True))
    assert one.minutes == 1500  # a voice-over or an editing is never done again


def test_one_kind_of_a_step_is_part_of_the_time_of_the_whole_step() -> None:
    part, whole = {"kind": "other", "minutes": 4}, {"minutes": 14}
    for times in ((part, whole), (whole, part)):
        assert sorted(_standings(*times)) == ["counts", "in another"]
    learned = evaluate(_timed(part, whole)).learned
    assert learned == evaluate(_timed(whole)).learned
    assert _standings(part) == ["counts"]
    assert _standings({**part, "minutes": 15}, whole) == ["counts", "counts"]  # no part of it


def test_a_step_worked_on_a_shoot_day_is_part_of_its_time() -> None:
    on_day = {"timed": "shoot day", "item": THE_DAY, "minutes": 90, "day": MONDAY}
    step = {"item": "odd", "minutes": 5}
    assert _timed(on_day).time_log[0].holds == ("fit", "odd")
    assert _standings({**step, "day": MONDAY}, on_day) == ["in another", "counts"]
    assert wholes(_timed(step, on_day))[0].within == "4 January 2027"
    assert _standings({**step, "day": TUESDAY}, on_day) == ["counts", "counts"]
    assert _standings(step, {**on_day, "minutes": 9000}) == ["counts", "far off"]
    filming = {**on_day, "kind": "filming", "minutes": 60}
    assert _standings(step, filming) == ["counts", "counts"]
    assert _standings(filming, on_day) == ["in another", "counts"]
    assert evaluate(_timed(step, filming, on_day)).learned == evaluate(_timed(on_day)).learned


def test_what_is_part_of_another_time_adds_no_minutes_to_the_episodes() -> None:
    both = times_report(evaluate(_timed({"kind": "other", "minutes": 4}, {"minutes": 14})))
    assert (both.episodes[0].sum.count, both.episodes[0].sum.minutes) == (1, 14)
    assert {row.whole.standing: row.side for row in both.rows} == {
        "in another": None, "counts": "inside",
    }  # fmt: skip
