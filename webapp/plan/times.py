"""Her times against what was worked out: each time, each kind of work, each episode."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from webapp.build.calibration import (
    SHARE_INSIDE,
    Calibration,
    Side,
    calibration,
    compared,
    side_of,
    sum_of,
    width_needed,
)
from webapp.build.learning import Counted, counted
from webapp.build.rates import OwnRate, can_be_used
from webapp.build.time_kinds import RatePrints
from webapp.build.time_log import TIME_KINDS, TimeEntry, TimeKind
from webapp.build.work_time import Estimate
from webapp.filming.every_rate import EVERY_RATE
from webapp.plan.episode import Episode
from webapp.plan.filming_total import FilmingTotal, filming_total
from webapp.plan.results import Plan
from webapp.plan.sittings import Whole, wholes
from webapp.plan.time_edits import with_earlier_times
from webapp.plan.time_rows import (
    MANIFOLD,
    EpisodeRow,
    KindRow,
    TimeRow,
    manifold,
    percent,
    times_told,
)


@dataclass(frozen=True)
class OtherTimes:
    """The times of other episodes that can count in this one, and whether they do already."""

    offered: tuple[TimeEntry, ...]
    counted: tuple[TimeEntry, ...]

    @property
    def is_new(self) -> bool:
        """Whether counting them now would change anything."""
        return self.offered != self.counted

    @property
    def told(self) -> str:
        """How many there are from which episodes, in a sentence."""
        if not self.offered:
            return "Your other episodes have no times yet."
        held = set(self.counted)
        new = [entry for entry in self.offered if entry not in held]
        if not self.is_new:
            return f"Taken in from your other episodes: {_from_each(self.offered)}."
        if not new:
            return "Some of the times you took in were taken out of their episodes since."
        return f"Not taken in yet from your other episodes: {_from_each(new)}."


def _from_each(entries: Iterable[TimeEntry]) -> str:
    counts = Counter(entry.episode for entry in entries)
    return " and ".join(f"{times_told(count)} of “{one}”" for one, count in counts.items())


def other_times(episode: Episode, others: Iterable[Episode]) -> OtherTimes:
    """What counting the times of other episodes would do; see `with_earlier_times`."""
    return OtherTimes(with_earlier_times(episode, others).earlier_times, episode.earlier_times)


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
        return f"{times_told(count)} {are} left out, too far from what was worked out for {them}."

    @cached_property
    def rows(self) -> tuple[TimeRow, ...]:
        """The times of this episode."""
        log = self.plan.episode.time_log
        counts = iter(counted(self.entries, self.plan.rates))
        row_of: dict[str, TimeRow] = {}
        for whole in self.wholes:
            does = whole.standing == "counts"
            how = next(counts) if does else Counted()
            compares = does and len(whole.sittings) == 1
            for one in () if whole.entry.episode else whole.sittings:
                row_of[one.id] = TimeRow(one, _side(one) if compares else None, whole, how)
        return tuple(row_of[entry.id] for entry in reversed(log))

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
        of_all = f"{found.inside} of {times_told(found.count)}"
        here = calibration(one for one in self.entries if not one.episode)
        if here == found:
            of_all = f"{of_all} fell inside the range shown"
        else:
            own = f"{here.inside} of {times_told(here.count)} fell inside the range shown"
            own = own if here.count else "no time can be compared yet"
            of_all = f"In this episode {own}. In all, {of_all} did"
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
        how = f"{percent(abs(needed - 1))} {wider}"
        if needed >= MANIFOLD:
            how = f"{manifold(needed)} as wide"
        return f"To be what usually holds, the ranges shown should have been {how}."

    def timed_by(self, key: str) -> int:
        """How many times count that would not if the figures of this rate were others."""
        prints = RatePrints(self.plan.rates)
        return sum(
            any(prints.hold(s) and key in (s.by or prints.keys(s.kind)) for s in entry.shares)
            for entry in self.entries
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
    def filming(self) -> FilmingTotal:
        """What filming adds in all, as shown."""
        return filming_total(self.plan)


def times_report(plan: Plan) -> TimesReport:
    """Her times against what was worked out."""
    return TimesReport(plan)


def main_kind(entry: TimeEntry) -> TimeKind | None:
    """The kind most of the time was worked out for; None where nothing was."""
    if entry.kind is not None:
        return entry.kind
    return max(entry.shares, key=lambda share: share.share).kind if entry.shares else None


def own_pace(entries: Iterable[TimeEntry], kind: TimeKind, rates: RatePrints) -> float | None:
    """Minutes over the table's by the times of a kind alone, each weighted by its share of it (a
    geometric mean: twice and half as long make once). Only what was worked out by rates that are as
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
