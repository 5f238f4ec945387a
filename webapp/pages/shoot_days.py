"""Shoot days: what is filmed on which day and when, and whether a day ends in time."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final, Literal

from fastapi import APIRouter, Request, Response

from webapp.filming.shoot_days import ShootDay
from webapp.pages.forms import UNANSWERED, Answers, Field, day, needed, read_form, status_of
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.day_edits import (
    day_faults,
    with_day,
    with_new_day,
    with_rest_on,
    with_shot_moved,
    with_shot_off,
    with_shots_on,
    without_day,
)
from webapp.plan.days import DayPlan, day_plans, on_no_day
from webapp.plan.episode import Episode
from webapp.plan.results import ShotPlan

router = APIRouter(prefix="/episodes/{episode_id}/days")

_NEW: Final = "new"
_CLOCK: Final = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::00)?\s*([ap]m)?", re.IGNORECASE)


@dataclass(frozen=True)
class DaysView:
    """The days by date with their clock times, and the shots that are on none."""

    days: tuple[DayPlan, ...]
    left: tuple[ShotPlan, ...]
    has_shots: bool
    publish_date: date | None
    form: str = ""  # the date whose form was sent, or "new"
    answers: Answers = UNANSWERED

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to the form of this date, or to the new day's."""
        return self.answers if form == self.form else None

    @property
    def next_day(self) -> Mapping[str, str]:
        """What a new day's form offers: like the last, a day later."""
        if not self.days:
            return {"day": "", "starts": "09:00", "ends": "17:00", "dark_from": ""}
        last: ShootDay = self.days[-1].day
        return {
            "day": (last.day + timedelta(days=1)).isoformat(),
            "starts": last.starts,
            "ends": last.ends,
            "dark_from": last.dark_from or "",
        }


@router.get("")
def shoot_days(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("")
def add_day(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(_FIELDS, "day"))
    answers = _told_faults(house, episode_id, None, answers)
    if not answers.errors:
        answers = house.save(
            episode_id, "new shoot day", answers, lambda e: with_new_day(e, answers.values)
        )
    return _done(request, house, episode_id, _NEW, answers)


@router.post("/{on}")
def save_day(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    answers = _told_faults(house, episode_id, on, read_form(sent, _FIELDS))
    if not answers.errors:
        answers = house.save(
            episode_id, "the shoot day", answers, lambda e: with_day(e, on, answers.values)
        )
    return _done(request, house, episode_id, on.isoformat(), answers)


@router.post("/{on}/delete")
def delete_day(request: Request, episode_id: str, on: date, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a shoot day taken out", UNANSWERED, lambda e: without_day(e, on)
    )
    return _done(request, house, episode_id, "", answers)


@router.post("/{on}/shots")
def add_shots(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    ticked = [str(shot) for shot in sent.getlist("shots")]
    answers = Answers()
    if ticked:
        answers = house.save(
            episode_id, "shots on a day", answers, lambda e: with_shots_on(e, on, ticked)
        )
    else:
        answers = answers.failed("Tick the shots to film on this day first.", "shots")
    return _done(request, house, episode_id, on.isoformat(), answers)


@router.post("/{on}/rest")
def add_rest(request: Request, episode_id: str, on: date, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "the other shots on a day", UNANSWERED, lambda e: with_rest_on(e, on)
    )
    return _done(request, house, episode_id, on.isoformat(), answers)


@router.post("/{on}/shots/{shot_id}/{way}")
def move_shot(
    request: Request,
    episode_id: str,
    on: date,
    shot_id: str,
    way: Literal["earlier", "later", "off"],
    house: InHouse,
) -> Response:
    def edit(episode: Episode) -> Episode:
        if way == "off":
            return with_shot_off(episode, on, shot_id)
        return with_shot_moved(episode, on, shot_id, -1 if way == "earlier" else 1)

    words = "a shot off its day" if way == "off" else f"a shot {way} in its day"
    answers = house.save(episode_id, words, UNANSWERED, edit)
    return _done(request, house, episode_id, on.isoformat(), answers)


def clock_time(typed: str) -> str:
    """A clock time in 24 hours, from one typed as 9:30, 09:30, 14 or 2:15 pm."""
    found = _CLOCK.fullmatch(typed)
    if found is None:
        raise ValueError("Write a time of the day, like 9:30 or 14:00.")
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:
            raise ValueError(f"“{typed}” is no time that a clock shows.")
        hour = hour % 12 + (12 if found[3].lower() == "pm" else 0)
    if hour > 23 or minute > 59:
        raise ValueError(f"“{typed}” is no time that a clock shows.")
    return f"{hour:02}:{minute:02}"


def _shoot_day(typed: str) -> date:
    found = day(typed)
    if found is None:
        raise ValueError("Write the day as year-month-day, like 2027-01-15.")
    return found


def _dark(typed: str) -> str | None:
    return clock_time(typed) if typed else None


_FIELDS: Final = (
    Field("day", _shoot_day),
    Field("starts", clock_time),
    Field("ends", clock_time),
    Field("dark_from", _dark),
)


def _told_faults(house: House, episode_id: str, on: date | None, answers: Answers) -> Answers:
    """The answers with what their fields say against each other, once each can be read."""
    if not answers.errors:
        faults = day_faults(house.store.get(episode_id), on, answers.values)
        for name, sentence in faults.items():
            answers = answers.failed(sentence, name)
    return answers


def _done(request: Request, house: House, episode_id: str, form: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/days" + (f"#day-{form}" if form not in ("", _NEW) else ""),
        (answers,),
        lambda: _show(request, house, episode_id, form=form, answers=answers),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "days")
    plan = shell.plan
    view = DaysView(
        day_plans(plan),
        on_no_day(plan),
        bool(plan.shots),
        plan.episode.brief.publish_date,
        **told,
    )
    return house.show(request, "days/days.html", view, shell=shell, status=status_of(view))
