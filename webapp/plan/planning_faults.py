"""What stands in the way of planning the days, each in a sentence that says what to change."""

from collections.abc import Container, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from webapp.draft.names import listed
from webapp.filming.shoot_days import ShootDay, clock_of, minutes_of, told_day
from webapp.plan.day_needs import DayNeeds, Lack
from webapp.plan.day_parts import DayParts, parts_of
from webapp.plan.day_plan import hours
from webapp.plan.days import Clockwork, by_date, open_days
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.shot_order import in_build_order
from webapp.plan.told_shots import Told, folded
from webapp.remembered import Remembered

_DAY: Final = 24 * 60
_Lacks = tuple[Mapping[str, Lack], float]
_lacking: Final[Remembered[tuple[Clockwork, date | None], _Lacks]] = Remembered(50)
_ordered: Final[Remembered[Clockwork, frozenset[str]]] = Remembered(50)


def planning_faults(
    plan: Plan, *, first_day: date | None = None, but: Container[str] = frozenset()
) -> tuple[str, ...]:
    """Why the days cannot be planned, or which shots can fit on none of them whatever is tried.

    `but`: ids of shots of which that is told already.
    """
    faults = faults_before_planning(plan, first_day)
    if faults:
        return faults
    parts, days = parts_of(plan), open_days(plan, first_day)
    left = [shot for shot in plan.shots if shot.shot.filmed is None]
    found, need = _lacking.get((plan.clockwork, first_day), lambda: _lacks(parts, left, days))
    lacks = [(shot, lack) for shot in left if (lack := found.get(shot.shot.id))]
    too_long = [shot for shot, lack in lacks if lack.kind == "long"]
    return (
        *_days_without_a_time(plan, first_day),
        *folded(
            [
                Told(lack.kind, shot.number, f"{_called(shot)}, {lack.told}")
                for shot, lack in lacks
                if shot.shot.id not in but
            ]
        ),
        *_too_little_in_all(need, days, bool(too_long)),
        *(() if too_long else _rests_longer_than_the_days(parts, left, days, but)),
    )


def _lacks(parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay]) -> _Lacks:
    """Which of the shots no day can hold, by their ids, and the minutes of those that are not
    longer than any day."""
    needs = DayNeeds(parts, left, days)
    found = {shot.shot.id: lack for shot in left if (lack := needs.lack(shot))}
    long = {name for name, lack in found.items() if lack.kind == "long"}
    return found, needs.in_all(shot for shot in left if shot.shot.id not in long)


def faults_before_planning(plan: Plan, first_day: date | None = None) -> tuple[str, ...]:
    """Why nothing can be planned at all."""
    left = [shot for shot in plan.shots if shot.shot.filmed is None]
    return tuple(
        fault
        for fault in (
            _nothing_to_film(plan, left) or _steps_in_a_circle(plan) or _no_hours(plan, first_day),
        )
        if fault
    ) or tuple(_shots_in_a_circle(plan, left))


def _nothing_to_film(plan: Plan, left: Sequence[ShotPlan]) -> str:
    if not plan.shots:
        return "There is no shot to film yet: list the shots first."
    return "" if left else "Every shot is filmed: nothing is left to plan."


def _steps_in_a_circle(plan: Plan) -> str:
    if not plan.order_problem:
        return ""
    return (
        f"{plan.order_problem} No day can be planned while steps wait on each other: take one of "
        "these waits out on the build order."
    )


def _no_hours(plan: Plan, first_day: date | None) -> str:
    if not plan.episode.shoot_days:
        return "There is no shoot day yet: add one with the hours you have."
    days = open_days(plan, first_day)
    if not days:
        return _no_day_left(plan, first_day)
    if all(day.goes_on >= day.ends_at for day in days):
        return (
            f"{told_day(days[0].day)} goes on at {days[0].goes_on_at} and ends at "
            f"{days[0].ends}: no hours are left. Let the day end later, or add another."
        )
    return ""


