"""The shots on the shoot days: put on a day, moved, taken off, filmed; and work done before it."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.errors import SeamslateError
from webapp.filming.shoot_days import ShootDay, clock_of
from webapp.pages import shoot_days
from webapp.pages.day_forms import shoot_day
from webapp.pages.filmed import save_takes
from webapp.pages.forms import UNANSWERED, Answers, Field, needed, one_of, read_form, whole_number
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.shoot_days import done
from webapp.plan.day_edits import (
    with_day,
    with_rest_on,
    with_shot_moved,
    with_shot_off,
    with_shots_on,
    with_step_beforehand,
)
from webapp.plan.day_moves import refusal, told_cost, with_shot_at
from webapp.plan.episode import Episode
from webapp.plan.results import Plan
from webapp.plan.said_edits import with_shot_to_film

router = APIRouter(prefix="/episodes/{episode_id}/days/{on}")

_MOST_PLACES: Final = 9999
_PLACE_FIELDS: Final = (
    Field("list", shoot_day),
    Field("place", whole_number(1, _MOST_PLACES, required=True), needed=True),
)
_IN_DAY: Final = "a shot moved within its day"
_TO_OTHER_DAY: Final = "a shot moved to another day"


@router.post("/shots")
def add_shots(request: Request, episode_id: str, on: date, sent: Sent, house: InHouse) -> Response:
    ticked = [str(shot) for shot in sent.getlist("shots")]
    answers = Answers()
    if ticked:
        answers = house.save(
            episode_id, "shots on a day", answers, lambda e: with_shots_on(e, on, ticked)
        )
    else:
        answers = answers.failed("Tick the shots to film on this day first.", "shots")
    return done(request, house, episode_id, f"{on.isoformat()} shots", answers)


@router.post("/rest")
def add_rest(request: Request, episode_id: str, on: date, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "the other shots on a day", UNANSWERED, lambda e: with_rest_on(e, on)
    )
    return done(request, house, episode_id, on.isoformat(), answers)


@router.post("/filmed")
def mark_day(request: Request, episode_id: str, on: date, house: InHouse) -> Response:
    answers = _film(house, episode_id, on, lambda plan: _to_film_on(plan, on))
    return done(request, house, episode_id, on.isoformat(), answers)


@router.post("/beforehand")
def set_beforehand(
    request: Request, episode_id: str, on: date, sent: Sent, house: InHouse
) -> Response:
    steps = [row.step.id for row in house.plan(episode_id).steps]
    fields = (Field("step", one_of(steps)), Field("before", one_of(("yes", "no"))))
    answers = read_form(sent, needed(fields, "step", "before"))
    if not answers.errors:
        step, before = answers.values["step"], answers.values["before"] == "yes"
        answers = house.save(
            episode_id,
            "work before a shoot day" if before else "work on a shoot day",
            answers,
            lambda e: with_step_beforehand(e, on, step, before=before),
        )
    return done(request, house, episode_id, f"{on.isoformat()} beforehand", answers)


@router.post("/shots/{shot_id}/place")
def put_shot(
    request: Request, episode_id: str, on: date, shot_id: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _PLACE_FIELDS)
    if answers.errors:
        return done(request, house, episode_id, _row(on, shot_id), answers)
    to, place = answers.values.get("list", on), answers.values["place"]
    return _move(
        request,
        house,
        episode_id,
        (to, shot_id),
        _IN_DAY if to == on else _TO_OTHER_DAY,
        lambda e: with_shot_at(e, shot_id, to, place),
        asked_on=on,
    )


@router.post("/shots/{shot_id}/filmed")
def mark(request: Request, episode_id: str, on: date, shot_id: str, house: InHouse) -> Response:
    answers = _film(house, episode_id, on, lambda _: [shot_id])
    return done(request, house, episode_id, _row(on, shot_id), answers)


def _to_film(request: Request, episode_id: str, on: date, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id, "a shot to be filmed", UNANSWERED, lambda e: with_shot_to_film(e, shot_id)
    )
    return done(request, house, episode_id, _row(on, shot_id), answers)


_MARKS: Final = {"filmed": mark, "to film": _to_film}


@router.post("/shots/{shot_id}/move")
def move_shot(
    request: Request, episode_id: str, on: date, shot_id: str, sent: Sent, house: InHouse
) -> Response:
    """A place earlier or later, off the day, or to the end of another day, by its date; or filmed,
    or to be filmed again."""
    days = [day.day.isoformat() for day in house.store.get(episode_id).shoot_days]
    ways = Field("way", one_of((*_MARKS, "earlier", "later", "off", *days)), needed=True)
    answers = read_form(sent, (ways,))
    if answers.errors:
        return done(request, house, episode_id, _row(on, shot_id), answers)
    way = answers.values["way"]
    if way in _MARKS:
        return _MARKS[way](request, episode_id, on, shot_id, house)
    to = date.fromisoformat(way) if way in days else on

    def edit(episode: Episode) -> Episode:
        if way == "off":
            return with_shot_off(episode, on, shot_id)
        if way in days:
            return with_shot_at(episode, shot_id, to, _MOST_PLACES)
        return with_shot_moved(episode, on, shot_id, -1 if way == "earlier" else 1)

    words = {"off": "a shot off its day", "earlier": _IN_DAY, "later": _IN_DAY}
    told = words.get(way, _TO_OTHER_DAY)
    return _move(request, house, episode_id, (to, shot_id), told, edit, asked_on=on)


def _move(
    request: Request,
    house: House,
    episode_id: str,
    at: tuple[date, str],
    words: str,
    edit: Callable[[Episode], Episode],
    asked_on: date,
) -> Response:
    """Move a shot to where it can be filmed, and tell what that costs; or say why it cannot."""
    on, shot_id = at
    before = house.plan(episode_id)
    why = ""
    with suppress(SeamslateError):  # said when it is to be saved
        why = refusal(before, edit(before.episode), shot_id)
    if why:
        answers = UNANSWERED.failed(why)
        return done(request, house, episode_id, _row(asked_on, shot_id), answers)
    answers = house.save(episode_id, words, UNANSWERED, edit)
    told = "" if answers.errors else told_cost(before, house.plan(episode_id))
    return done(
        request, house, episode_id, _row(on, shot_id), answers, moved=shot_id, move_told=told
    )


def _to_film_on(plan: Plan, on: date) -> list[str]:
    """The shots of a day that are left to film, by their ids."""
    return [s.plan.shot.id for day in plan.days if day.day.day == on for s in day.to_film]


def _film(
    house: House, episode_id: str, on: date, choose: Callable[[Plan], Sequence[str]]
) -> Answers:
    """Mark shots as filmed on their day; on the day itself the rest then goes on from now."""
    now = shoot_days.now()
    clock = clock_of(60 * now.hour + now.minute)

    def then(episode: Episode) -> Episode:
        return _going_on(episode, on, clock) if on == now.date() else episode

    return save_takes(house, episode_id, choose, min(on, now.date()), UNANSWERED, then)


def _going_on(episode: Episode, on: date, clock: str) -> Episode:
    """The rest of a day goes on from a time within it."""
    day: ShootDay | None = next((one for one in episode.shoot_days if one.day == on), None)
    if day is None or not day.starts < clock < day.ends:
        return episode
    return with_day(episode, on, {"goes_on_at": clock})


def _row(on: date, shot_id: str) -> str:
    return f"{on.isoformat()} shot {shot_id}"
