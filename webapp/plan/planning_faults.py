"""What stands in the way of planning the days, each in a sentence that says what to change."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from webapp.draft.names import listed
from webapp.filming.day_clock import Reason
from webapp.filming.shoot_days import ShootDay, clock_of, minutes_of, told_day
from webapp.plan.day_parts import DayParts, parts_of
from webapp.plan.day_plan import DayPlan, TooSoon, hours
from webapp.plan.day_search import DaySearch, Division, fits
from webapp.plan.days import by_date, open_days
from webapp.plan.planned import Unplaced
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.shot_order import in_build_order

_DAY: Final = 24 * 60


def planning_faults(plan: Plan, *, first_day: date | None = None) -> tuple[str, ...]:
    """Why the days cannot be planned, or which shots can fit on none of them whatever is tried."""
    faults = faults_before_planning(plan, first_day)
    if faults:
        return faults
    parts, days = parts_of(plan), open_days(plan, first_day)
    left = [shot for shot in plan.shots if shot.shot.filmed is None]
    return (
        *_days_without_a_time(plan, first_day),
        *_longer_than_a_day(parts, left, days),
        *_too_little_in_all(parts, left, days),
        *_rests_longer_than_the_days(parts, left, days),
    )


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
    ordered = set(in_build_order(parts_of(plan), left))
    in_circle = [_called(shot) for shot in left if shot.shot.id not in ordered]
    if in_circle:
        yield (
            f"{listed(in_circle)} wait on each other by their places in the list of shots: put "
            "them in the order of the build there."
        )


def why_unplaced(trial: DaySearch, found: Division, name: str) -> Unplaced:
    """Why a shot that a division leaves out fits on none of its days."""
    shot = trial.parts.shots[name]
    ahead = sorted(
        trial.ahead(name) & set(found.left), key=lambda one: trial.parts.shots[one].number
    )
    if ahead:
        first = trial.parts.shots[ahead[0]]
        return Unplaced(shot, f"It waits on {_called(first, small=True)}, which is on none either.")
    lacks = _lacks_light_or_quiet(trial.parts, shot, trial.days)
    if lacks:
        return Unplaced(shot, f"It {lacks}")
    needs, dark, waits = 0.0, False, set[Reason]()
    rested: list[tuple[date, float, str]] = []  # from when it can be filmed, and what rests first
    for at, day in enumerate(found.days):
        with_it = (*found.days[:at], (*day, name), *found.days[at + 1 :])
        if not trial.keeps_order(with_it):
            continue
        planned = trial.plans(with_it[: at + 1])[-1]
        last = planned.shots[-1]
        needs = last.work.likely + last.filming.likely + last.goes_on.likely
        late = max((_ready(one) for one in last.too_soon), default=None)
        if late is not None:
            rested.append(late)
        elif planned.over.likely > 0:
            costly = _costly_waits(planned)
            waits |= costly
            if "rest" in costly and any(wait.why == "rest" for wait in last.waits):
                rested.append((planned.day.day, last.starts.likely, ""))
        elif not fits(planned, surely=trial.surely):
            dark = dark or bool(last.needs_daylight and planned.in_the_dark)
    if rested:
        return Unplaced(shot, _told_rested(min(rested)))
    if dark or ("light" in waits and shot.shot.light == "daylight"):
        return Unplaced(
            shot,
            f"No day has daylight left for its {hours(needs)}: film it with lamps, or add a day.",
        )
    if "noise" in waits and shot.shot.quiet:
        return Unplaced(
            shot,
            f"No day has quiet left for its {hours(needs)}: give a day more hours without noise, "
            "or add a day.",
        )
    return Unplaced(
        shot,
        f"No day has {hours(needs)} left for it: add a day, or let one end later."
        if needs
        else "No day is left after what it waits on: add a day.",
    )


def _ready(late: TooSoon) -> tuple[date, float, str]:
    """When what it waits on has rested, and what that is."""
    rests = late.rests.step
    return (
        late.ready_day,
        late.ready_at,
        f"“{rests.name}” has rested for {rests.rest_hours:g} hours",
    )


def _told_rested(ready: tuple[date, float, str]) -> str:
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


def _longer_than_a_day(
    parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay]
) -> Iterator[str]:
    """Shots that no day has room, light or quiet for, with nothing else on it."""
    room = max(day.ends_at - day.goes_on for day in days)
    done = set(parts.begun().ready)
    for shot in left:
        step = parts.steps.get(shot.shot.step)
        work = 0.0
        if step is not None and step.step.id not in done:
            done.add(step.step.id)
            work = step.work.likely
        films = parts.rest(shot.shot.id).likely
        whole = (
            work
            + films
            + min(parts.set_up(one, shot.shot.id).likely for one in (None, shot.shot.id))
        )
        if whole > room:
            with_work = " with its work" if work else ""
            yield (
                f"{_called(shot)}, takes {hours(whole)}{with_work}, and the longest day has "
                f"{hours(room)}: give a day more hours, or divide the "
                f"{'step' if work > films else 'shot'}."
            )
        else:
            lacks = _lacks_light_or_quiet(parts, shot, days)
            if lacks:
                yield f"{_called(shot)}, {lacks}"


def _lacks_light_or_quiet(parts: DayParts, shot: ShotPlan, days: Sequence[ShootDay]) -> str:
    """What none of the days has enough of, to come after what the shot is called."""
    films = parts.rest(shot.shot.id).likely
    light = max(_light(day) for day in days)
    quiet = max(_quiet(day) for day in days)
    if shot.shot.light == "daylight" and films > light:
        return (
            f"needs {hours(films)} of daylight, and no day has "
            f"{f'more than {hours(light)}' if light > 0 else 'any'}: film it with lamps, or give "
            "a day hours in daylight."
        )
    if shot.shot.quiet and films > quiet:
        return (
            f"needs {hours(films)} of quiet, and no day has "
            f"{f'more than {hours(quiet)}' if quiet > 0 else 'any'} on end: give a day hours "
            "without noise."
        )
    return ""


def _too_little_in_all(
    parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay]
) -> Iterator[str]:
    done = set(parts.begun().ready)
    shown = {shot.shot.step for shot in left if shot.shot.step in parts.steps} - done
    need = sum(parts.rest(shot.shot.id).likely for shot in left)
    need += sum(parts.steps[step].work.likely for step in shown)
    has = sum(max(0, day.ends_at - day.goes_on - _breaks(day)) for day in days)
    if need > has:
        yield (
            f"What is left takes about {hours(need)} without setting up, and the days have "
            f"{hours(has)}: add a day or hours, {hours(need - has)} at the least."
        )


def _rests_longer_than_the_days(
    parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay]
) -> Iterator[str]:
    """A step that cannot rest between the first day's beginning and the last day's end."""
    first, last = days[0], days[-1]
    span = (last.day - first.day).days * _DAY + last.ends_at - first.goes_on
    done = set(parts.begun().ready)
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
            yield (
                f"“{rest.name}” rests for {rest.rest_hours:g} hours before “{step.step.name}”, and "
                f"the days lie within {hours(span)}: add a day {hours(begins - span)} or more "
                "after the last."
                if rest.rest_hours
                else f"The days end before “{step.step.name}” can begin: add a later day."
            )
            return
        ready[name] = begins + step.work.likely + 60 * step.step.rest_hours


def _light(day: ShootDay) -> float:
    dark = day.ends_at if day.dark_at is None else min(day.dark_at, day.ends_at)
    return float(dark - max(day.goes_on, day.light_at))


def _quiet(day: ShootDay) -> float:
    """Minutes of the longest stretch without noise."""
    best, since = 0.0, float(day.goes_on)
    for one in sorted(day.noise, key=lambda each: each.starts):
        best = max(best, min(minutes_of(one.starts), day.ends_at) - since)
        since = max(since, minutes_of(one.ends))
    return max(best, day.ends_at - since)


def _breaks(day: ShootDay) -> int:
    return sum(one.minutes for one in day.breaks if day.goes_on <= minutes_of(one.at) < day.ends_at)


def _called(shot: ShotPlan, *, small: bool = False) -> str:
    return f"{'shot' if small else 'Shot'} {shot.number}, “{shot.shot.title}”"
