"""Divisions of shots among days made better: fewer shots on none, less time lost, more in time."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise
from random import Random
from typing import Final

from webapp.plan.day_search import SHORT, Days, DaySearch, Division
from webapp.plan.shot_order import by_number

_Move = tuple[int, int, int, int, int]  # a day, from and to a place on it; a day and a place there
_LeftS = Callable[[], float]  # the seconds that are left
_Key = Callable[[Division], tuple[float, ...]]  # the lower, the better

_LONGEST_BLOCK: Final = 6  # shots moved together
_HAIR: Final = 1e-6  # minutes
_ROUNDS: Final = 400  # of taking shots off and putting them on again
_TAKEN_OFF: Final = 8  # shots at the most, in a round
_AT_A_TIME: Final = 600  # moves to an earlier day tried before others are looked for


class DayImproving:
    """Moves shots about on the days of a search."""

    def __init__(self, trial: DaySearch) -> None:
        self.trial, self.parts = trial, trial.parts

    # --- Less time lost ----------------------------------------------------------------------

    def improved(
        self,
        found: Division,
        *,
        goal: float,
        left_s: _LeftS,
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

    def _descended(self, found: Division, left_s: _LeftS) -> Division:
        better: Division | None = self._put_on(found, found.left)
        while better is not None and left_s() > 0:
            found = better
            promising = sorted(self._promising(found), reverse=True)
            better = self._moved(found, (one[1] for one in promising), lambda one: one.rank, left_s)
        return found if better is None else better

    def _moved(
        self, found: Division, moves: Iterable[_Move], key: _Key, left_s: _LeftS
    ) -> Division | None:
        """The division with those of the moves made that make it better; None if none does.

        Each day is changed once; then what is on no day is put on, if that can be now.
        """
        better, touched = found, set[int]()
        for move in moves:
            if left_s() <= 0:
                break
            if {move[0], move[3]} & touched or not self._keeps_order_moved(found.days, move):
                continue
            days, since = _made(better.days, move)
            if self.trial.fits(days, since):
                tried = self.trial.division(days, found.left)
                if key(tried) < key(better):
                    better = tried
                    touched |= {move[0], move[3]}
        return self._put_on(better, better.left) if touched else None

    def _promising(self, found: Division) -> Iterator[tuple[float, _Move]]:
        """Moves that may save time, with the most that they may save."""
        make_up = self._make_up(found)
        waits = found.idle if found.idle > SHORT else 0.0
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
        ahead = self.trial.ahead
        block = days[source][start:end]
        place += (end - start) * (target == source and place > start)
        if (target, place) < (source, start):
            past = _between(days, (target, place), (source, start))
            return all(ahead(shot).isdisjoint(past) for shot in block)
        past = _between(days, (source, end), (target, place))
        return all(ahead(shot).isdisjoint(block) for shot in past)

    def _make_up(self, found: Division) -> float:
        """Minutes that make-up on a second day takes: what putting all of it on one could save."""
        days = [any(map(self.parts.is_made_up, day)) for day in found.days]
        if sum(days) < 2:
            return 0.0
        return found.changing - sum(
            sum(self.trial.link(a, b) for a, b in pairwise((self.trial.stands(at), *day)))
            for at, day in enumerate(found.days)
        )

    def _moves(self, days: Days) -> Iterator[tuple[float, _Move]]:
        """Each run of shots put elsewhere, on its day or another, and the minutes that it saves."""
        link = self.trial.link
        stands = [self.trial.stands(at) for at in range(len(days))]
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
        for shot in by_number(list(shots), self.trial.before):
            better = self._with(found, shot)
            found = found if better is None else better
        return found

    def _with(self, found: Division, shot: str) -> Division | None:
        trial = self.trial
        if trial.ahead(shot) & set(found.left):
            return None
        places = []
        for at, day in enumerate(found.days):
            cost = trial.changing(at, day)
            for place in range(len(day) + 1):
                with_it = (*day[:place], shot, *day[place:])
                places.append((trial.changing(at, with_it) - cost, at, place, with_it))
        for _, at, _, with_it in sorted(places):
            days = (*found.days[:at], with_it, *found.days[at + 1 :])
            if trial.keeps_order(days) and trial.fits(days, at):
                return trial.division(days, tuple(one for one in found.left if one != shot))
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
        tried = self._put_on(self.trial.division(kept, (*off, *found.left)), off)
        fits = len(tried.left) == len(found.left) and self.trial.fits(tried.days)
        return tried if fits else None

    # --- Fewer shots left --------------------------------------------------------------------

    def with_fewer_left(self, found: Division, *, left_s: _LeftS, seed: int) -> Division:
        """The division with fewer shots on no day, or as it is.

        Work is brought forward to earlier days, whatever it costs in changing and waiting, so that
        there is room for the last of it.
        """
        best = early = self._brought_forward(found, left_s)
        random = Random(seed)
        for _ in range(_ROUNDS):
            if left_s() <= 0 or not best.left:
                break
            tried = self._shaken(early, random)
            if tried is None:
                continue
            tried = self._brought_forward(tried, left_s)
            if self._lateness(tried) <= self._lateness(early):
                early = tried
            if len(early.left) < len(best.left):
                best = early
        return best if len(best.left) < len(found.left) else found

    def _brought_forward(self, found: Division, left_s: _LeftS) -> Division:
        better: Division | None = self._put_on(found, found.left)
        while better is not None and better.left and left_s() > 0:
            found = better
            moves = sorted(self._earlier(found), reverse=True)[:_AT_A_TIME]
            better = self._moved(found, (one[1] for one in moves), self._lateness, left_s)
        return found if better is None else better

    def _earlier(self, found: Division) -> Iterator[tuple[float, _Move]]:
        """Moves to an earlier day that may have room, with the minutes that they save."""
        room = self._rooms(found)
        for saved, move in self._moves(found.days):
            source, start, end, target, _ = move
            if target < source and self._minutes(found.days[source][start:end]) <= room[target]:
                yield saved, move

    def _rooms(self, found: Division) -> list[float]:
        """Minutes left on each day, those that are waited among them."""
        plans = self.trial.plans(found.days)
        ends = (day.ends.high if self.trial.surely else day.ends.likely for day in plans)
        return [
            max(0.0, day.day.ends_at - end) + day.idle for day, end in zip(plans, ends, strict=True)
        ]

    def _minutes(self, shots: Sequence[str]) -> float:
        """Likely minutes of filming these shots."""
        return sum(self.parts.rest(shot).likely for shot in shots)

    def _lateness(self, found: Division) -> tuple[float, ...]:
        """Shots that are left, and how many days later than the first the filming is in all."""
        late = sum(at * self._minutes(day) for at, day in enumerate((*found.days, found.left)))
        return len(found.left), round(late, 4)

    # --- More in time ------------------------------------------------------------------------

    def settled(self, found: Division, *, left_s: _LeftS, seed: int) -> Division:
        """Of divisions that lose no more time, one whose days end in time more often; of those
        that do so as often, one that films earlier."""
        best = self._levelled(self._closed_up(found), left_s)
        random = Random(seed)
        for _ in range(_ROUNDS):
            if left_s() <= 0 or not any(self.trial.risks(best.days)):
                break
            tried = self._shaken(best, random)
            if tried is None:
                continue
            tried = self._levelled(self._descended(tried, left_s), left_s)
            if self._settling(tried) < self._settling(best):
                best = tried
        return best

    def _closed_up(self, found: Division) -> Division:
        """The division with no day empty before one that could be filmed then as well."""
        for target, day in enumerate(found.days):
            source = next((at for at in range(target, len(found.days)) if found.days[at]), target)
            if day or source == target:
                continue
            moved = list(found.days)
            moved[target], moved[source] = moved[source], ()
            days = tuple(moved)
            if self.trial.fits(days, target):
                found = min(found, self.trial.division(days, found.left), key=self._settling)
        return found

    def _levelled(self, found: Division, left_s: _LeftS) -> Division:
        better: Division | None = found
        while better is not None:
            found = better
            moves = sorted(self._level(found), reverse=True)
            better = self._moved(found, (one[1] for one in moves), self._settling, left_s)
        return found

    def _settling(self, found: Division) -> tuple[float, ...]:
        return *found.rank, *self.trial.spread(found)

    def _level(self, found: Division) -> Iterator[tuple[float, _Move]]:
        """Moves to another day that cost nothing and make a day more sure, or film earlier."""
        risks = self.trial.risks(found.days)
        room = self._rooms(found)
        for saved, move in (*self._moves(found.days), *self._ends_moved(found.days)):
            source, start, end, target, _ = move
            if saved < -_HAIR or target == source:
                continue
            if target < source or risks[source] > 0:
                minutes = self._minutes(found.days[source][start:end])
                if minutes <= room[target] + saved + _HAIR:
                    yield minutes, move

    def _ends_moved(self, days: Days) -> Iterator[tuple[float, _Move]]:
        """The first shots of a day, or the last, put at the end of the day before or the beginning
        of the day after: those runs that are too long to be moved anywhere."""
        for source, day in enumerate(days):
            for target in (source - 1, source + 1):
                if not 0 <= target < len(days):
                    continue
                for cut in range(1, len(day) + 1):
                    start, end = (0, cut) if target < source else (len(day) - cut, len(day))
                    if end - start > _LONGEST_BLOCK:
                        place = len(days[target]) if target < source else 0
                        move = (source, start, end, target, place)
                        after, _ = _made(days, move)
                        both = (source, target)
                        saved = sum(
                            self.trial.changing(at, days[at]) - self.trial.changing(at, after[at])
                            for at in both
                        )
                        yield saved, move


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
