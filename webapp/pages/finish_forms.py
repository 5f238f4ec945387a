"""Forms for how each edge of a piece is finished, and so how much is added outside it."""

from collections.abc import Mapping, Sequence
from typing import Any, Final, get_args

from webapp.draft.evaluate import finish_of
from webapp.draft.expressions import Names
from webapp.draft.outline import Edge
from webapp.draft.recipe import Finish, FinishKind, PieceRecipe
from webapp.pages.forms import Field, figure, one_of
from webapp.plan.edits import changed
from webapp.units import System

KINDS: Final[tuple[FinishKind, ...]] = get_args(FinishKind)
PARTS: Final = ("kind", "allowance", "turn_under")


def field_name(edge: str, part: str) -> str:
    """The form's name for one part of an edge's finish."""
    return f"{part} {edge}"


def finish_fields(edges: Sequence[Edge], unit: System, names: Names) -> tuple[Field, ...]:
    """How the finish of each edge is read; an empty allowance is the recipe's own."""
    length = figure(unit, names, required=False)
    return tuple(
        Field(field_name(edge.name, part), one_of(KINDS) if part == "kind" else length)
        for edge in edges
        for part in PARTS
    )


def finishes_of(piece: PieceRecipe, edges: Sequence[Edge]) -> dict[str, Any]:
    """What the form shows of a piece as it is."""
    return {
        field_name(edge.name, part): getattr(finish_of(piece, edge), part)
        for edge in edges
        for part in PARTS
    }


def with_finishes(
    piece: PieceRecipe, edges: Sequence[Edge], values: Mapping[str, Any]
) -> PieceRecipe:
    """The piece with the finishes that were answered; the usual one of an edge is not written."""
    finishes = dict(piece.finishes)
    for edge in edges:
        before = finish_of(piece, edge)
        parts = {part: values.get(field_name(edge.name, part)) for part in PARTS}
        after = changed(before, **{part: v for part, v in parts.items() if v is not None})
        if after == Finish():
            finishes.pop(edge.name, None)
        elif after != before:
            finishes[edge.name] = after
    return changed(piece, finishes=finishes)
