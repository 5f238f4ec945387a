"""Moving shots about on the shoot days by hand: what a move breaks, and what it costs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Final

from webapp.filming.publishing import told_chance
from webapp.filming.shoot_days import told_day
from webapp.plan.day_edits import with_shot_put
from webapp.plan.day_parts import parts_of
from webapp.plan.day_plan import DayPlan, hours
from webapp.plan.days import Clockwork
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.shot_order import Pair, filmed_first
from webapp.remembered import Remembered

_HAIR: Final = 0.5  # minutes
_OFTEN: Final = 0.85  # from here on it is told as 9 times in 10, or more
_LESS: Final = 0.05  # of the chance, that is worth a word
_FEW: Final = 3  # shots the wrong way round that are told one by one
_pairs: Final[Remembered[Clockwork, tuple[Pair, ...]]] = Remembered(50)


@dataclass(frozen=True)
class WrongWay:
    """The shots of a day that stand the wrong way round, those that must be mended first."""

    day: date
    pairs: tuple[Pair, ...]  # each shot once, behind the first of those it stands before
    told: tuple[str, ...]  # a sentence each
    must: bool  # one could not be filmed so at all

    @property
    def few(self) -> tuple[str, ...]:
        """The first of the sentences."""
        return self.told[:_FEW]

    @property
    def more(self) -> tuple[str, ...]:
        """The others."""
        return self.told[_FEW:]

    @property
    def told_all(self) -> str:
        """How many there are, in words."""
        return _wrong(len(self.told), "shot" if len(self.told) == 1 else "shots")

    @property
    def told_more(self) -> str:
        """How many of them are not among the few, in words."""
        return _wrong(len(self.more), "more")


def with_shot_at(episode: Episode, shot: str, day: date, place: int) -> Episode:
    """The episode with a shot on this day alone, at a place counted from 1 among those shown.

    Shots that are no more are not shown, and do not count. NotThereError when there is no such
    shot or day any more.
    """
    known = {one.id for one in episode.shots}
    own = next((one.shots for one in episode.shoot_days if one.day == day), ())
    others = [one for one in own if one != shot]
    shown = [at for at, one in enumerate(others) if one in known]
    at = shown[place - 1] if 0 < place <= len(shown) else len(others)
    return with_shot_put(episode, shot, day, at)


def out_of_order(plan: Plan, days: Episode | None = None) -> tuple[Pair, ...]:
    """Pairs of shots on days that stand the wrong way round, the one to be filmed first first.

    `days` is an episode with the same shots and steps and other days; without it, the plan's own.
    """
    if days is None:
        return _pairs.get(plan.clockwork, partial(_out_of_order, plan, plan.episode))
    return _out_of_order(plan, days)


def _out_of_order(plan: Plan, episode: Episode) -> tuple[Pair, ...]:
    left = [shot for shot in plan.shots if shot.shot.filmed is None]
    at = _places(episode)
    pairs = filmed_first(parts_of(plan), left)
    wrong = [(a, b) for a, b in pairs if a in at and b in at and at[a] > at[b]]
    return tuple(sorted(wrong, key=lambda pair: (at[pair[1]], at[pair[0]])))


def wrong_way_round(plan: Plan) -> tuple[WrongWay, ...]:
    """The days with shots that stand the wrong way round, by date.

    None while the steps wait on each other in a circle, as each would wait on all others.
    """
    at, shots = _places(plan.episode), {shot.shot.id: shot.shot for shot in plan.shots}
    days: dict[date, dict[str, Pair]] = {}
    for pair in () if plan.order_problem else out_of_order(plan):
        days.setdefault(at[pair[1]][0], {}).setdefault(pair[1], pair)

    def must(pair: Pair) -> bool:
        first, second = (shots[name] for name in pair)
        waits = bool(second.step and first.step and second.step != first.step)
        return waits or second.kind == "styling"

    found = [
        (day, sorted(own.values(), key=lambda one: not must(one))) for day, own in days.items()
    ]
    return tuple(
        WrongWay(
            day,
            tuple(pairs),
            tuple(told_out_of_order(plan, pair) for pair in pairs),
            must(pairs[0]),
        )
        for day, pairs in sorted(found)
    )


def told_out_of_order(plan: Plan, pair: Pair, verb: str = "stands") -> str:
    """What is the wrong way round, in a sentence."""
    shots = {shot.shot.id: shot for shot in plan.shots}
    first, second = (shots[name] for name in pair)
    if first.shot.step and first.shot.step == second.shot.step:
        why = "which comes first"
    elif first.shot.step and second.shot.step:
        why = "which it waits on"
    elif second.shot.kind == "styling":
        why = "and it wears the finished piece"
    else:
        why = "which stands ahead of it in the list"
    return f"{_called(second)} {verb} before {_small(_called(first))}, {why}."


def refusal(plan: Plan, moved: Episode, shot: str) -> str:
    """Why a shot cannot stand where `moved` has it, in sentences; empty when it can.

    Only what the move itself turned the wrong way round counts.
    """
    already = set(out_of_order(plan))
    new = [pair for pair in out_of_order(plan, moved) if shot in pair and pair not in already]
    if not new:
        return ""
    others = len(new) - 1
    more = f" {others} more would be the wrong way round too." if others else ""
    return f"{told_out_of_order(plan, new[0], 'would stand')}{more} So it stays where it was."


def told_cost(before: Plan, after: Plan) -> str:
    """What a change of the days costs in changing places and clothes and in waiting, in words,
    and which days get late or dark by it."""
    told = _told_minutes(before, after)
    later = [one for day in after.days for one in _told_worse(_day_of(before, day), day)]
    return ". ".join([told, *later]) + "."


def _told_minutes(before: Plan, after: Plan) -> str:
    minutes = _lost(after) - _lost(before)
    waits = abs(_waits(after) - _waits(before)) >= _HAIR
    places = _changes(after) - _changes(before)
    what = "of changing over and waiting" if waits else "of changing over"
    told = (
        "That costs no time"
        if abs(minutes) < _HAIR
        else f"That costs {hours(minutes)} more {what}"
        if minutes > 0
        else f"That saves {hours(-minutes)} {what}"
    )
    if places:
        count = f"{abs(places)} change{'' if abs(places) == 1 else 's'} of place"
        told += f": {count} {'more' if places > 0 else 'fewer'}"
    return told


def _told_worse(before: DayPlan | None, after: DayPlan) -> Iterator[str]:
    """What has become worse on a day by a change: its end, its light, its chance."""
    on, over = told_day(after.day.day), after.over.likely
    if over >= _HAIR and over > (before.over.likely if before else 0.0) + _HAIR:
        yield f"{on} now ends {hours(over)} after its end at {after.day.ends}"
    new = {shot.plan.shot.id for shot in after.in_the_dark}
    dark = len(new - {shot.plan.shot.id for shot in (before.in_the_dark if before else ())})
    if dark:
        shots = "1 more shot is" if dark == 1 else f"{dark} more shots are"
        yield f"On {on} {shots} filmed in the dark now"
    elif over < _HAIR and after.chance < min(_OFTEN, (before.chance if before else 1.0) - _LESS):
        light = " and in its light" if after.goes_by_light else ""
        yield f"{on} now ends in time{light} {told_chance(after.chance)}"


def _day_of(plan: Plan, day: DayPlan) -> DayPlan | None:
    return next((one for one in plan.days if one.day.day == day.day.day), None)


def _places(episode: Episode) -> Mapping[str, tuple[date, int]]:
    return {
        shot: (day.day, at)
        for day in sorted(episode.shoot_days, key=lambda one: one.day, reverse=True)
        for at, shot in enumerate(day.shots)
    }


def _lost(plan: Plan) -> float:
    return sum(day.changing + day.idle for day in plan.days)


def _waits(plan: Plan) -> float:
    return sum(day.idle for day in plan.days)


def _changes(plan: Plan) -> int:
    return sum(day.changes for day in plan.days)


def _wrong(count: int, what: str) -> str:
    return f"{count} {what} {'stands' if count == 1 else 'stand'} the wrong way round"


def _called(shot: ShotPlan) -> str:
    return f"Shot {shot.number}, “{shot.shot.title}”,"


def _small(words: str) -> str:
    return words[:1].lower() + words[1:].rstrip(",")
