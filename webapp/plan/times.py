"""Her times against what was reckoned: each time, each kind of work, each episode."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
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
from webapp.build.time_kinds import RatePrints
from webapp.build.time_log import TIME_KINDS, TimeEntry, TimeKind
from webapp.build.work_time import Estimate
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.results import Plan
from webapp.plan.sittings import Whole, what_of, wholes

_TO_THE_SECOND: Final = 10  # minutes
_AS_MUCH: Final = 0.05  # a factor nearer to 1 is told as the same
_MANIFOLD: Final = 2.0  # from here on a factor is told in times, not in per cent
_DOZEN: Final = 12.0  # from here on in whole times


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A time and where it fell in the range shown then; None where it cannot be compared: nothing
    was reckoned, it does not count, or it is one sitting of several."""

    entry: TimeEntry
    side: Side | None
    whole: Whole  # with its other sittings

    @property
    def sitting(self) -> bool:
        """Whether it is one of several for the same."""
        return len(self.whole.sittings) > 1

    @property
    def is_last(self) -> bool:
        """Whether no other sitting of the same was written down after it."""
        return self.entry is self.whole.sittings[-1]

    @property
    def told_far(self) -> str:
        """That a time is too far off to count, in a sentence; empty for what is not."""
        if self.whole.standing != "far off" or not self.is_last:
            return ""
        whole = self.whole.entry
        likely = whole.shown.likely
        took, reckoned = (
            spelled_about(whole.minutes),
            spelled(round(likely) if likely > 1 else likely),
        )
        all_in_all = "All its sittings took" if self.sitting else "It took"
        what = "all work" if whole.minutes > likely else "all of it"
        return (
            f"{all_in_all} {took} where {reckoned} was reckoned: so far off it does not count "
            f"unless you say that it was {what}."
        )

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
            return "No time that counts here." if self.learned.set_aside else "No time taken yet."
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
        if width >= _MANIFOLD:
            return f"Ranges are {_manifold(width)} as wide as the table’s."
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
    def wholes(self) -> tuple[Whole, ...]:
        """All her times, sittings of the same as one, with how they stand."""
        return wholes(self.plan.episode)

    @cached_property
    def entries(self) -> tuple[TimeEntry, ...]:
        """Every time that can be compared, of this episode and of others."""
        return tuple(one.entry for one in self.wholes if one.standing == "counts")

    @property
    def told_far(self) -> str:
        """How many times are too far off to count, in a sentence; empty if none is."""
        count = sum(one.standing == "far off" for one in self.wholes)
        if not count:
            return ""
        are, them = ("is", "it") if count == 1 else ("are", "them")
        return f"{_times(count)} {are} left out, too far from what was reckoned for {them}."

    @property
    def rows(self) -> tuple[TimeRow, ...]:
        """The times of this episode."""
        log = self.plan.episode.time_log
        whole_of = {what_of(one.entry): one for one in self.wholes}
        rows = (TimeRow(entry, None, whole_of[what_of(entry)]) for entry in reversed(log))
        return tuple(
            replace(row, side=_side(row.entry))
            if row.whole.standing == "counts" and not row.sitting
            else row
            for row in rows
        )

    @cached_property
    def kinds(self) -> tuple[KindRow, ...]:
        """Every kind of work there is."""
        prints = RatePrints(self.plan.rates)
        return tuple(
            KindRow(
                kind,
                self.plan.learned[kind],
                own_pace(self.entries, kind, prints),
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
        how = f"{_percent(abs(needed - 1))} {wider}"
        if needed >= _MANIFOLD:
            how = f"{_manifold(needed)} as wide"
        return f"To hold 4 times in 5 the ranges shown should have been {how}."

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


def spelled(minutes: float) -> str:
    """A time to the second: `1 h 20 min`, `4 min 30 s`."""
    whole, seconds = divmod(round(60 * minutes), 60)
    hours, rest = divmod(whole, 60)
    parts = ((hours, "h"), (rest, "min"), (seconds, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 min"


def spelled_about(minutes: float) -> str:
    """A time that was taken: to the second below ten minutes, else to the minute."""
    return spelled(minutes if minutes < _TO_THE_SECOND else round(minutes))


def main_kind(entry: TimeEntry) -> TimeKind | None:
    """The kind most of the time was reckoned for; None where nothing was."""
    if entry.kind is not None:
        return entry.kind
    return max(entry.shares, key=lambda share: share.share).kind if entry.shares else None


def own_pace(entries: Iterable[TimeEntry], kind: TimeKind, rates: RatePrints) -> float | None:
    """Minutes over the table's by the times of a kind alone, each weighted by its share of it (a
    geometric mean: twice and half as long make once). Only what was reckoned by rates that are as
    they were counts; None without any."""
    logs, shares = [], []
    for entry in compared(entries):
        share = math.fsum(one.share for one in entry.shares if one.kind == kind and rates.hold(one))
        if share > 0 and entry.table.likely > 0:
            logs.append(share * math.log(entry.minutes / entry.table.likely))
            shares.append(share)
    return math.exp(math.fsum(logs) / math.fsum(shares)) if shares else None


def _side(entry: TimeEntry) -> Side | None:
    return side_of(entry.minutes, entry.shown) if entry.shown.likely > 0 else None


def _told_factor(factor: float, than: str) -> str:
    if abs(factor - 1) < _AS_MUCH:
        return f"about as long as {than}"
    if factor >= _MANIFOLD:
        return f"{_manifold(factor)} as long as {than}"
    longer = "longer" if factor > 1 else "shorter"
    return f"{_percent(abs(factor - 1))} {longer} than {than}"


def _manifold(factor: float) -> str:
    return f"{factor:.0f} times" if factor >= _DOZEN else f"{factor:.2g} times"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _times(count: int) -> str:
    return "1 time" if count == 1 else f"{count} times"
