"""From seam line to cut line: an allowance for every edge, mitred corners, flush hem corners."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise, takewhile
from typing import Final

import shapely
from shapely.ops import substring

from webapp.draft.moves.corners import crossing, direction, outward
from webapp.draft.outline import Edge, Line, Outline, Point, bounds

_LONGEST_MITRE: Final = 4.0  # times the larger allowance; a sharper corner is cut off blunt
_FLATTEST_CORNER: Final = 0.1  # sine of the turn; a flatter one is drawn as one line
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


def cut_outline(
    outline: Outline, allowances: Mapping[str, EdgeAllowance], *, on_fold: bool = False
) -> list[Point]:
    """The cut line as a closed polygon (closing point not repeated), clockwise, mm.

    Each edge is shifted outwards by its allowance. Neighbours are lengthened to a mitre, or cut
    where they cross. A straight hem that folds up gets its ends mirrored at the fold, so that it
    lies flush with the sides; a curved hem, or one that meets another hem, keeps the mitre.
    A piece on the fold never reaches past x = 0.
    """
    edges = outline.edges
    given = [allowances.get(edge.name, NONE) for edge in edges]
    sides = [
        _shifted(edge, allowance.total_mm) for edge, allowance in zip(edges, given, strict=True)
    ]
    turns = [_turn(edges[place - 1], edge) for place, edge in enumerate(edges)]
    reach = [
        _LONGEST_MITRE * max(given[place - 1].total_mm, allowance.total_mm)
        for place, allowance in enumerate(given)
    ]
    for place, turn in enumerate(turns):
        if turn < -_FLATTEST_CORNER:
            crossed = _cut_at_crossing(sides[place - 1], sides[place], reach[place])
            sides[place - 1], sides[place] = crossed
    corners = []
    for place, edge in enumerate(edges):
        before, at_fold = edges[place - 1], on_fold and (edges[place - 1].on_fold or edge.on_fold)
        corner: list[Point] = []
        if not at_fold and turns[place] > _FLATTEST_CORNER:
            hems = _hem(before, given[place - 1]), _hem(edge, given[place])
            corner = _hem_corner(hems, sides[place - 1], sides[place])
        if not corner or any(math.dist(point, edge.start) > reach[place] for point in corner):
            corner = _mitre(sides[place - 1], sides[place], edge.start, reach[place])
        corners.append(corner)
    return _joined(sides, corners, on_fold)


def allowance_figures(allowances: Mapping[str, EdgeAllowance]) -> dict[str, float]:
    """What is added outside each edge as figures, so that a text can quote a hem."""
    widths = {f"{edge} allowance": added.width_mm for edge, added in allowances.items()}
    under = {f"{edge} turn under": added.turn_under_mm for edge, added in allowances.items()}
    return {name: mm for name, mm in {**widths, **under}.items() if mm > 0}


def crowded_edges(
    outline: Outline, allowances: Mapping[str, EdgeAllowance], cut: list[Point]
) -> list[str]:
    """The edges whose cut line was swallowed, as where a slit is narrower than its allowances.

    Their middle is then much further from the cut line than their allowance.
    """
    line = shapely.LinearRing(cut)
    lost = []
    for edge in outline:
        allowance = allowances.get(edge.name, NONE).total_mm
        drawn = shapely.LineString(edge.points())
        middle = shapely.line_interpolate_point(drawn, 0.5, normalized=True)
        if allowance and shapely.distance(line, middle) > 2 * allowance:
            lost.append(edge.name)
    return lost


def _shifted(edge: Edge, by_mm: float) -> list[Point]:
    """The edge's polyline shifted outwards, in the same direction of travel."""
    drawn = edge.points()
    if by_mm == 0:
        return drawn
    if edge.is_straight:
        return _shifted_line(drawn, by_mm)
    # With y down, shapely's positive side (left of travel in its y-up sense) is the inside.
    moved = shapely.offset_curve(
        shapely.LineString(drawn), -by_mm, join_style="mitre", mitre_limit=_LONGEST_MITRE
    )
    if moved.is_empty:  # a hollow smaller than its allowance: only its ends' directions are left
        start, end = _shifted_line(drawn[:2], by_mm), _shifted_line(drawn[-2:], by_mm)
        return [start[0], *_mitre(start, end, edge.start, _LONGEST_MITRE * by_mm), end[1]]
    if moved.geom_type != "LineString":
        whole = shapely.line_merge(moved)  # it may come in parts that touch, as beside a dart
        moved = max(shapely.get_parts(whole), key=lambda part: part.length)
    points = _points(moved)
    ahead = math.dist(points[0], drawn[0]) <= math.dist(points[-1], drawn[0])
    return points if ahead else points[::-1]


def _shifted_line(line: list[Point], by_mm: float) -> list[Point]:
    nx, ny = outward(Line(line[0], line[1]))
    return [(x + by_mm * nx, y + by_mm * ny) for x, y in line]


def _cut_at_crossing(
    before: list[Point], after: list[Point], reach: float
) -> tuple[list[Point], list[Point]]:
    """The two lines of an inner corner up to where they cross; unchanged if they do not.

    Each is first lengthened by `reach`: one without an allowance is met inside the corner.
    """
    if math.dist(before[-1], after[0]) < _SAME_POINT_MM:
        return before, after
    (x0, y0), (dx, dy) = before[-1], _heading(before[-2:])
    (x1, y1), (ex, ey) = after[0], _heading(after[:2])
    one = shapely.LineString([*before, (x0 + reach * dx, y0 + reach * dy)])
    other = shapely.LineString([(x1 - reach * ex, y1 - reach * ey), *after])
    crossings = _points(shapely.intersection(one, other))
    if not crossings:
        return before, after
    corner = shapely.Point(before[-1])
    nearest = min(map(shapely.Point, crossings), key=corner.distance)
    kept = substring(one, 0, one.project(nearest))
    rest = substring(other, other.project(nearest), other.length)
    if kept.geom_type != "LineString" or rest.geom_type != "LineString":
        return before, after
    return _points(kept), _points(rest)


