"""Where the episode is filmed from and in what: places, minutes between them, looks, changes."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations, pairwise
from statistics import NormalDist
from typing import Final

from webapp.build.rates import Rate
from webapp.build.work_time import TENTH, Estimate, total
from webapp.draft.construction import Minutes
from webapp.filming.filming_time import (
    changeover_minutes,
    is_made_up,
    rolled_minutes,
    same_place,
)
from webapp.filming.looks import Look, lines_of, plain_place
from webapp.filming.running_time import spoken_seconds
from webapp.filming.shots import Shot
from webapp.plan.days import on_no_day
from webapp.plan.results import Plan, ShotPlan

_ENOUGH: Final = 0.9
_POINTS: Final = 100  # of the curve of how long a battery lasts
_NORMAL: Final = NormalDist()
_Pair = frozenset[str]  # two places, as `plain_place` tells them


@dataclass(frozen=True)
class PlaceUse:
    """A camera place and the shots that are filmed from it."""

    name: str
    shots: tuple[ShotPlan, ...]

    @property
    def key(self) -> str:
        """What tells it from others."""
        return plain_place(self.name)


@dataclass(frozen=True)
class BetweenPlaces:
    """What moving the camera between two places takes, and how often it is moved."""

    one: str
    other: str
    minutes: Estimate  # as she typed them, or by the rates
    own: bool  # hers, not the rates'
    moves: int
    taken: Estimate  # the same as her times move them: what one move takes

    @property
    def all(self) -> Estimate:
        """All these moves together."""
        return total([self.taken] * self.moves)


@dataclass(frozen=True)
class ChangeTime:
    """A kind of change, by its rate and as her times move it."""

    rate: Rate
    taken: Estimate


@dataclass(frozen=True)
class LookUse:
    """A look, the shots that wear it, and the shoot days on which it is needed."""

    look: Look
    shots: tuple[ShotPlan, ...]
    days: tuple[date, ...]

    @property
    def to_film(self) -> tuple[ShotPlan, ...]:
        """Its shots that are still to be filmed."""
        return tuple(row for row in self.shots if row.shot.filmed is None)

    @property
    def press(self) -> tuple[str, ...]:
        """What must be pressed for it."""
        return lines_of(self.look.press)

    @property
    def at_hand(self) -> tuple[str, ...]:
        """What must be at hand for it."""
        return lines_of(self.look.at_hand)


@dataclass(frozen=True)
class GettingReady:
    """What is done between shots, in the order of the shoot days or else as the shots are listed.

    Filmed shots count in their place, as they were. Shots on no day do not where others are.
    """

    runs: int  # days, or 1 for the shots as listed
    by_day: bool
    moves: int
    changes: int  # of clothes
    made_up: int  # days on which hair and make-up are done
    minutes: Estimate  # all of it, setting up first of all too
    added: float  # the likely minutes of each change, added: what the days tell
    filmed: int  # shots counted that are filmed
    left: int  # shots to film that are on no day, and so not counted


@dataclass(frozen=True)
class Rolling:
    """How long the camera rolls for what is still to be filmed on a day, and what that fills."""

    day: date | None  # None: of the shots as listed
    minutes: Estimate
    batteries: int
    cards: int


def places_used(plan: Plan) -> tuple[PlaceUse, ...]:
    """The places that shots are filmed from, as first named."""
    found: dict[str, list[ShotPlan]] = {}
    for shot in plan.shots:
        found.setdefault(plain_place(shot.shot.place), []).append(shot)
    return tuple(PlaceUse(shots[0].shot.place, tuple(shots)) for shots in found.values())


def between_places(plan: Plan) -> tuple[BetweenPlaces, ...]:
    """Every two places in use, the pairs between which the camera is moved most first."""
    moves = Counter(
        _pair(before, after)
        for run in _runs(plan)[0]
        for before, after in pairwise(run)
        if not same_place(before, after)
    )
    pairs = [_between(plan, one, other, moves) for one, other in combinations(_firsts(plan), 2)]
    return tuple(sorted(pairs, key=lambda pair: -pair.moves))


def looks_used(plan: Plan) -> tuple[LookUse, ...]:
    """Every look, in the order in which they are first worn; those of no shot last."""
    first = {shot.shot.look: shot.number for shot in reversed(plan.shots)}
    looks = sorted(plan.episode.looks, key=lambda look: first.get(look.id, len(plan.shots) + 1))
    return tuple(LookUse(look, _wearing(plan, look.id), _days(plan, look.id)) for look in looks)


def in_what_she_sews_in(plan: Plan) -> tuple[ShotPlan, ...]:
    """The shots of no look."""
    return _wearing(plan, "")


def getting_ready(plan: Plan) -> GettingReady:
    """The changes of place and of clothes, with their minutes."""
    runs, by_day = _runs(plan)
    looks = {look.id: look for look in plan.episode.looks}
    steps = [pair for run in runs for pair in pairwise(run)]
    readied = [part for run in runs for part in _readied(plan, run)]
    return GettingReady(
        len(runs),
        by_day,
        moves=sum(not same_place(before, after) for before, after in steps),
        changes=sum(before.look != after.look for before, after in steps),
        made_up=sum(any(is_made_up(shot, looks) for shot in run) for run in runs),
        minutes=total(readied),
        added=math.fsum(part.likely for part in readied),
        filmed=sum(shot.filmed is not None for run in runs for shot in run),
        left=len(on_no_day(plan)) if by_day else 0,
    )


def change_times(plan: Plan, *keys: str) -> tuple[ChangeTime, ...]:
    """What changes of these rates take her."""
    return tuple(ChangeTime(rate, _as_hers(plan, rate)) for rate in (plan.rates[k] for k in keys))


def rolling(plan: Plan) -> tuple[Rolling, ...]:
    """Day by day, with batteries and cards that are enough 9 times in 10."""
    by_id = {shot.shot.id: shot for shot in plan.shots}
    found = []
    for day, run in _dated_runs(plan):
        to_film = [by_id[shot.id] for shot in run if shot.filmed is None]
        if to_film:
            minutes = total([_rolled(plan, shot) for shot in to_film])
            filled = (
                enough_of(plan.rates[f"{what}: lasts"], minutes) for what in ("battery", "card")
            )
            found.append(Rolling(day, minutes, *filled))
    return tuple(found)


def enough_of(lasts: Rate, rolls: Estimate) -> int:
    """The fewest batteries, or cards, that are enough 9 times in 10 for so many minutes.

    One lasts as the rate says: half a normal curve each way from the likely minutes, of their
    logarithms, as none lasts less than nothing. All are alike: short ones do not even out.
    """
    each = [_lasts_at(lasts, (place + 0.5) / _POINTS) for place in range(_POINTS)]

    def chance(count: int) -> float:
        return sum(rolls.chance_of_at_most(count * minutes) for minutes in each) / _POINTS

    if rolls.high == 0:
        return 0
    low, high = 0, 1
    while chance(high) < _ENOUGH:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if chance(middle) >= _ENOUGH else (middle, high)
    return high


def _lasts_at(rate: Rate, share: float) -> float:
    """The minutes that so great a share of batteries or cards does not outlast."""
    off = _NORMAL.inv_cdf(share) / TENTH
    wide = rate.high / rate.likely if off > 0 else rate.likely / rate.low
    return rate.likely * math.pow(wide, off)


def _rolled(plan: Plan, shot: ShotPlan) -> Estimate:
    minutes = rolled_minutes(
        shot.shot,
        shot.screen_seconds,
        spoken_s=spoken_seconds(shot.narration.plain, plan.rates),
        rates=plan.rates,
    )
    return plan.learned["filming"].moved(minutes)


def _readied(plan: Plan, run: Sequence[Shot]) -> Iterator[Estimate]:
    """Getting ready for each shot of a day, hair and make-up done once."""
    looks = {look.id: look for look in plan.episode.looks}
    made_up = False
    for before, after in pairwise((None, *run)):
        assert after is not None
        minutes = changeover_minutes(
            before,
            after,
            places=plan.episode.place_changes,
            looks=looks,
            rates=plan.rates,
            made_up=made_up,
        )
        yield plan.learned["filming"].moved(minutes)
        made_up = made_up or is_made_up(after, looks)


def _runs(plan: Plan) -> tuple[tuple[tuple[Shot, ...], ...], bool]:
    """The shots day by day, and true; where no day has any, as they are listed, and false."""
    dated = _dated_runs(plan)
    return tuple(run for _, run in dated), all(day is not None for day, _ in dated)


def _dated_runs(plan: Plan) -> list[tuple[date | None, tuple[Shot, ...]]]:
    shots = {shot.id: shot for shot in plan.episode.shots}
    days = sorted(plan.episode.shoot_days, key=lambda day: day.day)
    runs = [(day.day, tuple(shots[one] for one in day.shots if one in shots)) for day in days]
    planned: list[tuple[date | None, tuple[Shot, ...]]] = [one for one in runs if one[1]]
    if planned or not plan.episode.shots:
        return planned
    return [(None, plan.episode.shots)]


def _firsts(plan: Plan) -> list[str]:
    return [place.name for place in places_used(plan)]


def _pair(one: Shot, other: Shot) -> _Pair:
    return frozenset((plain_place(one.place), plain_place(other.place)))


def _between(plan: Plan, one: str, other: str, moves: Counter[_Pair]) -> BetweenPlaces:
    own = [change.minutes for change in plan.episode.place_changes if change.joins(one, other)]
    says: Rate | Minutes = own[0] if own else plan.rates["other place"]
    minutes = Estimate(says.low, says.likely, says.high)
    count = moves[frozenset((plain_place(one), plain_place(other)))]
    return BetweenPlaces(one, other, minutes, bool(own), count, _as_hers(plan, says))


def _as_hers(plan: Plan, says: Rate | Minutes) -> Estimate:
    """Minutes of getting ready as her times of filming move them."""
    return plan.learned["filming"].moved(Estimate(says.low, says.likely, says.high))


def _wearing(plan: Plan, look: str) -> tuple[ShotPlan, ...]:
    return tuple(shot for shot in plan.shots if shot.shot.look == look)


def _days(plan: Plan, look: str) -> tuple[date, ...]:
    """The shoot days with a shot of this look that is not filmed yet."""
    wanted = {shot.id for shot in plan.episode.shots if shot.look == look and shot.filmed is None}
    return tuple(
        sorted(day.day for day in plan.episode.shoot_days if wanted.intersection(day.shots))
    )
