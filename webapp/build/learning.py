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
all kinds, then that of each kind toward it.

No one time rules the rest. Farther than ODD deviations from what the others say it pulls her pace
no harder than from there: it counts ODD over its distance (Huber, Annals of Mathematical
Statistics 35, 1964; from memory). It widens the ranges no more than from there either. Times that
are mistakes rather than work are left out before (plan/sittings).

The constants are judgement, no source: simulated makers of five sorts, from steady to far off the
table, have 4 in 5 inside (tests/build).
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from webapp.build.rates import Rates
from webapp.build.time_kinds import RatePrints
from webapp.build.time_log import TIME_KINDS, TimeEntry, TimeKind, WorkedOut
from webapp.build.work_time import (
    PACE_COUNTS,
    PACE_IN_COMMON,
    TENTH,
    Estimate,
    WorkPart,
    table_pace,
)

WIDTH_COUNTS: Final = 2.5
ODD: Final = 2.5  # deviations
_ROUNDS: Final = 4  # until the shares follow her paces; each round gains two figures or more
_MOST_ROUNDS: Final = 30  # until no time weighs another weight; few times need more than a dozen
_SETTLED: Final = 1e-4
# How sure the table is of her paces: the inverse of their covariance.
_OF_THE_TABLE: Final = PACE_COUNTS * np.linalg.inv(
    PACE_IN_COMMON * np.ones((len(TIME_KINDS),) * 2)
    + (1 - PACE_IN_COMMON) * np.eye(len(TIME_KINDS))
)
_LEAST_WIDTH, _MOST_WIDTH = 0.2, 4.0
_MOST_SCATTER: Final = 2.0
_MOST_ADDED: Final = (-0.2, 1.0)  # what an odd file says of its shares goes no further
_PLACE: Final = {kind: place for place, kind in enumerate(TIME_KINDS)}
_NOTHING: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Learned:
    """What her times say about a kind of work. With no times it is what the table says."""

    kind: TimeKind
    times: int = 0  # that count for it
    shares: float = 0.0  # these added up, each by its share of this kind
    evidence: float = 0.0  # how many times of this kind alone all her times are worth
    factor: float = 1.0  # her pace: minutes over the table's, already drawn toward the table
    width: float = 1.0  # of a range, in the table's
    unknowns: tuple[tuple[str, float], ...] = ()  # see `Estimate.with_pace`; () as by the table
    set_aside: int = 0  # times by other rates than now: they say nothing until the rates go back
    own: float = 0.0  # how much of the pace (its log) comes from times of this kind, 0 to 1
    other: float = 0.0  # … from those of other kinds; the rest is the table's

    @property
    def weight(self) -> float:
        """How much her times count against the table, 0 to 1."""
        return self.evidence / (self.evidence + PACE_COUNTS)

    def moved(self, table: Estimate) -> Estimate:
        """An estimate of the table as her times move it; what is left unsure of her pace is
        marked as such (`Estimate.by_pace`)."""
        return _moved(self, table.low, table.likely, table.high)

    def moved_part(self, part: WorkPart) -> WorkPart:
        """A part of a step as her times move it; typed minutes stay as typed."""
        return part if part.typed else replace(part, shown=self.moved(part.table))


@lru_cache(maxsize=4000)  # an edit moves few of the times that a plan holds
def _moved(by: Learned, low: float, likely: float, high: float) -> Estimate:
    table = Estimate(low, likely, high)
    if table.likely > 0:
        shape = by.width * math.log(table.high / table.likely)
        likely = by.factor * table.likely
        low = likely * (table.low / table.likely) ** by.width
        table = Estimate(low, likely, max(likely, likely * math.exp(shape)))
    return table.with_pace(dict(by.unknowns) if by.unknowns else table_pace(by.kind))


@dataclass(frozen=True, slots=True)
class Counted:
    """How much a time counts. `share` is that of its work whose rates are as they were, `pull`
    how much of its own pull it has: less than 1 when it is far from what the others say."""

    share: float = 0.0
    pull: float = 1.0


