"""Every rate times a kind of work, and is known to have changed."""

from dataclasses import replace
from typing import get_args

from webapp.build.time_kinds import fingerprints, kind_of_rate, rates_by_kind
from webapp.build.time_log import TIME_KINDS
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


def test_a_changed_rate_changes_the_fingerprint_of_what_it_times_alone() -> None:
    before = fingerprints(EVERY_RATE)
    for key, kinds in (
        ("cut: scissors", {"cut"}),
        ("machine: share", {"machine", "overlock"}),
        ("speaking", {"filming", "voice-over"}),
        ("editing", {"editing"}),
    ):
        rate = EVERY_RATE[key]
        after = fingerprints({**EVERY_RATE, key: replace(rate, high=rate.high * 1.1)})
        assert {kind for kind in TIME_KINDS if after[kind] != before[kind]} == kinds
    reworded = replace(EVERY_RATE["editing"], what="of a minute", source="another place")
    assert fingerprints({**EVERY_RATE, "editing": reworded}) == before


def test_the_kinds_of_work_are_all_kinds_of_time() -> None:
    assert set(get_args(WorkKind)) < set(TIME_KINDS)
