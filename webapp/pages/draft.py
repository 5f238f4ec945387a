"""Draft: the choices at one side, the pieces they make at the other."""

from collections.abc import Mapping
from typing import Annotated, Any, Final

from fastapi import APIRouter, Query, Request, Response

from webapp.draft.evaluate import Draft, quotes_itself
from webapp.draft.expressions import Names, read
from webapp.draft.recipe import Choice, Recipe
from webapp.errors import RecipeError
from webapp.pages.draft_view import Place, done, draft_of, is_bare, show
from webapp.pages.forms import Field, Reader, figure, one_of, read_form, refuse_gone
from webapp.pages.house import InHouse, Sent
from webapp.pages.wording import figure_in_both
from webapp.plan.edits import garment_of, shifted, with_choice
from webapp.plan.episode import Episode
from webapp.plan.guard import Edit, keeping_the_draft
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}/draft")

_OWN: Final = "own"  # a figure of her own, by none of the ways that are offered


@router.get("")
def draft(
    request: Request,
    episode_id: str,
    house: InHouse,
    garment: Annotated[str, Query()] = "",
    piece: Annotated[str, Query()] = "",
    add: Annotated[str, Query()] = "",
    at: Annotated[str, Query(pattern=r"^\d{0,3}$")] = "",  # empty: after the last move
) -> Response:
    return show(request, house, episode_id, Place(garment, piece, add, int(at) if at else None))


@router.get("/outdated")
def outdated(request: Request, episode_id: str, house: InHouse) -> Response:
    """Whether viewers have an older draft, asked for by the page once an edit is on the screen."""
    shell = house.shell(episode_id, "draft")
    return house.show(request, "draft/outdated.html", None, shell=shell)


@router.post("/{garment}/choices")
def save_choices(
    request: Request, episode_id: str, garment: str, sent: Sent, house: InHouse
) -> Response:
    found = draft_of(house, episode_id, garment)
    unit = house.store.get(episode_id).first_unit
    fields = _choice_fields(found, unit)
    refuse_gone(sent, fields, "c", "w")
    answers = read_form(sent, fields)
    altered = _altered(found.recipe, answers.values)
    words = ", ".join(f"{name} to {value}" for name, value in altered.items())
    refused: dict[str, str] = {}

    def edit(episode: Episode) -> Episode:
        for name, value in _altered(garment_of(episode, garment), answers.values).items():
            try:
                episode = _with_choice(garment, name, value)(episode)
            except RecipeError as error:
                refused[f"c {name}"] = error.sentence
        return episode

    answers = house.save(episode_id, words, answers, edit)
    for name, sentence in refused.items():
        answers = answers.failed(sentence, name)
    return done(request, house, episode_id, Place(garment), "choices", answers)


def _altered(recipe: Recipe, values: Mapping[str, Any]) -> dict[str, str]:
    """The figures that were typed, or picked by a way to them, where the recipe has others."""
    found = {}
    for choice in recipe.choices:
        way, value = values.get(f"w {choice.name}", _OWN), values.get(f"c {choice.name}")
        if way != _OWN:
            value = shifted(choice.ways, int(way), 0)[int(way)].figure
        if value not in (None, choice.value):
            found[choice.name] = value
    return found


def _with_choice(garment: str, choice: str, value: str) -> Edit:
    return keeping_the_draft(lambda episode: with_choice(episode, garment, choice, value))


def _choice_fields(draft: Draft, unit: System) -> tuple[Field, ...]:
    fields = []
    for choice in draft.recipe.choices:
        share = is_bare(draft, choice)
        inner = figure(unit, draft.names, share=share)
        fields.append(Field(f"c {choice.name}", in_range(inner, choice, draft.names, unit)))
        ways = [str(number) for number in range(len(choice.ways))]
        fields.append(Field(f"w {choice.name}", one_of((_OWN, *ways))))
    return tuple(fields)


def in_range(inner: Reader, choice: Choice, names: Names, unit: System) -> Reader:
    """The reader, refusing a figure outside the range that the recipe calls sensible."""

    def reader(typed: str) -> str:
        written: str = inner(typed)
        circular = quotes_itself(choice.name, written)
        if circular:
            raise ValueError(circular)
        value = read(written).quantity(names).value
        for limit, beyond, words in (
            (choice.least, value.__lt__, "less"),
            (choice.most, value.__gt__, "more"),
        ):
            if limit and beyond(read(limit).quantity(names).value):
                shown = figure_in_both(limit, names, unit)
                raise ValueError(f"“{typed}” is {words} than {shown}, the limit that makes sense.")
        return written

    return reader
