"""Times are written down with what was worked out for them then, and rates are changed in place."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from webapp.build.time_kinds import TYPED
from webapp.build.time_log import TimeEntry
from webapp.build.work_time import Estimate
from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError
from webapp.filming.every_rate import EVERY_RATE
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed, Shot
from webapp.plan.days import day_plans
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.time_edits import (
    timer_seconds,
    with_earlier_times,
    with_own_rate,
    with_time,
    with_time_changed,
    with_time_right,
    with_timer,
    with_timer_dropped,
    with_timer_paused,
    with_timer_resumed,
    with_timer_stopped,
    without_own_rate,
    without_time,
)
from webapp.plan.to_time import to_time

DAY = date(2027, 1, 4)
NOON = datetime(2027, 1, 4, 12, tzinfo=UTC)
TYPED_WORK = Work(kind="other", minutes=Minutes(low=5, likely=10, high=30))
STEPS = (
    Step(id="fit", name="Fit it", work=(Work(kind="try on"), TYPED_WORK)),
    Step(id="plain", name="Plain", work=(Work(kind="try on"),)),
    Step(id="talk", name="Only talk"),
)
SHOTS = (
    Shot(id="a", title="Fit", step="fit", screen_seconds=60),
    Shot(id="b", title="Plain", step="plain", screen_seconds=60),
)
EPISODE = Episode(
    id="e", title="An apron", garments=(Recipe(id="g", name="G", steps=STEPS),), shots=SHOTS,
    shoot_days=(ShootDay(day=DAY, shots=("a", "b")),),
)  # fmt: skip


def taken(episode: Episode = EPISODE, item: str = "fit", minutes: float = 30) -> Episode:
    return with_time(episode, evaluate(episode), timed="step", item=item, minutes=minutes)


def only(episode: Episode) -> TimeEntry:
    (entry,) = episode.time_log
    return entry


# --- Times ---------------------------------------------------------------------------------------


def test_a_time_is_kept_with_its_name_its_estimates_and_its_shares() -> None:
    """Trying on is 6, 10, 18 by the table and 5, 10, 30 were typed: as much of the whole each,
    which is likely longer than both, as more can go wrong than right."""
    entry = only(taken())
    assert (entry.title, entry.minutes, entry.item) == ("Fit it", 30, "fit")
    assert entry.table == entry.shown
    assert 11 < entry.table.low < 20 < entry.table.high < 48
    shares = {one.kind: one for one in entry.shares}
    assert entry.table.likely > 20
    assert shares["try on"].share == shares["other"].share
    assert shares["try on"].share * entry.table.likely == pytest.approx(10)
    assert shares["other"].rates == TYPED != shares["try on"].rates
    assert (shares["try on"].by, shares["other"].by) == (("try on",), ())


def test_one_kind_of_a_step_can_be_timed_alone() -> None:
    episode = with_time(
        EPISODE, evaluate(EPISODE), timed="step", item="fit", kind="try on", minutes=9
    )
    entry = only(episode)
    assert (entry.kind, entry.table.low, entry.table.likely, entry.table.high) == (
        "try on", 6, 10, 18,
    )  # fmt: skip
    assert [(one.kind, one.share) for one in entry.shares] == [("try on", 1)]


def test_what_was_worked_out_stays_when_the_plan_learns() -> None:
    """Twice the likely minutes move what is shown next; the table's stays, so does the first."""
    first = taken(item="plain", minutes=20)
    second = with_time(first, evaluate(first), timed="step", item="plain", minutes=20)
    one, other = second.time_log
    assert one.shown.likely == one.table.likely == other.table.likely == 10
    assert other.shown.likely > 11
    assert second.time_log[0] == first.time_log[0]
    assert [entry.id for entry in second.time_log] == ["time-1", "time-2"]


def test_a_step_without_work_can_be_timed_and_says_nothing() -> None:
    episode = taken(item="talk", minutes=5)
    assert only(episode).shares == ()
    assert evaluate(episode).work == evaluate(EPISODE).work


def test_times_are_changed_and_taken_out() -> None:
    episode = with_time_changed(taken(), "time-1", minutes=31.5, day=DAY, note="the cat")
    entry = only(episode)
    assert (entry.minutes, entry.day, entry.note) == (31.5, DAY, "the cat")
    assert without_time(episode, "time-1") == EPISODE
    assert not only(
        with_time_changed(with_time_right(episode, "time-1"), "time-1", minutes=9)
    ).all_work
    assert only(with_time_changed(with_time_right(episode, "time-1"), "time-1", note="ok")).all_work
    more = taken(taken(episode))
    again = taken(without_time(more, "time-2"))
    assert len({entry.id for entry in again.time_log}) == 3
    with pytest.raises(TypeError):
        with_time_changed(episode, "time-1", table=None)
    with pytest.raises(NotThereError):
        without_time(EPISODE, "time-1")


