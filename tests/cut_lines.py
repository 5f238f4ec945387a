"""Measuring a cut line against its seam line, square to it, with shapely."""

import math
from collections.abc import Iterator
from itertools import pairwise

import shapely

from webapp.draft.allowances import NONE
from webapp.draft.evaluate import Piece
from webapp.draft.outline import Edge, Point

_STEP_MM = 2.0
_ROUNDING_MM = 0.5  # beside a corner of curves, whose parallels cross a little elsewhere

# Inside an edge, as at the legs and the peak of a dart: how far along, where, the turn in radians,
# positive where the piece bulges out, and both headings.
_Corner = tuple[float, Point, float, Point, Point]


def off_the_allowance(piece: Piece) -> dict[str, float]:
    """The most by which the cut line misses each edge's allowance, mm.

    At points square to the seam line, from one allowance away from its ends; and where the edge
    has a corner in it, at the point where the parallels of its two arms meet.
    """
    cut, edges = shapely.LinearRing(piece.cut_points), piece.outline.edges
    totals = [piece.allowances.get(edge.name, NONE).total_mm for edge in edges]
    found = {}
    for place, edge in enumerate(edges):
        total, after = totals[place], totals[(place + 1) % len(edges)]
        ends = max(total, totals[place - 1]), max(total, after)
        meant = [*_square_to(edge, total, ends), *_corner_points(edge, total, ends)]
        found[edge.name] = max((cut.distance(shapely.Point(point)) for point in meant), default=0.0)
    return found


def _square_to(edge: Edge, by_mm: float, ends: tuple[float, float]) -> Iterator[Point]:
    """Points `by_mm` outside the edge, but not past the crossing beside an inner corner."""
    line = shapely.LineString(edge.points(1e-4))
    corners = list(_corners(edge))
    for place in range(1, int(line.length / _STEP_MM)):
        at = place * _STEP_MM
        if not ends[0] < at < line.length - ends[1] or any(
            abs(at - along) < _crossed_mm(turn, by_mm) for along, _, turn, _, _ in corners
        ):
            continue
        before, here, after = (line.interpolate(at + step) for step in (-0.01, 0, 0.01))
        dx, dy = after.x - before.x, after.y - before.y
        length = math.hypot(dx, dy)
        yield here.x + by_mm * dy / length, here.y - by_mm * dx / length


def _corner_points(edge: Edge, by_mm: float, ends: tuple[float, float]) -> Iterator[Point]:
    """Where the parallels of both arms meet: on the line that halves their angle."""
    for along, (x, y), turn, (ax, ay), (bx, by) in _corners(edge):
        if ends[0] < along < edge.length_mm - ends[1]:
            sx, sy = ax + bx, ay + by
            out = by_mm / math.cos(turn / 2) / math.hypot(sx, sy)
            yield x + out * sy, y - out * sx


def _corners(edge: Edge) -> Iterator[_Corner]:
    along = 0.0
    for segment, following in pairwise(edge.segments):
        along += segment.length_mm
        (ax, ay), (bx, by) = segment.heading(1.0), following.heading(0.0)
        turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if abs(turn) > 1e-3:
            yield along, following.start, turn, (ax, ay), (bx, by)


def _crossed_mm(turn: float, by_mm: float) -> float:
    """How far beside an inner corner the parallels are cut off where they cross."""
    return by_mm * math.tan(-turn / 2) + _ROUNDING_MM if turn < 0 else 0.0
