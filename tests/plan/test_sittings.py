"""Editing in several sittings is one time, and only once it is done."""

from datetime import date

import pytest

from webapp.build.time_kinds import fingerprints
from webapp.build.time_log import TimeEntry
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.publishing import after_filming
from webapp.plan.sittings import whole_times


def _sitting(number: int, minutes: float, episode: str = "", timed: str = "editing") -> TimeEntry:
    reckoned = {"low": 800, "likely": 1200, "high": 2400}
    prints = fingerprints(EVERY_RATE)
    share = {"kind": "editing", "share": 1, "rates": prints["editing"]}
    return TimeEntry.model_validate(
        {"id": f"time-{number}", "timed": timed, "title": "Editing", "kind": "editing",
         "day": date(2027, 1, number), "minutes": minutes, "table": reckoned, "shown": reckoned,
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
    step = _sitting(4, 30, timed="step")
    earlier = (_sitting(1, 100, "A"), _sitting(2, 200, "B"), _sitting(3, 300, "A"))
    found = whole_times(changed(_logged(smock, step), earlier_times=earlier))
    assert [(one.episode, one.minutes) for one in found] == [("", 30), ("A", 400), ("B", 200)]
