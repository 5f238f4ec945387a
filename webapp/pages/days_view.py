"""What the page of shoot days shows: each day with its timetable, and planning them."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache
from typing import Final

from webapp.draft.names import listed
from webapp.filming.clock_changes import clock_faults, faults_of_times, missing_times
from webapp.filming.day_clock import Missing
from webapp.filming.publishing import told_chance
from webapp.filming.shoot_days import told_day
from webapp.jobs import Job
from webapp.pages.forms import UNANSWERED, Answers
from webapp.plan.against_plan import against_plan
from webapp.plan.day_moves import WrongWay, wrong_way_round
from webapp.plan.day_plan import DayPlan
from webapp.plan.day_planning import PlannedDays, told_planned
from webapp.plan.day_room import told_room
from webapp.plan.day_strip import DayStrip, day_strip
from webapp.plan.days import on_no_day
from webapp.plan.planned import told_unplaced
from webapp.plan.planned_keys import as_found, outdated
from webapp.plan.planning_faults import planning_faults
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.plan.timetable import (
    Line,
    TimetableRow,
    ToWear,
    evening_lines,
    timetable,
    to_wear,
)
from webapp.remembered import Same

FIRST_DAY: Final = {"starts": "09:00", "ends": "17:00", "light_from": "", "dark_from": ""}
_STRIPS: Final = (("strip-wide", 1080.0), ("strip-narrow", 340.0))


@dataclass(frozen=True)
class OneDay:
    """A day as the page shows it."""

    plan: DayPlan
    rows: tuple[TimetableRow, ...]
    evening: tuple[Line, ...]  # what is done off camera after it, for a later day
    wear: tuple[ToWear, ...]
    wrong_way_round: WrongWay | None
    undone: tuple[StepPlan, ...]  # steps that could be done off camera before it
    strips: tuple[tuple[DayStrip, str], ...]  # with the class that shows it
    is_today: bool
    is_past: bool
    is_open: bool  # its timetable is shown at once
    clock_faults: tuple[str, ...]  # what a change of the clocks makes of it
    time_faults: Mapping[str, str]  # and of its times, by the field's name

    @cached_property
    def key(self) -> str:
        """Its date as addresses and ids have it."""
        return self.plan.day.day.isoformat()

    @property
    def weekday(self) -> str:
        """Its day of the week."""
        return self.plan.day.day.strftime("%A")

    @property
    def chance_told(self) -> str:
        """How often it would end in time and in its light, in words."""
        return told_chance(self.plan.chance)

    @property
    def is_due(self) -> bool:
        """True on the day and after it, when shots are to be marked as filmed."""
        return self.is_today or self.is_past

    @property
    def is_late(self) -> bool:
        """True when it likely ends too late, or something in the dark."""
        return bool(self.plan.over.likely > 0 or self.plan.in_the_dark)

    @property
    def warning(self) -> str:
        """What may end too late or in the dark, in sentences; empty when all is safe."""
        if not self.plan.to_film:
            return ""
        late, dark = self.plan.over.high > 0, bool(self.plan.perhaps_in_the_dark)
        told = [self.plan.told_end] if late else []
        return " ".join([*told, *([self.plan.told_light] if dark or late else [])])

    @property
    def answer(self) -> str:
        """That all is safe, in a sentence; empty when a warning says otherwise."""
        return "" if self.warning or not self.plan.to_film else self.plan.told_light

    @property
    def has_faults(self) -> bool:
        """True when a shot stands before the cloth has rested for it."""
        return any(row.timed.too_soon for row in self.rows)

    @property
    def daylight_done(self) -> float | None:
        """By when what needs daylight is filmed 9 times in 10; None where nothing does."""
        lit = [shot.ends.high for shot in self.plan.to_film if shot.needs_daylight]
        return max(lit) if lit else None

    @property
    def is_begun(self) -> bool:
        """True when part of it is filmed, and part is not."""
        return bool(self.plan.to_film) and len(self.plan.to_film) < len(self.plan.shots)

    @property
    def asks_when_it_goes_on(self) -> bool:
        """True when part of it is filmed and nobody has said when the rest begins."""
        return self.is_begun and self.plan.day.goes_on_at is None

    @property
    def undone_options(self) -> tuple[tuple[str, str], ...]:
        """The steps that could be done before it, to choose from."""
        return tuple((step.step.id, step.step.name) for step in self.undone)

    @property
    def needs_hands(self) -> bool:
        """True when there is something to see to the night before."""
        return bool(self.plan.beforehand or self.wear)


@dataclass(frozen=True)
class Planning:
    """What planning the days came to, or what it is about to come to."""

    told: str  # of the days as planned last; empty when they never were
    against: str  # what was moved by hand since, and what it costs
    outdated: str  # what has changed since
    room: str  # that the days could end in time more often
    faults: tuple[str, ...]  # what stands in the way
    job: Job | None
    found: PlannedDays | None  # what the last search has come to, while it is of this plan
    out: tuple[str, ...]  # why it leaves out the shots that it does
    answers: Answers | None = None


@dataclass(frozen=True)
class DaysView:
    """The days by date with their timetables, and the shots that are on none."""

    days: tuple[OneDay, ...]
    left: tuple[ShotPlan, ...]
    has_shots: bool
    publish_date: date | None
    planning: Planning
    evening_minutes: int
    time_zone: str
    zones: tuple[str, ...]
    clock: str  # now, to go on from
    base: str  # the address of the episode
    not_worked_out: int  # how many steps have no minutes, as something is missing
    form: str = ""  # the date whose form was sent, "new", "all", "plan", or a part of a date's
    answers: Answers = UNANSWERED
    moved: str = ""  # the shot that was moved
    move_told: str = ""
    day_from: str = ""  # the date that a day was moved from
    day_to: str = ""  # and the one it has now

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to the form of that name."""
        return self.answers if form == self.form else None

    def kept_by(self, day: OneDay, row: TimetableRow, place: int) -> tuple[Hashable, ...] | None:
        """All that the row of a shot shows: see `kept_parts`. None where more is to be told."""
        shot, hours = row.timed.plan.shot.id, day.plan.day
        if shot == self.moved or self.form == f"{day.key} shot {shot}":
            return None
        return (
            "row of a day",
            self.base,
            Same((row,)),
            (place, place == len(day.rows)),
            (day.key, day.is_due, hours.dark_from, hours.light_from),
            self._keys,
        )

    @cached_property
    def _keys(self) -> tuple[str, ...]:
        return tuple(one.key for one in self.days)

    def strip_kept_by(self, day: OneDay, strip: DayStrip, classes: str) -> tuple[Hashable, ...]:
        """All that the drawing of a day shows."""
        return "strip of a day", Same((strip,)), classes, day.key

    def hours_kept_by(self, day: OneDay) -> tuple[Hashable, ...] | None:
        """The same of the forms of its hours. None after a form, or when its date was changed."""
        if self.form or self.day_to:
            return None
        hours = day.plan.day
        return "hours of a day", self.base, Same((hours,)), tuple(day.time_faults.items())

    def opens_hours(self, key: str) -> bool:
        """True when something is to be mended in a form of the hours of this date, or the day has
        moved, and she may go on with its hours."""
        if key == self.day_to:
            return True
        parts = self.form.removeprefix(key).split()
        hours = not parts or parts[0] in ("new", "break", "noise")
        return self.form.startswith(key) and bool(self.answers.errors) and hours

    @property
    def day_told(self) -> str:
        """Where a day that was moved has gone, and what stands the wrong way round now."""
        keys = [day.key for day in self.days]
        at = keys.index(self.day_to)
        moved = self.days[at]
        told = f"This day is {moved.weekday}, {told_day(moved.plan.day.day)} now"
        place = f": day {at + 1} of {len(keys)}." if len(keys) > 1 else "."
        wrong = [one for one in (day.wrong_way_round for day in self.days) if one]
        more = "".join(f" On {told_day(one.day)}, {one.told_all}." for one in wrong)
        return told + place + more

    @property
    def next_day(self) -> Mapping[str, str]:
        """What a new day's form offers: like the last, a day later."""
        if not self.days:
            return {"day": "", **FIRST_DAY}
        last = self.days[-1].plan.day
        offered = {name: getattr(last, name) or "" for name in FIRST_DAY}
        after = "" if last.day == date.max else (last.day + timedelta(days=1)).isoformat()
        return {"day": after, **offered}

    @property
    def not_fitting(self) -> str:
        """How many shots the last search found no room for, in a sentence; empty where none."""
        count = len({one.shot.id for one in self.left}) if self.planning.out else 0
        if not count:
            return ""
        days = [day for day in self.days if not day.is_past]
        where = days[0].weekday if len(days) == 1 else "these days"
        return f"{count} shot{'s do' if count > 1 else ' does'} not fit on {where}."


