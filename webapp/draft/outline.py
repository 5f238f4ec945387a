"""Closed outlines of named edges, made of straight lines and cubic Bézier curves.

Millimetres; x runs across the cloth, y down along the grain. An outline runs clockwise as seen on
paper (y down), so the outside is on the left of its direction of travel.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

Point = tuple[float, float]

FLATNESS_MM: Final = 0.02  # how far a drawn chord may leave its curve; a tenth of a pen line
ON_FOLD_MM: Final = 1e-6  # a corner this near x = 0 lies on the fold
# Well inside the 0.01 mm promised for arc lengths. Near a cusp the first halvings may agree by
# chance while both are wrong, so some are always made.
_ARC_TOLERANCE_MM: Final = 1e-7
_FEWEST_HALVINGS, _MOST_HALVINGS = 2, 12

# Gauss-Legendre nodes and weights on [-1, 1], 8 points (Abramowitz & Stegun, table 25.4).
_GAUSS_8: Final = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)


@dataclass(frozen=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point

    @cached_property
    def length_mm(self) -> float:
        """Length in mm."""
        return math.dist(self.start, self.end)

    def moved(self, dx: float, dy: float) -> "Line":
        """The segment shifted by (dx, dy) mm."""
        return Line(_shift(self.start, dx, dy), _shift(self.end, dx, dy))

    def points(self, flatness_mm: float = FLATNESS_MM) -> list[Point]:  # noqa: ARG002 - as Cubic
        """Both ends."""
        return [self.start, self.end]

    def twice_area(self) -> float:
        """This segment's share of twice the enclosed area (Green's theorem), mm²."""
        return _cross(self.start, self.end)


@dataclass(frozen=True)
class Cubic:
    """A cubic Bézier segment from `start` to `end` with two control points."""

    start: Point
    control_1: Point
    control_2: Point
    end: Point

    @cached_property
    def length_mm(self) -> float:
        """Arc length in mm, by adaptive Gauss-Legendre quadrature of the speed."""
        return self._length(0.0, 1.0, self._gauss(0.0, 1.0), 0)

    def point(self, t: float) -> Point:
        """The point at parameter t, from 0 (start) to 1 (end)."""
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.controls
        return (a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3)

    @property
    def controls(self) -> tuple[Point, Point, Point, Point]:
        """Start, both control points, end."""
        return (self.start, self.control_1, self.control_2, self.end)

    def moved(self, dx: float, dy: float) -> "Cubic":
        """The segment shifted by (dx, dy) mm."""
        return Cubic(*(_shift(point, dx, dy) for point in self.controls))

    def points(self, flatness_mm: float = FLATNESS_MM) -> list[Point]:
        """The curve as chords no further than `flatness_mm` from it."""
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.controls
        # Wang's bound on the chords that keep a Bézier curve within the flatness.
        bend = max(
            math.hypot(x0 - 2 * x1 + x2, y0 - 2 * y1 + y2),
            math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3),
        )
        chords = max(2, math.ceil(math.sqrt(0.75 * bend / flatness_mm)))
        inner = [self.point(i / chords) for i in range(1, chords)]
        return [self.start, *inner, self.end]

    def twice_area(self) -> float:
        """This segment's share of twice the enclosed area, exact for a cubic, mm²."""
        p0, p1, p2, p3 = self.controls
        return (
            6 * _cross(p0, p1)
            + 3 * _cross(p0, p2)
            + _cross(p0, p3)
            + 3 * _cross(p1, p2)
            + 3 * _cross(p1, p3)
            + 6 * _cross(p2, p3)
        ) / 10

    def _speed(self, t: float) -> float:
        u = 1 - t
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.controls
        a, b, c = 3 * u * u, 6 * u * t, 3 * t * t
        return math.hypot(
            a * (x1 - x0) + b * (x2 - x1) + c * (x3 - x2),
            a * (y1 - y0) + b * (y2 - y1) + c * (y3 - y2),
        )

    def _gauss(self, low: float, high: float) -> float:
        middle, half = (low + high) / 2, (high - low) / 2
        return half * sum(
            weight * (self._speed(middle - half * node) + self._speed(middle + half * node))
            for node, weight in _GAUSS_8
        )

    def _length(self, low: float, high: float, whole: float, depth: int) -> float:
        middle = (low + high) / 2
        left, right = self._gauss(low, middle), self._gauss(middle, high)
        agree = abs(left + right - whole) < _ARC_TOLERANCE_MM and depth >= _FEWEST_HALVINGS
        if agree or depth >= _MOST_HALVINGS:
            return left + right
        return self._length(low, middle, left, depth + 1) + self._length(
            middle, high, right, depth + 1
        )


