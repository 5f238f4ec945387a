"""Rates that are multiplied are independent: their product holds 4 in 5, as each of them does."""

import math
from typing import Any

import numpy as np
import pytest

from webapp.build.rates import Rate
from webapp.build.work_time import TENTH, Estimate, product
from webapp.filming.every_rate import EVERY_RATE

DRAWS = 40_000
STITCHES = sorted(
    key.removeprefix("hand length: ") for key in EVERY_RATE if key.startswith("hand length: ")
)
CASES = [
    ((), ("machine: speed", "machine: share")),
    ((), ("overlock: speed", "machine: share")),
    (("pin: spacing", "pin: one"), ()),
    *(((), (f"hand: {stitch}", f"hand length: {stitch}")) for stitch in STITCHES),
    *(
        ((rolls, f"{what}: change"), (f"{what}: lasts",))
        for rolls in ("slowed: real time", "slowed: sped up", "retries", "speeding up")
        for what in ("battery", "card")
    ),
]


def rate(low: float, likely: float, high: float) -> Rate:
    return Rate("a", "as given", low, likely, high, "-")


def drawn(one: Rate, draw: np.random.Generator) -> np.ndarray[Any, Any]:
    """Half a log-normal curve each way: 1 in 10 below low, 1 in 2 below likely, 1 in 10 above."""
    z = draw.standard_normal(DRAWS)
    side = np.where(z < 0, math.log(one.likely / one.low), math.log(one.high / one.likely))
    return np.asarray(one.likely * np.exp(z / TENTH * side))


@pytest.mark.parametrize(("factors", "over"), CASES)
def test_four_in_five_products_of_the_rates_fall_inside(
    factors: tuple[str, ...], over: tuple[str, ...]
) -> None:
    """A seeded Monte Carlo run of every product that time is worked out from: 80 % inside and 10 %
    beyond each end, to 2 points. All lows to all highs would hold more than 91 %."""
    times, divided = ([EVERY_RATE[key] for key in keys] for keys in (factors, over))
    draw = np.random.default_rng(1)
    found = math.prod(drawn(one, draw) for one in times) / math.prod(
        drawn(one, draw) for one in divided
    )
    shown = product(1, *times, over=divided)
    assert np.mean((found >= shown.low) & (found <= shown.high)) == pytest.approx(0.8, abs=0.02)
    assert np.mean(found < shown.low) == pytest.approx(0.1, abs=0.02)
    assert np.mean(found > shown.high) == pytest.approx(0.1, abs=0.02)
    lowest = math.prod(one.low for one in times) / math.prod(one.high for one in divided)
    highest = math.prod(one.high for one in times) / math.prod(one.low for one in divided)
    assert np.mean((found >= lowest) & (found <= highest)) > 0.91


def test_one_rate_alone_is_as_the_table_has_it() -> None:
    alone = product(3, rate(2, 4, 10))
    assert (alone.low, alone.likely, alone.high) == pytest.approx((6, 12, 30))
    under = product(120, over=[rate(20, 40, 60)])
    assert (under.low, under.likely, under.high) == pytest.approx((2, 3, 6))


def test_a_rate_without_a_range_adds_none() -> None:
    both = product(1, rate(5, 5, 5), rate(2, 4, 10), over=[rate(10, 10, 10)])
    assert (both.low, both.likely, both.high) == pytest.approx((1, 2, 5))
    assert product(6, rate(5, 5, 5), over=[rate(10, 10, 10)]) == Estimate(3, 3, 3)


def test_nothing_of_a_rate_takes_no_time() -> None:
    assert product(0, rate(2, 4, 10), rate(1, 2, 3), over=[rate(1, 2, 3)]) == Estimate()


def test_rates_as_far_apart_as_they_can_be_typed_have_an_end() -> None:
    wide = rate(1e-6, 1, 1e6)
    found = product(1, wide, wide, over=[wide, wide])
    assert (found.low, found.high) == pytest.approx((1e-12, 1e12))  # 4 of 6 powers: √4 · 6
