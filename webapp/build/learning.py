"""How the rates move toward what she really takes, in proportion to the times she has taken.

The rule, for each kind of work: a time says by how much she was off the table (the logarithm of
minutes over the table's likely minutes). The pace of a kind is the average of these, drawn toward
the table as if the table were PACE_COUNTS times more: n times count n / (n + PACE_COUNTS). That is
the credibility formula (Bühlmann, Experience rating and credibility, 1967; from memory). A time
of several kinds counts for each with its share of the minutes, and a time of one kind a little
for the others: the same formula in matrices, which is Bayes' rule for normal errors.

A range keeps its shape and is as wide as four times in five need: her times are compared with
what all her other times would have said, in widths of the table's range, and the average of that
(as for half a normal curve) is drawn toward 1 as if WIDTH_COUNTS times had said 1; first that of
all kinds, then that of each kind toward it. The constants are judgement, no source: simulated
makers of five sorts, from steady to far off the table, have 4 in 5 inside (tests/build).
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from webapp.build.rates import Rates
from webapp.build.time_kinds import fingerprints
from webapp.build.time_log import TIME_KINDS, Reckoned, TimeEntry, TimeKind
from webapp.build.work_time import (
    PACE_COUNTS,
    PACE_IN_COMMON,
    TENTH,
    Estimate,
    WorkPart,
    table_pace,
)

WIDTH_COUNTS: Final = 2.5
_ROUNDS: Final = 4  # until the shares follow her paces; each round gains two figures or more
# How sure the table is of her paces: the inverse of their covariance.
_OF_THE_TABLE: Final = PACE_COUNTS * np.linalg.inv(
    PACE_IN_COMMON * np.ones((len(TIME_KINDS),) * 2)
    + (1 - PACE_IN_COMMON) * np.eye(len(TIME_KINDS))
)
_LEAST_WIDTH, _MOST_WIDTH = 0.2, 4.0
_MOST_SCATTER: Final = 2.0
_NOTHING: Final = 1e-6
_MOST_FACTOR: Final = 8.0  # a clock that ran all night is no pace


@dataclass(frozen=True, slots=True)
class Learned:
    """What her times say about a kind of work. With no times it is what the table says."""

    kind: TimeKind
    times: int = 0  # that count for it
    evidence: float = 0.0  # how many times of this kind alone they are worth
    factor: float = 1.0  # her pace: minutes over the table's, already drawn toward the table
    width: float = 1.0  # of a range, in the table's
    unknowns: tuple[tuple[str, float], ...] = ()  # see `Estimate.with_pace`; () as by the table
    set_aside: int = 0  # times by other rates than now: they say nothing until the rates go back

    @property
    def weight(self) -> float:
        """How much her times count against the table, 0 to 1."""
        return self.evidence / (self.evidence + PACE_COUNTS)

    @property
    def pace(self) -> float:
        """Minutes over the table's by her times alone; 1 without any."""
        return self.factor ** (1 / self.weight) if self.weight > 0 else 1.0

    def moved(self, table: Estimate) -> Estimate:
        """An estimate of the table as her times move it; what is left unsure of her pace is
        marked as such (`Estimate.by_pace`)."""
        if table.likely > 0:
            shape = self.width * math.log(table.high / table.likely)
            likely = self.factor * table.likely
            low = likely * (table.low / table.likely) ** self.width
            table = Estimate(low, likely, max(likely, likely * math.exp(shape)))
        return table.with_pace(dict(self.unknowns) if self.unknowns else table_pace(self.kind))

    def moved_part(self, part: WorkPart) -> WorkPart:
        """A part of a step as her times move it; typed minutes stay as typed."""
        return part if part.typed else replace(part, shown=self.moved(part.table))


LearnedTimes = Mapping[TimeKind, Learned]


@dataclass(frozen=True, slots=True)
class _Time:
    """A time as the rule reads it. `shares` are in the order of TIME_KINDS."""

    off: float  # log of minutes over the table's likely
    shares: tuple[float, ...]
    aside: float  # of the shares by rates that are no more: these go as by the table
    table: Reckoned

    def off_by(self, scatter: float) -> float:
        """The same against the parts' likely minutes, for times that scatter so much.

        A total is likely longer than its parts' likely minutes, as more can go wrong than right:
        by the table the shares add up to that much less than 1, and it grows as the variance.
        """
        added = 1 / (sum(self.shares) + self.aside) - 1
        return self.off - math.log1p(added * min(scatter, _MOST_SCATTER) ** 2)


@dataclass(frozen=True, slots=True)
class _Fit:
    """In the order of TIME_KINDS: the logs of her paces, and what is unsure of each, as so much of
    each of some independent unknowns (the root of their covariance), in standard deviations of
    one time from the next; by the table the squares make 1 / PACE_COUNTS. By time: its miss (see
    `_miss`)."""

    paces: tuple[float, ...]
    unsure: tuple[tuple[float, ...], ...]
    misses: tuple[float | None, ...]


NOTHING_LEARNED: Final[LearnedTimes] = MappingProxyType({k: Learned(k) for k in TIME_KINDS})


