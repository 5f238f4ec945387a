"""Estimates move toward what she takes, in proportion to the evidence; ranges hold 4 in 5."""

import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from webapp.build.calibration import far_off
from webapp.build.learning import (
    NOTHING_LEARNED,
    WIDTH_COUNTS,
    Counted,
    LearnedTimes,
    counted,
    learn,
)
from webapp.build.rates import RATES
from webapp.build.time_kinds import RatePrints
from webapp.build.time_log import TIME_KINDS, KindShare, TimeEntry, TimeKind, WorkedOut
from webapp.build.work_time import PACE_COUNTS, PACE_IN_COMMON, Estimate, total

PRINTS = RatePrints(RATES)
TABLE = Estimate(7, 10, 14)


def worked_out(estimate: Estimate) -> WorkedOut:
    return WorkedOut(low=estimate.low, likely=estimate.likely, high=estimate.high)


def time(minutes: float, table: Estimate = TABLE, **shares: float) -> TimeEntry:
    """A time; shares by kind, `pin` alone if none are given."""
    return TimeEntry(
        id="t", title="A step", minutes=minutes, table=worked_out(table), shown=worked_out(table),
        shares=tuple(
            KindShare(kind=kind, share=share, rates=PRINTS.of(PRINTS.keys(kind)))  # type: ignore[arg-type]
            for kind, share in (shares or {"pin": 1.0}).items()
        ),
    )  # fmt: skip


# --- The rule ----------------------------------------------------------------------------------


def test_without_times_estimates_are_the_tables() -> None:
    for kind, learned in learn([], RATES).items():
        assert learned.moved(TABLE) == TABLE
        assert (learned.times, learned.weight, learned.factor) == (0, 0, 1)
        assert learned == NOTHING_LEARNED[kind]
    assert learn([], RATES).keys() == set(TIME_KINDS)


@pytest.mark.parametrize("count", [1, 2, 5, 20])
def test_so_many_times_count_that_many_against_the_table(count: int) -> None:
    """Bühlmann's credibility: n times of half as long again move by the n / (n + 2)th power."""
    learned = learn([time(15)] * count, RATES)["pin"]
    weight = count / (count + PACE_COUNTS)
    assert learned.weight == pytest.approx(weight)
    assert learned.factor == pytest.approx(1.5**weight)
    assert learned.times == count
    assert learned.moved(TABLE).likely == pytest.approx(10 * 1.5**weight)


def test_the_order_of_times_does_not_matter() -> None:
    times = [time(minutes) for minutes in (8, 9, 12, 15, 20)] + [time(9, cut=0.4, pin=0.6)]
    shuffled = random.Random(1).sample(times, len(times))
    for one, other in zip(
        learn(times, RATES).values(), learn(shuffled, RATES).values(), strict=True
    ):
        assert one.factor == pytest.approx(other.factor)
        assert one.width == pytest.approx(other.width)


def test_a_time_of_several_kinds_counts_for_each_with_its_share() -> None:
    half = learn([time(15, pin=0.5, cut=0.5)] * 4, RATES)
    whole = learn([time(15)] * 4, RATES)
    assert half["pin"].factor == pytest.approx(half["cut"].factor)
    assert 1 < half["press"].factor < half["pin"].factor < 1.5
    assert half["pin"].evidence < whole["pin"].evidence


def test_a_kind_without_times_follows_her_pace_at_others_less() -> None:
    """As one at other work is slow at half of it: the covariance of two kinds by the table."""
    learned = learn([time(15)] * 4, RATES)
    assert math.log(learned["cut"].factor) == pytest.approx(
        PACE_IN_COMMON * math.log(learned["pin"].factor)
    )
    assert learned["cut"].times == 0
    assert learned["cut"].weight < learned["pin"].weight / 2