@dataclass(frozen=True, slots=True)
class _Hem:
    """A straight folded hem: the fold line and the depths at which cloth folds back."""

    fold: Line
    depth_mm: float
    turn_under_mm: float

    def corner(self, side: list[Point]) -> list[Point]:
        """The cut line from the fold to the hem's raw edge; `side` starts at the hem.

        The side's line above the fold is mirrored below it; a turned-under part is mirrored once
        more at the second fold, which brings back the side's own course.
        """
        rising = self._rising(side)
        if len(rising) < 2:
            return []
        depth, turn = self.depth_mm, self.turn_under_mm
        heights = [0.0, *(height for height, _ in rising if 0 < height < depth), depth]
        drawn = [self._at(height, _along(rising, height)) for height in heights]
        inner = [h for h in reversed(heights[:-1]) if h > depth - turn]
        for height in (*inner, depth - turn) if turn else ():
            drawn.append(self._at(2 * depth - height, _along(rising, height)))
        return drawn

    def _rising(self, side: list[Point]) -> list[Point]:
        """The side's (height above the fold, place along it), as far as it only rises."""
        (ax, ay), (nx, ny), (x0, y0) = direction(self.fold), outward(self.fold), self.fold.start
        seen = [(-((x - x0) * nx + (y - y0) * ny), (x - x0) * ax + (y - y0) * ay) for x, y in side]
        climb = takewhile(lambda step: step[1][0] - step[0][0] > _SAME_POINT_MM, pairwise(seen))
        return [seen[0], *(upper for _, upper in climb)]

    def _at(self, down_mm: float, along_mm: float) -> Point:
        (ax, ay), (nx, ny), (x0, y0) = direction(self.fold), outward(self.fold), self.fold.start
        return (x0 + down_mm * nx + along_mm * ax, y0 + down_mm * ny + along_mm * ay)


def _hem_corner(
    hems: tuple[_Hem | None, _Hem | None], before: list[Point], after: list[Point]
) -> list[Point]:
    """The flush corner where one of the two edges is a hem; nothing if both are, or neither."""
    if hems[0] and not hems[1]:
        return hems[0].corner(after)[::-1]
    if hems[1] and not hems[0]:
        return hems[1].corner(before[::-1])
    return []


def _along(rising: list[Point], height: float) -> float:
    """Where the side is at that height; beyond its ends it runs straight on."""
    steps = list(pairwise(rising))
    (h0, a0), (h1, a1) = next((step for step in steps if height <= step[1][0]), steps[-1])
    return a0 + (a1 - a0) * (height - h0) / (h1 - h0)


def _hem(edge: Edge, allowance: EdgeAllowance) -> _Hem | None:
    if not allowance.folds_up or not edge.is_straight or allowance.width_mm == 0:
        return None
    return _Hem(Line(edge.start, edge.end), allowance.width_mm, allowance.turn_under_mm)


def _turn(before: Edge, after: Edge) -> float:
    """Sine of the turn at the corner, positive where the piece bulges out."""
    (ax, ay), (bx, by) = _heading(before.points()[-2:]), _heading(after.points()[:2])
    return ax * by - ay * bx


def _heading(chord: list[Point]) -> Point:
    return direction(Line(chord[0], chord[1]))


def _mitre(before: list[Point], after: list[Point], corner: Point, reach: float) -> list[Point]:
    """The point or points that join two shifted edges, none much beyond `reach` of the corner."""
    if math.dist(before[-1], after[0]) < _SAME_POINT_MM:
        return [after[0]]
    one, other = _heading(before[-2:]), _heading(after[:2])
    meeting = crossing(before[-1], one, after[0], other)
    if meeting is not None and math.dist(meeting, corner) <= reach:
        return [meeting]
    # A sharp point is cut off one allowance beyond the corner; a flat one keeps the step.
    sharp = one[0] * other[0] + one[1] * other[1] < 0
    on = reach / _LONGEST_MITRE if sharp else 0.0
    return [
        (before[-1][0] + on * one[0], before[-1][1] + on * one[1]),
        (after[0][0] - on * other[0], after[0][1] - on * other[1]),
    ]


def _joined(sides: list[list[Point]], corners: list[list[Point]], on_fold: bool) -> list[Point]:
    """Corner, edge, corner, edge … as one polygon, cleaned of loops and kept off the fold."""
    drawn: list[Point] = []
    for side, corner in zip(sides, corners, strict=True):
        drawn.extend(corner)
        drawn.extend(side[1:-1])
    polygon = shapely.Polygon(drawn)
    left, top, right, bottom = bounds(drawn)
    past_fold = on_fold and left < -_SAME_POINT_MM
    if polygon.is_valid and not past_fold:
        return drawn
    whole = shapely.make_valid(polygon)
    if past_fold:
        whole = shapely.intersection(whole, shapely.box(0, top, right, bottom))
    largest = max(
        (part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"),
        key=lambda part: part.area,
    )
    return _points(shapely.orient_polygons(largest).exterior)[:-1]


def _points(line: shapely.Geometry) -> list[Point]:
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(line)]