def learn(entries: Iterable[TimeEntry], rates: Rates) -> LearnedTimes:
    """What the times say of every kind of work there is, against these rates."""
    entries = tuple(entries)
    if not entries:
        return NOTHING_LEARNED
    prints = fingerprints(rates)
    times, aside = [], dict.fromkeys(TIME_KINDS, 0)
    for entry in entries:
        for kind in {s.kind for s in entry.shares if s.rates != prints[s.kind]}:
            aside[kind] += 1
        time = _read(entry, prints)
        if time is not None:
            times.append(time)
    if not times:
        return MappingProxyType({k: Learned(k, set_aside=aside[k]) for k in TIME_KINDS})
    fit, scatter = _fit(times, 1.0), 1.0
    for _ in range(_ROUNDS):
        scatter = _scatter([1.0] * len(times), fit.misses, 1.0)
        fit = _fit(times, scatter)
    found: dict[TimeKind, Learned] = {}
    for place, kind in enumerate(TIME_KINDS):
        shares = [time.shares[place] for time in times]
        evidence = max(0.0, 1 / sum(one**2 for one in fit.unsure[place]) - PACE_COUNTS)
        found[kind] = Learned(
            kind,
            times=sum(share > 0 for share in shares),
            evidence=evidence,
            factor=math.exp(fit.paces[place]),
            width=_scatter(shares, fit.misses, scatter) * _spread(evidence),
            unknowns=_unknowns(fit.unsure[place]),
            set_aside=aside[kind],
        )
    return MappingProxyType(found)


def _read(entry: TimeEntry, prints: Mapping[TimeKind, str]) -> _Time | None:
    """The time with the shares whose rates are as they were; None when nothing of it counts."""
    shares, aside = dict.fromkeys(TIME_KINDS, 0.0), 0.0
    for share in entry.shares:
        if share.rates == prints[share.kind]:
            shares[share.kind] += share.share
        else:
            aside += share.share
    if entry.table.likely <= 0 or not any(shares.values()):
        return None
    most = math.log(_MOST_FACTOR)
    off = math.log(entry.minutes / entry.table.likely)
    return _Time(max(-most, min(most, off)), tuple(shares.values()), aside, entry.table)


def _fit(times: Sequence[_Time], scatter: float) -> _Fit:
    """The paces, and how far each time is from what the others say.

    With b the paces, a time of shares s is off by log(sum of s exp b).
    """
    shares = np.array([time.shares for time in times])
    off = np.array([time.off_by(scatter) for time in times])
    rest = np.array([time.aside for time in times])
    paces = np.zeros(len(TIME_KINDS))
    for _ in range(_ROUNDS):
        parts = shares * np.exp(paces)
        whole = parts.sum(axis=1) + rest
        slopes = parts / whole[:, None]
        unsure = np.linalg.inv(slopes.T @ slopes + _OF_THE_TABLE)
        paces = unsure @ slopes.T @ (off - np.log(whole) + slopes @ paces)
    left = off - np.log((shares * np.exp(paces)).sum(axis=1) + rest)
    # The others alone would miss the time by its distance over this.
    alone = np.sqrt(1 - np.einsum("ij,jk,ik->i", slopes, unsure, slopes))
    misses = [_miss(*one) for one in zip(left / alone, times, strict=True)]
    root = np.linalg.cholesky(unsure)
    return _Fit(tuple(paces), tuple(tuple(row) for row in root.tolist()), tuple(misses))


def _miss(off: float, time: _Time) -> float | None:
    """How far a time is from likely, in standard deviations of one time from the next; None by a
    table without a range. A side without a range takes that of the other."""
    table = time.table
    for end in (table.high, table.low) if off > 0 else (table.low, table.high):
        if end > 0 and end != table.likely:
            deviation = abs(math.log(end / table.likely)) / TENTH
            return abs(off) / (deviation * math.sqrt(PACE_COUNTS / (PACE_COUNTS + 1)))
    return None


def _scatter(shares: Sequence[float], misses: Sequence[float | None], before: float) -> float:
    """How wide her times scatter, in the table's range, from the average miss and what was
    thought before."""
    seen = [(share, miss) for share, miss in zip(shares, misses, strict=True) if miss is not None]
    of_half_a_normal_curve = math.sqrt(math.pi / 2)
    missed = sum(share * miss for share, miss in seen) * of_half_a_normal_curve
    width = (WIDTH_COUNTS * before + missed) / (WIDTH_COUNTS + sum(share for share, _ in seen))
    return max(_LEAST_WIDTH, min(_MOST_WIDTH, width))


def _spread(evidence: float) -> float:
    """A range's width where so much is known of her pace, in that where nothing is."""
    return math.sqrt((1 + 1 / (evidence + PACE_COUNTS)) / (1 + 1 / PACE_COUNTS))


def _unknowns(unsure: Sequence[float]) -> tuple[tuple[str, float], ...]:
    """How much of a range's deviation each unknown of her pace makes."""
    variance = 1 + sum(one**2 for one in unsure)
    return tuple(
        (f"pace {number}", one / math.sqrt(variance))
        for number, one in enumerate(unsure)
        if abs(one) > _NOTHING
    )
