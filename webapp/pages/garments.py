"""Garments of an episode: added, taken out, kept as recipes of the maker's own."""

from dataclasses import replace
from typing import Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import ChangedElsewhereError, RefusedError, StoreError
from webapp.pages.comparing import ComparedView
from webapp.pages.draft_view import Place, done, draft_of
from webapp.pages.forms import Answers, Field, read_form, text
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.recipes import OwnRecipe, offered, own_recipes
from webapp.plan.comparing import compare
from webapp.plan.edits import changed
from webapp.plan.episode import Revision
from webapp.plan.starters import as_recipe, with_garment_added, without_garment
from webapp.store.library import changed_since

router = APIRouter()

_GONE: Final = "That recipe is not kept any more. Choose another, or keep this as a new one."
_KEPT, _THIS = "as it is kept now", "this garment"


@router.post("/episodes/{episode_id}/draft/garments")
def add_garment(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    offer = offered(house)
    answers, place = read_form(sent, (offer.field,)), Place()
    if not answers.errors:
        recipe = offer.picked(answers)
        words = f"new garment: {recipe.name if recipe else 'an empty one'}"
        answers = house.save(episode_id, words, answers, lambda e: with_garment_added(e, recipe))
    if not answers.errors:
        place = Place(house.store.get(episode_id).garments[-1].id)
    return done(request, house, episode_id, place, "garments", answers)


@router.post("/episodes/{episode_id}/draft/{garment}/delete")
def delete_garment(request: Request, episode_id: str, garment: str, house: InHouse) -> Response:
    words = f"{draft_of(house, episode_id, garment).recipe.name} taken out"
    answers = house.save(episode_id, words, Answers(), lambda e: without_garment(e, garment))
    return done(request, house, episode_id, Place(), "garments", answers)


@router.post("/episodes/{episode_id}/draft/{garment}/keep")
def keep_garment(
    request: Request, episode_id: str, garment: str, sent: Sent, house: InHouse
) -> Response:
    fields = (Field("name", text(80, required=True), needed=True), Field("in_place_of", text(96)))
    answers = read_form(sent, fields)
    old, _, shown = answers.values.get("in_place_of", "").partition(" ")
    own = _own(house, old)
    if old and own is None:
        answers = answers.failed(_GONE, "in_place_of")
    elif own and shown not in ("", own.state):
        answers = answers.failed(changed_since(own.name).sentence, "in_place_of")
    # Alters nothing: only a garment that she was shown is kept.
    answers = house.save(episode_id, "", answers, lambda e: e, as_shown=True)
    if not answers.errors:
        name = answers.values["name"]
        document = as_recipe(house.store.get(episode_id), garment, name).model_dump_json()
        try:
            house.library.put("recipe", name, document, old or None, shown=shown or None)
        except RefusedError:
            raise
        except ChangedElsewhereError as error:
            answers = answers.failed(error.sentence, "in_place_of")
        except StoreError as error:
            answers = answers.failed(error.sentence, "name")
    beside = None
    if answers.errors and (own := _own(house, old)) and own.state != shown:
        answers = replace(answers, typed={**answers.typed, "in_place_of": own.as_shown})
        beside = _beside(house, episode_id, garment, own)
    return done(request, house, episode_id, Place(garment), "keep", answers, beside_kept=beside)


def _own(house: House, id: str) -> OwnRecipe | None:
    return next((one for one in own_recipes(house) if one.id == id), None)


def _beside(house: House, episode_id: str, garment: str, kept: OwnRecipe) -> ComparedView | None:
    """How the garment differs from a recipe, both on the body on camera; None for a damaged one."""
    if kept.recipe is None:
        return None
    episode = house.store.get(episode_id)
    own = as_recipe(episode, garment, kept.name)
    one, other = (
        Revision(number=number, title=title, body=episode.body, garments=(recipe,))
        for number, title, recipe in (
            (0, _KEPT, changed(kept.recipe, id=own.id, name=own.name)),
            (1, _THIS, own),
        )
    )
    first = house.preferred.first(episode.first_unit)
    return ComparedView(compare(one, other, episode), _KEPT, _THIS, _THIS, first)


@router.post("/recipes/{recipe}/take-out")
def take_out(recipe: str, house: InHouse) -> Response:
    house.library.take_out("recipe", recipe)
    return RedirectResponse("/start#own-recipes", status_code=303)


@router.post("/recipes/{recipe}/put-back")
def put_back(recipe: str, house: InHouse) -> Response:
    house.library.put_back("recipe", recipe)
    return RedirectResponse("/start#own-recipes", status_code=303)
