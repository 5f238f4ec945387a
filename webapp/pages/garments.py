"""Garments of an episode: added, taken out, kept as recipes of the maker's own."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import RefusedError, StoreError
from webapp.pages.draft_view import Place, done, draft_of
from webapp.pages.forms import Answers, Field, one_of, read_form, text
from webapp.pages.house import InHouse, Sent
from webapp.pages.recipes import offered
from webapp.plan.starters import as_recipe, with_garment_added, without_garment

router = APIRouter()


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
    own = [entry.id for entry in house.library.entries("recipe")]
    fields = (
        Field("name", text(80, required=True), needed=True),
        Field("in_place_of", one_of(("", *own))),
    )
    answers = read_form(sent, fields)
    if not answers.errors:
        # Alters nothing: only a garment that she was shown is kept.
        answers = house.save(episode_id, "", answers, lambda e: e, as_shown=True)
    if not answers.errors:
        name, old = answers.values["name"], answers.values.get("in_place_of") or None
        document = as_recipe(house.store.get(episode_id), garment, name).model_dump_json()
        try:
            house.library.put("recipe", name, document, old)
        except RefusedError:
            raise
        except StoreError as error:
            answers = answers.failed(error.sentence, "name")
    return done(request, house, episode_id, Place(garment), "keep", answers)


@router.post("/recipes/{recipe}/take-out")
def take_out(recipe: str, house: InHouse) -> Response:
    house.library.take_out("recipe", recipe)
    return RedirectResponse("/start#own-recipes", status_code=303)


@router.post("/recipes/{recipe}/put-back")
def put_back(recipe: str, house: InHouse) -> Response:
    house.library.put_back("recipe", recipe)
    return RedirectResponse("/start#own-recipes", status_code=303)
