"""Backwards from the publish date: what must begin by which day, and the chance of making it.

Estimates are minutes. The voice-over and then the editing begin the day after the last shots, take
the hours a day she has for them, and are done the day before the video goes out.
"""

import math
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from statistics import NormalDist
from typing import Final

from webapp.build.rates import Rate
from webapp.build.work_time import TENTH, Estimate, total

_ALL_BUT_DONE: Final = 0.99  # further past the estimate nothing more is known of what is left
_NORMAL: Final = NormalDist()


@dataclass(frozen=True)
class Schedule:
    """What is left after filming, and the days there are for it.

    `begins` is the first day that can be used. `more_days` of it go to filming that is on no day
    yet; `runs_over` is the chance that the filming takes one day more than is planned.
    """

    publish: date
    begins: date
    hours_a_day: float
    voice_over: Estimate
    editing: Estimate
    more_days: int = 0
    runs_over: float = 0.0

    @cached_property
    def needed(self) -> Estimate:
        """The voice-over and the editing together."""
        return total([self.voice_over, self.editing])

    @property
    def free_days(self) -> int:
        """Whole days for them; less than nought when the date is past or filming goes over it."""
        return (self.publish - self.begins).days - self.more_days

    @property
    def likely_days(self) -> int:
        """Days they likely take."""
        return self.days(self.needed.likely)

    @property
    def safe_days(self) -> int:
        """Days that are enough 9 times in 10."""
        return self.days(self.needed.high)

    def days(self, minutes: float) -> int:
        """Whole days of her hours that hold so many minutes."""
        return math.ceil(minutes / (60 * self.hours_a_day) - 1e-9)

    def begin_by(self, minutes: float) -> date | None:
        """The last day to begin what takes so long and is done the day before the video goes
        out; None when that is before all dates."""
        return self._before(self.days(minutes))

    @property
    def film_by(self) -> date | None:
        """The last day for the last shots, when the rest takes its likely time."""
        return self._before(self.likely_days + 1)

    @property
    def film_safely_by(self) -> date | None:
        """The last day for the last shots that leaves enough time 9 times in 10."""
        return self._before(self.safe_days + 1)

    def _before(self, days: int) -> date | None:
        at = self.publish.toordinal() - days
        return date.fromordinal(at) if at >= 1 else None

    @cached_property
    def chance(self) -> float:
        """The chance, 0 to 1, that all is done the day before the video goes out.

        The hours left, as a split normal curve (`Estimate.chance_of_at_most`), against the hours
        of the free days; when the filming runs over, against those of a day less.
        """
        in_time, late = self._chance_in(self.free_days), self._chance_in(self.free_days - 1)
        return (1 - self.runs_over) * in_time + self.runs_over * late

    def _chance_in(self, days: int) -> float:
        if days < 0:
            return 0.0
        return self.needed.chance_of_at_most(60 * self.hours_a_day * days)


def voice_over_minutes(spoken_s: float, rate: Rate) -> Estimate:
    """Minutes to record so many seconds of speech; the rate is times the spoken time."""
    return Estimate(rate.low, rate.likely, rate.high).times(spoken_s / 60)


def editing_minutes(running_time_s: float, rate: Rate) -> Estimate:
    """Minutes to edit a video of so many seconds; the rate is hours a finished minute."""
    return Estimate(rate.low, rate.likely, rate.high).times(running_time_s)  # h a min: min a s


def left_of(whole: Estimate, spent: float) -> Estimate:
    """What is left of something begun and not done after so many minutes.

    It takes longer than what was spent: of the chances for that, again the points that 1 in 10, 1
    in 2 and 9 in 10 do not pass. What has gone far past its estimate is never told as all but
    done.
    """
    if spent <= 0:
        return whole
    if whole.low == whole.high:
        left = max(0.0, whole.likely - spent)
        return Estimate(left, left, left)
    spent = min(spent, _point(whole, _ALL_BUT_DONE))
    gone = whole.chance_of_at_most(spent)

    def left_at(share: float) -> float:
        return max(0.0, _point(whole, gone + share * (1 - gone)) - spent)

    return Estimate(left_at(0.1), left_at(0.5), left_at(0.9))


def told_chance(chance: float) -> str:
    """A chance as people say it.

    >>> told_chance(0.87), told_chance(0.97), told_chance(0.004)
    ('9 times in 10', 'more than 19 times in 20', 'less than 1 time in 20')
    """
    if chance >= 0.95:
        return "more than 19 times in 20"
    if chance < 0.05:
        return "less than 1 time in 20"
    times = max(1, min(9, round(10 * chance)))
    return f"{times} time{'' if times == 1 else 's'} in 10"


def _point(estimate: Estimate, chance: float) -> float:
    """The minutes that it takes at most with that chance; see `Estimate.chance_of_at_most`."""
    off = _NORMAL.inv_cdf(chance) / TENTH
    side = estimate.high - estimate.likely if off > 0 else estimate.likely - estimate.low
    return estimate.likely + off * side
