"""What the times page tells: her times against the estimates of the time, and what they teach."""

import re
from datetime import date

import pytest

from webapp.build.rates import OwnRate
from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.filming.shots import Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.time_edits import with_earlier_times, with_own_rate, with_time, with_time_right
from webapp.plan.time_rows import KindRow
from webapp.plan.times import TimesReport, other_times, times_report
from webapp.plan.times_json import times_json

STEPS = (
    *(Step(id=f"fit-{n}", name=f"Fit {n}", work=(Work(kind="try on"),)) for n in range(10)),
    Step(id="ask", name="Ask a friend", work=(
        Work(kind="other", minutes=Minutes(low=5, likely=10, high=20)),
    )),
    Step(id="odd", name="Look for the scissors", work=(Work(kind="other"),)),
    Step(id="talk", name="Only talk"),
)  # fmt: skip
EPISODE = Episode(id="e", title="An apron", garments=(Recipe(id="g", name="G", steps=STEPS),))


def timed(*times: tuple[str, float], episode: Episode = EPISODE) -> Episode:
    for item, minutes in times:
        episode = with_time(
            episode, evaluate(episode), timed="step", item=item, minutes=minutes,
            day=date(2027, 1, 4),
        )  # fmt: skip
    return episode


def fitted(*minutes: float, episode: Episode = EPISODE) -> Episode:
    """A time for each of as many fittings, likely 10 minutes by the table."""
    return timed(*((f"fit-{n}", each) for n, each in enumerate(minutes)), episode=episode)


def report(episode: Episode) -> TimesReport:
    return times_report(evaluate(episode))


def kind(episode: Episode, name: str) -> KindRow:
    return next(row for row in report(episode).kinds if row.kind == name)


def test_without_times_it_says_so() -> None:
    told = report(EPISODE)
    assert told.rows == ()
    assert told.episodes == ()
    assert told.told_calibration == "No time can be compared with an estimate yet."
    assert told.told_width == ""
    row = kind(EPISODE, "try on")
    assert row.told_pace == "No time taken yet."
    assert row.told_move == "Estimates are the table’s."
    assert row.told_width == "Ranges are as wide as the table’s."


def test_each_time_is_shown_with_where_it_fell_the_newest_first() -> None:
    rows = report(timed(("fit-0", 30), ("fit-1", 12), ("talk", 3))).rows
    assert [(row.entry.title, row.side) for row in rows] == [
        ("Only talk", None), ("Fit 1", "inside"), ("Fit 0", "over"),
    ]  # fmt: skip
    assert rows[2].ratio == 3
    assert rows[0].ratio is None


def test_a_sitting_of_the_editing_is_not_compared_until_it_is_whole() -> None:
    """A minute on screen takes 80 to edit: 30 and 50, but not before it is said to be done."""
    filmed = changed(EPISODE, shots=(Shot(id="a", title="Look", screen_seconds=60),))
    both = filmed
    for minutes in (30, 50):
        both = with_time(both, evaluate(both), timed="editing", minutes=minutes)
    told = report(both)
    assert [row.side for row in told.rows] == [None, None]
    assert told.calibration.count == 0
    done = report(changed(both, brief=changed(both.brief, done=("editing",))))
    assert [row.side for row in done.rows] == [None, None]
    assert done.calibration.count == 1
    assert done.episodes[0].sum.minutes == 80


def test_what_was_done_in_two_sittings_is_compared_as_one() -> None:
    """6 minutes and 8 more of the same fitting: 14, not twice a quick one."""
    told = report(timed(("fit-0", 6), ("fit-0", 8)))
    assert [(row.side, row.sitting) for row in told.rows] == [(None, True), (None, True)]
    assert (told.calibration.inside, told.calibration.count) == (1, 1)
    row = next(row for row in told.kinds if row.kind == "try on")
    assert row.own_pace == pytest.approx(1.4)
    assert row.learned.times == 1


