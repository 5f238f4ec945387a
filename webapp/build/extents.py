"""What a kind of work is on: how much there is to work along, and how often it is taken up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.outline import ON_FOLD_MM, Point
from webapp.draft.recipe import Seam
from webapp.errors import FigureError


@dataclass(frozen=True, slots=True)
class Extent:
    """A length to work along, how often something is taken up, corners and figures to mark."""

    length_mm: float
    handled: int
    corners: int = 0
    figures: int = 0


def extent(step: Step, work: Work, drafts: Sequence[Draft]) -> Extent:
    """All that one kind of work is on. Names are looked up in each draft in turn.

    FigureError, naming the step, if it is on nothing or on something that is not drafted.
    """
    parts = [
        *(_piece_extent(step, name, drafts, drawn=work.kind == "draw") for name in work.pieces),
        *(_seam_extent(step, name, drafts) for name in work.seams),
        *(_edge_extent(step, use, drafts) for use in work.edges),
    ]
    if not parts:
        raise FigureError(
            f"“{step.name}”: say which piece, seam or edge its “{work.kind}” work is on."
        )
    return Extent(
        sum(part.length_mm for part in parts),
        sum(part.handled for part in parts),
        sum(part.corners for part in parts),
        sum(part.figures for part in parts),
    )


def _piece_extent(step: Step, name: str, drafts: Sequence[Draft], *, drawn: bool) -> Extent:
    """Every copy along its whole cut line; drawn once only, on the fold as a half."""
    piece = _piece(name, drafts)
    if piece is None:
        raise _not_drafted(step, "piece", name)
    if drawn:
        figures = len(set(piece.figures_mm) - set(piece.outline.names))
        return Extent(_perimeter_mm(piece.cut_points), 1, figures=figures)
    copies, corners = piece.cut_count, len(piece.outline.edges)
    return Extent(_perimeter_mm(piece.whole_cut_points) * copies, copies, corners * copies)


def _seam_extent(step: Step, name: str, drafts: Sequence[Draft]) -> Extent:
    """Every copy of the seam, along the side nothing is eased out of."""
    for draft in drafts:
        seam = next((seam for seam in draft.recipe.seams if _same(name, seam.name)), None)
        found = next((found for found in draft.seams if _same(name, found.name)), None)
        if seam and found:
            along_mm = found.other_mm or found.one_mm
            return Extent(along_mm * seam.sewn, seam.sewn, _crossings(seam) * seam.sewn, seam.sewn)
    raise _not_drafted(step, "seam", name)


def _crossings(seam: Seam) -> int:
    """Where two edges of one side meet, an earlier seam is crossed."""
    most = max(sum(use.times for use in side) for side in (seam.one, seam.other))
    return max(most - 1, 0)


def _edge_extent(step: Step, use: EdgeUse, drafts: Sequence[Draft]) -> Extent:
    for draft in drafts:
        try:
            length_mm = draft.edge_mm(use)
        except FigureError:
            continue
        if length_mm > 0:
            at_fold = _meets_fold(use.edge, drafts)
            runs = math.ceil(use.times / 2) if at_fold else use.times
            return Extent(length_mm, runs, figures=runs)
    raise _not_drafted(step, "edge", use.edge)


def _meets_fold(edge: str, drafts: Sequence[Draft]) -> bool:
    """True where two uses of the edge make one run, because the fold joins them."""
    piece_name, _, edge_name = edge.partition(".")
    piece = _piece(piece_name, drafts)
    if piece is None or not piece.on_fold:
        return False
    return any(
        _same(edge_name, drawn.name) and min(abs(drawn.start[0]), abs(drawn.end[0])) <= ON_FOLD_MM
        for drawn in piece.outline
    )


def _piece(name: str, drafts: Sequence[Draft]) -> Piece | None:
    pieces = (piece for draft in drafts for piece in draft.pieces)
    return next((piece for piece in pieces if _same(name, piece.name)), None)


def _same(one: str, other: str) -> bool:
    return one.strip().lower() == other.lower()


def _perimeter_mm(points: Sequence[Point]) -> float:
    return sum(math.dist(points[i - 1], points[i]) for i in range(len(points)))


def _not_drafted(step: Step, what: str, name: str) -> FigureError:
    return FigureError(f"“{step.name}” works on the {what} “{name}”, which is not drafted.")
