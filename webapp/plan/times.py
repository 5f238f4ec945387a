"""Her times against what was reckoned: each time, each kind of work, each episode."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from webapp.build.calibration import (
    SHARE_INSIDE,
    Calibration,
    Side,
    Sum,
    calibration,
    compared,
    side_of,
    sum_of,
    width_needed,
)
from webapp.build.learning import Learned
from webapp.build.rates import OwnRate, can_be_used
from webapp.build.time_log import TIME_KINDS, TimeEntry, TimeKind
from webapp.build.work_time import Estimate
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.results import Plan
from webapp.plan.sittings import whole_times

_AS_MUCH: Final = 0.05  # a factor nearer to 1 is told as the same


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A time and where it fell in the range shown then; None where it cannot be compared: nothing
    was reckoned, or it is one sitting of several."""

    entry: TimeEntry
    side: Side | None
    sitting: bool = False  # one of several for the same

    @property
    def ratio(self) -> float | None:
        """Minutes over what was likely then."""
        return self.entry.minutes / self.entry.shown.likely if self.side else None


@dataclass(frozen=True)
class KindRow:
    """A kind of work: what her times of it were, and how they move its rates."""

    kind: TimeKind
    learned: Learned
    own_pace: float | None  # minutes over the table's, by her times alone, as they stand
    calibration: Calibration  # of the times mostly of this kind

    @property
    def told_pace(self) -> str:
        """Her pace against the table, in a sentence."""
        if self.own_pace is None:
            return "No time taken yet."
        return f"Your times are {_told_factor(self.own_pace, 'the table’s')}."

    @property
    def told_move(self) -> str:
        """How far estimates have moved and on what evidence, in a sentence."""
        learned = self.learned
        moved = f"Estimates are {_told_factor(learned.factor, 'the table’s')}"
        if learned.times == 0:
            if abs(learned.factor - 1) < _AS_MUCH:
                return "Estimates are the table’s."
            return f"{moved}: that is your pace at other work."
        count = _times(learned.times)
        others = learned.evidence - learned.shares > _AS_MUCH
        weigh = "weighs" if learned.times == 1 and not others else "weigh"
        what = f"{count} and your pace at other work" if others else count
        return f"{moved}: {what} {weigh} {_percent(learned.weight)}, the table the rest."

    @property
    def told_width(self) -> str:
        """How wide the ranges are, in a sentence."""
        width = self.learned.width
        if abs(width - 1) < _AS_MUCH:
            return "Ranges are as wide as the table’s."
        wider = "wider than" if width > 1 else "narrower than"
        return f"Ranges are {_percent(abs(width - 1))} {wider} the table’s."

    @property
    def told_aside(self) -> str:
        """The times that do not count now, in a sentence; empty when all do."""
        count = self.learned.set_aside
        if not count:
            return ""
        do, they = ("does", "it was") if count == 1 else ("do", "they were")
        return (
            f"{_times(count)} {do} not count here: {they} taken by rates that are changed "
            "since, or against minutes that were typed."
        )


@dataclass(frozen=True, slots=True)
class EpisodeRow:
    """An episode whose times are known: how far off it was."""

    title: str
    sum: Sum
    calibration: Calibration

    @property
    def told(self) -> str:
        """How far off, in words."""
        return f"{_times(self.sum.count)}, {_told_factor(self.sum.ratio, 'estimated')}"


