"""What is left before the publish date: to film, to speak, to edit; and what helps most."""

import math
from datetime import date, timedelta
from typing import Any

import pytest

from tests.plan.test_day_threads import ALL, DAY, EPISODE, SHOTS, _day, _on
from webapp.build.rates import OwnRate
from webapp.build.work_time import Estimate
from webapp.filming.publishing import Schedule
from webapp.filming.shoot_days import Break, ShootDay, told_day
from webapp.filming.shots import Filmed
from webapp.plan.date_words import told_slack
from webapp.plan.edits import changed
from webapp.plan.episode import Brief, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.publishing import Outlook, filming_left, helps, outlook

NEXT = DAY + timedelta(days=1)


def _out(episode: Episode, today: date | None = None) -> Outlook:
    return outlook(evaluate(episode), today)


def _episode(*days: ShootDay, publish: int = 9, **brief: Any) -> Episode:
    """To be published so many days after the first shoot day; 5 minutes of video, 5 h a day."""
    day = DAY + timedelta(days=publish)
    own = Brief(publish_date=day, edit_hours_a_day=5, **brief)
    return _on(*(days or (_day(ALL),)), brief=own)


def _filmed(episode: Episode, *shots: str) -> Episode:
    return changed(
        episode,
        shots=tuple(changed(s, filmed=Filmed()) if s.id in shots else s for s in episode.shots),
    )


def test_what_follows_begins_the_day_after_the_last_shots() -> None:
    """5 minutes are 3 1/3, 6 2/3 or 15 h of editing: 2 days of 5 h, 3 to be safe."""
    found = _out(_episode(_day(ALL[:4]), _day(ALL[4:], NEXT)))
    assert found.begins == DAY + timedelta(days=2)
    assert found.schedule is not None
    assert (found.schedule.free_days, found.schedule.likely_days) == (7, 2)
    assert found.schedule.safe_days == 3
    assert found.schedule.chance > 0.95
    assert found.voice_over.whole.high == 0  # nothing is spoken over pictures
    assert [(day.day, day.shots) for day in found.filming.days] == [(DAY, 4), (NEXT, 1)]


def test_days_that_are_filmed_no_longer_hold_it_up() -> None:
    episode = _filmed(_episode(_day(ALL[:4]), _day(ALL[4:], NEXT)), "look")
    assert _out(episode).begins == NEXT
    everything = _filmed(episode, *ALL)
    assert _out(everything).begins == NEXT + timedelta(days=1)  # as planned, not knowing today
    assert _out(everything, DAY).begins == DAY
    assert _out(everything, NEXT + timedelta(days=5)).begins == NEXT + timedelta(days=5)
    assert _out(everything).filming.days == ()


def test_shots_on_a_day_gone_by_are_still_to_be_filmed() -> None:
    found = _out(_episode(_day(ALL)), NEXT)
    assert found.filming.past == (DAY,)
    assert len(found.filming.unplanned) == len(SHOTS)
    assert found.filming.more_days == 1
    assert found.begins == NEXT
    assert found.schedule is not None
    assert found.schedule.free_days == 7  # 5 to 12 January, less one for filming


def test_shots_on_no_day_take_days_of_their_own() -> None:
    """Steps of 75 min and the filming of 5 shots go into one day of 8 h."""
    none = changed(_episode(), shoot_days=())
    assert _out(none).lacks == "No shoot day is planned yet."
    left = filming_left(evaluate(none), DAY)
    assert left.unplanned_minutes.likely > 75
    assert left.more_days == 1


def test_days_still_needed_have_their_breaks_and_are_set_up_for() -> None:
    """80 minutes with a break of 20 and 30 to set up have 30 for the rest: 105 minutes and the
    setting up, which is counted with the first shot, take 4 such days; without the break and the
    setting up of each they would take 2, with the break alone 3."""
    rests = (Break(at="09:20", minutes=20),)
    day = changed(_day((), starts="09:00", ends="10:20"), breaks=rests)
    own = (OwnRate(key="first place", low=30, likely=30, high=30),)
    found = filming_left(evaluate(changed(_episode(day), rates=own)))
    minutes = found.unplanned_minutes.likely
    assert (math.ceil(minutes / 80), math.ceil(minutes / 60)) == (2, 3)
    assert minutes - 30 == pytest.approx(105, abs=1)
    assert found.more_days == 4