Segment = Line | Cubic


@dataclass(frozen=True)
class Edge:
    """A named run of segments from one corner of a piece to the next."""

    name: str
    segments: tuple[Segment, ...]

    @property
    def start(self) -> Point:
        """Where the edge begins, mm."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Where the edge ends, mm."""
        return self.segments[-1].end

    @cached_property
    def length_mm(self) -> float:
        """Arc length in mm."""
        return sum(segment.length_mm for segment in self.segments)

    @property
    def is_straight(self) -> bool:
        """True for a single straight line."""
        return len(self.segments) == 1 and isinstance(self.segments[0], Line)

    @property
    def on_fold(self) -> bool:
        """True for a straight edge along x = 0, where a piece cut on the fold is folded."""
        return self.is_straight and max(abs(self.start[0]), abs(self.end[0])) <= ON_FOLD_MM

    def points(self, flatness_mm: float = FLATNESS_MM) -> list[Point]:
        """The edge as a polyline, both ends included."""
        drawn = [self.start]
        for segment in self.segments:
            drawn.extend(segment.points(flatness_mm)[1:])
        return drawn


def straight(name: str, start: Point, end: Point) -> Edge:
    """A straight edge."""
    return Edge(name, (Line(start, end),))


@dataclass(frozen=True)
class Outline:
    """A closed outline: each edge starts where the one before it ends."""

    edges: tuple[Edge, ...]

    def __iter__(self) -> Iterator[Edge]:
        return iter(self.edges)

    @property
    def names(self) -> tuple[str, ...]:
        """Edge names in order."""
        return tuple(edge.name for edge in self.edges)

    def edge(self, name: str) -> Edge:
        """The edge of that name. KeyError if there is none."""
        return self.edges[self.index(name)]

    def index(self, name: str) -> int:
        """The place of the edge of that name. KeyError if there is none."""
        for place, edge in enumerate(self.edges):
            if edge.name == name:
                return place
        raise KeyError(name)

    def before(self, name: str) -> Edge:
        """The edge that ends where this one starts."""
        return self.edges[self.index(name) - 1]

    def after(self, name: str) -> Edge:
        """The edge that starts where this one ends."""
        return self.edges[(self.index(name) + 1) % len(self.edges)]

    def replaced(self, name: str, *edges: Edge) -> "Outline":
        """A new outline with the named edge replaced by these."""
        place = self.index(name)
        return Outline((*self.edges[:place], *edges, *self.edges[place + 1 :]))

    def moved(self, dx: float, dy: float) -> "Outline":
        """The outline shifted by (dx, dy) mm."""
        return Outline(
            tuple(
                replace(edge, segments=tuple(s.moved(dx, dy) for s in edge.segments))
                for edge in self.edges
            )
        )

    @property
    def area_mm2(self) -> float:
        """Enclosed area, exact for lines and cubics (Green's theorem); positive if clockwise."""
        return sum(s.twice_area() for edge in self.edges for s in edge.segments) / 2

    def points(self, flatness_mm: float = FLATNESS_MM) -> list[Point]:
        """The outline as a polygon, the closing point not repeated."""
        drawn: list[Point] = []
        for edge in self.edges:
            drawn.extend(edge.points(flatness_mm)[:-1])
        return drawn


def open_at_fold(half: list[Point]) -> list[Point]:
    """The line around a half drawn to the right of x = 0, from the fold's one end to its other.

    ValueError if the half does not touch the fold.
    """
    on_fold = [abs(x) <= ON_FOLD_MM for x, _ in half]
    leaves = [place for place in range(len(half)) if on_fold[place - 1] and not on_fold[place]]
    if not leaves:
        raise ValueError("This outline does not touch the fold.")
    walk = half[leaves[0] - 1 :] + half[: leaves[0] - 1]
    back = next((i for i, (x, _) in enumerate(walk) if i and abs(x) <= ON_FOLD_MM), len(walk))
    return walk[: back + 1]


def unfolded(half: list[Point]) -> list[Point]:
    """The whole polygon of a half drawn to the right of the fold at x = 0, still clockwise.

    ValueError if the half does not touch the fold.
    """
    right = open_at_fold(half)
    return right + [_flip(point) for point in reversed(right) if abs(point[0]) > ON_FOLD_MM]


def bounds(points: list[Point]) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of the points, mm."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _shift(point: Point, dx: float, dy: float) -> Point:
    return (point[0] + dx, point[1] + dy)


def _flip(point: Point) -> Point:
    return (-point[0], point[1])


def _cross(one: Point, other: Point) -> float:
    return one[0] * other[1] - one[1] * other[0]
