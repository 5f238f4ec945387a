"""Shopping: what to buy for the episode, and what else to have at hand."""

from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.draft.recipe import Notion
from webapp.pages.forms import UNANSWERED, Answers, Field, needed, read_form, status_of, text
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.edits import changed, shifted
from webapp.plan.episode import Episode

router = APIRouter(prefix="/episodes/{episode_id}/shopping")


@dataclass(frozen=True)
class ShoppingView:
    """What was typed wrong where."""

    form: str = ""  # "notion 2", "new notion"
    answers: Answers = UNANSWERED

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None


@router.get("")
def shopping(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("/notions")
def add_notion(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, needed(_NOTION_FIELDS, "name"))

    def edit(episode: Episode) -> Episode:
        return changed(episode, notions=(*episode.notions, Notion(**answers.values)))

    if not answers.errors:
        answers = house.save(episode_id, f"{answers.values['name']} to have", answers, edit)
    return _done(request, house, episode_id, "new notion", answers)


@router.post("/notions/{place}")
def save_notion(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _NOTION_FIELDS)

    def edit(episode: Episode) -> Episode:
        notions = list(shifted(episode.notions, place, 0))
        notions[place] = changed(notions[place], **answers.values)
        return changed(episode, notions=tuple(notions))

    answers = house.save(episode_id, "what to have at hand", answers, edit)
    return _done(request, house, episode_id, f"notion {place}", answers)


@router.post("/notions/{place}/delete")
def delete_notion(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "something to have taken out",
        UNANSWERED,
        lambda e: changed(e, notions=shifted(e.notions, place, len(e.notions))[:-1]),
    )
    return _done(request, house, episode_id, f"notion {place}", answers)


_NOTION_FIELDS: Final = (
    Field("name", text(80, required=True)),
    Field("amount", text(200)),
    Field("why", text(4000)),
)


def _done(request: Request, house: House, episode_id: str, form: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/shopping",
        (answers,),
        lambda: _show(request, house, episode_id, form=form, answers=answers),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    view = ShoppingView(**told)
    shell = house.shell(episode_id, "shopping")
    return house.show(request, "shopping/shopping.html", view, shell=shell, status=status_of(view))
