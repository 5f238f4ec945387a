"""Live figures in texts: those to choose from, and what mends a length typed in one unit."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import RecipeError
from webapp.filming.figures import LiveText
from webapp.pages.forms import UNANSWERED
from webapp.pages.house import House, InHouse
from webapp.pages.places import address
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.texts import text_of
from webapp.plan.typed_edits import (
    FigureShown,
    Offer,
    offers,
    quotable,
    with_both_units,
    with_live_figure,
)

router = APIRouter(prefix="/episodes/{episode_id}/texts")

_UNREAD: Final = "Seamslate cannot read that request, so nothing was changed."


@dataclass(frozen=True)
class TextView:
    """What stands under the field of a text."""

    read: LiveText
    offers: tuple[Offer, ...]

    @property
    def is_live(self) -> bool:
        """True when viewers read something else than is typed."""
        return any(part.kind == "figure" for part in self.read.parts)


def text_view(plan: Plan, key: Sequence[str]) -> TextView:
    """What stands under the field of the text of that key; used by the templates."""
    return TextView(text_of(plan, tuple(key)).live, offers(plan, tuple(key)))


@router.get("/figures")
def figures(
    request: Request, episode_id: str, house: InHouse, key: Annotated[tuple[str, ...], Query()] = ()
) -> Response:
    """The figures that the text of that key can quote; without one, those of any text."""
    plan = house.plan(episode_id)
    text = text_of(plan, key) if key else None
    rows: tuple[FigureShown, ...] = quotable(plan, text)
    return house.show(request, "live_texts/figures.html", rows)


@router.post("/live")
def make_live(
    episode_id: str, house: InHouse, offer: Annotated[str, Form(max_length=9000)] = ""
) -> Response:
    *key, typed, name = _read(offer, 5)
    words = f"“{typed}” made {{{name}}}"
    return _mended(house, episode_id, tuple(key), words, (typed, name))


@router.post("/both")
def write_both(
    episode_id: str, house: InHouse, offer: Annotated[str, Form(max_length=9000)] = ""
) -> Response:
    *key, typed = _read(offer, 4)
    return _mended(house, episode_id, tuple(key), f"“{typed}” in both units", (typed,))


def _read(offer: str, count: int) -> list[str]:
    """What a button sends: a text's key, what was typed there, perhaps a figure's name."""
    try:
        found = json.loads(offer)
    except ValueError:
        raise RecipeError(_UNREAD) from None
    if not (
        isinstance(found, list) and len(found) == count and all(isinstance(f, str) for f in found)
    ):
        raise RecipeError(_UNREAD)
    return found


def _mended(
    house: House, episode_id: str, key: tuple[str, ...], words: str, asked: tuple[str, ...]
) -> Response:
    """Back to the page of the text. It is looked for again, so the page's edition is no matter."""
    plan = house.plan(episode_id)
    place = text_of(plan, key).place
    act = with_live_figure if len(asked) > 1 else with_both_units
    answers = house.save(episode_id, words, UNANSWERED, lambda e: act(evaluate(e), key, *asked))
    if answers.errors:
        raise RecipeError(answers.errors[""])
    return RedirectResponse(address(plan, place)[0], status_code=303)
