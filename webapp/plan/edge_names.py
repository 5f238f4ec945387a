"""An edge gets another name where a move gives it one, and what quotes it follows.

Later moves and pieces name an edge as they find it, so the garment is drafted again: whatever
stands in the place of an edge or a figure that changed its name is called by the new one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from webapp.draft.evaluate import Draft
from webapp.draft.evaluate import evaluate as draft_on
from webapp.draft.fittings import FinishChange, FittingChange, MoveChange
from webapp.draft.moves import ShapingMove
from webapp.draft.moves.part import SplitPart
from webapp.draft.names import Figures, name_key
from webapp.draft.recipe import Body, PieceRecipe, Recipe
from webapp.errors import NotThereError, RecipeError
from webapp.plan.edits import changed, changed_one, shifted, with_garment, with_piece
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import draft_all
from webapp.plan.guard import keeping_the_draft
from webapp.plan.new_names import (
    followed,
    refuse_other_meanings,
    with_records,
    without_records,
)
from webapp.plan.renaming import Renaming

Names = Mapping[str, Any]  # by a move's field: one name, or several in a tuple
Stages = Mapping[str, list[dict[str, str]]]  # by piece, the new names of edges before each move


@dataclass(frozen=True)
class Naming:
    """Where an edge gets its name: the move's place in the piece, and the field."""

    place: int
    field: str


def names_given(move: ShapingMove) -> dict[str, Any]:
    """The names that a move gives to what it draws, by its fields."""
    if isinstance(move, SplitPart):
        return {}  # it quotes the name that the split gave
    asks = {name: info.json_schema_extra for name, info in type(move).model_fields.items()}
    return {
        name: getattr(move, name)
        for name, ask in asks.items()
        if isinstance(ask, dict) and ask["ask"] == "name"
    }


def naming(draft: Draft, piece: PieceRecipe, edge: str) -> Naming | None:
    """Where the edge of a piece gets its name; None when its shape or another piece gives it."""
    stages = _stages(draft, piece.name)
    for place in reversed(range(len(piece.moves))):
        if piece.moves[place].off or place + 1 >= len(stages):
            continue
        before, after = stages[place], stages[place + 1]
        if edge in after and edge not in before:
            for name, given in names_given(piece.moves[place]).items():
                if edge in ((given or after) if isinstance(given, tuple) else (given,)):
                    return Naming(place, name)
            return None
    return None


def with_edge_name(episode: Episode, garment: str, piece: str, old: str, new: str) -> Episode:
    """The episode with an edge of a piece called otherwise.

    RecipeError when the piece has an edge of the new name, or no move gives it the old one.
    """
    draft, recipe = _drafted(episode, garment, piece)
    if piece not in (one.name for one in draft.pieces):
        raise RecipeError(f"{piece} cannot be drawn for now; see to that first.")
    found = naming(draft, recipe, old)
    if found is None:
        raise RecipeError(f"No move of {piece} gives the {old} edge its name.")
    edges = _stages(draft, piece)[-1]
    for edge in edges:
        if name_key(edge) == name_key(new) != name_key(old):
            raise RecipeError(f"{piece} has an edge called “{edge}” already; choose another name.")
    given = names_given(recipe.moves[found.place])[found.field]
    if isinstance(given, tuple):
        drawn = given or _stages(draft, piece)[found.place + 1]
        given = tuple(new if edge == old else edge for edge in drawn)
    else:
        given = new
    return with_names_given(episode, garment, piece, found.place, {found.field: given})


def with_move(
    episode: Episode, garment: str, piece: str, place: int, changes: Mapping[str, Any]
) -> Episode:
    """The episode with fields of a move changed; what quotes an edge that it names follows.

    RecipeError when a piece could be drawn before and cannot after.
    """
    draft, recipe = _drafted(episode, garment, piece)
    move = shifted(recipe.moves, place, 0)[place]
    given = names_given(move)
    anew = {name: new for name, new in changes.items() if name in given and new != given[name]}
    if anew and not move.off and piece in (one.name for one in draft.pieces):
        episode = with_names_given(episode, garment, piece, place, anew)

    def edit(recipe: PieceRecipe) -> PieceRecipe:
        moves = list(recipe.moves)
        moves[place] = changed(moves[place], **changes)
        return changed(recipe, moves=tuple(moves))

    return keeping_the_draft(lambda e: with_piece(e, garment, piece, edit))(episode)