@dataclass(frozen=True)
class TimesReport:
    """All her times compared. Rows are newest first; kinds in the order of the table."""

    plan: Plan

    @cached_property
    def entries(self) -> tuple[TimeEntry, ...]:
        """Every time that can be compared, of this episode and of others: see `whole_times`."""
        return whole_times(self.plan.episode)

    @property
    def rows(self) -> tuple[TimeRow, ...]:
        """The times of this episode."""
        log = self.plan.episode.time_log
        sittings = Counter(_what(entry) for entry in log)
        whole = {one.id for one in self.entries if not one.episode}
        found = []
        for entry in reversed(log):
            one_of_several = sittings[_what(entry)] > 1
            compared = entry.id in whole and not one_of_several
            found.append(TimeRow(entry, _side(entry) if compared else None, one_of_several))
        return tuple(found)

    @cached_property
    def kinds(self) -> tuple[KindRow, ...]:
        """Every kind of work there is."""
        return tuple(
            KindRow(
                kind,
                self.plan.learned[kind],
                own_pace(self.entries, kind),
                calibration(e for e in self.entries if main_kind(e) == kind),
            )
            for kind in TIME_KINDS
        )

    @cached_property
    def episodes(self) -> tuple[EpisodeRow, ...]:
        """This episode and the others, each with what it took against what was likely."""
        titles = dict.fromkeys(entry.episode for entry in self.entries)
        found = []
        for title in titles:
            of_it = [entry for entry in self.entries if entry.episode == title]
            summed = sum_of(of_it)
            if summed:
                name = title or self.plan.episode.title
                found.append(EpisodeRow(name, summed, calibration(of_it)))
        return tuple(found)

    @cached_property
    def calibration(self) -> Calibration:
        """Of all times."""
        return calibration(self.entries)

    @property
    def told_calibration(self) -> str:
        """Whether the ranges hold what they should, in a sentence."""
        found = self.calibration
        if not found.count:
            return "No time can be compared with an estimate yet."
        of_all = f"{found.inside} of {_times(found.count)} fell inside the range shown"
        meant = f"4 in 5 should ({SHARE_INSIDE * found.count:.0f})"
        return {
            "too few": f"{of_all}: too few to say whether the ranges are right.",
            "right": f"{of_all}; {meant}: the ranges are as wide as they should be.",
            "too narrow": f"{of_all}; {meant}: the ranges shown were too narrow.",
            "too wide": f"{of_all}; {meant}: the ranges shown were wider than they need be.",
        }[found.verdict]

    @property
    def told_width(self) -> str:
        """How wide the ranges should have been, in a sentence; empty unless they were wrong."""
        needed = width_needed(self.entries)
        if needed is None or self.calibration.verdict not in ("too narrow", "too wide"):
            return ""
        wider = "wider" if needed > 1 else "narrower"
        return (
            "To hold 4 times in 5 the ranges shown should have been "
            f"{_percent(abs(needed - 1))} {wider}."
        )

    @property
    def unused_rates(self) -> tuple[OwnRate, ...]:
        """Rates of hers that the table does not have (any more), or that are too far from its:
        they are kept and do nothing."""
        return tuple(r for r in self.plan.episode.rates if not can_be_used(r, EVERY_RATE))

    @property
    def work(self) -> Estimate:
        """The work of the whole garment as shown."""
        return self.plan.work

    @property
    def filming(self) -> Estimate:
        """What filming adds in all, as shown."""
        return self.plan.filming


def times_report(plan: Plan) -> TimesReport:
    """Her times against what was reckoned."""
    return TimesReport(plan)


def main_kind(entry: TimeEntry) -> TimeKind | None:
    """The kind most of the time was reckoned for; None where nothing was."""
    if entry.kind is not None:
        return entry.kind
    return max(entry.shares, key=lambda share: share.share).kind if entry.shares else None


def own_pace(entries: Iterable[TimeEntry], kind: TimeKind) -> float | None:
    """Minutes over the table's by the times of a kind alone, each weighted by its share of it (a
    geometric mean: twice and half as long make once); None without any."""
    logs, shares = [], []
    for entry in compared(entries):
        share = math.fsum(one.share for one in entry.shares if one.kind == kind)
        if share > 0 and entry.table.likely > 0:
            logs.append(share * math.log(entry.minutes / entry.table.likely))
            shares.append(share)
    return math.exp(math.fsum(logs) / math.fsum(shares)) if shares else None


def _what(entry: TimeEntry) -> tuple[str, str, TimeKind | None]:
    return entry.timed, entry.item, entry.kind


def _side(entry: TimeEntry) -> Side | None:
    return side_of(entry.minutes, entry.shown) if entry.shown.likely > 0 else None


def _told_factor(factor: float, than: str) -> str:
    if abs(factor - 1) < _AS_MUCH:
        return f"about as long as {than}"
    longer = "longer" if factor > 1 else "shorter"
    return f"{_percent(abs(factor - 1))} {longer} than {than}"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _times(count: int) -> str:
    return "1 time" if count == 1 else f"{count} times"
