"""What is said of shots once they are filmed: marked, filmed again, put right by a card, left."""

from datetime import date
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.errors import NotThereError
from webapp.pages.forms import UNANSWERED, Field, day, read_form, text
from webapp.pages.house import InHouse, Sent
from webapp.pages.shots import done
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.said_edits import (
    with_answers_taken_back,
    with_change_accepted,
    with_correction_card,
    with_earlier_take,
    with_needless_cards_out,
    with_shot_to_film,
    with_shots_filmed,
    with_words_said,
)

router = APIRouter(prefix="/episodes/{episode_id}")


def _reason(typed: str) -> str:
    if not typed:
        raise ValueError("Say why it can stay as it was filmed.")
    return str(text(200)(typed))


_NOTE: Final = Field("note", _reason, needed=True)


@router.post("/filmed")
def mark_several(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (Field("day", day),))
    ids = [str(one) for one in sent.getlist("shots")]
    if not ids and not answers.errors:
        answers = answers.failed("Tick the shots that are filmed.", "shots")
    if not answers.errors:
        plan, on = house.plan(episode_id), answers.values.get("day")
        answers = house.save(
            episode_id,
            _words(plan, ids),
            answers,
            lambda e: with_shots_filmed(evaluate(e), ids, on),
        )
    return done(request, house, episode_id, ticked=tuple(ids), several_answers=answers)


@router.post("/to-film")
def several_to_film(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    ids = [str(one) for one in sent.getlist("shots")]
    plan = house.plan(episode_id)

    def edit(episode: Episode) -> Episode:
        for one in ids:
            episode = with_shot_to_film(episode, one)
        return episode

    words = _words(plan, ids).replace("filmed", "to be filmed")
    answers = house.save(episode_id, words, UNANSWERED, edit)
    return done(request, house, episode_id, new_answers=answers)


@router.post("/shots/{shot_id}/filmed")
def mark(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    plan, today = house.plan(episode_id), date.today()
    answers = house.save(
        episode_id,
        _words(plan, [shot_id]),
        UNANSWERED,
        lambda e: with_shots_filmed(evaluate(e), [shot_id], today),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/to-film")
def to_film(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a shot to be filmed",
        UNANSWERED,
        lambda episode: with_shot_to_film(episode, shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/put-back")
def put_back(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the earlier take of a shot, put back",
        UNANSWERED,
        lambda episode: with_earlier_take(episode, shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/correction")
def correct(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a correction card",
        UNANSWERED,
        lambda e: with_correction_card(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/cards/delete")
def take_cards_out(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a card that is not needed, taken out",
        UNANSWERED,
        lambda e: with_needless_cards_out(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/words")
def keep_words(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the words of a filmed shot",
        UNANSWERED,
        lambda e: with_words_said(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/left")
def leave(request: Request, episode_id: str, shot_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, (_NOTE,))
    if not answers.errors:
        note = answers.values["note"]
        answers = house.save(
            episode_id,
            "a shot left as it was said",
            answers,
            lambda e: with_change_accepted(evaluate(e), shot_id, note),
        )
    return done(request, house, episode_id, leaving=shot_id, leave_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/answers/delete")
def take_back(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "what was decided about a shot, taken back",
        UNANSWERED,
        lambda episode: with_answers_taken_back(episode, shot_id),
    )
    return done(request, house, episode_id, new_answers=answers, at=shot_id)


def _words(plan: Plan, ids: list[str]) -> str:
    if len(ids) > 1:
        return f"{len(ids)} shots filmed"
    for row in plan.shots:
        if row.shot.id in ids:
            return f"shot {row.number} filmed"
    raise NotThereError("That shot is not there any more.")