@pytest.mark.parametrize("minutes", [0, -3, 1e9, float("nan")])
def test_no_time_is_nothing_or_endless(minutes: float) -> None:
    with pytest.raises(ValueError):
        taken(minutes=minutes)


def test_what_is_not_there_cannot_be_timed() -> None:
    plan = evaluate(EPISODE)
    for timed, item in (("step", "gone"), ("shoot day", "2027-01-05"), ("shoot day", "")):
        with pytest.raises(NotThereError):
            to_time(plan, timed, item)  # type: ignore[arg-type]
    with pytest.raises(NotThereError, match="“Fit it” has no such work: cutting out"):
        to_time(plan, "step", "fit", "cut")


def test_a_shoot_day_is_its_work_and_its_filming() -> None:
    plan = evaluate(EPISODE)
    (day,) = day_plans(plan)
    what = to_time(plan, "shoot day", DAY.isoformat())
    assert what.title == "4 January 2027"
    assert what.shown.likely == pytest.approx(day.ends.likely - day.day.starts_at, rel=0.01)
    assert {one.kind for one in what.shares} == {"try on", "other", "filming"}
    alone = [to_time(plan, "step", step.step.id).table.likely for step in plan.steps]
    work = sum(one.share for one in what.shares if one.kind != "filming") * what.table.likely
    assert work == pytest.approx(sum(alone), rel=0.1)
    filming = to_time(plan, "shoot day", DAY.isoformat(), "filming")
    assert filming.shown.likely < what.shown.likely


def test_a_day_that_is_filmed_is_worked_out_as_it_was_planned() -> None:
    """Marked as filmed its shots take no time any more: her time is not compared with that."""
    filmed = tuple(changed(shot, filmed=Filmed(day=DAY)) for shot in SHOTS)
    after = to_time(evaluate(changed(EPISODE, shots=filmed)), "shoot day", DAY.isoformat())
    before = to_time(evaluate(EPISODE), "shoot day", DAY.isoformat())
    assert after.shown == before.shown
    assert after.shares == before.shares


def test_editing_and_voice_over_have_their_own_rates() -> None:
    """Two minutes on screen: 2/3, 4/3, 3 h of editing each."""
    what = to_time(evaluate(EPISODE), "editing")
    assert (what.table.low, what.table.likely, what.table.high) == pytest.approx((80, 160, 360))
    done = changed(EPISODE, brief=changed(EPISODE.brief, done=("editing",)))
    twice = with_time(done, evaluate(done), timed="editing", minutes=320)
    assert evaluate(twice).learned["editing"].factor == pytest.approx(2 ** (1 / 3))
    assert to_time(evaluate(twice), "voice-over").title == "Voice-over"


# --- The timer -----------------------------------------------------------------------------------


