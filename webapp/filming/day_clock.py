"""The clock of a shoot day: work, waits, filming and breaks one after another, as three points.

The low, the likely and the high time run side by side, each through the breaks and waits that it
meets: who is quick may be done before a break that falls into the work of who is slow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.build.work_time import Estimate, total
from webapp.filming.shoot_days import Break, Noise, minutes_of

Three = tuple[float, float, float]
Missing = tuple[float, float]  # clock times that a day has not, from and to: clocks put forward
_NOW: Final = 1e-6  # minutes: a rounding is not waited for
Reason = Literal["light", "noise", "rest"]


@dataclass(frozen=True, slots=True)
class TakenBreak:
    """A break as it likely falls: minutes from midnight, and how long it is."""

    begins: float
    minutes: float
    missing: Missing | None = None

    @property
    def ends(self) -> float:
        """Minutes from midnight to its end."""
        return later(self.begins, self.minutes, self.missing)


def shown(minutes: float, missing: Missing | None) -> float:
    """What the clocks show when so many minutes have gone by since midnight."""
    if missing is None or minutes < missing[0]:
        return minutes
    return minutes + missing[1] - missing[0]


def gone_by(time: float, missing: Missing | None) -> float:
    """Minutes since midnight when the clocks show a time; a missing one is taken for the next."""
    if missing is None or time < missing[0]:
        return time
    return max(missing[0], time - missing[1] + missing[0])


def later(time: float, minutes: float, missing: Missing | None) -> float:
    """What the clocks show so many minutes after a time."""
    return time + minutes if missing is None else shown(gone_by(time, missing) + minutes, missing)


class DayClock:
    """Goes on through a day from a time given in minutes from midnight.

    Breaks that would be over by then are not taken. A break interrupts work and waits at its time;
    filming is not interrupted: it is taken when the shot is done, once `breathe` is called. What is
    `missing` of the clock is passed by all that goes on: it is neither a break nor a wait.
    """

    def __init__(
        self, starts_at: float, breaks: Sequence[Break] = (), missing: Missing | None = None
    ) -> None:
        self._missing = missing
        gone = gone_by(starts_at, missing)
        in_order = sorted((self._there(minutes_of(one.at)), float(one.minutes)) for one in breaks)
        self._breaks = [
            (at, minutes)
            for at, minutes in in_order
            if gone_by(at, missing) >= gone or gone_by(at, missing) + minutes > gone
        ]
        self._active = Estimate(gone, gone, gone)  # gone by, without the breaks taken
        self._rested = [0.0, 0.0, 0.0]
        self._next = [0, 0, 0]  # of the breaks
        self._over = [0.0, 0.0, 0.0]  # when the last one was
        self.taken: list[TakenBreak] = []

    @property
    def now(self) -> Estimate:
        """Minutes from midnight."""
        low, likely, high = (self._time(point) for point in range(3))
        return Estimate(min(low, likely), likely, max(likely, high))

    @property
    def _points(self) -> Three:
        return self._active.low, self._active.likely, self._active.high

    def breathe(self) -> None:
        """Take the breaks that are due."""
        for point in range(3):
            self._rest(point, self._time(point))

    def work(self, minutes: Estimate) -> None:
        """Work that breaks interrupt."""
        if minutes.high > 0:
            self.breathe()
            self._go_on(minutes)
            for point in range(3):
                while self._due(point, self._time(point), inside=True):
                    self._take(point)

    def film(self, minutes: Estimate) -> None:
        """Setting up or filming, which breaks wait for."""
        if minutes.high > 0:
            self._go_on(minutes)

    def takes(self, minutes: Estimate) -> Three:
        """How long filming takes from now on, by each point: lopsided as a wait has left them, no
        point of a sum is the sum of its points."""
        before, now = self._active, self.now
        self.film(minutes)
        ends, self._active = self.now, before
        low, likely, high = (
            gone_by(end, self._missing) - gone_by(start, self._missing)
            for start, end in (
                (now.low, ends.low),
                (now.likely, ends.likely),
                (now.high, ends.high),
            )
        )
        return low, likely, high

    def wait(self, until: Three) -> float:
        """Wait until these times, and tell how many minutes that likely is, breaks left out."""
        times = [self._time(point) for point in range(3)]
        until = (self._there(until[0]), self._there(until[1]), self._there(until[2]))
        if all(one <= at + _NOW for one, at in zip(until, times, strict=True)):
            return 0.0
        rested = self._rested[1]
        new = [
            self._rest(point, at, until[point]) if until[point] > at else at
            for point, at in enumerate(times)
        ]
        new = [gone_by(at, self._missing) for at in new]
        idle = new[1] - gone_by(times[1], self._missing) - (self._rested[1] - rested)
        self._active = self._active.with_points(min(new[0], new[1]), new[1], max(new[1], new[2]))
        self._rested = [0.0, 0.0, 0.0]
        return max(0.0, idle)

    def _go_on(self, minutes: Estimate) -> None:
        """Add minutes; no point goes back, however lopsided a wait has left the three."""
        later, now = total([self._active, minutes]), self._active
        self._active = later.with_points(
            max(later.low, now.low), max(later.likely, now.likely), max(later.high, now.high)
        )

    def _time(self, point: int) -> float:
        return shown(self._points[point] + self._rested[point], self._missing)

    def _there(self, time: float) -> float:
        """The time, or the next there is."""
        return shown(gone_by(time, self._missing), self._missing)

    def _rest(self, point: int, since: float, until: float = 0.0) -> float:
        """Take the breaks that fall due up to a time, and tell when that is and they are over."""
        time = since
        while self._due(point, max(time, until)):
            time = self._take(point, time)
        return max(time, until)

    def _take(self, point: int, since: float = 0.0) -> float:
        """Take the next break, not before a time, and tell when it is over."""
        at, minutes = self._breaks[self._next[point]]
        begins = max(at, since, self._over[point])
        self._next[point] += 1
        self._rested[point] += minutes
        self._over[point] = later(begins, minutes, self._missing)
        if point == 1:
            self.taken.append(TakenBreak(begins, minutes, self._missing))
        return self._over[point]

    def _due(self, point: int, time: float, *, inside: bool = False) -> bool:
        if self._next[point] == len(self._breaks):
            return False
        at = self._breaks[self._next[point]][0]
        return at < time if inside else at <= time


def quiet_from(
    time: float, minutes: float, noise: Sequence[Noise], missing: Missing | None = None
) -> float:
    """When so many minutes without noise begin at the earliest; times as the clocks show them."""
    for one in sorted(noise, key=lambda each: each.starts):
        if minutes_of(one.starts) < later(time, minutes, missing) and minutes_of(one.ends) > time:
            time = minutes_of(one.ends)
    return time