def test_a_pace_tells_from_where_it_comes() -> None:
    """Worked out by hand: paces of variance 1/2, half of it in common, so 1/4 between two kinds.
    A time of pinning among four of pressing has (1/4, 1/2) over ((3/4, 1/4), (1/4, 3/2)), which
    makes 4/17 from the pressing and 5/17 from itself."""
    learned = learn([time(12), *[time(12, press=1.0)] * 4], RATES)
    assert learned["pin"].own == pytest.approx(5 / 17)
    assert learned["pin"].other == pytest.approx(4 / 17)
    assert learned["pin"].factor == pytest.approx(1.2 ** (9 / 17))
    assert (learned["hand"].own, NOTHING_LEARNED["hand"].other) == (0, 0)


def test_each_time_tells_how_much_it_counts() -> None:
    """By its share at rates that are as they were, and less when it is far from the others."""
    stale = time(15).shares[0].model_copy(update={"rates": "other"})
    none = time(15).model_copy(update={"shares": (stale,)})
    half = time(15, press=0.5, pin=0.5)
    half = half.model_copy(
        update={"shares": (half.shares[0], stale.model_copy(update={"share": 0.5}))}
    )
    steady = [time(10.0)] * 9
    found = counted([*steady, none, half, time(100)], RATES)
    assert found[:9] == (Counted(1, 1),) * 9
    assert found[9].share == 0
    assert found[10].share == 0.5
    assert 0.1 < found[11].pull < 0.9
    assert counted([none], RATES) == (Counted(),)
    assert counted([], RATES) == ()


def test_whole_steps_tell_the_kinds_apart() -> None:
    """Slow at pinning (1.6), quick at cutting (0.7): from steps of both, timed as wholes."""
    draw = random.Random(5)
    times = []
    for _ in range(300):
        pin = draw.choice((0.2, 0.5, 0.8))
        minutes = 10 * (1.6 * pin + 0.7 * (1 - pin)) * math.exp(draw.gauss(0, 0.1))
        times.append(time(minutes, pin=pin, cut=1 - pin))
    learned = learn(times, RATES)
    assert learned["pin"].factor == pytest.approx(1.6, rel=0.12)
    assert learned["cut"].factor == pytest.approx(0.7, rel=0.12)


def test_times_by_rates_that_have_changed_say_nothing_until_they_go_back() -> None:
    slow = replace(RATES["pin: one"], likely=RATES["pin: one"].likely * 1.2)
    changed = {**RATES, slow.key: slow}
    times = [time(15)] * 3
    learned = learn(times, changed)["pin"]
    assert (learned.factor, learned.times, learned.set_aside) == (1, 0, 3)
    assert learn(times, RATES)["pin"].factor > 1.2
    mixed = [time(15, pin=0.5, cut=0.5)] * 3
    assert learn(mixed, changed)["cut"].factor > learn(mixed, changed)["pin"].factor > 1


def test_an_entry_without_an_estimate_says_nothing() -> None:
    assert learn([time(15, Estimate())], RATES)["pin"].factor == 1
    untimed = time(15).model_copy(update={"shares": ()})
    assert learn([untimed], RATES)["pin"] == NOTHING_LEARNED["pin"]


@pytest.mark.parametrize("odd", [60, 900, 60_000])
def test_one_odd_time_pulls_no_harder_than_one_at_the_edge_of_the_usual(odd: float) -> None:
    """Five times of 10 and one far off: as if that were 2.5 deviations off, against the five and
    the table's two. However far, it is the same, and what was never timed hardly moves."""
    learned = learn([time(10)] * 5 + [time(odd)], RATES)
    deviation = math.log(1.4) / 1.2816 * math.sqrt(2 / 3)  # 1.4 to the 10 % point, of one time
    assert learned["pin"].factor == pytest.approx(math.exp(2.5 * deviation / 7), abs=0.01)
    assert learned["pin"].width == pytest.approx(0.8, abs=0.02)
    assert learned["machine"].factor == pytest.approx(1.04, abs=0.005)
    assert learned["machine"].width == pytest.approx(0.91, abs=0.01)


def test_a_pace_far_off_is_learned_when_time_after_time_says_so() -> None:
    """Six times as long, five times of five: 6 to the power of 5 / 7, near enough."""
    learned = learn([time(60)] * 5, RATES)["pin"]
    assert learned.factor == pytest.approx(6 ** (5 / 7), rel=0.05)