def test_days_still_needed_are_as_long_as_those_to_come() -> None:
    short = _day((), NEXT, starts="09:00", ends="10:00")
    long = _day((), starts="09:00", ends="21:00")
    plan = evaluate(_episode(long, short))
    alone = filming_left(evaluate(_episode(short))).more_days
    assert filming_left(plan, NEXT).more_days == alone
    assert filming_left(plan, DAY).more_days < alone
    assert filming_left(plan, NEXT + timedelta(days=1)).more_days < alone  # of all her days


@pytest.mark.parametrize(("starts", "rests"), [("09:00", 0), ("09:50", 0), ("09:00", 60)])
def test_days_too_short_to_set_up_on_are_not_counted_on(starts: str, rests: int) -> None:
    breaks = (Break(at="09:00", minutes=rests),) if rests else ()
    day = changed(_day((), starts=starts, ends="10:00"), breaks=breaks)
    more = filming_left(evaluate(_episode(day))).more_days
    assert (more == 1) == (starts == "09:50" or rests == 60)  # as a day of 8 h
    far = (OwnRate(key="first place", low=1500, likely=1500, high=1500),)
    left = filming_left(evaluate(changed(_episode(day), rates=far)))
    assert left.more_days == math.ceil(left.unplanned_minutes.likely / 480)


def test_of_a_step_begun_on_a_day_only_the_part_of_the_shots_on_none_is_left() -> None:
    """Of 20 minutes of cutting 10 go on from each of its two shots."""
    plan = evaluate(_episode(_day(["cut-a"])))
    rest, begun = filming_left(plan), filming_left(evaluate(_episode(_day(["cut-a", "cut-b"]))))
    assert len(rest.unplanned) == len(begun.unplanned) + 1
    (cut,) = [shot for shot in plan.shots if shot.shot.id == "cut-b"]
    apart = rest.unplanned_minutes.mean - begun.unplanned_minutes.mean
    assert apart == pytest.approx(cut.filming.mean + 10)


def test_a_day_that_may_run_over_lowers_the_chance() -> None:
    long = _out(_episode(_day(ALL), publish=3)).schedule
    short = _out(_episode(_day(ALL, ends="11:20"), publish=3)).schedule
    assert long is not None
    assert short is not None
    assert 0.05 < short.runs_over < 1
    assert long.runs_over < short.runs_over
    assert short.chance < long.chance


def test_what_is_done_is_not_left() -> None:
    found = _out(_episode(publish=2, done=("editing",)))
    assert found.needed.high == 0
    assert found.schedule is not None
    assert found.schedule.chance == pytest.approx(1, abs=0.05)


def test_when_all_is_done_the_date_asks_for_nothing_even_once_it_is_past() -> None:
    episode = _filmed(_episode(done=("editing",)), *ALL)
    found = _out(episode, DAY + timedelta(days=400))
    assert found.is_done
    assert (found.schedule, found.lacks) == (None, "All is filmed, recorded and edited.")
    assert not _out(_filmed(_episode(), *ALL)).is_done
    assert not _out(_episode(done=("editing",))).is_done


def test_her_own_hours_a_minute_stand_in_the_place_of_the_tables() -> None:
    own = OwnRate(key="editing", low=1, likely=1, high=1)
    found = _out(changed(_episode(), rates=(own,)))
    assert found.editing.whole.likely == pytest.approx(5 * 60)


