"""Why a plan of the days leaves shots out, each with what would help."""

from dataclasses import dataclass, field
from datetime import date

from webapp.filming.day_clock import Reason
from webapp.filming.shoot_days import clock_of, told_day
from webapp.plan.day_needs import DayNeeds
from webapp.plan.day_plan import DayPlan, TooSoon, hours
from webapp.plan.day_search import DaySearch, Division, fits
from webapp.plan.planned import Unplaced
from webapp.plan.results import ShotPlan

_Ready = tuple[date, float, str]  # from when a shot can be filmed, and what rests first


@dataclass
class _Tried:
    """What stood in the way of a shot at the end of the days."""

    needs: float = 0.0  # minutes
    dark: bool = False
    waits: set[Reason] = field(default_factory=set)
    rested: list[_Ready] = field(default_factory=list)


def why_unplaced(trial: DaySearch, found: Division) -> tuple[Unplaced, ...]:
    """Each shot that a division leaves out, and why it fits on none of its days.

    One that no day can hold, whatever else is on it, is told so; else one that waits on another
    that is left out, that it does.
    """
    parts, left = trial.parts, set(found.left)
    shots = sorted((parts.shots[name] for name in left), key=lambda shot: shot.number)
    to_film = [shot for shot in parts.plan.shots if shot.shot.filmed is None]
    needs = DayNeeds(parts, to_film, trial.days)
    unplaced: list[Unplaced] = []
    for shot in shots:
        lack = needs.lack(shot)
        ahead = trial.ahead(shot.shot.id) & left
        if lack is not None:
            unplaced.append(Unplaced(shot, f"It {lack.told}", lack.kind))
        elif ahead:
            firsts = (parts.shots[one] for one in ahead if not trial.ahead(one) & left)
            first = min(firsts, key=lambda one: one.number)
            unplaced.append(Unplaced(shot, f"It waits on {_small(first)}.", "waits", first))
        else:
            unplaced.append(_without_room(shot, _tried(trial, found, shot.shot.id)))
    return tuple(unplaced)


def _tried(trial: DaySearch, found: Division, name: str) -> _Tried:
    """The shot put at the end of each day that it may be filmed on."""
    tried = _Tried()
    for at, day in enumerate(found.days):
        with_it = (*found.days[:at], (*day, name), *found.days[at + 1 :])
        if not trial.keeps_order(with_it):
            continue
        planned = trial.plans(with_it[: at + 1])[-1]
        last = planned.shots[-1]
        tried.needs = last.work.likely + last.filming.likely + last.goes_on.likely
        late = max((_ready(one) for one in last.too_soon), default=None)
        if late is not None:
            tried.rested.append(late)
        elif planned.over.likely > 0:
            costly = _costly_waits(planned)
            tried.waits |= costly
            if "rest" in costly and any(wait.why == "rest" for wait in last.waits):
                tried.rested.append((planned.day.day, last.starts.likely, ""))
        elif not fits(planned, surely=trial.surely):
            tried.dark = tried.dark or bool(last.needs_daylight and planned.in_the_dark)
    return tried


def _without_room(shot: ShotPlan, tried: _Tried) -> Unplaced:
    needs = hours(tried.needs)
    if tried.rested:
        return Unplaced(shot, _told_rested(min(tried.rested)), "rest")
    if tried.dark or ("light" in tried.waits and shot.shot.light == "daylight"):
        why = f"No day has daylight left for its {needs}: film it with lamps, or add a day."
        return Unplaced(shot, why, "light")
    if "noise" in tried.waits and shot.shot.quiet:
        why = f"No day has quiet left for its {needs}: give a day more hours without noise, or "
        return Unplaced(shot, f"{why}add a day.", "quiet")
    why = (
        f"No day has {needs} left for it: add a day, or let one end later."
        if tried.needs
        else "No day is left after what it waits on: add a day."
    )
    return Unplaced(shot, why, "room")


def _ready(late: TooSoon) -> _Ready:
    """When what it waits on has rested, and what that is."""
    rests = late.rests.step
    return (
        late.ready_day,
        late.ready_at,
        f"“{rests.name}” has rested for {rests.rest_hours:g} hours",
    )


def _told_rested(ready: _Ready) -> str:
    day, minutes, what = ready
    return (
        f"It can be filmed from {day:%A} {told_day(day)}, {clock_of(minutes)}, when "
        f"{what or 'what it waits on has rested'}: add a day then, or more hours."
    )


def _costly_waits(day: DayPlan) -> set[Reason]:
    """What the day is waited away for that ends too late: without it, it would end in time."""
    waits = [wait for shot in day.shots for wait in shot.waits]
    reasons = {wait.why for wait in waits}
    return {
        why
        for why in reasons
        if sum(wait.minutes for wait in waits if wait.why == why) >= day.over.likely
    }


def _small(shot: ShotPlan) -> str:
    return f"shot {shot.number}, “{shot.shot.title}”"
