"""What is told of a publish date that may not be made."""

from datetime import date, timedelta

import pytest

from tests.plan.test_day_threads import ALL, DAY, EPISODE, SHOTS, _day, _on
from webapp.build.time_log import TimeEntry
from webapp.plan.date_threads import publish_date_at_risk
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.results import LooseThread


def _published(free: int, *, minutes: int = 15, a_day: float = 5.0) -> Episode:
    """All shots filmed on one day, so many whole days left before the publish date."""
    brief = Brief(publish_date=DAY + timedelta(days=free + 1), edit_hours_a_day=a_day)
    seconds = 60 * minutes // len(SHOTS)
    shots = tuple(changed(shot, screen_seconds=seconds) for shot in SHOTS)
    return _on(_day(ALL), shots=shots, brief=brief)


def _found(episode: Episode) -> list[LooseThread]:
    return list(publish_date_at_risk(evaluate(episode)))


@pytest.mark.parametrize(
    ("free", "severity"), [(0, "must"), (3, "must"), (4, "should"), (8, "should"), (9, "")]
)
def test_editing_must_fit_before_the_publish_date(free: int, severity: str) -> None:
    """15 minutes: 10 to 45 h at 2/3 to 3 h a finished minute, likely 20 h; 5 h a day."""
    found = _found(_published(free))
    assert [thread.severity for thread in found] == ([severity] if severity else [])


def test_the_sum_behind_the_publish_date_is_told() -> None:
    (thread,) = _found(_published(3))
    assert thread.sentence == (
        "Editing 15:00 takes about 20 hours (10 to 45), 4 days at 5 hours a day; between the last "
        "shoot day, 4 January 2027, and the publish date, 8 January 2027, there are 3 days."
    )
    (thread,) = _found(_published(5))
    assert "9 days at 5 hours a day to be safe; between" in thread.sentence
    assert _found(_published(3, a_day=15)) == []


def test_one_hour_and_one_day_are_told_as_one() -> None:
    """25 s are 17 min, 33 or 1 h 15 of editing: at an hour a day a day likely, 2 to be safe."""
    seconds = tuple(changed(shot, screen_seconds=5) for shot in SHOTS)
    episode = _published(1, a_day=1)
    (thread,) = _found(changed(episode, shots=seconds))
    assert thread.sentence.startswith(
        "Editing 0:25 takes about 33 min (17 min to 1 h 15 min), 2 days at 1 hour a day to be safe;"
    )
    assert thread.sentence.endswith("there is 1 day.")
    (none,) = _found(changed(_published(0, a_day=1), shots=seconds))
    assert ", 1 day at 1 hour a day; between" in none.sentence


def test_what_is_spoken_afterwards_takes_its_time_too() -> None:
    """140 words at 140 a minute, 3.5 times over: 3.5 min a shot, in an hour of editing no matter;
    600 minutes of speech are 35 h more."""
    words = "stitch " * 140
    episode = _published(9)
    talked = changed(episode.shots[0], pace="talked over", narration=words)
    assert _found(changed(episode, shots=(talked, *episode.shots[1:]))) != []
    told = _found(changed(episode, shots=(talked, *episode.shots[1:])))[0].sentence
    assert told.startswith("The voice-over and editing 15:00 take about 20 hours (10 to 45)")


def test_what_is_edited_already_is_not_to_be_edited_again() -> None:
    """19 of 10, 20 or 45 h: Φ(-0.1 × 1.2816) = 0.449 of the chances are gone. The middle of the
    rest, 0.7245 = Φ(0.596), is 20 + 25 × 0.596 / 1.2816 = 31.6 h, which leaves 12.6 h."""
    worked_out = {"low": 10 * 60, "likely": 20 * 60, "high": 45 * 60}
    entry = TimeEntry.model_validate(
        {"id": "a", "timed": "editing", "title": "Editing", "kind": "editing",
         "minutes": 19 * 60, "table": worked_out, "shown": worked_out},
    )  # fmt: skip
    episode = _published(3)
    (thread,) = _found(changed(episode, time_log=(entry,)))
    assert thread.sentence.startswith("What is left of editing 15:00 takes about 13 hours")
    assert thread.severity == "should"
    assert _found(changed(episode, brief=changed(episode.brief, done=("editing",)))) == []


def test_the_first_date_that_is_made_nine_times_in_ten_is_offered() -> None:
    """45 h to be safe are 9 days of 5 h: ready on the evening of the 13th, out on the 14th."""
    episode = _published(3)
    ((mend,),) = [thread.mends for thread in _found(episode)]
    assert mend.words == "Publish on 14 January 2027"
    after = mended(evaluate(episode), mend.act, mend.args)
    assert after.brief.publish_date == date(2027, 1, 14)
    assert _found(after) == []


def test_a_date_that_filming_passes_is_not_told_twice() -> None:
    for later in (0, 3):
        brief = Brief(publish_date=DAY - timedelta(days=later))
        assert _found(_on(_day(ALL), brief=brief)) == []


def test_without_a_publish_date_or_a_shoot_day_nothing_is_at_risk() -> None:
    assert _found(_on(_day(ALL))) == []
    assert _found(changed(EPISODE, brief=Brief(publish_date=DAY))) == []
