"""What a garment holds besides its pieces: choices, seams, checks on the body, finished measures.

Each is a list of rows with a form a row; one set of handlers serves them all.
"""

from collections.abc import Callable
from typing import Any, Final, Literal

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel

from webapp.draft.measures import MEASURES
from webapp.draft.recipe import BodyCheck, Choice, FinishedMeasure, Recipe, Seam, Way
from webapp.errors import RecipeError
from webapp.pages.draft_view import Place, done, draft_of, is_bare
from webapp.pages.forms import (
    Answers,
    Field,
    altered_alone,
    figure,
    needed,
    plain_words,
    quotable,
    read_form,
    text,
    ticked,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.seam_fields import edge_uses, seam_notches
from webapp.plan.edits import changed, garment_of, shifted, with_garment
from webapp.plan.episode import Episode
from webapp.plan.guard import keeping_the_draft
from webapp.plan.new_names import (
    Renamer,
    refuse_name,
    with_choice_name,
    with_finished_name,
    with_seam_name,
)

router = APIRouter(prefix="/episodes/{episode_id}/draft/{garment}")

Part = Literal["choices", "seams", "checks", "finished"]
_ONE: Final[dict[Part, str]] = {
    "choices": "choice",
    "seams": "seam",
    "checks": "check on the body",
    "finished": "finished measure",
}
_MODEL: Final[dict[Part, type[BaseModel]]] = {
    "choices": Choice,
    "seams": Seam,
    "checks": BodyCheck,
    "finished": FinishedMeasure,
}
_RENAMED: Final[dict[Part, Renamer]] = {
    "choices": with_choice_name,
    "seams": with_seam_name,
    "finished": with_finished_name,
}
_NEEDED: Final[dict[Part, tuple[str, ...]]] = {
    "choices": ("name", "value"),
    "seams": ("name", "one", "other"),
    "checks": ("name", "garment", "at_least"),
    "finished": ("name", "figure"),
}


@router.post("/about")
def save_about(
    request: Request, episode_id: str, garment: str, sent: Sent, house: InHouse
) -> Response:
    draft, unit = draft_of(house, episode_id, garment), house.store.get(episode_id).first_unit
    fields = (
        Field("name", text(80, required=True)),
        Field("summary", text(4000)),
        Field("seam_allowance", figure(unit, draft.names)),
        *(Field(f"m {name}", ticked) for name in MEASURES),
    )
    answers = read_form(sent, fields)
    values = {name: v for name, v in answers.values.items() if not name.startswith("m ")}
    asked = {name[2:]: v for name, v in answers.values.items() if name.startswith("m ")}

    def edit(recipe: Recipe) -> Recipe:
        kept = [name for name in recipe.measures if asked.get(name, True)]
        added = [name for name, wanted in asked.items() if wanted and name not in kept]
        return changed(recipe, **values, measures=(*kept, *added))

    answers = house.save(
        episode_id,
        "about the garment",
        answers,
        keeping_the_draft(lambda e: with_garment(e, garment, edit)),
        beside=altered_alone(answers.values, vars(draft.recipe)),
    )
    return done(request, house, episode_id, Place(garment), "about", answers)


@router.post("/{part}/new")
def add_row(
    request: Request, episode_id: str, garment: str, part: Part, sent: Sent, house: InHouse
) -> Response:
    bare = ticked(str(sent.get("bare", "")))
    fields = (*_fields(house, episode_id, garment, part, bare=bare), Field("bare", ticked))
    answers = read_form(sent, needed(fields, *_NEEDED[part]))
    values = {name: value for name, value in answers.values.items() if name != "bare"}

    def edit(recipe: Recipe) -> Recipe:
        return changed(recipe, **{part: (*getattr(recipe, part), _MODEL[part](**values))})

    if part != "checks" and not answers.errors:
        name, episode = answers.values["name"], house.store.get(episode_id)
        answers = _with_name_told(answers, refuse_name, episode, garment, part, name)
    if not answers.errors:
        words = f"new {_ONE[part]} {answers.values['name']}"
        answers = _save(house, episode_id, garment, words, answers, edit)
    return done(request, house, episode_id, Place(garment), f"new {part}", answers)


@router.post("/{part}/{place}")
def save_row(
    request: Request,
    episode_id: str,
    garment: str,
    part: Part,
    place: int,
    sent: Sent,
    house: InHouse,
) -> Response:
    row = _row(house, episode_id, garment, part, place)
    bare = part == "choices" and is_bare(draft_of(house, episode_id, garment), row)
    answers = read_form(sent, _fields(house, episode_id, garment, part, bare=bare))
    values = dict(answers.values)
    name = values.pop("name", row.name) if part in _RENAMED else row.name
    is_renamed = name != row.name
    if is_renamed:
        # Tried first: what else was typed is saved, and undone, without a name that is refused.
        episode = house.store.get(episode_id)
        answers = _with_name_told(answers, _RENAMED[part], episode, garment, row.name, name)
        is_renamed = "name" not in answers.errors
    edit = _edited(part, place, lambda row: changed(row, **values))

    def with_name(episode: Episode) -> Episode:
        old = _row_at(garment_of(episode, garment), part, place).name  # of the plan it is made of
        episode = keeping_the_draft(lambda e: with_garment(e, garment, edit))(episode)
        return _RENAMED[part](episode, garment, old, name) if is_renamed else episode

    words = f"{_ONE[part]} {row.name}" + (f" is called {name}" if is_renamed else "")
    beside = altered_alone(answers.values, vars(row))
    answers = house.save(episode_id, words, answers, with_name, beside=beside)
    return done(request, house, episode_id, Place(garment), f"{part} {place}", answers)


@router.post("/{part}/{place}/delete")
def delete_row(
    request: Request, episode_id: str, garment: str, part: Part, place: int, house: InHouse
) -> Response:
    row = _row(house, episode_id, garment, part, place)

    def edit(recipe: Recipe) -> Recipe:
        rows = getattr(recipe, part)
        return changed(recipe, **{part: shifted(rows, place, len(rows))[:-1]})

    words = f"{_ONE[part]} {row.name} taken out"
    answers = _save(house, episode_id, garment, words, Answers(), edit)
    return done(request, house, episode_id, Place(garment), f"{part} {place}", answers)


@router.post("/choices/{place}/ways")
def add_way(
    request: Request, episode_id: str, garment: str, place: int, sent: Sent, house: InHouse
) -> Response:
    choice = _row(house, episode_id, garment, "choices", place)
    draft, unit = draft_of(house, episode_id, garment), house.store.get(episode_id).first_unit
    fields = (
        Field("way", text(80, required=True)),
        Field("figure", figure(unit, draft.names)),
        Field("how", text(4000)),
    )
    answers = read_form(sent, needed(fields, "way", "figure"))

    def edit(row: Choice) -> Choice:
        name = answers.values["way"]
        others = (way for way in row.ways if way.name.lower() != name.lower())
        new = Way(name=name, figure=answers.values["figure"], how=answers.values.get("how", ""))
        return changed(row, ways=(*others, new))

    if not answers.errors:
        words = f"another way to {choice.name}"
        answers = _save(house, episode_id, garment, words, answers, _edited("choices", place, edit))
    return done(request, house, episode_id, Place(garment), f"ways {place}", answers)


@router.post("/choices/{place}/ways/{way}/delete")
def delete_way(
    request: Request, episode_id: str, garment: str, place: int, way: int, house: InHouse
) -> Response:
    choice = _row(house, episode_id, garment, "choices", place)
    edit = _edited(
        "choices", place, lambda c: changed(c, ways=shifted(c.ways, way, len(c.ways))[:-1])
    )
    words = f"a way to {choice.name} taken out"
    answers = _save(house, episode_id, garment, words, Answers(), edit)
    return done(request, house, episode_id, Place(garment), f"ways {place}", answers)


def _fields(
    house: House, episode_id: str, garment: str, part: Part, *, bare: bool = False
) -> tuple[Field, ...]:
    draft, unit = draft_of(house, episode_id, garment), house.store.get(episode_id).first_unit
    length, name = figure(unit, draft.names), Field("name", text(80, required=True))
    maybe = figure(unit, draft.names, required=False)
    if part == "choices":
        return (
            Field("name", plain_words),
            Field("value", figure(unit, draft.names, share=bare)),
            Field("least", figure(unit, draft.names, share=bare, required=False)),
            Field("most", figure(unit, draft.names, share=bare, required=False)),
            Field("reason", text(4000)),
        )
    if part == "seams":
        return (
            name,
            Field("one", edge_uses),
            Field("other", edge_uses),
            Field("eased_in", maybe),
            Field("sewn", whole_number(1, 20, required=True)),
            Field("stitch", text(40)),
            Field("turned", ticked),
            Field("notches", seam_notches(unit, draft.names)),
        )
    if part == "checks":
        return name, Field("garment", length), Field("at_least", length), Field("why", text(4000))
    return Field("name", quotable), Field("figure", length)


def _with_name_told(answers: Answers, check: Callable[..., object], *about: object) -> Answers:
    """The answers, with an error at the name when the check refuses it."""
    try:
        check(*about)
    except RecipeError as error:
        return answers.failed(error.sentence, "name")
    return answers


def _row(house: House, episode_id: str, garment: str, part: Part, place: int) -> Any:
    return _row_at(draft_of(house, episode_id, garment).recipe, part, place)


def _row_at(recipe: Recipe, part: Part, place: int) -> Any:
    return shifted(getattr(recipe, part), place, 0)[place]


def _edited(part: Part, place: int, edit: Callable[[Any], Any]) -> Callable[[Recipe], Recipe]:
    def on_recipe(recipe: Recipe) -> Recipe:
        rows = list(shifted(getattr(recipe, part), place, 0))
        rows[place] = edit(rows[place])
        return changed(recipe, **{part: tuple(rows)})

    return on_recipe


def _save(
    house: House,
    episode_id: str,
    garment: str,
    words: str,
    answers: Answers,
    edit: Callable[[Recipe], Recipe],
) -> Answers:
    return house.save(
        episode_id,
        words,
        answers,
        keeping_the_draft(lambda episode: with_garment(episode, garment, edit)),
    )