@pytest.mark.parametrize(
    ("episode", "lacks"),
    [
        (changed(EPISODE, shots=()), "There is no shot yet, so nothing can be worked out."),
        (_on(_day(ALL)), "No publish date is set yet."),
    ],
)
def test_what_the_schedule_waits_for_is_said(episode: Episode, lacks: str) -> None:
    found = _out(episode, DAY)
    assert (found.schedule, found.lacks) == (None, lacks)


@pytest.mark.parametrize("day", [date.min, date.max])
def test_the_ends_of_the_calendar_are_dates_like_others(day: date) -> None:
    """Hung for ten days on the last day there is, the hem is not ready on any."""
    garment = EPISODE.garments[0]
    steps = tuple(changed(step, rest_hours=240) for step in garment.steps)
    for publish in (date.min, date.max):
        made = changed(
            _on(_day(ALL, day), brief=Brief(publish_date=publish)),
            garments=(changed(garment, steps=steps),),
        )
        plan = evaluate(made)
        assert any(shot.too_soon for shot in plan.days[0].shots)
        found = outlook(plan, day)
        assert found.begins is not None
        assert (found.begins - day).days == (day < date.max)
        later = [one.publish for one in helps(plan, found) if one.publish]
        assert bool(later) == (day == publish == date.min)


_SURE, _HOUR, _NOTHING = Estimate(1200, 1200, 1200), Estimate(60, 60, 60), Estimate()


@pytest.mark.parametrize(
    ("free", "fields", "told"),
    [
        (12, {}, "There are 12 days for the editing. Likely it takes 4 days: 8 to spare. To be "
         "safe, 9 times in 10, 9 days: 3 to spare."),
        (9, {"more_days": 2}, "There are 7 days for the editing. Likely it takes 4 days: 3 to "
         "spare. To be safe, 9 times in 10, 9 days: 2 too few."),
        (1, {"voice_over": _HOUR}, "There is 1 day for voice-over and editing. Likely they take 5 "
         "days: 4 too few. To be safe, 9 times in 10, 10 days: 9 too few."),
        (4, {"editing": _SURE}, "There are 4 days for the editing. Likely, and to be safe 9 times "
         "in 10, it takes 4 days: none to spare."),
        (0, {"editing": _NOTHING, "voice_over": _HOUR}, "No day is left for the voice-over. "
         "Likely, and to be safe 9 times in 10, it takes 1 day: 1 too few."),
        (-3, {}, "No day is left for the editing, which can begin on 8 January 2027. Likely it "
         "takes 4 days: 7 too few. To be safe, 9 times in 10, 9 days: 12 too few."),
        (-3, {"editing": _NOTHING}, "Nothing is left to record or to edit."),
    ],
)  # fmt: skip
def test_days_to_spare_are_told_against_the_likely_and_against_the_safe(
    free: int, fields: dict[str, Any], told: str
) -> None:
    """20 h are 4 days of 5 h, 45 h are 9, an hour more is a day more."""
    begins = date(2027, 1, 8)
    known: dict[str, Any] = {"voice_over": _NOTHING, "editing": Estimate(600, 1200, 2700)} | fields
    assert told_slack(Schedule(begins + timedelta(days=free), begins, 5.0, **known)) == told


# --- What helps ------------------------------------------------------------------------------


def test_what_helps_comes_true_as_it_was_told() -> None:
    """A day for 2 to 3: each change is made, and the chance is what was told."""
    later_day = NEXT + timedelta(days=1)
    episode = _episode(_day(ALL[:4]), _day(ALL[4:], later_day), publish=4, target_seconds=200)
    plan = evaluate(episode)
    found = outlook(plan)
    told = {one.words: one for one in helps(plan, found)}
    assert found.schedule is not None
    assert found.schedule.chance < 0.3
    (later,) = [one for one in told.values() if one.publish]
    brief = episode.brief
    made = {
        later.words: changed(episode, brief=changed(brief, publish_date=later.publish)),
        "Edit 6 hours a day in place of 5": changed(
            episode, brief=changed(brief, edit_hours_a_day=6)
        ),
        "Film what is on 6 January 2027 a day earlier": changed(
            episode, shoot_days=(_day(ALL[:4]), _day(ALL[4:], NEXT))
        ),
    }
    assert set(made) < set(told)
    for words, after in made.items():
        schedule = _out(after).schedule
        assert schedule is not None
        assert schedule.chance == pytest.approx(told[words].chance, abs=0.01), words
    cut = told["Cut the 1:40 that the video runs over its target"]
    shorter = tuple(changed(shot, screen_seconds=40) for shot in SHOTS)
    schedule = _out(changed(episode, shots=shorter)).schedule
    assert schedule is not None
    assert schedule.chance == pytest.approx(cut.chance, abs=0.01)
    chances = [one.chance for one in helps(plan, found)]
    assert chances == sorted(chances, reverse=True)


