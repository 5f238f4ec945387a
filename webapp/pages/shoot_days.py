"""Shoot days: what is filmed on which day and when, and whether a day ends in time."""

from copy import copy
from datetime import date, datetime
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.filming.clock_changes import (
    time_zones,
)
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
from webapp.pages.days_view import FIRST_DAY, DaysView, planning_of, shown_days
from webapp.pages.forms import UNANSWERED, Answers, needed, read_form, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.plan.day_edits import with_day, with_new_day, without_day
from webapp.plan.days import on_no_day
from webapp.plan.edits import changed
from webapp.plan.episode import Episode

router = APIRouter(prefix="/episodes/{episode_id}/days")

NEW: Final = "new"
FOR_ALL: Final = "all"
PLANNING: Final = "plan"


def now() -> datetime:
    """What the clock of this machine shows."""
    return datetime.now()


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
    to = on if answers.errors else answers.values.get("day", on)
    told = {} if to == on else {"day_from": on.isoformat(), "day_to": to.isoformat()}
    return done(request, house, episode_id, to.isoformat(), answers, **told)


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
    starts = answers.values.get("starts", FIRST_DAY["starts"])
    ends = answers.values.get("ends", FIRST_DAY["ends"])
    if days:
        like["breaks"] = tuple(one for one in days[-1].breaks if starts <= one.at < ends)
    return with_new_day(episode, {**like, **answers.values})


def done(
    request: Request, house: House, episode_id: str, form: str, answers: Answers, **told: Any
) -> Response:
    """After a form of this page: the page again, or the way to the day it belongs to; to the form
    of its hours when its date was changed, as more may be changed there."""
    on = form.split(" ", maxsplit=1)[0]
    part = f"#day-{on}" if on not in ("", NEW, FOR_ALL, PLANNING) else ""
    part += "-form" if "day_to" in told else ""
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
    # A copy, and before the days: a job that ends meanwhile must not be shown in two states,
    # nor as over beside the days as they were.
    job = copy(house.jobs.get(job_key(episode_id)))
    shell = house.shell(episode_id, "days")
    plan, brief = shell.plan, shell.plan.episode.brief
    answers = told["answers"] if told.get("form") == PLANNING else None
    view = DaysView(
        shown_days(plan, now().date(), told.get("moved", "")),
        on_no_day(plan),
        bool(plan.shots),
        brief.publish_date,
        planning_of(plan, now().date(), job, answers),
        brief.evening_minutes,
        brief.time_zone,
        time_zones(),
        now().strftime("%H:%M"),
        shell.base,
        sum(bool(row.waits or row.problem or not row.step.work) for row in plan.steps),
        **told,
    )
    return house.show(request, "days/days.html", view, shell=shell, status=status_of(view))
