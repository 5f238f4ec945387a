"""What the draft shows, a garment or one piece, and how it is shown after any of its forms."""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import parse_qs, urlencode

from fastapi import Request, Response

from webapp.cloth.stitches import IN_WORDS, STITCHES
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.bias import square_for_strip_mm, strip_from_square_mm
from webapp.draft.evaluate import NO_ALLOWANCE, Draft, Piece, finish_of
from webapp.draft.expressions import Quantity
from webapp.draft.moves import MOVES, ShapingMove
from webapp.draft.names import name_key
from webapp.draft.outline import Edge, bounds
from webapp.draft.recipe import Choice, Finish, PieceRecipe, Recipe
from webapp.draft.words import Sentence
from webapp.errors import NotThereError
from webapp.pages.comparing import ComparedView
from webapp.pages.draft_loose import LooseHere, loose_here
from webapp.pages.finish_forms import KINDS
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, address_told, answered
from webapp.pages.move_forms import MoveForm, blank_form, filled_form
from webapp.pages.recipes import Offered, offered
from webapp.pages.shell import Shell
from webapp.plan.edge_names import naming
from webapp.plan.figures import as_written
from webapp.remembered import Same
from webapp.units import System

_NOT_DRAWN: Final = ("keep", "garments", "new piece", "name", "edge")  # forms of no figure
_FAMILIES: Final = {"line": "Change a line", "cloth": "Add, cut or open out", "mark": "Mark"}


@dataclass(frozen=True)
class Place:
    """What of the draft is shown: a garment, one of its pieces, a move about to be added to it."""

    garment: str = ""
    piece: str = ""
    add: str = ""  # the kind of the move
    at: int | None = None  # before which move it goes; None for the end

    @property
    def query(self) -> str:
        """The place as an address shows it."""
        parts = {"garment": self.garment, "piece": self.piece, "add": self.add, "at": self.at}
        return urlencode({name: part for name, part in parts.items() if part not in ("", None)})


@dataclass(frozen=True)
class MoveView:
    """A move: what it says, and its form."""

    form: MoveForm
    words: tuple[Sentence, ...]


@dataclass(frozen=True)
class EdgeView:
    """An edge as the piece is drawn now: how it is finished, and what that adds outside it."""

    name: str
    finish: Finish
    added: EdgeAllowance | None  # None when it cannot be worked out
    on_fold: bool  # and so neither cut nor finished
    takes_name: bool  # a move gives it its name, so it can have another

    @property
    def is_cut_wider(self) -> bool:
        """True when its finish asks for cloth outside the edge."""
        return self.finish.kind not in NO_ALLOWANCE


@dataclass(frozen=True)
class PieceView:
    """A piece's recipe with a form for each move, and the piece as far as it is drawn."""

    recipe: PieceRecipe
    drawn: Piece | None
    is_whole: bool  # False when a move could not be done
    moves: tuple[MoveView, ...]
    adding: MoveForm | None  # the blank form of the move being added
    edges: tuple[EdgeView, ...]
    figures: tuple[str, ...]  # what its figures may quote
    follows_another: bool  # there is a piece before it to start from

    @property
    def from_seams(self) -> tuple[Sentence, ...]:
        """What its seams add to the words of its moves: their notches."""
        told = sum(len(move.words) for move in self.moves)
        return self.drawn.words[told:] if self.drawn else ()

    @property
    def bias_square_mm(self) -> tuple[float, float] | None:
        """For strips on the bias: the side of the square that gives all of them as one, and how
        long a strip it gives by its area."""
        if self.drawn is None or not self.is_whole or self.recipe.grain != "bias":
            return None
        left, top, right, bottom = bounds(self.drawn.whole_cut_points)
        width, length = sorted((right - left, bottom - top))
        square = square_for_strip_mm(length * self.recipe.cut_count, width)
        return square, strip_from_square_mm(square, width)

    @property
    def families(self) -> list[tuple[str, list[tuple[str, type[ShapingMove]]]]]:
        """The moves that can come next, by what they do: a shape first, the others after it."""
        if not self.recipe.moves:
            shapes = [
                (kind, move)
                for kind, move in MOVES.items()
                if move.starts_a_piece and (self.follows_another or not move.takes_a_piece())
            ]
            return [("Start from a shape", shapes)]
        return [
            (
                title,
                [
                    (kind, move)
                    for kind, move in MOVES.items()
                    if move.family == family and not move.starts_a_piece
                ],
            )
            for family, title in _FAMILIES.items()
        ]