def test_a_kind_tells_her_pace_and_how_far_it_has_moved_and_why() -> None:
    """Four times of 15 minutes against 10: by 4 of 4 + 2, 1.5 to the 2/3rd power is 31 %."""
    row = kind(fitted(15, 15, 15, 15), "try on")
    assert row.told_pace == "Your times are 50 % longer than the table’s."
    assert row.told_move == (
        "Estimates are 31 % longer than the table’s: that comes 67 % from your 4 times here, the "
        "rest from the table."
    )
    assert row.own_pace == pytest.approx(1.5)
    assert row.calibration.count == 4
    assert "narrower" in row.told_width


def test_a_kind_tells_when_her_pace_at_other_work_counts_too() -> None:
    """A quick time among slow ones of other work: estimates may still go up, and it is said why."""
    episode = fitted(20, 20, 20, 20)
    episode = timed(("odd", 3.5), episode=episode)
    row = kind(episode, "other")
    assert row.own_pace is not None
    assert row.own_pace < 1 < row.learned.factor
    assert "% from your time here, " in row.told_move
    assert row.told_move.endswith(
        "% from your pace at other work, the rest from the table. At other work you take longer."
    )


def test_a_kind_without_times_tells_that_it_follows_the_others() -> None:
    row = kind(fitted(15, 15, 15, 15), "cut")
    assert row.told_pace == "No time taken yet."
    assert row.told_move == (
        "Estimates are 14 % longer than the table’s: that comes 33 % from your pace at other "
        "work, the rest from the table."
    )


def test_times_that_do_not_count_are_told() -> None:
    """Against typed minutes, and by a rate that is hers since."""
    typed = kind(timed(("ask", 20)), "other")
    assert typed.learned.factor == 1
    assert typed.told_pace == "No time that counts here."
    assert typed.told_aside.startswith("1 time does not count here: it was taken by rates")
    own = with_own_rate(fitted(30, 25), "try on", low=10, likely=20, high=40)
    assert kind(own, "try on").told_aside.startswith("2 times do not count here: they were")
    assert kind(fitted(30), "try on").told_aside == ""


def test_each_time_tells_whether_it_counts_and_if_not_why() -> None:
    """By its rates, against typed minutes, without any, and far from twelve others."""
    episode = timed(("odd", 4), ("ask", 20), ("talk", 3), ("fit-0", 11))
    told = {row.entry.item: row.told_counts for row in report(episode).rows}
    assert told == {
        "odd": "Counts.",
        "ask": "Does not count: it was worked out from minutes you typed.",
        "talk": "Does not count: nothing was worked out for it.",
        "fit-0": "Counts.",
    }
    own = with_own_rate(episode, "try on", low=10, likely=20, high=40)
    told = {row.entry.item: row.told_counts for row in report(own).rows}
    assert told["fit-0"] == "Does not count: it was worked out from rates changed since."
    assert told["odd"] == "Counts."
    (odd,) = (row for row in report(right(fitted(*[10] * 9, 60))).rows if row.entry.minutes == 60)
    assert re.fullmatch(
        r"Counts \d\d %: it is far from what the rates and your other times say\.", odd.told_counts
    )


def test_ranges_are_judged_once_there_are_enough_times() -> None:
    few = report(fitted(40, 40, 40))
    assert few.told_calibration.endswith("too few to say whether the ranges are right.")
    shown = evaluate(EPISODE)
    other = EPISODE
    for step in range(10):  # each against the table, as when all are written down at the end
        log = with_time(EPISODE, shown, timed="step", item=f"fit-{step}", minutes=36).time_log
        other = changed(other, time_log=(*other.time_log, changed(log[0], id=f"time-{step}")))
    many = with_earlier_times(EPISODE, [changed(other, id="o", title="A bag")])
    told = times_report(evaluate(many))
    assert told.told_calibration == (
        "In this episode no time can be compared yet. In all, 0 of 10 times did; 4 in 5 should "
        "(8): the ranges shown were too narrow."
    )
    assert told.told_width == (  # log 3.6 / log 1.8, by the table's 10 to 18
        "To be what usually holds, the ranges shown should have been 2.2 times as wide."
    )
    assert told.work.likely > shown.work.likely + 50


