"""Where the words of a drawing go: boxes of text that touch neither the piece nor each other."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache, partial
from typing import Final

import numpy as np
import shapely

from webapp.draft.outline import Edge, Point

LINE: Final = 1.15  # line height in em
_NARROW, _WIDE = frozenset("fijlrtI.,:;'’()[]|/ "), frozenset("mwMW@%—")
_GAPS: Final = (
    0.45,
    0.9,
    1.5,
    2.2,
    3.0,
    4.0,
    5.0,
    6.5,
    8.0,
    10.0,
    13.0,
    17.0,
    25.0,
)  # em, off the piece
_TURNS: Final = (0, 20, -20, 40, -40, 60, -60, 80, -80)  # degrees off the edge's normal
_PLACES: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)  # shares of the edge
# All of them, the nearest to the middle of the edge first.
_WAYS: Final = sorted(
    ((share, gap, turn) for share in _PLACES for gap in _GAPS for turn in _TURNS),
    key=lambda way: way[1] + abs(way[2]) / 30 + 5 * abs(way[0] - 0.5),
)
_AROUND: Final = np.array((-0.01, 0.0, 0.01))  # shares of an edge before, at and after a point
_GRID: Final = 24  # places tried across and down for words inside a piece
_CROSSED: Final = 100.0  # em; as bad as a leader this long
_LEADER_FROM: Final = 1.0  # em; a label further off than this gets a leader


@dataclass(frozen=True)
class Label:
    """Lines of text around a centre, level or turned to read upwards; `em` is the text size."""

    lines: tuple[str, ...]
    em: float
    centre: Point = (0.0, 0.0)
    upright: bool = False
    bold_first: bool = False
    italic_first: bool = False
    leader: tuple[Point, Point] | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the box."""
        width = max(text_width(line) for line in self.lines) * self.em
        height = len(self.lines) * LINE * self.em
        return (height, width) if self.upright else (width, height)

    def box(self, room_em: float = 0.0) -> shapely.Polygon:
        """The box, with some room around it."""
        (width, height), (x, y), room = self.size, self.centre, room_em * self.em
        dx, dy = width / 2 + room, height / 2 + room
        return shapely.box(x - dx, y - dy, x + dx, y + dy)

    def at(self, x: float, y: float) -> "Label":
        """The same label around another centre."""
        return replace(self, centre=(x, y))


@lru_cache(4096)
def text_width(text: str) -> float:
    """The width in em in a common sans-serif face, rather too wide than too narrow."""
    return sum(
        0.36 if char in _NARROW else 0.9 if char in _WIDE else 0.7 if char.isupper() else 0.58
        for char in text
    )


Request = tuple[Label, Edge, float]  # a label, the edge it belongs to, that edge's allowance in mm


def placed_beside(piece: shapely.Polygon, requests: Sequence[Request]) -> list[Label]:
    """Each label beside its edge, clear of the piece and of the other labels.

    They are placed one by one. What comes first has the most room, so other orders are tried when
    a label needs a leader, and the one with the shortest leaders is kept.
    """
    orders = (
        sorted(requests, key=lambda request: -request[1].length_mm),
        sorted(requests, key=lambda request: request[1].length_mm),
        requests,
    )
    best: _Placer | None = None
    for order in orders:
        placer = _Placer(piece)
        for request in order:
            placer.place(*request)
        if best is None or placer.untidiness < best.untidiness:
            best = placer
        if best.untidiness == 0:
            break
    return best.labels if best else []


