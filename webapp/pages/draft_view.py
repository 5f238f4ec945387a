"""What the draft page shows, and how it is shown after any of its forms."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import Request, Response

from webapp.draft.evaluate import Draft, finish_of
from webapp.draft.expressions import Quantity
from webapp.draft.moves import MOVES, ShapingMove
from webapp.draft.outline import Edge
from webapp.draft.recipe import Finish, PieceRecipe, Recipe
from webapp.errors import NotThereError
from webapp.pages.finish_forms import KINDS
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.move_forms import MoveForm, blank_form, filled_form
from webapp.pages.shell import House, answered
from webapp.store.starters import starters
from webapp.units import System


@dataclass(frozen=True)
class PieceView:
    """A piece's recipe with a form for each move, and what keeps it from being drawn."""

    recipe: PieceRecipe
    moves: tuple[MoveForm, ...]
    adding: MoveForm | None  # the blank form of the move being added
    finishes: tuple[tuple[str, Finish], ...]  # by edge, as the piece is drawn now


@dataclass(frozen=True)
class DraftView:
    """One garment's draft. `answers` belongs to the form named by `form`."""

    draft: Draft | None
    pieces: tuple[PieceView, ...]
    figures: Mapping[str, Quantity]
    form: str = ""  # "choices", "piece", "piece Front", "move Front 2", "add Front"
    answers: Answers = UNANSWERED
    starters: tuple[Recipe, ...] = ()

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    @property
    def finish_kinds(self) -> tuple[str, ...]:
        """The ways an edge can be finished."""
        return KINDS

    def kinds(self, piece: PieceRecipe) -> list[tuple[str, type[ShapingMove]]]:
        """The moves that can come next: a shape first, shaping moves after it."""
        first = not piece.moves
        return [(kind, move) for kind, move in MOVES.items() if move.starts_a_piece == first]


def draft_of(house: House, episode_id: str, garment: str) -> Draft:
    for one in house.plan(episode_id).drafts:
        if one.recipe.id == garment:
            return one
    raise NotThereError("That garment is not part of the episode any more.")


def edges_of(draft: Draft, name: str) -> tuple[Edge, ...]:
    """The edges of a piece as far as it is drawn."""
    drawn = (piece for piece in (*draft.pieces, *draft.unfinished) if piece.name == name)
    return next((piece.outline.edges for piece in drawn), ())


def piece_of(recipe: Recipe, name: str) -> PieceRecipe:
    for piece in recipe.pieces:
        if piece.name == name:
            return piece
    raise NotThereError(f"There is no piece “{name}” any more.")


def done(
    request: Request,
    house: House,
    episode_id: str,
    garment: str,
    form: str,
    answers: Answers,
    adding: tuple[str, str] = ("", ""),
) -> Response:
    place = {"garment": garment, "piece": adding[0], "add": adding[1]}
    return answered(
        request,
        f"/episodes/{episode_id}/draft?{urlencode(place)}",
        (answers,),
        lambda: show(
            request, house, episode_id, garment, adding=adding, form=form, answers=answers
        ),
    )


def show(
    request: Request,
    house: House,
    episode_id: str,
    garment: str,
    *,
    adding: tuple[str, str] = ("", ""),
    **told: Any,
) -> Response:
    shell = house.shell(episode_id, "draft")
    drafts = shell.plan.drafts
    chosen = next((d for d in drafts if d.recipe.id == garment), drafts[0] if drafts else None)
    pieces = (
        tuple(
            _piece_view(chosen, p, shell.episode.first_unit, adding) for p in chosen.recipe.pieces
        )
        if chosen
        else ()
    )
    figures = dict(sorted(chosen.names.items())) if chosen else {}
    view = DraftView(chosen, pieces, figures, starters=starters(), **told)
    return house.show(request, "draft/draft.html", view, shell=shell, status=status_of(view))


def _piece_view(
    draft: Draft, recipe: PieceRecipe, first: System, adding: tuple[str, str]
) -> PieceView:
    problems = {p.move: p.sentence for p in draft.problems if p.piece == recipe.name}
    moves = tuple(
        filled_form(move, place, problems.get(place, ""), draft.names, first)
        for place, move in enumerate(recipe.moves)
    )
    piece, kind = adding
    wanted = piece == recipe.name and kind in MOVES
    finishes = tuple((edge.name, finish_of(recipe, edge)) for edge in edges_of(draft, recipe.name))
    return PieceView(recipe, moves, blank_form(kind) if wanted else None, finishes)