@pytest.mark.parametrize(
    ("minutes", "told"),
    [(65, "6.5 times as long as"), (20, "twice as long as"), (200, "20 times as long as"),
     (19, "90 % longer than"), (5, "50 % shorter than"), (10.2, "about as long as")],
)  # fmt: skip
def test_a_pace_is_told_in_times_from_twice_on(minutes: float, told: str) -> None:
    row = next(row for row in report(right(fitted(minutes))).kinds if row.kind == "try on")
    assert row.told_pace == f"Your times are {told} the table’s."


def right(episode: Episode) -> Episode:
    """She says of all her times that they are."""
    for entry in episode.time_log:
        episode = with_time_right(episode, entry.id)
    return episode


def test_a_time_that_is_far_off_is_told_and_counts_once_she_says_it_is_right() -> None:
    """14 h 30 min by a clock that ran on, where 10 minutes were worked out."""
    night = fitted(870)
    told = report(night)
    (row,) = told.rows
    assert row.told_far == (
        "It took 14 h 30 min where 10 min was worked out: so far off it does not count unless you "
        "say that it was all work."
    )
    assert told.told_far == "1 time is left out, too far from what was worked out for it."
    assert told.calibration.count == 0
    assert told.plan.work == report(EPISODE).plan.work
    meant = report(right(night))
    assert (meant.rows[0].told_far, meant.rows[0].side, meant.told_far) == ("", "over", "")
    assert meant.plan.work.likely > told.plan.work.likely
    assert report(fitted(2)).rows[0].told_far.endswith("unless you say that it was all of it.")


def test_each_episode_tells_how_far_off_it_was() -> None:
    other = changed(fitted(13, 13), id="o", title="A bag")
    told = report(with_earlier_times(fitted(10), [other]))
    assert [row.title for row in told.episodes] == ["An apron", "A bag"]
    assert told.episodes[0].told == "about as long as estimated"
    assert told.told_calibration.startswith(
        "In this episode 1 of 1 time fell inside the range shown. In all, 3 of 3 times did: "
    )
    assert told.episodes[1].sum.ratio == pytest.approx(26 / sum(
        entry.shown.likely for entry in other.time_log
    ))  # fmt: skip


def test_rates_that_nothing_is_worked_out_from_are_told() -> None:
    odd = OwnRate(key="felting", low=1, likely=2, high=3)
    far = OwnRate(key="editing", low=1e6, likely=1e6, high=1e6)
    own = OwnRate(key="try on", low=1, likely=2, high=3)
    told = report(changed(EPISODE, rates=(odd, own, far)))
    assert told.unused_rates == (odd, far)
    assert told.plan.rates["editing"].likely == pytest.approx(4 / 3)


def test_the_machine_readable_plan_tells_what_her_times_teach() -> None:
    told = times_json(evaluate(fitted(15, 15, 15, 15)))
    (kind,) = told["learned"]
    assert (kind["kind"], kind["times"]) == ("try on", 4)
    assert kind["factor"] == pytest.approx(1.5 ** (2 / 3))
    assert told["times"]["inside"] == 4
    assert told["episodes_timed"][0]["minutes"] == 60
    own = with_own_rate(EPISODE, "try on", low=1, likely=2, high=3, note="quick")
    assert times_json(evaluate(own))["own_rates"] == [
        {"key": "try on", "low": 1, "likely": 2, "high": 3, "note": "quick"}
    ]


def test_the_times_of_other_episodes_are_told_before_they_are_counted() -> None:
    bag = changed(fitted(13, 13), id="o", title="A bag")
    hat = changed(fitted(12), id="h", title="A hat")
    told = other_times(EPISODE, [bag, hat])
    assert told.told == (
        "Not taken in yet from your other episodes: 2 times of “A bag” and 1 time of “A hat”."
    )
    both = with_earlier_times(EPISODE, [bag, hat])
    told = other_times(both, [bag, hat])
    assert (told.is_new, told.told) == (
        False, "Taken in from your other episodes: 2 times of “A bag” and 1 time of “A hat”."
    )  # fmt: skip
    assert other_times(both, [changed(bag, time_log=bag.time_log[:1]), hat]).told.endswith(
        " since."
    )
    assert other_times(EPISODE, [EPISODE]).told == "Your other episodes have no times yet."
