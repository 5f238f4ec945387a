"""From seam line to cut line: an allowance for every edge, mitred corners, flush hem corners."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import shapely

from webapp.draft.moves.corners import crossing, direction, outward
from webapp.draft.outline import Edge, Line, Outline, Point

_LONGEST_MITRE: Final = 4.0  # times the larger allowance; a sharper corner is cut off blunt
_SAME_POINT_MM: Final = 1e-6


@dataclass(frozen=True, slots=True)
class EdgeAllowance:
    """Millimetres outside an edge. A hem folds up once, or first turns `turn_under_mm` in."""

    width_mm: float = 0.0
    folds_up: bool = False
    turn_under_mm: float = 0.0

    @property
    def total_mm(self) -> float:
        """All of the cloth outside the edge."""
        return self.width_mm + self.turn_under_mm


NONE: Final = EdgeAllowance()


def cut_outline(outline: Outline, allowances: Mapping[str, EdgeAllowance]) -> list[Point]:
    """The cut line as a closed polygon (closing point not repeated), clockwise, mm.

    Each edge is shifted outwards by its allowance; neighbours are lengthened to a mitre. A straight
    hem that folds up gets its ends mirrored at the fold, so that it lies flush with the sides.
    """
    sides = [_shifted(edge, allowances.get(edge.name, NONE).total_mm) for edge in outline]
    hems = [_hem(edge, allowances.get(edge.name, NONE)) for edge in outline]
    corners: list[list[Point]] = []
    for place, edge in enumerate(outline.edges):
        before = place - 1
        reach = _LONGEST_MITRE * max(
            allowances.get(outline.edges[before].name, NONE).total_mm,
            allowances.get(edge.name, NONE).total_mm,
        )
        if (hem := hems[place]) is not None and hems[before] is None:
            corners.append(hem.corner(sides[before], at_end=True))
        elif (hem := hems[before]) is not None and hems[place] is None:
            corners.append(hem.corner(sides[place], at_end=False))
        else:
            corners.append(_mitre(sides[before], sides[place], edge.start, reach))
    return _joined(sides, corners)


def _shifted(edge: Edge, by_mm: float) -> list[Point]:
    """The edge's polyline shifted outwards, in the same direction of travel."""
    drawn = edge.points()
    if by_mm == 0:
        return drawn
    if edge.is_straight:
        nx, ny = outward(edge)
        return [(x + by_mm * nx, y + by_mm * ny) for x, y in drawn]
    # With y down, shapely's positive side (left of travel in its y-up sense) is the inside.
    moved = shapely.offset_curve(
        shapely.LineString(drawn), -by_mm, join_style="mitre", mitre_limit=_LONGEST_MITRE
    )
    if moved.geom_type != "LineString" or moved.is_empty:
        moved = max(shapely.get_parts(moved), key=lambda part: part.length)
    points = [(float(x), float(y)) for x, y in moved.coords]
    ahead = math.dist(points[0], drawn[0]) <= math.dist(points[-1], drawn[0])
    return points if ahead else points[::-1]


@dataclass(frozen=True, slots=True)
class _Hem:
    """A straight folded hem: the fold line and the depths at which cloth folds back."""

    fold: Line
    depth_mm: float
    turn_under_mm: float

    def corner(self, side: list[Point], *, at_end: bool) -> list[Point]:
        """The cut line from the side's cut line to the hem's cut line, in direction of travel.

        The side's line above the fold is mirrored below it; a turned-under part is mirrored once
        more at the second fold, which brings back the side's own slant.
        """
        last = Line(side[-2], side[-1]) if at_end else Line(side[1], side[0])
        along, (nx, ny) = direction(self.fold), outward(self.fold)
        foot = crossing(last.start, direction(last), self.fold.start, along)
        if foot is None:
            return [side[-1] if at_end else side[0]]
        way = direction(last)
        down = way[0] * nx + way[1] * ny
        slant = (way[0] * along[0] + way[1] * along[1]) / down if abs(down) > 1e-9 else 0.0
        # Going down by d past the fold, a mirrored side goes back by slant * d.
        points = [foot, self._at(foot, self.depth_mm, -slant * self.depth_mm)]
        if self.turn_under_mm:
            total = self.depth_mm + self.turn_under_mm
            shift = slant * (self.turn_under_mm - self.depth_mm)
            points.append(self._at(foot, total, shift))
        return points if at_end else points[::-1]

    def _at(self, foot: Point, down_mm: float, along_mm: float) -> Point:
        (ax, ay), (nx, ny) = direction(self.fold), outward(self.fold)
        return (foot[0] + down_mm * nx + along_mm * ax, foot[1] + down_mm * ny + along_mm * ay)


def _hem(edge: Edge, allowance: EdgeAllowance) -> _Hem | None:
    if not allowance.folds_up or not edge.is_straight or allowance.width_mm == 0:
        return None
    return _Hem(Line(edge.start, edge.end), allowance.width_mm, allowance.turn_under_mm)


def _mitre(before: list[Point], after: list[Point], corner: Point, reach_mm: float) -> list[Point]:
    """The point or points that join two shifted edges."""
    if math.dist(before[-1], after[0]) < _SAME_POINT_MM:
        return [after[0]]
    meeting = crossing(
        before[-1],
        direction(Line(before[-2], before[-1])),
        after[0],
        direction(Line(after[0], after[1])),
    )
    if meeting is None or math.dist(meeting, corner) > max(reach_mm, _SAME_POINT_MM):
        return [before[-1], after[0]]
    return [meeting]


def _joined(sides: list[list[Point]], corners: list[list[Point]]) -> list[Point]:
    """Corner, edge, corner, edge … as one polygon, cleaned of loops at inner corners."""
    drawn: list[Point] = []
    for side, corner in zip(sides, corners, strict=True):
        drawn.extend(corner)
        drawn.extend(side[1:-1])
    polygon = shapely.Polygon(drawn)
    if not polygon.is_valid:
        polygon = max(
            (p for p in shapely.get_parts(shapely.make_valid(polygon)) if p.geom_type == "Polygon"),
            key=lambda part: part.area,
        )
        drawn = [(float(x), float(y)) for x, y in polygon.exterior.coords[:-1]]
    if _twice_area(drawn) < 0:
        drawn.reverse()
    return drawn


def _twice_area(points: list[Point]) -> float:
    return sum(
        x0 * y1 - x1 * y0
        for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True)
    )