def with_names_given(
    episode: Episode, garment: str, piece: str, place: int, names: Names
) -> Episode:
    """The episode with these names given by a move, and nothing else changed.

    RecipeError when a move cannot be done with them, or a figure or a text would mean another.
    """
    found = _followed(episode.garments, episode.body, garment, _Given(piece, place, names))
    after = followed(found.renaming, without_records(episode))
    after = with_garment(after, garment, lambda _: found.recipe)
    old = names_given(_piece(episode.garments, garment, piece).moves[place])
    after = with_records(
        after, episode, partial(_revised, garment, piece, old, names), found.change
    )
    refuse_other_meanings(episode, after)
    return after


@dataclass(frozen=True)
class _Given:
    """Names that a move gives from now on."""

    piece: str
    place: int
    names: Names


@dataclass(frozen=True)
class _Followed:
    """A garment's recipe with the new names, and what else is called by them."""

    recipe: Recipe
    renaming: Renaming
    stages: Stages
    last: Mapping[str, dict[str, str]]

    def change(self, one: FittingChange) -> FittingChange:
        """A fitting's change with the edges and figures that it names called otherwise."""
        if one.garment == self.recipe.id and isinstance(one, FinishChange):
            edges = self.last.get(name_key(one.piece), {})
            one = changed(one, edge=edges.get(one.edge, one.edge))
        elif one.garment == self.recipe.id and isinstance(one, MoveChange):
            known = self.stages.get(one.piece, [{}])
            edges = known[-1 if one.before is None else min(one.before, len(known) - 1)]
            quoted = dict(_edges_quoted(one.move, edges, self.last))
            one = changed(one, move=changed(one.move, **quoted))
        return followed(self.renaming, one)


def _followed(garments: Sequence[Recipe], body: Body, garment: str, given: _Given) -> _Followed:
    """RecipeError when a move cannot be done with the names."""
    at = next(i for i, recipe in enumerate(garments) if recipe.id == garment)
    drafts = draft_all(garments, body)
    known = drafts[at - 1].names.of_pieces() if at else Figures()
    following = _Following(drafts[at], given.piece, given.place, given.names)
    recipe = following.first()
    draft = draft_on(recipe, body, known)
    # Each pass carries the names past one more move at least.
    for _ in range(1 + sum(len(one.moves) for one in recipe.pieces)):
        carried = following.next(draft)
        if carried == recipe:
            break
        recipe, draft = carried, draft_on(carried, body, known)
    following.refuse_twins(draft)
    if len(draft.problems) > len(drafts[at].problems):
        told = {problem.sentence for problem in drafts[at].problems}
        raise RecipeError(next(p.sentence for p in draft.problems if p.sentence not in told))
    return _Followed(recipe, following.renaming(draft), *following.edges(draft))


def _revised(garment: str, piece: str, old: Names, names: Names, revision: Revision) -> Revision:
    """The revision with the names given by its own move, the first that gave the old ones.

    NotThereError when it has none.
    """
    moves = _piece(revision.garments, garment, piece).moves
    place = next((at for at, move in enumerate(moves) if names_given(move) == old), None)
    if place is None:
        raise NotThereError(f"No move of {piece} gave its edge this name then.")
    found = _followed(revision.garments, revision.body, garment, _Given(piece, place, names))
    after = followed(found.renaming, revision)
    return changed(
        after, garments=changed_one(after.garments, "id", garment, lambda _: found.recipe)
    )


def _piece(garments: Sequence[Recipe], garment: str, piece: str) -> PieceRecipe:
    for recipe in garments:
        for one in recipe.pieces:
            if (recipe.id, one.name) == (garment, piece):
                return one
    raise NotThereError(f"There is no piece “{piece}” any more.")