def shown_days(plan: Plan, today: date, moved: str) -> tuple[OneDay, ...]:
    """The days; the timetable stands open of the next one to film, and of that of a shot moved."""
    wrong = {one.day: one for one in wrong_way_round(plan)}
    before = {name for day in plan.episode.shoot_days for name in day.beforehand}
    undone = tuple(s for s in plan.steps if not s.shots and s.step.id not in before)
    zone = plan.episode.brief.time_zone
    coming = (day.day.day for day in plan.days if day.to_film and day.day.day >= today)
    following = next(coming, None)
    return tuple(
        OneDay(
            day,
            timetable(plan, day),
            evening_lines(plan, day.day.day),
            to_wear(plan, day),
            wrong.get(day.day.day),
            undone,
            tuple((strip, name) for name, strip in _strips(run_through, zone) if strip),
            day.day.day == today,
            day.day.day < today,
            day.day.day in (today, following) or moved in day.day.shots,
            clock_faults(day.day, zone),
            faults_of_times(day.day, zone),
        )
        # A strip shows no title, so it is drawn by the days as they were run through.
        for day, run_through in zip(plan.days, plan.clockwork.days, strict=True)
    )


@lru_cache(maxsize=200)
def _strip(of: Same, width: float, missing: Missing | None) -> DayStrip | None:
    day: DayPlan
    (day,) = of.values
    return day_strip(day, width, missing)


def _strips(day: DayPlan, zone: str) -> tuple[tuple[str, DayStrip | None], ...]:
    missing = missing_times(day.day.day, zone)
    return tuple((name, _strip(Same((day,)), width, missing)) for name, width in _STRIPS)


def planning_of(plan: Plan, today: date, job: Job | None, answers: Answers | None) -> Planning:
    planned = plan.episode.planned_days
    against = against_plan(plan)
    left = {shot.shot.id for shot in on_no_day(plan)}
    old = outdated(plan)
    found = as_found(plan, job.result) if job is not None and job.state == "done" else None
    if job is not None and job.state == "done" and found is None:
        job = None
    again = "" if plan.order_problem else ": plan the days again"
    out = found.left_out(left) if found else ()
    told = {one.shot.shot.id for one in out}
    return Planning(
        told_planned(planned, whole=not left) if planned else "",
        against.told if against and against.moved else "",
        f"The {listed(old)} were changed since{again}." if old else "",
        told_room(plan, today),
        planning_faults(plan, first_day=today, but=told) if plan.shots else (),
        job,
        found,
        told_unplaced(out, "would be" if found and found.instead else "is"),
        answers,
    )
