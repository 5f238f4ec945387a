"""Dividing shots among days: every day simulated, so that it ends in time and in its daylight."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from webapp.filming.shoot_days import ShootDay
from webapp.plan.day_parts import Built, DayParts
from webapp.plan.day_plan import DayPlan
from webapp.plan.days import day_plan, with_work_beforehand
from webapp.plan.shot_order import Pair

Days = tuple[tuple[str, ...], ...]  # the ids of shots, a tuple for each day

SHORT: Final = 1.0  # a wait, in minutes, that is not worth the search for something else
_KEPT: Final = 4000  # simulated days
_AT_A_TIME: Final = 16  # shots tried together while a day is filled
_NONE: Final[frozenset[str]] = frozenset()
_OFTEN: Final = 0.9  # of the times that a day ends in time and light: more is no better


@dataclass(frozen=True)
class Division:
    """Shots on days, those on none, the minutes of changing over and those with nothing to do."""

    days: Days
    left: tuple[str, ...]
    changing: float
    idle: float

    @property
    def lost(self) -> float:
        """Minutes of changing over and of doing nothing."""
        return self.changing + self.idle

    @property
    def rank(self) -> tuple[int, float, float]:
        """The lower, the better."""
        return len(self.left), round(self.lost, 4), round(self.changing, 4)


class DaySearch:
    """Tries divisions of shots among days that begin after what is built.

    A day may hold filmed shots, which come first on it. `before`: which shots come before which.
    `surely`: a day fits when all of it takes long.
    """

    def __init__(
        self,
        parts: DayParts,
        days: Sequence[ShootDay],
        built: Built,
        before: set[Pair],
        *,
        surely: bool = False,
    ) -> None:
        self.surely = surely
        self.parts, self.days, self.built, self.before = parts, tuple(days), built, before
        self._ahead = _closure(before)
        self._there: dict[int, tuple[str, ...]] = {}
        self._links: dict[tuple[str | None, str | None], float] = {}
        self._plans: dict[tuple[int, Days], tuple[DayPlan, Built]] = {}

    def ahead(self, shot: str) -> frozenset[str]:
        """All that must come somewhere before a shot."""
        return self._ahead.get(shot, _NONE)

    # --- Judging ---------------------------------------------------------------------------

    def plans(self, shots: Days) -> tuple[DayPlan, ...]:
        """The days with these shots and their clock times."""
        return tuple(self._plan(shots[: at + 1])[0] for at in range(len(shots)))

    def fits(self, shots: Days, since: int = 0) -> bool:
        """True when these days, from one on, end in time and light and nothing comes too soon."""
        return all(self.day_fits(shots[: at + 1]) for at in range(since, len(shots)))

    def day_fits(self, shots: Days) -> bool:
        """True when the last of these days does."""
        return fits(self._plan(shots)[0], surely=self.surely)

    def keeps_order(self, shots: Days) -> bool:
        """True when every shot comes after those on these days that must come before it."""
        on_days = {shot for day in shots for shot in day}
        done: set[str] = set()
        for day in shots:
            for shot in day:
                if (self.ahead(shot) & on_days) - done:
                    return False
                done.add(shot)
        return True

    def changing(self, day: int, shots: Sequence[str]) -> float:
        """Likely minutes of changing over on a day."""
        made_up = any(map(self.parts.is_made_up, self._filmed(day)))
        return self.parts.changing(shots, self.stands(day), made_up)

    def link(self, before: str | None, shot: str | None) -> float:
        """Likely minutes to change over between two shots at the least, make-up left out.

        None before is the morning; None after is the evening, to which it takes none.
        """
        key = (before, shot)
        if key not in self._links:
            least = 0.0
            if shot is not None:
                least = self.parts.set_up(before, shot, made_up=True).likely
            self._links[key] = least
        return self._links[key]

    def division(self, shots: Days, left: Sequence[str]) -> Division:
        """The division with its minutes."""
        changing = sum(self.changing(at, day) for at, day in enumerate(shots))
        return Division(shots, tuple(left), changing, sum(day.idle for day in self.plans(shots)))

    def risks(self, shots: Days) -> tuple[float, ...]:
        """How far short of 9 times in 10 each day ends in time and in its light, as a chance."""
        return tuple(max(0.0, _OFTEN - day.chance) for day in self.plans(shots))

    def spread(self, found: Division) -> tuple[float, float]:
        """The risks of all days, and how many days later than the first their minutes are in all;
        the lower, the better."""
        days = self.plans(found.days)
        late = sum(at * (day.ends.likely - day.begins) for at, day in enumerate(days))
        return round(sum(self.risks(found.days)), 3), round(late, 1)

    def _filmed(self, day: int) -> tuple[str, ...]:
        """What is filmed on a day already."""
        if day not in self._there:
            self._there[day] = self._plan(((),) * (day + 1))[0].stands
        return self._there[day]

    def stands(self, day: int) -> str | None:
        """The shot that the camera is set up for when the day goes on."""
        return self._filmed(day)[-1] if self._filmed(day) else None

    def _plan(self, shots: Days) -> tuple[DayPlan, Built]:
        """The last of these days, and what is built at its end."""
        key = (len(shots), shots)
        if key not in self._plans:
            built = self._plan(shots[:-1])[1] if len(shots) > 1 else self.built
            day = self.days[len(shots) - 1]
            fixed = tuple(shot for shot in day.shots if shot not in shots[-1])
            filled = day.model_copy(update={"shots": (*fixed, *shots[-1])})
            filled = with_work_beforehand(self.parts, filled, built)
            if len(self._plans) > _KEPT:
                self._plans.clear()
            self._plans[key] = day_plan(self.parts, filled, built)
        return self._plans[key]

    # --- Filling ---------------------------------------------------------------------------

    def filled(self, order: Sequence[str]) -> Division:
        """Day by day, each time the first shot of the order that fits and waits on none left.

        What would keep a day waiting is left for the next one, if there are days enough.
        """
        found = self._fill(order, waits=False)
        if not found.left and found.idle <= SHORT:
            return found
        return min(found, self._fill(order, waits=True), key=lambda one: one.rank)

    def _fill(self, order: Sequence[str], *, waits: bool) -> Division:
        left = list(order)
        days: Days = ()
        for _ in range(len(self.days)):
            shots = self._many(days, left)
            left = [shot for shot in left if shot not in shots]
            while (found := self._next(days, shots, left, waits or not shots)) is not None:
                shots = (*shots, found)
                left.remove(found)
            days = (*days, shots)
        return self.division(days, left)

    def _many(self, days: Days, left: Sequence[str]) -> tuple[str, ...]:
        """The first shots of a day, as long as several at a time fit and keep it waiting no more
        than an empty one: what `_next` would find one by one."""
        shots: tuple[str, ...] = ()
        idle = self._plan((*days, shots))[0].idle + SHORT
        count = _AT_A_TIME
        while count > 1:
            more = self._unhindered(left, shots, count)
            with_them = (*days, (*shots, *more))
            if more and self.day_fits(with_them) and self._plan(with_them)[0].idle <= idle:
                shots = (*shots, *more)
            else:
                count //= 2
        return shots

    def _unhindered(self, left: Sequence[str], shots: Sequence[str], count: int) -> tuple[str, ...]:
        """The next so many shots of the order, each the first that waits on none left."""
        still = [shot for shot in left if shot not in shots]
        found: list[str] = []
        for _ in range(min(count, len(still))):
            waiting = set(still)
            shot = next((one for one in still if not self.ahead(one) & waiting), None)
            if shot is None:
                break
            found.append(shot)
            still.remove(shot)
        return tuple(found)

    def _next(
        self, days: Days, shots: tuple[str, ...], left: Sequence[str], waits: bool
    ) -> str | None:
        """The next shot of a day: one that keeps it waiting at the last, if at all."""
        still, waiting = set(left), None
        so_far = self._plan((*days, shots))[0]
        room = self.days[len(days)].ends_at - so_far.ends.likely
        for shot in left:
            least = self.parts.rest(shot).likely
            if least > room or self.ahead(shot) & still:
                continue
            with_it = (*days, (*shots, shot))
            if self.day_fits(with_it):
                if self._plan(with_it)[0].idle <= so_far.idle + SHORT:
                    return shot
                waiting = waiting or shot
                if waits and shots:
                    return shot
        return waiting if waits else None


def fits(day: DayPlan, *, surely: bool = False) -> bool:
    """True when a day ends in time and in its daylight, likely or surely, and nothing comes too
    soon on it."""
    late = day.over.high if surely else day.over.likely
    dark = day.perhaps_in_the_dark if surely else day.in_the_dark
    return late <= 0 and not dark and not any(shot.too_soon for shot in day.shots)


def _closure(before: set[Pair]) -> dict[str, frozenset[str]]:
    """All that comes somewhere before each shot."""
    direct: dict[str, set[str]] = {}
    for earlier, later in before:
        direct.setdefault(later, set()).add(earlier)
    found: dict[str, frozenset[str]] = {}

    def ahead(shot: str, way: frozenset[str]) -> frozenset[str]:
        if shot in found:
            return found[shot]
        if shot in way:
            return frozenset()
        earlier = direct.get(shot, set())
        result = frozenset(earlier).union(*(ahead(one, way | {shot}) for one in earlier))
        found[shot] = result
        return result

    for shot in direct:
        ahead(shot, frozenset())
    return found
