"""Pieces, their edges and their moves: the edits of the draft page that change a recipe."""

from collections.abc import Mapping
from typing import Final, Literal

from fastapi import APIRouter, Request, Response
from pydantic import TypeAdapter
from starlette.datastructures import FormData

from webapp.draft.moves import MOVES, Move
from webapp.draft.recipe import MOST_TILT, PieceRecipe, Recipe
from webapp.pages.draft_view import Place, done, draft_of, edges_of, piece_of
from webapp.pages.finish_forms import PARTS, finish_fields, finishes_of, with_finishes
from webapp.pages.forms import (
    Answers,
    Field,
    altered_alone,
    degrees,
    edge_name,
    needed,
    one_of,
    plain_words,
    read_form,
    refuse_gone,
    text,
    ticked,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.move_forms import move_fields
from webapp.plan.edge_names import with_edge_name, with_move
from webapp.plan.edits import changed, shifted, with_garment, with_piece, without
from webapp.plan.episode import Episode
from webapp.plan.guard import keeping_the_draft
from webapp.plan.new_names import refuse_piece_name, with_piece_name

router = APIRouter(prefix="/episodes/{episode_id}/draft/{garment}/pieces")

MoveAct = Literal["off", "on", "up", "down", "delete"]
_MOVE: Final[TypeAdapter[Move]] = TypeAdapter(Move)
_GRAINS: Final = ("along", "across", "bias")
_ACT_WORDS: Final[Mapping[MoveAct, str]] = {
    "off": "switched off",
    "on": "switched on",
    "up": "earlier",
    "down": "later",
    "delete": "taken out",
}


@router.post("")
def add_piece(
    request: Request, episode_id: str, garment: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(
        sent, (Field("name", plain_words, needed=True), *_piece_fields(house, episode_id))
    )

    def edit(episode: Episode) -> Episode:
        refuse_piece_name(episode, answers.values["name"])
        new = PieceRecipe(**answers.values)
        return with_garment(episode, garment, lambda r: changed(r, pieces=(*r.pieces, new)))

    if not answers.errors:
        words = f"new piece {answers.values['name']}"
        answers = house.save(episode_id, words, answers, edit, beside="name")
    place = Place(garment) if answers.errors else Place(garment, answers.values["name"])
    return done(request, house, episode_id, place, "new piece", answers)


@router.post("/{piece}")
def save_piece(
    request: Request, episode_id: str, garment: str, piece: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _piece_fields(house, episode_id))
    answers = house.save(
        episode_id,
        f"how {piece} is cut",
        answers,
        keeping_the_draft(
            lambda e: with_piece(e, garment, piece, lambda p: changed(p, **answers.values))
        ),
    )
    return done(request, house, episode_id, Place(garment, piece), "piece", answers)


@router.post("/{piece}/name")
def rename_piece(
    request: Request, episode_id: str, garment: str, piece: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, (Field("name", plain_words, needed=True),))
    if not answers.errors:
        new = answers.values["name"]
        answers = house.save(
            episode_id,
            f"{piece} is called {new}",
            answers,
            lambda e: with_piece_name(e, garment, piece, new),
            beside="name",
        )
    place = Place(garment, piece if answers.errors else answers.values["name"])
    return done(request, house, episode_id, place, "name", answers)


@router.post("/{piece}/edges")
def rename_edge(
    request: Request, episode_id: str, garment: str, piece: str, sent: Sent, house: InHouse
) -> Response:
    edges = [edge.name for edge in edges_of(draft_of(house, episode_id, garment), piece)]
    fields = (
        Field("edge", one_of(edges), needed=True),
        Field("edge_name", edge_name, needed=True),
    )
    answers = read_form(sent, fields)
    if not answers.errors:
        old, new = answers.values["edge"], answers.values["edge_name"]
        answers = house.save(
            episode_id,
            f"{piece}: {old} is called {new}",
            answers,
            lambda e: with_edge_name(e, garment, piece, old, new),
            beside="edge_name",
        )
    return done(request, house, episode_id, Place(garment, piece), "edge", answers)


@router.post("/{piece}/finishes")
def save_finishes(
    request: Request, episode_id: str, garment: str, piece: str, sent: Sent, house: InHouse
) -> Response:
    draft = draft_of(house, episode_id, garment)
    unit = house.store.get(episode_id).first_unit
    edges = edges_of(draft, piece)
    fields = finish_fields(edges, unit, draft.names)
    refuse_gone(sent, fields, *PARTS)
    answers = read_form(sent, fields)
    answers = house.save(
        episode_id,
        f"how the edges of {piece} are finished",
        answers,
        keeping_the_draft(
            lambda e: with_piece(
                e, garment, piece, lambda p: with_finishes(p, edges, answers.values)
            )
        ),
        beside=altered_alone(answers.values, finishes_of(piece_of(draft.recipe, piece), edges)),
    )
    return done(request, house, episode_id, Place(garment, piece), "finishes", answers)


@router.post("/{piece}/delete")
def delete_piece(
    request: Request, episode_id: str, garment: str, piece: str, house: InHouse
) -> Response:
    def edit(recipe: Recipe) -> Recipe:
        return changed(recipe, pieces=without(recipe.pieces, "name", piece))

    answers = house.save(
        episode_id,
        f"{piece} taken out",
        Answers(),
        keeping_the_draft(lambda e: with_garment(e, garment, edit)),
    )
    place = Place(garment, piece if answers.errors else "")
    return done(request, house, episode_id, place, "piece", answers)


@router.post("/{piece}/moves")
def add_move(
    request: Request, episode_id: str, garment: str, piece: str, sent: Sent, house: InHouse
) -> Response:
    kind, at = str(sent.get("kind", "")), _place_before(sent)
    answers = _read_move(house, episode_id, garment, kind, sent, whole=True)

    def edit(recipe: PieceRecipe) -> PieceRecipe:
        new = _MOVE.validate_python({"kind": kind, **answers.values})
        place = len(recipe.moves) if at is None else min(at, len(recipe.moves))
        return changed(recipe, moves=(*recipe.moves[:place], new, *recipe.moves[place:]))

    if not answers.errors:
        answers = house.save(
            episode_id,
            f"{piece}: {MOVES[kind].title.lower()}",
            answers,
            keeping_the_draft(lambda e: with_piece(e, garment, piece, edit)),
        )
    place = Place(garment, piece, kind, at) if answers.errors else Place(garment, piece)
    return done(request, house, episode_id, place, "add", answers)


@router.post("/{piece}/moves/{place}")
def save_move(
    request: Request,
    episode_id: str,
    garment: str,
    piece: str,
    place: int,
    sent: Sent,
    house: InHouse,
) -> Response:
    recipe = piece_of(draft_of(house, episode_id, garment).recipe, piece)
    move = shifted(recipe.moves, place, 0)[place]
    answers = _read_move(house, episode_id, garment, move.kind, sent)
    answers = house.save(
        episode_id,
        f"{piece}: {move.title.lower()}",
        answers,
        lambda e: with_move(e, garment, piece, place, answers.values),
        beside=altered_alone(answers.values, vars(move)),
    )
    return done(request, house, episode_id, Place(garment, piece), f"move {place}", answers)


@router.post("/{piece}/moves/{place}/{act}")
def act_on_move(
    request: Request,
    episode_id: str,
    garment: str,
    piece: str,
    place: int,
    act: MoveAct,
    house: InHouse,
) -> Response:
    def edit(episode: Episode) -> Episode:
        return with_piece(episode, garment, piece, lambda p: _acted(p, place, act))

    answers = house.save(
        episode_id,
        f"{piece}: move {place + 1} {_ACT_WORDS[act]}",
        Answers(),
        keeping_the_draft(edit, may_empty=piece if act == "delete" else ""),
    )
    return done(request, house, episode_id, Place(garment, piece), f"move {place}", answers)


def _place_before(sent: FormData) -> int | None:
    """Before which move the new one goes; None for the end."""
    at = str(sent.get("at", ""))
    return int(at) if at.isascii() and at.isdigit() and len(at) < 4 else None


def _acted(piece: PieceRecipe, place: int, act: MoveAct) -> PieceRecipe:
    moves = shifted(piece.moves, place, {"up": -1, "down": 1}.get(act, 0))
    if act == "delete":
        moves = (*moves[:place], *moves[place + 1 :])
    elif act in ("off", "on"):
        switched = changed(moves[place], off=act == "off")
        moves = (*moves[:place], switched, *moves[place + 1 :])
    return changed(piece, moves=moves)


def _piece_fields(house: House, episode_id: str) -> tuple[Field, ...]:
    cloths = [cloth.name for cloth in house.store.get(episode_id).cloths]
    return (
        Field("cut_count", whole_number(1, 100, required=True)),
        Field("on_fold", ticked),
        Field("pair", ticked),
        Field("grain", one_of(_GRAINS)),
        Field("tilt", degrees(MOST_TILT)),
        Field("cloth", one_of(cloths)),
        Field("note", text(4000)),
    )


def _read_move(
    house: House, episode_id: str, garment: str, kind: str, sent: FormData, *, whole: bool = False
) -> Answers:
    """The fields of a move as sent; for a new move (`whole`) none that it needs may be missing."""
    if kind not in MOVES:
        return Answers().failed("Choose a move from the list.")
    unit = house.store.get(episode_id).first_unit
    fields = move_fields(kind, unit, draft_of(house, episode_id, garment).names)
    if whole:
        required = [n for n, info in MOVES[kind].model_fields.items() if info.is_required()]
        fields = needed(fields, *required)
    return read_form(sent, fields)
