"""Dividing shots among days: every day simulated, so that it ends in time and in its daylight."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from typing import Final

from webapp.filming.shoot_days import ShootDay
from webapp.plan.day_parts import Built, DayParts
from webapp.plan.day_plan import DayPlan
from webapp.plan.days import day_plan, with_work_beforehand
from webapp.plan.shot_order import Pair, by_number

Days = tuple[tuple[str, ...], ...]  # the ids of shots, a tuple for each day
_Move = tuple[int, int, int, int, int]  # a day, from and to a place on it; a day and a place there

_KEPT: Final = 4000  # simulated days
_LONGEST_BLOCK: Final = 6  # shots moved together
_NONE: Final[frozenset[str]] = frozenset()
_SHORT: Final = 1.0  # a wait, in minutes, that is not worth the search for something else
_HAIR: Final = 1e-6  # minutes
_ROUNDS: Final = 400  # of taking shots off and putting them on again
_TAKEN_OFF: Final = 8  # shots at the most, in a round


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
        if not found.left and found.idle <= _SHORT:
            return found
        return min(found, self._fill(order, waits=True), key=lambda one: one.rank)

    def _fill(self, order: Sequence[str], *, waits: bool) -> Division:
        left = list(order)
        days: Days = ()
        for _ in range(len(self.days)):
            shots: tuple[str, ...] = ()
            while (found := self._next(days, shots, left, waits or not shots)) is not None:
                shots = (*shots, found)
                left.remove(found)
            days = (*days, shots)
        return self.division(days, left)

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
                if self._plan(with_it)[0].idle <= so_far.idle + _SHORT:
                    return shot
                waiting = waiting or shot
                if waits and shots:
                    return shot
        return waiting if waits else None

    # --- Improving -------------------------------------------------------------------------

    def improved(
        self,
        found: Division,
        *,
        goal: float,
        left_s: Callable[[], float],
        seed: int,
        progress: Callable[[Division], None],
    ) -> Division:
        """The division made better until nothing helps, it is as cheap as the goal or time is up.

        First shots and runs of shots are moved while that helps; then, again and again, a few are
        taken off and put back where they cost least.
        """
        best = self._descended(found, left_s)
        progress(best)
        random = Random(seed)
        for _ in range(_ROUNDS):
            if left_s() <= 0 or (not best.left and best.lost <= goal + _HAIR):
                break
            tried = self._shaken(best, random)
            if tried is None:
                continue
            tried = self._descended(tried, left_s)
            if tried.rank < best.rank:
                progress(tried)
            if tried.rank <= best.rank:
                best = tried
        return best

    def _descended(self, found: Division, left_s: Callable[[], float]) -> Division:
        better: Division | None = self._put_on(found, found.left)
        while better is not None and left_s() > 0:
            found = better
            better = self._moved(found, left_s)
        return found if better is None else better

    def _moved(self, found: Division, left_s: Callable[[], float]) -> Division | None:
        """The division with runs of shots moved so that less time is lost; None if none helps.

        What saves most is tried first, and each day is changed once.
        """
        promising = sorted(self._promising(found), reverse=True)
        better, touched = found, set[int]()
        for _, move in promising:
            if left_s() <= 0:
                break
            if {move[0], move[3]} & touched or not self._keeps_order_moved(found.days, move):
                continue
            days, since = _made(better.days, move)
            if self.fits(days, since):
                tried = self.division(days, found.left)
                if tried.rank < better.rank:
                    better = tried
                    touched |= {move[0], move[3]}
        return self._put_on(better, better.left) if touched else None

    def _promising(self, found: Division) -> Iterator[tuple[float, _Move]]:
        """Moves that may save time, with the most that they may save."""
        make_up = self._make_up(found)
        waits = found.idle if found.idle > _SHORT else 0.0
        made_up = {shot for day in found.days for shot in day if self.parts.is_made_up(shot)}
        for saved, move in self._moves(found.days):
            source, start, end = move[:3]
            most = saved + waits
            if make_up and not made_up.isdisjoint(found.days[source][start:end]):
                most += make_up
            if most > _HAIR:
                yield most, move

    def _keeps_order_moved(self, days: Days, move: _Move) -> bool:
        """True when a run can go past the shots that it goes past."""
        source, start, end, target, place = move
        block = days[source][start:end]
        place += (end - start) * (target == source and place > start)
        if (target, place) < (source, start):
            past = _between(days, (target, place), (source, start))
            return all(self.ahead(shot).isdisjoint(past) for shot in block)
        past = _between(days, (source, end), (target, place))
        return all(self.ahead(shot).isdisjoint(block) for shot in past)

    def _make_up(self, found: Division) -> float:
        """Minutes that make-up on a second day takes: what putting all of it on one could save."""
        days = [any(map(self.parts.is_made_up, day)) for day in found.days]
        if sum(days) < 2:
            return 0.0
        return found.changing - sum(
            sum(self.link(a, b) for a, b in pairwise((self.stands(at), *day)))
            for at, day in enumerate(found.days)
        )

    def _moves(self, days: Days) -> Iterator[tuple[float, _Move]]:
        """Each run of shots put elsewhere, on its day or another, and the minutes that it saves."""
        link = self.link
        stands = [self.stands(at) for at in range(len(days))]
        for source, day in enumerate(days):
            for start in range(len(day)):
                before = day[start - 1] if start else stands[source]
                for end in range(start + 1, min(len(day), start + _LONGEST_BLOCK) + 1):
                    after = day[end] if end < len(day) else None
                    first, last = day[start], day[end - 1]
                    out = link(before, first) + link(last, after) - link(before, after)
                    for target in range(len(days)):
                        others = days[target]
                        if target == source:
                            others = day[:start] + day[end:]
                        a = stands[target]
                        for place, b in enumerate((*others, None)):
                            back = link(a, first) + link(last, b) - link(a, b)
                            if target != source or place != start:
                                yield out - back, (source, start, end, target, place)
                            a = b

    def _put_on(self, found: Division, shots: Sequence[str]) -> Division:
        """The division with each of these shots put where it costs least, if it fits anywhere."""
        for shot in by_number(list(shots), self.before):
            better = self._with(found, shot)
            found = found if better is None else better
        return found

    def _with(self, found: Division, shot: str) -> Division | None:
        if self.ahead(shot) & set(found.left):
            return None
        places = []
        for at, day in enumerate(found.days):
            cost = self.changing(at, day)
            for place in range(len(day) + 1):
                with_it = (*day[:place], shot, *day[place:])
                places.append((self.changing(at, with_it) - cost, at, place, with_it))
        for _, at, _, with_it in sorted(places):
            days = (*found.days[:at], with_it, *found.days[at + 1 :])
            if self.keeps_order(days) and self.fits(days, at):
                return self.division(days, tuple(one for one in found.left if one != shot))
        return None

    def _shaken(self, found: Division, random: Random) -> Division | None:
        """Some shots that stand together or anywhere taken off, and put on again if all can be."""
        on_days = [shot for day in found.days for shot in day]
        count = min(random.randint(2, _TAKEN_OFF), len(on_days))
        start = random.randrange(len(on_days) or 1)
        together = random.random() < 0.5
        off = on_days[start : start + count] if together else random.sample(on_days, count)
        random.shuffle(off)
        kept = tuple(tuple(shot for shot in day if shot not in off) for day in found.days)
        tried = self._put_on(self.division(kept, (*off, *found.left)), off)
        return tried if len(tried.left) == len(found.left) and self.fits(tried.days) else None


def fits(day: DayPlan, *, surely: bool = False) -> bool:
    """True when a day ends in time and in its daylight, likely or surely, and nothing comes too
    soon on it."""
    late = day.over.high if surely else day.over.likely
    dark = day.perhaps_in_the_dark if surely else day.in_the_dark
    return late <= 0 and not dark and not any(shot.too_soon for shot in day.shots)


def _between(days: Days, begin: tuple[int, int], end: tuple[int, int]) -> list[str]:
    """The shots from one day and place on up to another."""
    if begin[0] == end[0]:
        return list(days[begin[0]][begin[1] : end[1]])
    whole = [shot for day in days[begin[0] + 1 : end[0]] for shot in day]
    return [*days[begin[0]][begin[1] :], *whole, *days[end[0]][: end[1]]]


def _made(days: Days, move: _Move) -> tuple[Days, int]:
    """The days with the move made, and the first of them that it touches."""
    source, start, end, target, place = move
    moved = list(days)
    block = days[source][start:end]
    moved[source] = days[source][:start] + days[source][end:]
    moved[target] = moved[target][:place] + block + moved[target][place:]
    return tuple(moved), min(source, target)


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
