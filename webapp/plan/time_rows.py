"""Rows of her times and what they say, each in words."""

import math
from dataclasses import dataclass
from typing import Final

from webapp.build.calibration import Calibration, Side, Sum
from webapp.build.learning import Counted, Learned
from webapp.build.time_kinds import TYPED
from webapp.build.time_log import TimeEntry, TimeKind
from webapp.plan.sittings import Whole

_TO_THE_SECOND: Final = 10  # minutes
_AS_MUCH: Final = 0.05  # a factor nearer to 1 is told as the same
MANIFOLD: Final = 2.0  # from here on a factor is told in times, not in per cent
_DOZEN: Final = 12.0  # from here on in whole times
_NEARLY: Final = 0.995  # from here on a share is told as the whole


@dataclass(frozen=True, slots=True)
class TimeRow:
    """A time and where it fell in the range shown then; None where it cannot be compared: nothing
    was worked out, it does not count, or it is one sitting of several."""

    entry: TimeEntry
    side: Side | None
    whole: Whole  # with its other sittings
    counted: Counted  # in what is learned of her pace

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
        took, worked_out = (
            spelled_about(whole.minutes),
            spelled(round(likely) if likely > 1 else likely),
        )
        all_in_all = "All its sittings took" if self.sitting else "It took"
        what = "all work" if whole.minutes > likely else "all of it"
        return (
            f"{all_in_all} {took} where {worked_out} was worked out: so far off it does not count "
            f"unless you say that it was {what}."
        )

    @property
    def told_counts(self) -> str:
        """Whether a time that is whole counts, and why not or not fully, in a sentence; empty
        for what `told_far` or the standing tells."""
        entry = self.whole.entry
        if entry.table.likely <= 0:
            return "Does not count: nothing was worked out for it."
        if self.whole.standing != "counts" or not self.is_last:
            return ""
        typed = any(one.rates == TYPED for one in entry.shares)
        aside = "minutes you typed" if typed else "rates changed since"
        weight = self.counted.share * self.counted.pull
        if weight == 0:
            return f"Does not count: it was worked out from {aside}."
        far = "it is far from what the rates and your other times say"
        rest = f"the rest was worked out from {aside}"
        whys = [far] * (self.counted.pull < _NEARLY) + [rest] * (self.counted.share < _NEARLY)
        if not whys:
            return "Counts."
        return f"Counts {percent(weight)}: {', and '.join(whys)}."

    @property
    def told(self) -> str:
        """How it stands, in a sentence."""
        if self.whole.standing == "in another":
            return f"It is counted in “{self.whole.within}”, which holds it."
        if self.whole.standing == "not done":
            return "It does not count until it is done."
        return self.told_far or self.told_counts

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
        return f"Your times are {told_factor(self.own_pace, 'the table’s')}."

    @property
    def told_move(self) -> str:
        """How far estimates have moved and on what evidence, in a sentence."""
        learned = self.learned
        if learned.times == 0 and abs(learned.factor - 1) < _AS_MUCH:
            return "Estimates are the table’s."
        sources = []
        if learned.times:
            here = "time" if learned.times == 1 else f"{learned.times} times"
            sources.append((learned.own, f"your {here} here"))
        if learned.other > _AS_MUCH:
            sources.append((learned.other, "your pace at other work"))
        sources.append((1 - sum(share for share, _ in sources), "the table"))
        *first, (_, last) = sources
        comes = ", ".join(f"{percent(share)} from {what}" for share, what in first)
        moved = f"Estimates are {told_factor(learned.factor, 'the table’s')}"
        return f"{moved}: that comes {comes}, the rest from {last}.{self._told_other_work}"

    @property
    def _told_other_work(self) -> str:
        """Why estimates go the other way than her times of this kind."""
        off, moved = math.log(self.own_pace or 1.0), math.log(self.learned.factor)
        if off * moved >= 0 or min(abs(off), abs(moved)) < _AS_MUCH:
            return ""
        return f" At other work you take {'longer' if moved > 0 else 'less time'}."

    @property
    def told_width(self) -> str:
        """How wide the ranges are, in a sentence."""
        width = self.learned.width
        if abs(width - 1) < _AS_MUCH:
            return "Ranges are as wide as the table’s."
        if width >= MANIFOLD:
            return f"Ranges are {manifold(width)} as wide as the table’s."
        wider = "wider than" if width > 1 else "narrower than"
        return f"Ranges are {percent(abs(width - 1))} {wider} the table’s."

    @property
    def told_aside(self) -> str:
        """The times that do not count now, in a sentence; empty when all do."""
        count = self.learned.set_aside
        if not count:
            return ""
        do, they = ("does", "it was") if count == 1 else ("do", "they were")
        return (
            f"{times_told(count)} {do} not count here: {they} taken by rates that are changed "
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
        return told_factor(self.sum.ratio, "estimated")


def spelled(minutes: float) -> str:
    """A time to the second: `1 h 20 min`, `4 min 30 s`."""
    whole, seconds = divmod(round(60 * minutes), 60)
    hours, rest = divmod(whole, 60)
    parts = ((hours, "h"), (rest, "min"), (seconds, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 min"


def spelled_about(minutes: float) -> str:
    """A time that was taken: to the second below ten minutes, else to the minute."""
    return spelled(minutes if minutes < _TO_THE_SECOND else round(minutes))


def told_factor(factor: float, than: str) -> str:
    """How long something took, in words: `6 % longer than the table’s`, `twice as long as …`."""
    if abs(factor - 1) < _AS_MUCH:
        return f"about as long as {than}"
    if factor >= MANIFOLD:
        return f"{manifold(factor)} as long as {than}"
    longer = "longer" if factor > 1 else "shorter"
    return f"{percent(abs(factor - 1))} {longer} than {than}"


def manifold(factor: float) -> str:
    """From twice on: `twice`, `2.5 times`, `14 times`."""
    told = f"{factor:.0f}" if factor >= _DOZEN else f"{factor:.2g}"
    return "twice" if told == "2" else f"{told} times"


def percent(share: float) -> str:
    """A share as `25 %`."""
    return f"{100 * share:.0f} %"


def times_told(count: int) -> str:
    """How many times were taken: `1 time`, `3 times`."""
    return "1 time" if count == 1 else f"{count} times"
