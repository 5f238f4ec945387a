"""Planning the shoot days: work for a process of its own, made a change when it is done."""

from collections.abc import Callable
from datetime import date
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.errors import SeamslateError
from webapp.jobs import Again, Report
from webapp.pages import shoot_days
from webapp.pages.day_forms import GO_ON_FIELD, with_faults
from webapp.pages.forms import UNANSWERED, Answers, Field, read_form, ticked
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.shoot_days import PLANNING, done, job_key
from webapp.plan.day_edits import with_day
from webapp.plan.day_planning import PlannedDays, planned_days, with_planned_days
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.planned_keys import as_found
from webapp.plan.planning_faults import faults_before_planning

router = APIRouter(prefix="/episodes/{episode_id}/days")

SECONDS: Final = 12
_WORDS: Final = "the shoot days planned"
_MOVED: Final = (
    "While the days were planned something was put elsewhere on them by hand. It stays so: plan "
    "them again if you want to."
)


@router.post("/search")
def start(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (Field("surely", ticked),))
    if not answers.errors:
        surely = answers.values.get("surely", False)
        answers = begin(house, episode_id, shoot_days.now().date(), answers, surely=surely)
    return done(request, house, episode_id, PLANNING, answers)


@router.post("/search/cancel")
def stop(request: Request, episode_id: str, house: InHouse) -> Response:
    house.jobs.cancel(job_key(episode_id))
    return done(request, house, episode_id, PLANNING, UNANSWERED)


@router.post("/search/take")
def stop_and_take(request: Request, episode_id: str, house: InHouse) -> Response:
    answers = UNANSWERED

    def take(so_far: PlannedDays) -> None:
        nonlocal answers
        if so_far.stays:
            answers = answers.failed(so_far.told)
        else:
            answers = house.save(episode_id, _WORDS, UNANSWERED, _taking(so_far))

    house.jobs.cancel(job_key(episode_id), take)
    return done(request, house, episode_id, PLANNING, answers)


@router.post("/search/all-the-same")
def take_all_the_same(request: Request, episode_id: str, house: InHouse) -> Response:
    """Make the plan that was not made as fewer shots fit than stand on the days."""
    job = house.jobs.get(job_key(episode_id))
    done_one = job.result if job is not None and job.state == "done" else None
    found = as_found(house.plan(episode_id), done_one) if done_one is not None else None
    if found is None or found.instead is None:
        answers = UNANSWERED.failed("Something was changed since: plan the days again.")
    else:
        answers = house.save(episode_id, _WORDS, UNANSWERED, _taking(found.instead))
    return done(request, house, episode_id, PLANNING, answers)


@router.post("/{on}/go-on")
def go_on(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    """Plan what is left from a time of this day on."""
    answers = with_faults(house.store.get(episode_id), on, read_form(sent, (GO_ON_FIELD,)))
    if not answers.errors:
        words = f"the day goes on at {answers.values['goes_on_at']}"
        answers = house.save(episode_id, words, answers, lambda e: with_day(e, on, answers.values))
    if not answers.errors:
        answers = begin(house, episode_id, on, answers)
    return done(request, house, episode_id, f"{on.isoformat()} go on", answers)


def search(report: Report, episode: Episode, first_day: date, surely: bool) -> PlannedDays:
    """Plan the days, reporting each better plan, in words too. Runs in a job's process."""

    def tell(found: PlannedDays) -> None:
        best = found.instead or found
        out = len(best.unplaced)
        left = f" {out} shot{' fits' if out == 1 else 's fit'} on no day yet." if out else ""
        report(f"Best so far: {best.told}{left}", found)

    return planned_days(
        evaluate(episode), seconds=SECONDS, progress=tell, first_day=first_day, surely=surely
    )


def begin(
    house: House, episode_id: str, first_day: date, answers: Answers, *, surely: bool = False
) -> Answers:
    """Start planning, or say in sentences why nothing can be planned."""
    faults = faults_before_planning(house.plan(episode_id), first_day)
    if faults:
        return answers.failed(" ".join(faults))

    episode = house.store.get(episode_id)

    def edit(now: Episode, found: PlannedDays) -> Episode:
        if _placed(now, episode) != _placed(episode, now):
            raise SeamslateError(_MOVED)
        return _taking(found)(now)

    def take(found: PlannedDays) -> None:
        if not found.stays:
            house.store.change(episode_id, _WORDS, lambda now: edit(now, found))

    key = job_key(episode_id)
    house.jobs.start(
        key,
        search,
        episode,
        first_day,
        surely,
        when_done=take,
        called="the shoot days",
        address=f"/episodes/{episode_id}/days",
        seconds=SECONDS,
        again=Again(
            "days",
            {"episode": episode_id, "first_day": first_day.isoformat(), "surely": surely},
        ),
    )
    return answers


def _placed(episode: Episode, like: Episode) -> dict[date, tuple[tuple[str, ...], ...]]:
    """What stands on each day that is in the other plan as well."""
    days = {one.day for one in like.shoot_days}
    return {one.day: (one.shots, one.beforehand) for one in episode.shoot_days if one.day in days}


def _taking(found: PlannedDays) -> Callable[[Episode], Episode]:
    return lambda episode: with_planned_days(evaluate(episode), found)
