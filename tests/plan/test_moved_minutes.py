"""What a time or a rate moved is told before and after, by kind of work, for the whole episode."""

import pytest

from tests.plan.test_times import EPISODE, fitted, timed
from webapp.filming.shots import Shot
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.filming_total import filming_total
from webapp.plan.moved_minutes import moved_minutes
from webapp.plan.time_edits import with_earlier_times, with_own_rate


def test_a_time_tells_what_it_moved_in_all_and_then_the_most_moved_first() -> None:
    plan = evaluate(fitted(15))
    moved = moved_minutes(EPISODE, plan)
    assert moved is not None
    assert [one.what for one in moved] == ["All the work", "Trying on"]
    was, now = evaluate(EPISODE).work, plan.work
    assert (moved[0].before, moved[0].after) == (was.likely, now.likely)
    assert moved[1].before == pytest.approx(10 * 10, abs=12)  # ten of likely 10, a little more
    assert 1.1 < moved[1].after / moved[1].before < 1.2  # 1.5 to the third: 1.14
    assert moved[1].shown[0].endswith(" min")


def test_a_rate_and_the_times_of_others_tell_what_they_moved() -> None:
    own = with_own_rate(EPISODE, "try on", low=12, likely=20, high=36)
    moved = moved_minutes(EPISODE, evaluate(own))
    assert moved is not None
    assert moved[1].after == pytest.approx(2 * moved[1].before)
    taken = with_earlier_times(EPISODE, [changed(fitted(20, 20), id="o", title="A bag")])
    moved = moved_minutes(EPISODE, evaluate(taken))
    assert moved is not None
    assert moved[1].what == "Trying on"


def test_what_moves_nothing_and_what_is_no_time_are_told_apart() -> None:
    assert moved_minutes(EPISODE, evaluate(timed(("talk", 3)))) == ()
    assert moved_minutes(EPISODE, evaluate(changed(EPISODE, title="A coat"))) is None


def test_what_filming_adds_is_told_for_the_order_listed_whatever_the_days_do() -> None:
    before = changed(EPISODE, shots=(Shot(id="s", title="S", kind="talking"),))
    plan = evaluate(with_own_rate(before, "first place", low=20, likely=40, high=60))
    moved = moved_minutes(before, plan)
    assert moved is not None
    assert [one.what for one in moved] == ["Filming, in the order listed"]
    assert moved[0].after == filming_total(plan).listed.minutes.likely
