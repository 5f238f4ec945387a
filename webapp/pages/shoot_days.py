"""Shoot days: what is filmed on which day and when, and whether a day ends in time."""

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.draft.names import listed
from webapp.filming.clock_changes import clock_faults, faults_of_times, time_zones
from webapp.filming.publishing import told_chance
from webapp.jobs import Job
from webapp.pages.day_forms import (
    BREAK_FIELDS,
    DAY_FIELDS,
    FOR_ALL_FIELDS,
    GO_ON_FIELD,
    NOISE_FIELDS,
    breaks_with,
    noise_with,
    with_faults,
    without_row,
)
from webapp.pages.forms import UNANSWERED, Answers, needed, read_form, status_of
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.against_plan import against_plan
from webapp.plan.day_edits import with_day, with_new_day, without_day
from webapp.plan.day_moves import out_of_order, told_out_of_order
from webapp.plan.day_plan import DayPlan
from webapp.plan.day_planning import PlannedDays, told_planned
from webapp.plan.day_room import told_room
from webapp.plan.day_strip import DayStrip, day_strip
from webapp.plan.days import on_no_day
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.planned import told_unplaced
from webapp.plan.planned_keys import as_found, outdated
from webapp.plan.planning_faults import planning_faults
from webapp.plan.results import Plan, ShotPlan, StepPlan
from webapp.plan.timetable import TimetableRow, ToWear, timetable, to_wear

router = APIRouter(prefix="/episodes/{episode_id}/days")

NEW: Final = "new"
FOR_ALL: Final = "all"
PLANNING: Final = "plan"
_FIRST_DAY: Final = {"starts": "09:00", "ends": "17:00", "light_from": "", "dark_from": ""}
_STRIPS: Final = (("strip-wide", 760.0), ("strip-narrow", 330.0))
_DAY_BREAK: Final = {"at": "12:30", "minutes": "45"}


def now() -> datetime:
    """What the clock of this machine shows."""
    return datetime.now()


@dataclass(frozen=True)
class OneDay:
    """A day as the page shows it."""

    plan: DayPlan
    rows: tuple[TimetableRow, ...]
    wear: tuple[ToWear, ...]
    wrong_way_round: tuple[str, ...]
    undone: tuple[StepPlan, ...]  # steps that could be done off camera before it
    strips: tuple[tuple[DayStrip, str], ...]  # with the class that shows it
    is_today: bool
    is_past: bool
    clock_faults: tuple[str, ...]  # what a change of the clocks makes of it
    time_faults: Mapping[str, str]  # and of its times, by the field's name

    @property
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
    unreckoned: int  # how many steps have no minutes, as something is missing
    form: str = ""  # the date whose form was sent, "new", "all", "plan", or a part of a date's
    answers: Answers = UNANSWERED
    moved: str = ""  # the shot that was moved
    move_told: str = ""

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to the form of that name."""
        return self.answers if form == self.form else None

    def opens_hours(self, key: str) -> bool:
        """True when something is to be mended in a form of the hours of this date."""
        parts = self.form.removeprefix(key).split()
        hours = not parts or parts[0] in ("new", "break", "noise")
        return self.form.startswith(key) and bool(self.answers.errors) and hours

    @property
    def next_day(self) -> Mapping[str, str]:
        """What a new day's form offers: like the last, a day later."""
        if not self.days:
            return {"day": "", **_FIRST_DAY}
        last = self.days[-1].plan.day
        offered = {name: getattr(last, name) or "" for name in _FIRST_DAY}
        after = "" if last.day == date.max else (last.day + timedelta(days=1)).isoformat()
        return {"day": after, **offered}

    @property
    def next_break(self) -> Mapping[str, str]:
        """What the form for one more break offers."""
        return _DAY_BREAK


@router.get("")
def shoot_days(request: Request, episode_id: str, house: InHouse) -> Response:
    return show(request, house, episode_id)