def test_ranges_keep_their_shape() -> None:
    """In factors of likely: the long side stays as much longer than the short one."""
    skewed = Estimate(8, 10, 20)
    learned = learn([time(minutes) for minutes in (6, 30, 9, 22, 5, 14)], RATES)["pin"]
    moved = learned.moved(skewed)
    assert learned.width > 1.2
    up, down = math.log(moved.high / moved.likely), math.log(moved.likely / moved.low)
    assert up / down == pytest.approx(math.log(2) / math.log(1.25))
    assert up == pytest.approx(learned.width * math.log(2))


def test_steady_times_narrow_the_range_and_scattered_ones_widen_it() -> None:
    steady = learn([time(minutes) for minutes in (12, 12.5, 11.8, 12.2, 12.1, 12)], RATES)["pin"]
    wild = learn([time(minutes) for minutes in (5, 25, 7, 20, 6, 24)], RATES)["pin"]
    assert steady.width < 0.6
    assert wild.width > 1.3
    few = learn([time(12)], RATES)["pin"]
    assert 0.75 < few.width < 1


def test_a_range_without_width_stays_without() -> None:
    learned = learn([time(15, Estimate(10, 10, 10))] * 3, RATES)["pin"]
    assert learned.factor > 1.2
    assert learned.width < 1  # only as more is known of the pace: nothing is seen of the scatter
    moved = learned.moved(Estimate(4, 4, 4))
    assert moved.low == moved.likely == moved.high == pytest.approx(4 * learned.factor)
    assert WIDTH_COUNTS > 0


def test_what_is_unsure_of_her_pace_shrinks_with_times() -> None:
    def in_common(times: Sequence[TimeEntry]) -> float:
        moved = learn(times, RATES)["pin"].moved(TABLE)
        return math.sqrt(sum(minutes**2 for _, minutes in moved.by_pace)) / moved.deviation

    unsure = [in_common([time(11)] * count) for count in (0, 1, 4, 20)]
    assert unsure == sorted(unsure, reverse=True)
    assert unsure[0] == pytest.approx(math.sqrt(1 / (PACE_COUNTS + 1)))


# --- Simulated makers ----------------------------------------------------------------------------

KINDS: tuple[TimeKind, ...] = ("cut", "pin", "machine", "hand", "press", "try on")
Noise = Callable[[np.random.Generator], float]


@dataclass(frozen=True)
class Makers:
    """How makers differ: a pace at all work, one at each kind, and from time to time (logs)."""

    name: str
    bias: float  # what the table is off for everyone: it is always short
    common: float
    of_kind: float
    noise: Noise


def normal(deviation: float) -> Noise:
    return lambda draw: float(draw.normal(0, deviation))


def long_tailed(draw: np.random.Generator) -> float:
    """Now and then something goes wrong: Student's t with 5 degrees."""
    return 0.25 * float(draw.standard_t(5))


MAKERS = [
    Makers("as the table thinks", 0, 0.2, 0.2, normal(0.33)),
    Makers("slower than the table", 0.3, 0.2, 0.2, normal(0.33)),
    Makers("steadier than the table", 0.2, 0.1, 0.1, normal(0.15)),
    Makers("far from the table", 0.2, 0.4, 0.4, normal(0.4)),
    Makers("with mishaps", 0.2, 0.2, 0.2, long_tailed),
]
ROUNDS, A_ROUND, CREATORS = 5, 10, 40


@dataclass
class Seen:
    """What was shown, before each round of times."""

    inside: list[bool] = field(default_factory=list)
    missed: list[float] = field(default_factory=list)  # logs
    totals_inside: list[bool] = field(default_factory=list)
    totals_missed: list[float] = field(default_factory=list)


def a_garment(draw: np.random.Generator) -> list[list[tuple[TimeKind, Estimate]]]:
    """Twenty steps of one to three kinds of work, with ranges as the table has them."""
    steps = []
    for _ in range(20):
        kinds = draw.choice(len(KINDS), size=draw.integers(1, 4), replace=False)
        steps.append([(KINDS[kind], a_part(draw)) for kind in kinds])
    return steps


