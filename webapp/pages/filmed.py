"""What is said of shots once they are filmed: marked, filmed again, put right by a card, left.

What was said on camera is what the page showed: a shot is marked so, whatever the plan has by then.
That it has other words is told at the shot.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.errors import NotThereError
from webapp.pages.forms import UNANSWERED, Answers, Field, day, read_form, text
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.shots import done
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.said_edits import (
    refuse_unseen_takes,
    takes,
    ticked_already,
    with_answers_taken_back,
    with_change_accepted,
    with_correction_card,
    with_earlier_take,
    with_needless_cards_out,
    with_shot_to_film,
    with_takes,
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
        answers = save_takes(house, episode_id, lambda _: ids, answers.values.get("day"), answers)
    if sent.get("at") == "line" and ids:
        return done(request, house, episode_id, acted_on=ids[0], act_answers=answers)
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
    return done(request, house, episode_id, acted_on=ids[0], act_answers=answers)


@router.post("/shots/{shot_id}/filmed")
def mark(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = save_takes(house, episode_id, lambda _: [shot_id], date.today(), UNANSWERED)
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/to-film")
def to_film(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a shot to be filmed",
        UNANSWERED,
        lambda episode: with_shot_to_film(episode, shot_id),
    )
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/put-back")
def put_back(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the earlier take of a shot, put back",
        UNANSWERED,
        lambda episode: with_earlier_take(episode, shot_id),
    )
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/correction")
def correct(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a correction card",
        UNANSWERED,
        lambda e: with_correction_card(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/cards/delete")
def take_cards_out(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "a card that is not needed, taken out",
        UNANSWERED,
        lambda e: with_needless_cards_out(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


@router.post("/shots/{shot_id}/words")
def keep_words(request: Request, episode_id: str, shot_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the words of a filmed shot",
        UNANSWERED,
        lambda e: with_words_said(evaluate(e), shot_id),
    )
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


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
    return done(request, house, episode_id, acted_on=shot_id, act_answers=answers, at=shot_id)


def save_takes(
    house: House,
    episode_id: str,
    choose: Callable[[Plan], Sequence[str]],
    on: date | None,
    answers: Answers,
    then: Callable[[Episode], Episode] = lambda episode: episode,
) -> Answers:
    """Mark the shots that are chosen of what the page showed as filmed that day, as it showed them,
    and do `then` what follows from that; or say why not.

    Of several, those that somebody else ticked meanwhile stay as they are; told where all were.
    """
    seen = house.seen(episode_id)
    if seen is None:  # told why; it is made of nothing that she has not seen
        return house.save(episode_id, "", answers, lambda e: e, as_shown=True)
    ids = choose(seen)
    if not ids:
        return answers.failed("No shot of this day is left to film.")
    taken, words = takes(seen, ids, on), _words(seen, ids)

    def edit(episode: Episode) -> Episode:
        refuse_unseen_takes(seen.episode, episode, ids)
        filmed = {one.id: one for one in episode.shots if one.filmed and len(ids) > 1}
        left = {one: take for one, take in taken.items() if one not in filmed}
        others = [
            filmed[one] for one in taken if one in filmed and filmed[one].filmed != taken[one]
        ]
        if others and not left:
            raise ticked_already(*others)
        made = with_takes(episode, left)
        return then(made) if made != episode else episode

    def marks(episode: Episode) -> frozenset[str]:
        return frozenset(
            one.id for one in episode.shots if one.filmed and one.filmed == taken.get(one.id)
        )

    saved = house.save(episode_id, words, answers, edit, always=marks)
    return replace(saved, hers=frozenset(saved.typed))  # the plan has no day to choose instead


def _words(plan: Plan, ids: Sequence[str]) -> str:
    if len(ids) > 1:
        return f"{len(ids)} shots filmed"
    for row in plan.shots:
        if row.shot.id in ids:
            return f"shot {row.number} filmed"
    raise NotThereError("That shot is not there any more.")
