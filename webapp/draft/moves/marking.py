"""What the moves that mark share: points counted from a corner, the cloth they must lie on."""

from collections.abc import Mapping
from itertools import product
from typing import Final

import shapely

from webapp.draft.moves.base import Workpiece
from webapp.draft.moves.corners import corner_between, spoken
from webapp.draft.names import edges_called
from webapp.draft.outline import Point, unfolded

_ON_PIECE_MM: Final = 0.05  # what the drawing of a curve by chords may be out by
_LEVEL: Final = 1e-6  # a corner whose middle line leans no more than this favours no side


def refuse_name(work: Workpiece, name: str) -> None:
    """MoveError for a mark without a name, or with the name of another."""
    if not name.strip():
        raise work.refusal("give it a name, so that words and drawings can tell it")
    for other in work.markings:
        if other.name.lower() == name.lower():
            raise work.refusal(f"there is a “{other.name}” already; name this one differently")


def cloth_of(work: Workpiece) -> shapely.Polygon:
    """The piece inside its seam line; one on the fold opened out."""
    points = work.outline.points()
    return shapely.Polygon(unfolded(points) if work.on_fold else points)


def lies_within(cloth: shapely.Polygon, mark: shapely.Geometry) -> bool:
    """True when the mark leaves the cloth nowhere; it may touch the seam line."""
    return bool(shapely.covers(shapely.buffer(cloth, _ON_PIECE_MM), mark))


def into_piece(
    work: Workpiece,
    edge: str,
    corner: str,
    across_mm: float,
    down_mm: float,
    *,
    or_on_line: bool = False,
) -> tuple[Point, Point]:
    """The point so far across and down the piece, as drawn, from the corner inwards.

    With it the two signs of the way there. MoveError outside the piece, or on its seam line.
    """
    found = corner_between(work, edge, corner)
    (ax, ay), (bx, by) = found.first.segments[-1].heading(1), found.second.segments[0].heading(0)
    signs = product(_signs(-ay - by), _signs(ax + bx))  # the sum of both inward normals
    cloth, (x, y) = cloth_of(work), found.point
    for right, down in signs:
        point = (x + right * across_mm, y + down * down_mm)
        inside = lies_within if or_on_line else shapely.contains
        if inside(cloth, shapely.Point(point)):
            return point, (right, down)
    raise work.refusal(
        f"that point, counted from the corner of the {edges_called((edge, corner))}, lies outside "
        "the piece"
    )


def counted_words(
    work: Workpiece, edge: str, corner: str, way: Point, slots_mm: Mapping[str, float]
) -> str:
    """How a point is counted from its corner; the two slots are for across and for down."""
    down = "down" if way[1] > 0 else "up"
    ends = (" across", f" {down}")
    counted = [
        f"{{{slot}}}{end}" for (slot, mm), end in zip(slots_mm.items(), ends, strict=True) if mm
    ]
    place = f"the corner of the {spoken(work, edge)} and the {spoken(work, corner)}"
    return f"From {place} measure {' and '.join(counted)}" if counted else f"Start at {place}"


def _signs(way: float) -> tuple[float, ...]:
    if abs(way) < _LEVEL:
        return (1.0, -1.0)
    return (1.0,) if way > 0 else (-1.0,)