LearnedTimes = Mapping[TimeKind, Learned]


Floats = npt.NDArray[np.float64]
NOTHING_LEARNED: Final[LearnedTimes] = MappingProxyType({k: Learned(k) for k in TIME_KINDS})


@dataclass(frozen=True, slots=True)
class _Row:
    """A time as the rule reads it: see `_Times`."""

    off: float
    shares: tuple[float, ...]
    aside: float
    over: float
    under: float


@dataclass(frozen=True)
class _Times:
    """The times as the rule reads them, a row each; kinds in the order of TIME_KINDS."""

    off: Floats  # log of minutes over the table's likely
    shares: Floats  # a column each kind
    aside: Floats  # of the shares by rates that are no more: these go as by the table
    over: Floats  # the table's deviation (log) of one time from the next above likely
    under: Floats  # … and below; infinite where the table has no range

    def off_by(self, scatter: float) -> Floats:
        """Off against the parts' likely minutes, for times that scatter so much.

        A total is likely longer than its parts' likely minutes, as more can go wrong than right:
        by the table the shares add up to that much less than 1, and it grows as the variance.
        """
        added = np.clip(1 / (self.shares.sum(axis=1) + self.aside) - 1, *_MOST_ADDED)
        more: Floats = np.log1p(added * min(scatter, _MOST_SCATTER) ** 2)
        return self.off - more


@dataclass(frozen=True)
class _Fit:
    """In the order of TIME_KINDS: the logs of her paces, and what is unsure of each, as so much of
    each of some independent unknowns (the root of their covariance), in standard deviations of
    one time from the next; by the table the squares make 1 / PACE_COUNTS. Of each pace, how much
    comes from each kind. By time: how far it is from what the others say, in the table's
    deviations."""

    paces: list[float]
    unsure: list[list[float]]
    comes_from: Floats
    misses: Floats

    @property
    def weights(self) -> Floats:
        """How much each time counts: one beyond ODD pulls no harder than from there."""
        return ODD / np.maximum(ODD, self.misses)


def learn(entries: Iterable[TimeEntry], rates: Rates) -> LearnedTimes:
    """What the times say of every kind of work there is, against these rates."""
    entries = tuple(entries)
    if not entries:
        return NOTHING_LEARNED
    prints = RatePrints(rates)
    aside = Counter(
        kind for e in entries for kind in {s.kind for s in e.shares if not prints.hold(s)}
    )
    times = _times(_row(entry, prints) for entry in entries)
    if times is None:
        return MappingProxyType({k: Learned(k, set_aside=aside[k]) for k in TIME_KINDS})
    fit, scatter = _settled(times)
    found: dict[TimeKind, Learned] = {}
    for place, kind in enumerate(TIME_KINDS):
        shares = times.shares[:, place]
        evidence = max(0.0, 1 / sum(one**2 for one in fit.unsure[place]) - PACE_COUNTS)
        own, every = float(fit.comes_from[place, place]), float(fit.comes_from[place].sum())
        found[kind] = Learned(
            kind,
            times=int(np.count_nonzero(shares)),
            shares=float(shares.sum()),
            evidence=evidence,
            factor=math.exp(fit.paces[place]),
            width=_scatter(shares, fit.misses, times, scatter) * _spread(evidence),
            unknowns=_unknowns(fit.unsure[place]),
            set_aside=aside[kind],
            own=own,
            other=every - own,
        )
    return MappingProxyType(found)


def counted(entries: Iterable[TimeEntry], rates: Rates) -> tuple[Counted, ...]:
    """How much each of the times counts in what is learned from them all."""
    prints = RatePrints(rates)
    rows = [_row(entry, prints) for entry in entries]
    times = _times(rows)
    if times is None:
        return (Counted(),) * len(rows)
    pulls = iter(_settled(times)[0].weights.tolist())
    return tuple(
        Counted(sum(row.shares) / (sum(row.shares) + row.aside), next(pulls)) if row else Counted()
        for row in rows
    )


