"""Every rate times a kind of work, and is known to have changed."""

from dataclasses import replace
from typing import get_args

from webapp.build.time_kinds import RatePrints, kind_of_rate, rates_by_kind
from webapp.build.time_log import TIME_KINDS, KindShare
from webapp.draft.construction import WorkKind
from webapp.filming.every_rate import EVERY_RATE


def test_every_kind_has_rates_and_every_rate_one_kind() -> None:
    found = rates_by_kind(EVERY_RATE)
    assert tuple(found) == TIME_KINDS
    assert all(found.values())
    assert sum(map(len, found.values())) == len(EVERY_RATE)


def test_rates_are_listed_with_the_work_they_time() -> None:
    for key, kind in (
        ("cut: scissors", "cut"),
        ("hand: backstitch", "hand"),
        ("hand length: backstitch", "hand"),
        ("try on", "try on"),
        ("other", "other"),
        ("other place", "filming"),
        ("retries", "filming"),
        ("speaking", "filming"),
        ("voice-over", "voice-over"),
        ("editing", "editing"),
    ):
        assert key in EVERY_RATE
        assert kind_of_rate(key) == kind


def test_a_changed_rate_sets_aside_what_it_times_alone() -> None:
    """What names no rates, as of old, was worked out by all of its kind."""
    before = RatePrints(EVERY_RATE)
    shares = [
        KindShare(kind=kind, share=1, rates=before.of(before.keys(kind))) for kind in TIME_KINDS
    ]
    for key, kinds in (
        ("cut: scissors", {"cut"}),
        ("machine: share", {"machine", "overlock"}),
        ("speaking", {"filming", "voice-over"}),
        ("editing", {"editing"}),
    ):
        rate = EVERY_RATE[key]
        after = RatePrints({**EVERY_RATE, key: replace(rate, high=rate.high * 1.1)})
        assert {one.kind for one in shares if not after.hold(one)} == kinds
    reworded = replace(EVERY_RATE["editing"], what="of a minute", source="another place")
    assert all(map(RatePrints({**EVERY_RATE, "editing": reworded}).hold, shares))


def test_a_share_that_names_its_rates_is_set_aside_by_these_alone() -> None:
    """Another tool, or a rate that the table has since, is nothing to it."""
    named = ("cut: scissors", "cut: handling")
    share = KindShare(kind="cut", share=1, rates=RatePrints(EVERY_RATE).of(named), by=named)
    for key, holds in (
        ("cut: scissors", False), ("cut: handling", False), ("cut: rotary cutter", True),
    ):  # fmt: skip
        rate = EVERY_RATE[key]
        assert RatePrints({**EVERY_RATE, key: replace(rate, low=rate.low / 2)}).hold(share) == holds
    new = replace(EVERY_RATE["cut: scissors"], key="cut: laser")
    assert RatePrints({**EVERY_RATE, new.key: new}).hold(share)
    without = {key: rate for key, rate in EVERY_RATE.items() if key != "cut: handling"}
    assert not RatePrints(without).hold(share)


def test_the_kinds_of_work_are_all_kinds_of_time() -> None:
    assert set(get_args(WorkKind)) < set(TIME_KINDS)