@dataclass(frozen=True)
class DraftView:
    """One garment's draft. `answers` belongs to the form named by `form`."""

    draft: Draft | None
    place: Place
    piece: PieceView | None
    figures: Mapping[str, Quantity]
    offered: Offered
    loose: tuple[LooseHere, ...] = ()  # of the garment, or of the piece that is shown
    form: str = ""  # "choices", "piece", "move 2", "add", "seams 0" …
    answers: Answers = UNANSWERED
    beside_kept: ComparedView | None = None  # how it differs from a recipe that was kept anew

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    def kept_by(self, card: str, shell: Shell) -> tuple[Hashable, ...] | None:
        """All that a card of the garment shows: see `kept_parts`. None after a form."""
        if self.form:
            return None
        of = Same((self.draft, shell.own.drafts))
        return card, shell.base, of, shell.first_unit, shell.episode.first_unit

    @property
    def edges(self) -> list[tuple[str, tuple[str, ...]]]:
        """The edges that a seam can join, by piece."""
        if self.draft is None:
            return []
        return [
            (one.name, tuple(edge.name for edge in one.outline))
            for one in (*self.draft.pieces, *self.draft.unfinished)
        ]

    def stitches(self, now: str) -> list[tuple[str, str]]:
        """The machine stitches a seam can be sewn with, and the one that stands there."""
        named = [
            (key, one.name[:1].upper() + one.name[1:])
            for key, one in STITCHES.items()
            if key in IN_WORDS
        ]
        return named if now in dict(named) else [(now, now), *named]

    @property
    def is_old(self) -> bool:
        """True when the drawings stand as they were before an entry that could not be used."""
        return bool(self.answers.errors) and self.form not in _NOT_DRAWN

    @property
    def finish_kinds(self) -> tuple[str, ...]:
        """The ways an edge can be finished."""
        return KINDS

    @property
    def pieces(self) -> list[tuple[PieceRecipe, Piece | None, bool]]:
        """Every piece as the recipe has it, as far as it is drawn, and whether that is all."""
        if self.draft is None:
            return []
        whole = {piece.name: piece for piece in self.draft.pieces}
        begun = {piece.name: piece for piece in self.draft.unfinished}
        return [
            (recipe, whole.get(recipe.name) or begun.get(recipe.name), recipe.name in whole)
            for recipe in self.draft.recipe.pieces
        ]


def draft_of(house: House, episode_id: str, garment: str) -> Draft:
    """The garment as drafted. NotThereError when the episode has none of that id."""
    for one in house.plan(episode_id).drafts:
        if one.recipe.id == garment:
            return one
    raise NotThereError("That garment is not part of the episode any more.")


def is_bare(draft: Draft, choice: Choice) -> bool:
    """True for a choice that is a number without a unit, such as a share of a circle."""
    known = draft.names.get(choice.name.lower())
    return known is not None and known.dimension == 0


def edges_of(draft: Draft, name: str) -> tuple[Edge, ...]:
    """The edges of a piece as far as it is drawn."""
    drawn = (piece for piece in (*draft.pieces, *draft.unfinished) if piece.name == name)
    return next((piece.outline.edges for piece in drawn), ())


def piece_of(recipe: Recipe, name: str) -> PieceRecipe:
    """The piece of that name. NotThereError if there is none."""
    for piece in recipe.pieces:
        if piece.name == name:
            return piece
    raise NotThereError(f"There is no piece “{name}” any more.")