def _settled(times: _Times) -> tuple[_Fit, float]:
    """The paces and her scatter at all work, once each time weighs what the others make of it."""
    weights = all_alike = np.ones(len(times.off))
    fit, scatter = _fit(times, weights, 1.0), 1.0
    for _ in range(_MOST_ROUNDS):
        before, weights = weights, fit.weights
        wider = _scatter(all_alike, fit.misses, times, 1.0)
        moved = max(abs(wider - scatter), float(np.abs(weights - before).max()))
        if moved < _SETTLED:
            break
        scatter = wider
        fit = _fit(times, weights, scatter)
    return fit, scatter


def _times(rows: Iterable[_Row | None]) -> _Times | None:
    """The times of which something counts; None when there are none."""
    found = [row for row in rows if row is not None]
    if not found:
        return None
    columns = ([getattr(row, one.name) for row in found] for one in fields(_Times))
    return _Times(*map(np.array, columns))


def _row(entry: TimeEntry, prints: RatePrints) -> _Row | None:
    """The time; None when nothing of it counts."""
    shares, aside = [0.0] * len(TIME_KINDS), 0.0
    for share in entry.shares:
        if prints.hold(share):
            shares[_PLACE[share.kind]] += share.share
        else:
            aside += share.share
    if entry.table.likely <= 0 or not any(shares):
        return None
    off = math.log(entry.minutes / entry.table.likely)
    return _Row(off, tuple(shares), aside, *_deviations(entry.table))


def _deviations(table: WorkedOut) -> tuple[float, float]:
    """Of one time from the next, above and below likely (logs). A side without a range takes that
    of the other; infinite where there is none at all."""
    per_log = math.sqrt(PACE_COUNTS / (PACE_COUNTS + 1)) / TENTH
    over = math.log(table.high / table.likely) * per_log
    under = math.log(table.likely / table.low) * per_log if table.low > 0 else 0.0
    return over or under or math.inf, under or over or math.inf


def _fit(times: _Times, weights: Floats, scatter: float) -> _Fit:
    """The paces, each time with its weight, and how far each time is from what the others say.

    With b the paces, a time of shares s is off by log(sum of s exp b).
    """
    off = times.off_by(scatter)
    paces = np.zeros(len(TIME_KINDS))
    for _ in range(_ROUNDS):
        parts = times.shares * np.exp(paces)
        whole = parts.sum(axis=1) + times.aside
        slopes = parts / whole[:, None]
        weighed = slopes * weights[:, None]
        unsure = np.linalg.inv(slopes.T @ weighed + _OF_THE_TABLE)
        paces = unsure @ (weighed.T @ (off - np.log(whole) + slopes @ paces))
    left = off - np.log((times.shares * np.exp(paces)).sum(axis=1) + times.aside)
    # The others alone would miss the time by its distance over `others`, of a variance of
    # 1 + known / others (of the time itself, and of what they leave unsure).
    known = ((slopes @ unsure) * slopes).sum(axis=1)
    others = 1 - weights * known
    alone = np.sqrt(others * (others + known))
    misses = np.abs(left) / alone / np.where(left > 0, times.over, times.under)
    root = np.linalg.cholesky(unsure)
    comes_from = unsure @ (weighed.T @ slopes)  # the matrix of averages, called of resolution
    return _Fit(paces.tolist(), root.tolist(), comes_from, misses)


def _scatter(shares: Floats, misses: Floats, times: _Times, before: float) -> float:
    """How wide her times scatter, in the table's range, from the average miss and what was
    thought before; no miss counts for more than ODD."""
    shares = np.where(np.isfinite(times.over), shares, 0.0)
    of_half_a_normal_curve = math.sqrt(math.pi / 2)
    missed = float(shares @ np.minimum(misses, ODD)) * of_half_a_normal_curve
    width = (WIDTH_COUNTS * before + missed) / (WIDTH_COUNTS + float(shares.sum()))
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