def a_part(draw: np.random.Generator) -> Estimate:
    likely = float(np.exp(draw.normal(1.5, 0.7)))
    return Estimate(likely / draw.uniform(1.5, 1.9), likely, likely * draw.uniform(1.6, 2.2))


def simulated(makers: Makers, seed: int, *, whole_steps: bool) -> list[Seen]:
    """Garment after garment by makers who time some of their steps, whole or one kind at once,
    and never say that a time far off is right after all: it does not count."""
    draw = np.random.default_rng(seed)
    rounds = [Seen() for _ in range(ROUNDS)]
    for _ in range(CREATORS):
        common = makers.bias + draw.normal(0, makers.common)
        pace = {kind: math.exp(common + draw.normal(0, makers.of_kind)) for kind in KINDS}
        log: list[TimeEntry] = []
        for seen in rounds:
            items = a_garment(draw)
            if not whole_steps:
                items = [[part] for step in items for part in step]
            times = [
                sum(e.likely * pace[kind] * math.exp(makers.noise(draw)) for kind, e in item)
                for item in items
            ]
            shown = compare(seen, items, times, learn(log, RATES))
            for at in draw.permutation(len(items))[:A_ROUND]:
                entry = as_logged(items[at], times[at], shown[at])
                if not far_off(entry):
                    log.append(entry)
    return rounds


def compare(
    seen: Seen,
    items: Iterable[list[tuple[TimeKind, Estimate]]],
    times: Sequence[float],
    learned: LearnedTimes,
) -> list[Estimate]:
    shown = [total([learned[kind].moved(e) for kind, e in item]) for item in items]
    for estimate, minutes in zip(shown, times, strict=True):
        seen.inside.append(estimate.low <= minutes <= estimate.high)
        seen.missed.append(abs(math.log(minutes / estimate.likely)))
    whole = total(shown)
    seen.totals_inside.append(whole.low <= sum(times) <= whole.high)
    seen.totals_missed.append(abs(math.log(sum(times) / whole.likely)))
    return shown


def as_logged(item: list[tuple[TimeKind, Estimate]], minutes: float, shown: Estimate) -> TimeEntry:
    whole = total([e for _, e in item])
    entry = time(minutes, whole, **{kind: e.likely / whole.likely for kind, e in item})
    return entry.model_copy(update={"shown": worked_out(shown)})


@pytest.fixture(scope="module")
def simulations() -> dict[str, list[Seen]]:
    """By what was simulated: 40 makers, 5 garments each, 10 times taken after each; seeded."""
    return {
        f"{makers.name}, {'whole steps' if whole else 'one kind at once'}": simulated(
            makers, 17, whole_steps=whole
        )
        for makers in MAKERS
        for whole in (False, True)
    }


def test_four_in_five_times_of_every_sort_of_maker_fall_inside(
    simulations: dict[str, list[Seen]],
) -> None:
    """To 5 points, from the third garment on."""
    for name, rounds in simulations.items():
        inside = np.mean([one for seen in rounds[2:] for one in seen.inside])
        assert inside == pytest.approx(0.8, abs=0.05), name


def test_four_in_five_totals_of_garments_fall_inside(simulations: dict[str, list[Seen]]) -> None:
    """To 5 points over all makers, from the third garment on (1,200 totals, 400 makers)."""
    inside = [one for rounds in simulations.values() for s in rounds[2:] for one in s.totals_inside]
    assert np.mean(inside) == pytest.approx(0.8, abs=0.05)


def test_what_is_missed_shrinks_with_the_times_taken(simulations: dict[str, list[Seen]]) -> None:
    """Of totals from garment to garment and to less than half; of steps for every maker."""
    by_garment = [
        np.mean([one for rounds in simulations.values() for one in rounds[at].totals_missed])
        for at in range(ROUNDS)
    ]
    assert by_garment == sorted(by_garment, reverse=True)
    assert by_garment[-1] < by_garment[0] / 2
    for name, rounds in simulations.items():
        assert np.mean(rounds[-1].missed) < 0.9 * np.mean(rounds[0].missed), name