def test_the_first_later_date_is_told_and_none_before_it_is_good() -> None:
    episode = _episode(publish=1)
    plan = evaluate(episode)
    (later,) = [one for one in helps(plan, outlook(plan)) if one.publish]
    assert later.publish == DAY + timedelta(days=4)  # 15 h are 3 days: 5, 6 and 7 January
    assert later.words == "Publish 3 days later, on 8 January 2027"


@pytest.mark.parametrize("days", [20, 400])
def test_a_date_that_is_past_is_told_as_such_with_the_first_good_one(days: int) -> None:
    """All is filmed: 15 h from today on are 3 days, however long ago the date was."""
    episode = _filmed(_episode(publish=1), *ALL)
    today = DAY + timedelta(days=days)
    plan = evaluate(episode)
    found = outlook(plan, today)
    assert found.is_past
    assert [(one.words, one.publish) for one in helps(plan, found)] == [
        (f"Publish on {told_day(today + timedelta(days=3))}", today + timedelta(days=3))
    ]
    assert not outlook(plan, DAY + timedelta(days=1)).is_past
    assert not outlook(plan).is_past


def _earlier(episode: Episode, today: date | None = None) -> list[str]:
    plan = evaluate(episode)
    told = [one.words for one in helps(plan, outlook(plan, today))]
    return [words for words in told if words.endswith("a day earlier")]


def test_nothing_is_filmed_a_day_earlier_than_can_be() -> None:
    """On the day itself the day before is past; a day that is full already is not free."""
    alone = _episode(_day(ALL, NEXT), publish=4)
    assert _earlier(alone) == _earlier(alone, DAY) != []
    assert _earlier(alone, NEXT) == []
    two = _episode(_day(ALL[:4]), _day(ALL[4:], NEXT), publish=4)
    assert _earlier(two) == []
    empty = _episode(_day(()), _day(ALL, NEXT), publish=4)
    assert _earlier(empty) == _earlier(alone)


def test_nothing_is_filmed_a_day_earlier_than_it_has_rested() -> None:
    """Sewn on the 4th, hemmed on the 6th: a seam that hangs for 24 hours is ready on the 5th at
    the end of the day, and not at its start."""
    garment = EPISODE.garments[0]

    def hangs(hours: float) -> list[str]:
        steps = tuple(
            changed(step, rest_hours=hours) if step.id == "sew" else step for step in garment.steps
        )
        days = _day(ALL[:3]), _day(ALL[3:], NEXT + timedelta(days=1))
        made = _episode(*days, publish=4)
        return _earlier(changed(made, garments=(changed(garment, steps=steps),)))

    assert hangs(0) == hangs(12) != []
    assert hangs(36) == []


def test_shots_on_no_day_may_find_room() -> None:
    plan = evaluate(_episode(_day(ALL[:4]), publish=4))
    told = [one.words for one in helps(plan, outlook(plan))]
    assert "Find room on the shoot days for the shot that is on none of them" in told


def test_when_it_is_made_nothing_needs_help() -> None:
    plan = evaluate(_episode(publish=30))
    assert helps(plan, outlook(plan)) == ()
    assert helps(plan, outlook(evaluate(changed(EPISODE, brief=Brief())))) == ()