def _no_day_left(plan: Plan, first_day: date | None) -> str:
    if first_day is not None and by_date(plan)[-1].day < first_day:
        return (
            f"No shoot day is left from {told_day(first_day)} on: add one with the hours you have."
        )
    return (
        "Something is filmed on the last shoot day already: say on that day at what time it goes "
        "on, or add another day."
    )


def _shots_in_a_circle(plan: Plan, left: Sequence[ShotPlan]) -> Iterator[str]:
    ordered = _ordered.get(plan.clockwork, lambda: frozenset(in_build_order(parts_of(plan), left)))
    in_circle = [_called(shot) for shot in left if shot.shot.id not in ordered]
    if in_circle:
        yield (
            f"{listed(in_circle)} wait on each other by their places in the list of shots: put "
            "them in the order of the build there."
        )


def _days_without_a_time(plan: Plan, first_day: date | None) -> Iterator[str]:
    """A day that begins what is open and of which nobody knows how much is over."""
    filmed = [s.shot.filmed.day for s in plan.shots if s.shot.filmed and s.shot.filmed.day]
    for day in by_date(plan):
        still = first_day is None or day.day >= first_day
        if still and filmed and day.day == max(filmed) and day.goes_on_at is None:
            yield (
                f"Something is filmed on {told_day(day.day)} already: to plan the rest of that "
                "day, say at what time it goes on."
            )


def _too_little_in_all(need: float, days: Sequence[ShootDay], too_long: bool) -> Iterator[str]:
    """What all days together have no room for, without what is longer than any of them."""
    has = sum(max(0, day.ends_at - day.goes_on - _breaks(day)) for day in days)
    if need > has:
        yield (
            f"What {'else ' if too_long else ''}is left takes about {hours(need)} "
            f"without setting up, and the days have {hours(has)}: add a day or hours, "
            f"{hours(need - has)} at the least."
        )


def _rests_longer_than_the_days(
    parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay], but: Container[str]
) -> Iterator[str]:
    """A step that cannot rest between the first day's beginning and the last day's end, unless
    a shot of it is told already: that has a later clock time, of a whole plan."""
    first, last = days[0], days[-1]
    span = (last.day - first.day).days * _DAY + last.ends_at - first.goes_on
    begun = parts.begun()
    done = begun.ready.keys() - begun.left.keys()
    ready: dict[str, float] = {}
    shown = {shot.shot.step for shot in left}
    for name, step in parts.steps.items():  # in build order
        waits = [wait for wait in step.step.after if wait in ready]
        if name in done or (not waits and not step.shots):
            continue  # done already, or before the first day
        begins = max((ready[wait] for wait in waits), default=0.0)
        if begins >= span and name in shown:
            rests = max(waits, key=lambda wait: ready[wait])
            rest = parts.steps[rests].step
            if any(shot.shot.step == name and shot.shot.id in but for shot in left):
                return
            ahead, minutes = divmod(first.goes_on + begins, _DAY)
            then = first.day + timedelta(days=int(ahead))
            when = f"{then:%A} {told_day(then)}, {clock_of(minutes)}"
            yield (
                f"“{rest.name}” rests for {rest.rest_hours:g} hours: “{step.step.name}” can be "
                f"filmed from {when} at the earliest, after the last day has ended. Add a day then."
                if rest.rest_hours
                else f"The days end before “{step.step.name}” can begin: add a later day."
            )
            return
        work = (
            parts.share(name).likely * begun.left[name] if name in begun.left else step.work.likely
        )
        ready[name] = begins + work + 60 * step.step.rest_hours


def _breaks(day: ShootDay) -> int:
    return sum(one.minutes for one in day.breaks if day.goes_on <= minutes_of(one.at) < day.ends_at)


def _called(shot: ShotPlan) -> str:
    return f"Shot {shot.number}, “{shot.shot.title}”"