@router.post("")
def add_day(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    episode = house.store.get(episode_id)
    answers = with_faults(episode, None, read_form(sent, needed(DAY_FIELDS, "day")))
    if not answers.errors:
        answers = house.save(
            episode_id, "new shoot day", answers, lambda e: _with_day_like_the_last(e, answers)
        )
    return done(request, house, episode_id, NEW, answers)


@router.post("/all")
def save_for_all(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, FOR_ALL_FIELDS)
    answers = house.save(
        episode_id,
        "what holds for all shoot days",
        answers,
        lambda e: changed(e, brief=changed(e.brief, **answers.values)),
    )
    return done(request, house, episode_id, FOR_ALL, answers)


@router.post("/{on}")
def save_day(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    answers = with_faults(house.store.get(episode_id), on, read_form(sent, DAY_FIELDS))
    if not answers.errors:
        answers = house.save(
            episode_id, "the shoot day", answers, lambda e: with_day(e, on, answers.values)
        )
    return done(request, house, episode_id, on.isoformat(), answers)


@router.post("/{on}/when")
def say_when(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    """At what time a day of which something is filmed goes on."""
    answers = with_faults(house.store.get(episode_id), on, read_form(sent, (GO_ON_FIELD,)))
    return _with_hours(request, house, episode_id, on, "when", answers)


@router.post("/{on}/delete")
def delete_day(request: Request, episode_id: str, on: date, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a shoot day taken out", UNANSWERED, lambda e: without_day(e, on)
    )
    return done(request, house, episode_id, "", answers)


@router.post("/{on}/breaks")
def add_break(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(BREAK_FIELDS, "at", "minutes"))
    answers = breaks_with(house.store.get(episode_id), on, None, answers)
    return _with_hours(request, house, episode_id, on, "new break", answers)


@router.post("/{on}/breaks/{number}")
def save_break(
    request: Request, episode_id: str, on: date, number: int, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, BREAK_FIELDS)
    answers = breaks_with(house.store.get(episode_id), on, number, answers)
    return _with_hours(request, house, episode_id, on, f"break {number}", answers)


@router.post("/{on}/noise")
def add_noise(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(NOISE_FIELDS, "starts", "ends"))
    answers = noise_with(house.store.get(episode_id), on, None, answers)
    return _with_hours(request, house, episode_id, on, "new noise", answers)


@router.post("/{on}/noise/{number}")
def save_noise(
    request: Request, episode_id: str, on: date, number: int, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, NOISE_FIELDS)
    answers = noise_with(house.store.get(episode_id), on, number, answers)
    return _with_hours(request, house, episode_id, on, f"noise {number}", answers)


@router.post("/{on}/breaks/{number}/delete")
def delete_break(
    request: Request, episode_id: str, on: date, number: int, house: InHouse
) -> Response:
    values = without_row(house.store.get(episode_id), on, "breaks", number)
    return _with_hours(request, house, episode_id, on, "", Answers(values=values))


@router.post("/{on}/noise/{number}/delete")
def delete_noise(
    request: Request, episode_id: str, on: date, number: int, house: InHouse
) -> Response:
    values = without_row(house.store.get(episode_id), on, "noise", number)
    return _with_hours(request, house, episode_id, on, "", Answers(values=values))


def _with_hours(
    request: Request, house: House, episode_id: str, on: date, part: str, answers: Answers
) -> Response:
    """Save what a form came to for one day: a field of the day by its name."""
    if not answers.errors:
        answers = house.save(
            episode_id, "the hours of a day", answers, lambda e: with_day(e, on, answers.values)
        )
    return done(request, house, episode_id, f"{on.isoformat()} {part}", answers)


def _with_day_like_the_last(episode: Episode, answers: Answers) -> Episode:
    """One more day, with the breaks and the noise of the one before it."""
    days = sorted(episode.shoot_days, key=lambda one: one.day)
    like = {"breaks": days[-1].breaks, "noise": days[-1].noise} if days else {}
    starts = answers.values.get("starts", _FIRST_DAY["starts"])
    ends = answers.values.get("ends", _FIRST_DAY["ends"])
    if days:
        like["breaks"] = tuple(one for one in days[-1].breaks if starts <= one.at < ends)
    return with_new_day(episode, {**like, **answers.values})


def done(
    request: Request, house: House, episode_id: str, form: str, answers: Answers, **told: Any
) -> Response:
    """After a form of this page: the page again, or the way to the day it belongs to."""
    on = form.split(" ", maxsplit=1)[0]
    part = f"#day-{on}" if on not in ("", NEW, FOR_ALL, PLANNING) else ""
    return answered(
        request,
        f"/episodes/{episode_id}/days{part}",
        (answers,),
        lambda: show(request, house, episode_id, form=form, answers=answers, **told),
    )


def job_key(episode_id: str) -> str:
    """The key of planning the days of an episode."""
    return f"days {episode_id}"


def show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    """The page."""
    shell = house.shell(episode_id, "days")
    plan, brief = shell.plan, shell.plan.episode.brief
    # A copy: a job that ends meanwhile must not be shown in two states.
    job = copy(house.jobs.get(job_key(episode_id)))
    answers = told["answers"] if told.get("form") == PLANNING else None
    view = DaysView(
        _days(plan),
        on_no_day(plan),
        bool(plan.shots),
        brief.publish_date,
        _planning(plan, job, answers),
        brief.evening_minutes,
        brief.time_zone,
        time_zones(),
        now().strftime("%H:%M"),
        sum(bool(row.waits or row.problem or not row.step.work) for row in plan.steps),
        **told,
    )
    return house.show(request, "days/days.html", view, shell=shell, status=status_of(view))


def _days(plan: Plan) -> tuple[OneDay, ...]:
    wrong = () if plan.order_problem else out_of_order(plan)  # or each would wait on all others
    before = {name for day in plan.episode.shoot_days for name in day.beforehand}
    undone = tuple(s for s in plan.steps if not s.shots and s.step.id not in before)
    today, zone = now().date(), plan.episode.brief.time_zone
    return tuple(
        OneDay(
            day,
            timetable(plan, day),
            to_wear(plan, day),
            tuple(told_out_of_order(plan, pair) for pair in wrong if pair[1] in day.day.shots),
            undone,
            tuple((strip, name) for name, strip in _strips(day) if strip),
            day.day.day == today,
            day.day.day < today,
            clock_faults(day.day, zone),
            faults_of_times(day.day, zone),
        )
        for day in plan.days
    )


def _strips(day: DayPlan) -> tuple[tuple[str, DayStrip | None], ...]:
    return tuple((name, day_strip(day, width)) for name, width in _STRIPS)


def _planning(plan: Plan, job: Job | None, answers: Answers | None) -> Planning:
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
        told_room(plan, now().date()),
        planning_faults(plan, first_day=now().date(), but=told) if plan.shots else (),
        job,
        found,
        told_unplaced(out, "would be" if found and found.instead else "is"),
        answers,
    )
