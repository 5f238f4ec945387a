"""What a kind of work is on: how much there is to work along, and how often it is taken up."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final, Literal

from webapp.build.runs import runs_along
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.expressions import read
from webapp.draft.names import gathered, name_key
from webapp.draft.outline import Point
from webapp.draft.recipe import Seam
from webapp.errors import FigureError, WaitingError

SHOWN_MM: Final = (
    101.6  # 10 cm, 4 in: what of long work the camera sees; common practice, no source
)
ShownOne = Literal["", "line", "seam", "edge", "piece"]


@dataclass(frozen=True, slots=True)
class Extent:
    """A length to work along, how often something is taken up, corners and figures to mark."""

    length_mm: float
    handled: int
    corners: int = 0
    figures: int = 0


def extent(step: Step, work: Work, drafts: Sequence[Draft]) -> Extent:
    """All that one kind of work is on. Names are looked up in each draft in turn.

    FigureError, naming the step, if it is on nothing or on something that is not drafted;
    WaitingError if that only waits for what a draft lacks.
    """
    drawn = work.kind == "draw"
    parts = gathered(
        (
            *(partial(_piece_extent, step, name, drafts, drawn=drawn) for name in work.pieces),
            *(partial(_seam_extent, step, name, drafts) for name in work.seams),
            *(partial(_edge_extent, step, uses, drafts) for uses in _by_piece(work.edges)),
        )
    )
    if not parts:
        raise FigureError(
            f"“{step.name}”: say which piece, seam or edge its “{work.kind}” work is on."
        )
    whole = Extent(
        sum(part.length_mm for part in parts),
        sum(part.handled for part in parts),
        sum(part.corners for part in parts),
        sum(part.figures for part in parts),
    )
    if work.of_it == "all":
        return whole
    return _the_first(work, whole) if work.of_it == "the first" else _the_rest(work, whole)


def shown_one(work: Work, whole: Extent) -> ShownOne:
    """Of what the camera sees one, where that is understood sooner than a length: a line of what
    is drawn, a seam, edge or piece of several that are pressed. Else it sees SHOWN_MM."""
    if work.kind == "draw":
        return "line"
    if work.kind == "press" and whole.handled > 1:
        return "seam" if work.seams else "edge" if work.edges else "piece"
    return ""


def _shown_mm(work: Work, whole: Extent) -> float:
    """How much of long work is shown; one of several is as long as they are on average."""
    if not shown_one(work, whole):
        return min(whole.length_mm, SHOWN_MM)
    return whole.length_mm / max(1, whole.figures if work.kind == "draw" else whole.handled)


def _the_first(work: Work, whole: Extent) -> Extent:
    """What is shown of long work, taken up once, one figure marked."""
    return Extent(_shown_mm(work, whole), min(whole.handled, 1), 0, min(whole.figures, 1))


def _the_rest(work: Work, whole: Extent) -> Extent:
    """What is left of it. What was laid down in the midst is taken up again."""
    handled = whole.handled - 1 if shown_one(work, whole) else whole.handled
    left_mm = max(whole.length_mm - _shown_mm(work, whole), 0.0)
    return Extent(left_mm, handled, whole.corners, max(whole.figures - 1, 0))


def _piece_extent(step: Step, name: str, drafts: Sequence[Draft], *, drawn: bool) -> Extent:
    """Every copy along its whole cut line, on the fold opened out; its figures are marked once."""
    piece = _piece(name, drafts)
    if piece is None:
        raise _not_drafted(step, "piece", name, any(draft.lacks(f"{name}.") for draft in drafts))
    copies, corners = piece.cut_count, len(piece.outline.edges)
    length_mm = _perimeter_mm(piece.whole_cut_points) * copies
    figures = len(piece.marked) if drawn else 0
    return Extent(length_mm, copies, corners * copies, figures)


def _seam_extent(step: Step, name: str, drafts: Sequence[Draft]) -> Extent:
    """Every copy of the seam, along the side nothing is eased out of."""
    for draft in drafts:
        seam = next((seam for seam in draft.recipe.seams if _same(name, seam.name)), None)
        found = next((found for found in draft.seams if _same(name, found.name)), None)
        if seam and found:
            along_mm = found.other_mm or found.one_mm
            return Extent(along_mm * seam.sewn, seam.sewn, _crossings(seam) * seam.sewn, seam.sewn)
    stated = any(_same(name, seam.name) for draft in drafts for seam in draft.recipe.seams)
    raise _not_drafted(step, "seam", name, stated)


def _crossings(seam: Seam) -> int:
    """Where two edges of one side meet, an earlier seam is crossed."""
    most = max(sum(use.times for use in side) for side in (seam.one, seam.other))
    return max(most - 1, 0)


def _by_piece(uses: Sequence[EdgeUse]) -> list[list[EdgeUse]]:
    groups: dict[str, list[EdgeUse]] = {}
    for use in uses:
        groups.setdefault(name_key(use.edge.partition(".")[0]), []).append(use)
    return list(groups.values())


def _edge_extent(step: Step, uses: Sequence[EdgeUse], drafts: Sequence[Draft]) -> Extent:
    """Edges of one piece: those that meet are one run with a corner to pivot."""
    length_mm = sum(gathered(partial(_edge_mm, step, use, drafts) for use in uses))
    times: Counter[str] = Counter()
    for use in uses:
        times[name_key(use.edge.partition(".")[2])] += use.times
    piece = _piece(uses[0].edge.partition(".")[0], drafts)
    if piece is None or not times.keys() <= {edge.name.lower() for edge in piece.outline}:
        return Extent(length_mm, times.total(), figures=times.total())  # figures that are no edges
    runs = runs_along(piece, times)
    return Extent(length_mm, runs.number, runs.corners, times.total() - runs.folds)


def _edge_mm(step: Step, use: EdgeUse, drafts: Sequence[Draft]) -> float:
    quoted = read(use.edge).names
    for draft in drafts:
        if quoted <= draft.names.keys():
            length_mm = draft.edge_mm(use)
            if length_mm > 0:
                return length_mm
    waits = any(draft.lacks(use.edge) for draft in drafts)
    raise _not_drafted(step, "edge", use.edge, waits)


def _piece(name: str, drafts: Sequence[Draft]) -> Piece | None:
    pieces = (piece for draft in drafts for piece in draft.pieces)
    return next((piece for piece in pieces if _same(name, piece.name)), None)


def _same(one: str, other: str) -> bool:
    return one.strip().lower() == other.lower()


def _perimeter_mm(points: Sequence[Point]) -> float:
    return sum(math.dist(points[i - 1], points[i]) for i in range(len(points)))


def _not_drafted(step: Step, what: str, name: str, waits: bool) -> FigureError:
    kind = WaitingError if waits else FigureError
    return kind(f"“{step.name}” works on the {what} “{name}”, which is not drafted.")