class _Placer:
    """One run of placing labels; `untidiness` is the length of leaders, more for crossed ones."""

    def __init__(self, piece: shapely.Polygon) -> None:
        shapely.prepare(piece)
        self.piece = piece
        self.labels: list[Label] = []
        self.taken: list[shapely.Geometry] = []
        self.untidiness = 0.0

    def place(self, label: Label, edge: Edge, allowance_mm: float) -> None:
        """Place the label as near to the middle of its edge as there is room."""
        placed = self._free(label, edge, allowance_mm)
        self.labels.append(placed)
        self.taken.append(placed.box())
        if placed.leader:
            self.taken.append(shapely.LineString(placed.leader))

    def _free(self, label: Label, edge: Edge, allowance_mm: float) -> Label:
        middle = cache(partial(self._middle, shapely.LineString(edge.points()), allowance_mm))
        second_best: Label | None = None
        tried = label
        for share, gap, turn in _WAYS:
            cut, normal = middle(share)
            tried = _beside(label, cut, _turned(normal, turn), gap * label.em)
            room = tried.box(0.3)
            if shapely.intersects(self.piece, room) or shapely.intersects(self.taken, room).any():
                continue
            if gap <= _LEADER_FROM:
                return tried
            end = shapely.shortest_line(tried.box(0.15), shapely.Point(cut)).coords[0]
            tried = replace(tried, leader=(cut, (float(end[0]), float(end[1]))))
            if self._leads_freely(tried):
                self.untidiness += gap
                return tried
            second_best = second_best or tried
        self.untidiness += _CROSSED
        return second_best or tried

    def _middle(
        self, line: shapely.LineString, allowance_mm: float, share: float
    ) -> tuple[Point, Point]:
        """The cut line's point beside that share of the edge, and the outward normal there."""
        around = shapely.line_interpolate_point(line, _AROUND + share, normalized=True)
        before, at, after = shapely.get_coordinates(around).tolist()
        dx, dy = after[0] - before[0], after[1] - before[1]
        normal = (dy / math.hypot(dx, dy), -dx / math.hypot(dx, dy))
        # At an inner corner the allowances of both edges overlap and the cut line is elsewhere.
        outside = shapely.Point(_off((at[0], at[1]), normal, allowance_mm))
        (cut, _) = shapely.shortest_line(self.piece.exterior, outside).coords
        return (float(cut[0]), float(cut[1])), normal

    def _leads_freely(self, label: Label) -> bool:
        leader = shapely.LineString(label.leader)
        inside = float(shapely.length(shapely.intersection(self.piece, leader)))
        crossed = bool(shapely.intersects(self.taken, leader).any())
        return inside < 0.1 * label.em and not crossed


def roomiest(space: shapely.Geometry, width: float, height: float) -> Point | None:
    """The centre at which a box of that size has the most room in the space; None if it has none.

    Of equally roomy places the one nearest to the middle of the space.
    """
    left, top, right, bottom = map(float, shapely.bounds(space))
    if not (width < right - left and height < bottom - top):  # also when the space is empty
        return None
    steps = np.arange(1, _GRID) / _GRID
    x, y = (
        grid.ravel()
        for grid in np.meshgrid(
            left + (right - left) * steps, top + (bottom - top) * steps, indexing="ij"
        )
    )
    dx, dy = width / 2, height / 2
    boxes = shapely.box(x - dx, y - dy, x + dx, y + dy)
    shapely.prepare(space)
    fits = shapely.contains_properly(space, boxes)
    if not fits.any():
        return None
    x, y, boxes = x[fits], y[fits], boxes[fits]
    rooms = shapely.distance(shapely.boundary(space), boxes).round()
    off_middle = np.hypot(x - (left + right) / 2, y - (top + bottom) / 2).round(3)
    best = np.lexsort((y, x, off_middle, -rooms))[0]
    return float(x[best]), float(y[best])


def _off(point: Point, way: Point, by: float) -> Point:
    return (point[0] + by * way[0], point[1] + by * way[1])


def _turned(way: Point, degrees: float) -> Point:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (way[0] * cos - way[1] * sin, way[0] * sin + way[1] * cos)


def _beside(label: Label, cut: Point, way: Point, gap: float) -> Label:
    """The label's box beyond the line through `cut` square to `way`, `gap` away from it."""
    width, height = label.size
    reach = gap + (abs(way[0]) * width + abs(way[1]) * height) / 2
    return label.at(*_off(cut, way, reach))
