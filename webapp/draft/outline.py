"""Closed outlines of named edges, made of straight lines and cubic Bézier curves.

Millimetres; x runs across the cloth, y down along the grain. An outline runs clockwise as seen on
paper (y down), so the outside is on the left of its direction of travel.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from webapp.draft.segments import FLATNESS_MM, Cubic, Line, Placing, Point, Segment

__all__ = [
    "FLATNESS_MM",
    "Cubic",
    "Edge",
    "Line",
    "Outline",
    "Placing",
    "Point",
    "Segment",
    "bounds",
    "open_at_fold",
    "straight",
    "unfolded",
]

ON_FOLD_MM: Final = 1e-6  # a corner this near x = 0 lies on the fold
_SAME_MM: Final = 1e-6


@dataclass(frozen=True)
class Edge:
    """A named run of segments from one corner of a piece to the next."""

    name: str
    segments: tuple[Segment, ...]
    taken_mm: float = 0.0  # what darts, pleats and gathers take out of it before it is sewn

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
        """Arc length in mm, as it is drawn."""
        return sum(segment.length_mm for segment in self.segments)

    @property
    def sewn_mm(self) -> float:
        """What is left of the length once darts, pleats and gathers are closed, mm."""
        return self.length_mm - self.taken_mm

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

    def redrawn(self, *segments: Segment) -> "Edge":
        """An edge of the same name, and as much taken out of it, along other segments."""
        return replace(self, segments=segments)

    def placed(self, where: Placing) -> "Edge":
        """The edge with every point placed anew by an affine map that does not mirror."""
        return self.redrawn(*(segment.placed(where) for segment in self.segments))

    def mirrored(self, where: Placing) -> "Edge":
        """The edge placed anew by an affine map that mirrors, so that it still runs clockwise."""
        return self.redrawn(*(s.placed(where).reversed() for s in reversed(self.segments)))

    def at(self, along_mm: float) -> tuple[Point, Point]:
        """The point so many mm from the start and the unit vector of travel there.

        Past an end, that end.
        """
        place, rest = self._place(along_mm)
        segment = self.segments[place]
        t = min(max(segment.parameter_at(rest), 0.0), 1.0)
        return segment.point(t), segment.heading(t)

    def cut_at(self, along_mm: float) -> "tuple[Edge, Edge]":
        """The parts before and after the point so many mm from the start, under the same name.

        What is taken out stays with neither: the caller says where it belongs. ValueError when
        the point is not inside the edge.
        """
        if not _SAME_MM < along_mm < self.length_mm - _SAME_MM:
            raise ValueError("The point to cut an edge at must lie inside it.")
        place, rest = self._place(along_mm)
        segment = self.segments[place]
        before, after = self.segments[:place], self.segments[place + 1 :]
        if rest > _SAME_MM and rest < segment.length_mm - _SAME_MM:
            left, right = segment.split(segment.parameter_at(rest))
            return Edge(self.name, (*before, left)), Edge(self.name, (right, *after))
        if rest <= _SAME_MM:
            return Edge(self.name, before), Edge(self.name, (segment, *after))
        return Edge(self.name, (*before, segment)), Edge(self.name, after)

    def _place(self, along_mm: float) -> tuple[int, float]:
        """The segment that the distance falls in, and how far into it."""
        rest = along_mm
        for place, segment in enumerate(self.segments[:-1]):
            if rest < segment.length_mm:
                return place, rest
            rest -= segment.length_mm
        return len(self.segments) - 1, rest


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
        return self.placed(lambda point: (point[0] + dx, point[1] + dy))

    def placed(self, where: Placing) -> "Outline":
        """The outline placed anew by an affine map that does not mirror."""
        return Outline(tuple(edge.placed(where) for edge in self.edges))

    def mirrored(self, where: Placing) -> "Outline":
        """The outline placed anew by an affine map that mirrors; its edges still run clockwise."""
        return Outline(tuple(edge.mirrored(where) for edge in reversed(self.edges)))

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


def _flip(point: Point) -> Point:
    return (-point[0], point[1])
