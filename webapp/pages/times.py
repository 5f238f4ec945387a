"""Times: a clock for the tablet, times written down afterwards, and what they say of estimates."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Any, Final, Literal

from fastapi import APIRouter, Request, Response
from pydantic import ValidationError

from webapp.errors import RefusedError, SeamslateError
from webapp.pages.forms import UNANSWERED, Answers, read_form, status_of
from webapp.pages.house import House, InHouse, Sent, answered, sentence_of
from webapp.pages.time_fields import (
    AGAIN,
    CLOCK,
    ENTRY_FIELDS,
    GOES_ON,
    NOTE,
    WHAT,
    WRITTEN_FIELDS,
    odd_day,
    read_time_key,
)
from webapp.pages.times_view import times_view
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.moved_minutes import moved_minutes
from webapp.plan.time_edits import (
    with_earlier_times,
    with_same_timer,
    with_time,
    with_time_changed,
    with_time_right,
    with_timer,
    with_timer_dropped,
    with_timer_paused,
    with_timer_resumed,
    with_timer_stopped,
    without_time,
)

router = APIRouter(prefix="/episodes/{episode_id}/times")

Press = Literal["pause", "resume", "drop"]
_PRESSED: Final[dict[Press, Callable[[Episode], Episode]]] = {
    "pause": lambda episode: with_timer_paused(episode, local_now()),
    "resume": lambda episode: with_timer_resumed(episode, local_now()),
    "drop": with_timer_dropped,
}


def local_now() -> datetime:
    """The present moment by the clock of this machine, with its time zone."""
    return datetime.now().astimezone()


@router.get("")
def times(
    request: Request, episode_id: str, house: InHouse, time: str = "", edit: str = ""
) -> Response:
    return _show(request, house, episode_id, wanted=time, edit=edit)


@router.post("")
def write_down(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = _on_a_day(read_form(sent, WRITTEN_FIELDS))
    if not answers.errors:
        values = {"kind": None, **answers.values}
        timed, item = values.pop("time")
        answers = _saved(
            house,
            episode_id,
            "a time taken",
            answers,
            lambda e: with_time(e, evaluate(e), timed=timed, item=item, **values),
        )
    wanted = answers.typed.get("time", "") if answers.errors else ""
    return _done(request, house, episode_id, "written", answers, wanted=wanted)


@router.post("/clock/start")
def start(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    """Begin a time. It is no change of the plan, so it has no place in the history."""
    answers = read_form(sent, WHAT)
    if not answers.errors:
        timed, item = answers.values["time"]
        kind, now = answers.values.get("kind"), local_now()
        answers = _tried(
            answers,
            lambda: house.store.keep(
                episode_id, lambda e: with_timer(e, evaluate(e), timed, item, kind, now)
            ),
        )
    else:
        answers = answers.failed("Choose what to time.")
    return _done(request, house, episode_id, "clock", answers)


@router.post("/clock/stop")
def stop(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    """Write the time down, and begin the next one if the form names it.

    Another tab's change is no reason to refuse: what the page shows is not written over. But only
    the clock that the page shows is stopped.
    """
    answers, now = read_form(sent, (NOTE, GOES_ON, AGAIN, CLOCK)), local_now()
    following = str(sent.get("next", ""))
    values = {**answers.values}
    shown = values.pop("clock", None)

    def edit(episode: Episode) -> Episode:
        if shown:
            with_same_timer(episode, *shown)
        stopped = with_timer_stopped(episode, evaluate(episode), now, **values)
        if not following:
            return stopped
        return with_timer(stopped, evaluate(stopped), *read_time_key(following), None, now)

    if not answers.errors:
        anyway = replace(house, expected=None)
        answers = _saved(anyway, episode_id, "a time taken", answers, edit)
    stopped = not answers.errors
    return _done(request, house, episode_id, "clock", answers, stopped=stopped)


@router.post("/clock/{press}")
def press_clock(
    request: Request, episode_id: str, press: Press, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, (CLOCK,))
    shown = answers.values.get("clock")

    def edit(episode: Episode) -> Episode:
        return _PRESSED[press](with_same_timer(episode, *shown) if shown else episode)

    if not answers.errors:
        answers = _tried(answers, lambda: house.store.keep(episode_id, edit))
    return _done(request, house, episode_id, "clock", answers)


@router.post("/taken/{entry}")
def save_time(
    request: Request, episode_id: str, entry: str, sent: Sent, house: InHouse
) -> Response:
    kept = (one.day for one in house.store.get(episode_id).time_log if one.id == entry)
    answers = _on_a_day(read_form(sent, ENTRY_FIELDS), *kept)
    if not answers.errors:
        answers = _saved(
            house,
            episode_id,
            "a time put right",
            answers,
            lambda e: with_time_changed(e, entry, **answers.values),
        )
    return _done(request, house, episode_id, entry, answers, edit=entry if answers.errors else "")


@router.post("/taken/{entry}/right")
def say_right(request: Request, episode_id: str, entry: str, house: InHouse) -> Response:
    """Count a time that is far from what was worked out."""
    answers = _saved(
        house, episode_id, "a time that is right", UNANSWERED, lambda e: with_time_right(e, entry)
    )
    return _done(request, house, episode_id, entry, answers)


@router.post("/taken/{entry}/done")
def say_done(request: Request, episode_id: str, entry: str, house: InHouse) -> Response:
    """The last sitting was the last: it does not go on."""
    answers = _saved(
        house,
        episode_id,
        "what was timed is done",
        UNANSWERED,
        lambda e: with_time_changed(e, entry, goes_on=False),
    )
    return _done(request, house, episode_id, entry, answers)


@router.post("/taken/{entry}/delete")
def delete_time(request: Request, episode_id: str, entry: str, house: InHouse) -> Response:
    answers = _saved(
        house, episode_id, "a time taken out", UNANSWERED, lambda e: without_time(e, entry)
    )
    return _done(request, house, episode_id, "taken", answers)


@router.post("/earlier")
def take_in(request: Request, episode_id: str, house: InHouse) -> Response:
    """Take in the times of the other episodes as they are now."""
    others = _others(house, episode_id)
    words = "the times of other episodes"
    answers = _saved(house, episode_id, words, UNANSWERED, lambda e: with_earlier_times(e, others))
    return _done(request, house, episode_id, "earlier", answers)


def _others(house: House, episode_id: str) -> tuple[Episode, ...]:
    listed = (one for one in house.store.list() if one.id != episode_id)
    return tuple(episode for _, episode in house.readable(listed))


def _on_a_day(answers: Answers, *kept: date | None) -> Answers:
    """Told beside the field when no work can have been done on the day; one that is kept stays."""
    day = answers.values.get("day")
    odd = odd_day(day, local_now().date()) if day not in kept else ""
    return answers.failed(odd, "day") if odd else answers


def _saved(
    house: House,
    episode_id: str,
    words: str,
    answers: Answers,
    edit: Callable[[Episode], Episode],
) -> Answers:
    """The change made and recorded, or the answers with why it cannot be made."""
    try:
        return house.save(episode_id, words, answers, edit)
    except ValueError as error:
        return answers.failed(str(error))


def _tried(answers: Answers, act: Callable[[], object]) -> Answers:
    """The answers, with the sentence if it cannot be done."""
    try:
        act()
    except ValidationError as error:
        return answers.failed(sentence_of(error))
    except RefusedError:
        raise
    except SeamslateError as error:
        return answers.failed(error.sentence)
    except ValueError as error:
        return answers.failed(str(error))
    return answers


def _done(
    request: Request, house: House, episode_id: str, form: str, answers: Answers, **told: Any
) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/times#{form}",
        (answers,),
        lambda: _show(request, house, episode_id, form=form, answers=answers, **told),
    )


def _show(
    request: Request, house: House, episode_id: str, *, wanted: str = "", **told: Any
) -> Response:
    shell = house.shell(episode_id, "times")
    others = _others(house, episode_id)
    before = house.store.before_last(episode_id)
    if before is not None:
        told["moved"] = moved_minutes(before, shell.plan)
        told["added"] = len(before.time_log) < len(shell.episode.time_log)
    view = times_view(shell.plan, local_now(), others, wanted=wanted, **told)
    return house.show(request, "times/times.html", view, shell=shell, status=status_of(view))