def later(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


def started() -> Episode:
    return with_timer(EPISODE, evaluate(EPISODE), "step", "fit", None, NOON)


def test_a_timer_stands_while_it_is_paused_and_is_written_down() -> None:
    episode = with_timer_paused(started(), later(10))
    assert episode.timer is not None
    assert timer_seconds(episode.timer, later(25)) == 600
    episode = with_timer_resumed(episode, later(30))
    episode = with_timer_stopped(episode, evaluate(episode), later(35), note="quick")
    entry = only(episode)
    assert episode.timer is None
    assert (entry.minutes, entry.day, entry.note, entry.title) == (15, DAY, "quick", "Fit it")


def test_a_timer_counts_over_time_zones_and_never_back() -> None:
    east = timezone(timedelta(hours=9))
    episode = with_timer(EPISODE, evaluate(EPISODE), "step", "fit", None, NOON.astimezone(east))
    assert episode.timer is not None
    assert timer_seconds(episode.timer, later(1)) == 60
    assert timer_seconds(episode.timer, later(-5)) == 0
    stopped = with_timer_stopped(episode, evaluate(episode), datetime(2027, 1, 5, 1, tzinfo=east))
    assert (only(stopped).minutes, only(stopped).day) == (240, date(2027, 1, 5))


def test_pausing_twice_or_resuming_twice_changes_nothing() -> None:
    once = with_timer_paused(started(), later(10))
    assert with_timer_paused(once, later(20)) == once
    on = with_timer_resumed(once, later(20))
    assert with_timer_resumed(on, later(22)) == on


def test_only_one_time_is_taken_at_once() -> None:
    with pytest.raises(ValueError, match="“Fit it” is being timed"):
        with_timer(started(), evaluate(EPISODE), "editing", "", None, NOON)


def test_a_timer_just_started_is_not_written_down_but_can_be_thrown_away() -> None:
    with pytest.raises(ValueError, match="only just"):
        with_timer_stopped(started(), evaluate(EPISODE), NOON)
    assert with_timer_dropped(started()) == EPISODE
    for act in (with_timer_paused, with_timer_resumed):
        with pytest.raises(NotThereError):
            act(EPISODE, NOON)
    with pytest.raises(NotThereError):
        with_timer_dropped(EPISODE)


def test_a_step_taken_out_meanwhile_keeps_its_time() -> None:
    episode = changed(started(), garments=(), shots=(), shoot_days=())
    entry = only(with_timer_stopped(episode, evaluate(episode), later(3)))
    assert (entry.title, entry.minutes, entry.shown.likely) == ("Fit it", 3, 0)


# --- Other episodes ------------------------------------------------------------------------------


def test_times_of_other_episodes_are_taken_over_each_once() -> None:
    other = changed(taken(taken()), id="o", title="A bag")
    here = changed(EPISODE, id="h")
    got = with_earlier_times(here, [other, here])
    assert [entry.episode for entry in got.earlier_times] == ["A bag", "A bag"]
    assert got.time_log == ()
    assert with_earlier_times(got, [other]) == got
    assert with_earlier_times(got, []) == got  # one that is gone keeps its times
    grown = with_earlier_times(got, [taken(other)])
    assert len(grown.earlier_times) == 3
    renamed = with_earlier_times(got, [changed(other, title="A large bag")])
    assert [entry.episode for entry in renamed.earlier_times] == ["A large bag"] * 2


def test_two_other_episodes_of_one_title_are_kept_apart() -> None:
    """They may have the same steps, which would be taken for sittings of one."""
    one = changed(taken(item="plain", minutes=12), id="o", title="A bag")
    got = with_earlier_times(EPISODE, [one, changed(one, id="p")])
    assert [entry.episode for entry in got.earlier_times] == ["A bag", "A bag (2)"]
    assert evaluate(got).learned["try on"].times == 2


def test_editing_that_is_not_done_is_not_taken_over() -> None:
    """An hour of the editing of another episode is no whole; it is taken over once it is done."""
    other = changed(EPISODE, id="o", title="A bag")
    other = with_time(other, evaluate(other), timed="editing", minutes=60)
    assert with_earlier_times(EPISODE, [other]).earlier_times == ()
    done = changed(other, brief=changed(other.brief, done=("editing",)))
    got = with_earlier_times(EPISODE, [done])
    assert [entry.minutes for entry in got.earlier_times] == [60]
    assert evaluate(got).learned["editing"].times == 1
    renamed = changed(other, title="A large bag")  # and it goes on after all
    assert with_earlier_times(got, [renamed]).earlier_times == ()


def test_times_of_other_episodes_move_the_estimates_of_this_one() -> None:
    other = changed(taken(item="plain", minutes=20), id="o", title="A bag")
    got = evaluate(with_earlier_times(EPISODE, [other]))
    assert got.learned["try on"].times == 1
    assert got.work.likely > evaluate(EPISODE).work.likely + 2


# --- Rates ---------------------------------------------------------------------------------------


def test_a_rate_is_hers_until_it_is_put_back() -> None:
    episode = with_own_rate(EPISODE, "try on", low=10, likely=20, high=30, note="mirror far off")
    episode = with_own_rate(episode, "try on", low=10, likely=15, high=30)
    assert [rate.likely for rate in episode.rates] == [15]
    assert evaluate(episode).steps[1].work == Estimate(10, 15, 30)
    assert without_own_rate(episode, "try on") == EPISODE


def test_a_rate_must_rise_and_be_in_the_table() -> None:
    with pytest.raises(ValueError, match="should rise"):
        with_own_rate(EPISODE, "try on", low=10, likely=5, high=30)
    with pytest.raises(ValueError, match=r"“try on” are from 0\.1 to 1000\."):
        with_own_rate(EPISODE, "try on", low=10, likely=50, high=1001)
    with pytest.raises(NotThereError):
        with_own_rate(EPISODE, "felting", low=1, likely=1, high=1)
    with pytest.raises(NotThereError):
        without_own_rate(EPISODE, "try on")


def test_times_by_a_rate_that_is_changed_count_again_when_it_is_put_back() -> None:
    timed = taken(item="plain", minutes=20)
    moved = evaluate(timed).learned["try on"]
    own = with_own_rate(timed, "try on", low=12, likely=20, high=36)
    aside = evaluate(own).learned["try on"]
    assert (moved.times, aside.times, aside.set_aside) == (1, 0, 1)
    assert aside.factor == pytest.approx(1)
    assert evaluate(without_own_rate(own, "try on")).learned["try on"] == moved
    assert "try on" in EVERY_RATE