def done(
    request: Request,
    house: House,
    episode_id: str,
    place: Place,
    form: str,
    answers: Answers,
    **told: Any,
) -> Response:
    """The page after a form: again in place, told more if it is, or by its address.

    The browser is told the address when another piece is shown than before.
    """
    address = f"/episodes/{episode_id}/draft?{place.query}"
    response = answered(
        request,
        address,
        (answers,),
        lambda: show(request, house, episode_id, place, form=form, answers=answers, **told),
    )
    shown = parse_qs(address_told(request, "hx-current-url").query)
    if not answers.errors and place.piece != shown.get("piece", [""])[0]:
        response.headers["hx-push-url"] = address
    return response


def show(request: Request, house: House, episode_id: str, place: Place, **told: Any) -> Response:
    """The page of a garment, or of one piece when the place names one that is there."""
    shell = house.shell(episode_id, "draft")
    drafts = shell.plan.drafts
    found = next((d for d in drafts if d.recipe.id == place.garment), None)
    chosen = found or (drafts[0] if drafts else None)
    recipe = (
        next((p for p in chosen.recipe.pieces if p.name == place.piece), None) if chosen else None
    )
    figures: dict[str, Quantity] = {}
    if chosen:
        written = {name_key(name): name for name in as_written(drafts)}
        figures = {written.get(n, n): _as_shown(chosen, n) for n in sorted(chosen.names)}
    piece = None
    if chosen and recipe:
        piece = _piece_view(chosen, recipe, shell.first_unit, place, figures)
    loose = loose_here(shell.plan, chosen, recipe.name if recipe else "") if chosen else ()
    view = DraftView(chosen, place, piece, figures, offered(house), loose, **told)
    template = "draft/piece.html" if piece else "draft/draft.html"
    return house.show(request, template, view, shell=shell, status=status_of(view))


def _as_shown(draft: Draft, name: str) -> Quantity:
    """A figure as drawings and texts show it: an edge as long as the one it is sewn to."""
    known = draft.names[name]
    return Quantity(draft.shown_mm.get(name, known.value), known.dimension)


def quotable(draft: Draft, piece: str, figures: Iterable[str]) -> tuple[str, ...]:
    """The names that a figure of this piece may quote: no figure of itself or of a later piece."""
    order = [one.name for one in draft.recipe.pieces]
    later = order[order.index(piece) :]
    return tuple(n for n in figures if "." not in n or n.partition(".")[0] not in later)


def _piece_view(
    draft: Draft, recipe: PieceRecipe, first: System, place: Place, figures: Iterable[str]
) -> PieceView:
    earlier = tuple(p.name for p in draft.recipe.pieces[: draft.recipe.pieces.index(recipe)])
    edges, stages = edges_of(draft, recipe.name), draft.stages.get(recipe.name, ())
    drawn_edges = tuple(edge.name for edge in edges)

    def known(at: int | None) -> tuple[str, ...]:
        return stages[at].edges if at is not None and at < len(stages) else drawn_edges

    problems = {p.move: p.sentence for p in draft.problems if p.piece == recipe.name}
    moves = tuple(
        MoveView(
            filled_form(
                move,
                at,
                problems.get(at, ""),
                draft.names,
                first,
                known(at),
                earlier,
                draft.recipe.choices,
            ),
            stages[at].words if at < len(stages) else (),
        )
        for at, move in enumerate(recipe.moves)
    )
    whole = {piece.name: piece for piece in draft.pieces}
    begun = {piece.name: piece for piece in draft.unfinished}
    return PieceView(
        recipe,
        whole.get(recipe.name) or begun.get(recipe.name),
        recipe.name in whole,
        moves,
        blank_form(place.add, known(place.at), earlier) if place.add in MOVES else None,
        _edge_views(draft, recipe, edges),
        quotable(draft, recipe.name, figures),
        bool(earlier),
    )


def _edge_views(draft: Draft, recipe: PieceRecipe, edges: Iterable[Edge]) -> tuple[EdgeView, ...]:
    drawn = (piece for piece in (*draft.pieces, *draft.unfinished) if piece.name == recipe.name)
    added = next((piece.allowances for piece in drawn), {})
    return tuple(
        EdgeView(
            edge.name,
            finish_of(recipe, edge),
            added.get(edge.name),
            recipe.on_fold and edge.on_fold,
            naming(draft, recipe, edge.name) is not None,
        )
        for edge in edges
    )