@dataclass(frozen=True)
class _Following:
    """The recipe as it was drafted before, and the names that one move gives from now on."""

    before: Draft
    piece: str
    place: int
    names: Names

    def first(self) -> Recipe:
        """The recipe with the move's names changed and nothing that follows from it."""
        return self._with(self.before.recipe, {}, {})

    def next(self, drafted: Draft) -> Recipe:
        """The recipe with every name that is known to have changed, by what has been drafted."""
        return self._with(
            followed(self.renaming(drafted), self.before.recipe), *self.edges(drafted)
        )

    def edges(self, drafted: Draft) -> tuple[Stages, Mapping[str, dict[str, str]]]:
        """What each edge is called now: at each stage of each piece, and at its last."""
        stages = {
            recipe.name: [
                _paired(old, new)
                for old, new in zip(
                    _stages(self.before, recipe.name), _stages(drafted, recipe.name), strict=False
                )
            ]
            for recipe in self.before.recipe.pieces
        }
        whole = {one.name for one in drafted.pieces} & {one.name for one in self.before.pieces}
        last = {name_key(name): found[-1] for name, found in stages.items() if name in whole}
        return stages, last

    def renaming(self, drafted: Draft) -> Renaming:
        """The figures of pieces that are called otherwise now."""
        there = {piece.name: list(piece.figures_mm) for piece in drafted.pieces}
        return Renaming(
            figures={
                name_key(f"{piece.name}.{old}"): f"{piece.name}.{new}"
                for piece in self.before.pieces
                for old, new in _paired(
                    tuple(piece.figures_mm), tuple(there.get(piece.name, ()))
                ).items()
                if old != new
            }
        )

    def refuse_twins(self, drafted: Draft) -> None:
        """RecipeError when a figure of a piece has now the name of another one of it."""
        known = {piece.name: len(piece.figures_mm) for piece in self.before.pieces}
        for piece in drafted.pieces:
            different = {name_key(name) for name in piece.figures_mm}
            if len(different) < known.get(piece.name, 0):
                raise RecipeError(
                    f"A figure of {piece.name} is called so already; choose another name."
                )

    def _with(
        self,
        recipe: Recipe,
        stages: Stages,
        last: Mapping[str, dict[str, str]],
    ) -> Recipe:
        pieces = []
        for piece in recipe.pieces:
            known = stages.get(piece.name, [])
            edges = last.get(name_key(piece.name), {})
            moves = tuple(
                self._move(piece.name, at, move, known[at] if at < len(known) else {}, last)
                for at, move in enumerate(piece.moves)
            )
            finishes = {edges.get(name, name): one for name, one in piece.finishes.items()}
            pieces.append(changed(piece, moves=moves, finishes=finishes))
        return changed(recipe, pieces=tuple(pieces))

    def _move(
        self,
        piece: str,
        at: int,
        move: ShapingMove,
        edges: Mapping[str, str],
        last: Mapping[str, dict[str, str]],
    ) -> ShapingMove:
        new = dict(_edges_quoted(move, edges, last))
        if (piece, at) == (self.piece, self.place):
            new.update(self.names)
        if isinstance(move, SplitPart) and name_key(move.of) == name_key(self.piece):
            split = next(p for p in self.before.recipe.pieces if p.name == self.piece)
            parts = names_given(split.moves[self.place])
            if name_key(str(parts.get("part", ""))) == name_key(move.part):
                new["part"] = self.names.get("part", move.part)
        return changed(move, **new)


def _edges_quoted(
    move: ShapingMove, edges: Mapping[str, str], last: Mapping[str, dict[str, str]]
) -> Iterator[tuple[str, Any]]:
    """The fields of a move that name edges: of the piece as it stands, or of the earlier one."""
    asks = {
        name: info.json_schema_extra["ask"]
        for name, info in type(move).model_fields.items()
        if isinstance(info.json_schema_extra, dict)
    }
    source = next((getattr(move, name) for name, ask in asks.items() if ask == "piece"), "")
    for name, ask in asks.items():
        value = getattr(move, name)
        if ask == "edge":
            yield name, edges.get(value, value)
        elif ask == "edges":
            there = last.get(name_key(source), {})
            yield name, tuple(there.get(edge, edge) for edge in value)


def _stages(draft: Draft, piece: str) -> list[tuple[str, ...]]:
    """The edges of a piece before each of its moves, and after the last one if it is whole."""
    stages = [stage.edges for stage in draft.stages.get(piece, ())]
    return [*stages, *(one.outline.names for one in draft.pieces if one.name == piece)]


def _paired(old: tuple[str, ...], new: tuple[str, ...]) -> dict[str, str]:
    """What stands in the place of each; nothing when they are not as many."""
    return dict(zip(old, new, strict=True)) if len(old) == len(new) else {}


def _drafted(episode: Episode, garment: str, piece: str) -> tuple[Draft, PieceRecipe]:
    for draft in _drafts(episode):
        for recipe in draft.recipe.pieces:
            if (draft.recipe.id, recipe.name) == (garment, piece):
                return draft, recipe
    raise NotThereError(f"There is no piece “{piece}” any more.")


def _drafts(episode: Episode) -> tuple[Draft, ...]:
    return draft_all(episode.garments, episode.body)
