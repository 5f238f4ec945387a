"""The segments an outline is drawn with: straight lines and cubic Bézier curves, in mm."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

Point = tuple[float, float]
Placing = Callable[[Point], Point]  # where a point of the plane comes to lie

FLATNESS_MM: Final = 0.02  # how far a drawn chord may leave its curve; a tenth of a pen line
# Well inside the 0.01 mm promised for arc lengths. Near a cusp the first halvings may agree by
# chance while both are wrong, so some are always made.
_ARC_TOLERANCE_MM: Final = 1e-7
_FEWEST_HALVINGS, _MOST_HALVINGS = 3, 12
_NEWTON_STEPS: Final = 40
_FOUND_MM: Final = 1e-6

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
        return self.placed(lambda point: (point[0] + dx, point[1] + dy))

    def placed(self, where: Placing) -> "Line":
        """The segment with every point placed anew by an affine map."""
        return Line(where(self.start), where(self.end))

    def reversed(self) -> "Line":
        """The segment travelled from its end to its start."""
        return Line(self.end, self.start)

    def point(self, t: float) -> Point:
        """The point at parameter t, from 0 (start) to 1 (end)."""
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + t * (x1 - x0), y0 + t * (y1 - y0))

    def heading(self, t: float) -> Point:  # noqa: ARG002 - as Cubic
        """The unit vector of travel at parameter t."""
        (x0, y0), (x1, y1) = self.start, self.end
        return ((x1 - x0) / self.length_mm, (y1 - y0) / self.length_mm)

    def parameter_at(self, along_mm: float) -> float:
        """The parameter of the point so many mm from the start."""
        return along_mm / self.length_mm

    def split(self, t: float) -> "tuple[Line, Line]":
        """The parts before and after parameter t."""
        middle = self.point(t)
        return Line(self.start, middle), Line(middle, self.end)

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

    def heading(self, t: float) -> Point:
        """The unit vector of travel at parameter t; at a lost control, that of the near chord."""
        dx, dy = self._velocity(t)
        speed = math.hypot(dx, dy)
        if speed < 1e-9:
            before, after = self.point(max(0.0, t - 1e-4)), self.point(min(1.0, t + 1e-4))
            dx, dy = after[0] - before[0], after[1] - before[1]
            speed = math.hypot(dx, dy)
        return (dx / speed, dy / speed)

    @cached_property
    def controls(self) -> tuple[Point, Point, Point, Point]:
        """Start, both control points, end."""
        return (self.start, self.control_1, self.control_2, self.end)

    def moved(self, dx: float, dy: float) -> "Cubic":
        """The segment shifted by (dx, dy) mm."""
        return self.placed(lambda point: (point[0] + dx, point[1] + dy))

    def placed(self, where: Placing) -> "Cubic":
        """The segment with every point placed anew by an affine map."""
        return Cubic(*(where(point) for point in self.controls))

    def reversed(self) -> "Cubic":
        """The segment travelled from its end to its start."""
        return Cubic(self.end, self.control_2, self.control_1, self.start)

    def parameter_at(self, along_mm: float) -> float:
        """The parameter of the point so many mm along, by Newton's method kept in its bracket."""
        low, high, t = 0.0, 1.0, along_mm / self.length_mm
        for _ in range(_NEWTON_STEPS):
            off = self._length(0.0, t, self._gauss(0.0, t), 0) - along_mm
            if abs(off) < _FOUND_MM:
                break
            low, high = (t, high) if off < 0 else (low, t)
            speed = self._speed(t)
            t = t - off / speed if speed > 1e-9 else (low + high) / 2
            if not low < t < high:
                t = (low + high) / 2
        return t

    def split(self, t: float) -> "tuple[Cubic, Cubic]":
        """The parts before and after parameter t (de Casteljau)."""
        p0, p1, p2, p3 = self.controls
        a, b, c = _between(p0, p1, t), _between(p1, p2, t), _between(p2, p3, t)
        d, e = _between(a, b, t), _between(b, c, t)
        middle = _between(d, e, t)
        return Cubic(p0, a, d, middle), Cubic(middle, e, c, p3)

    def points(self, flatness_mm: float = FLATNESS_MM) -> list[Point]:
        """The curve as chords no further than `flatness_mm` from it."""
        if flatness_mm == FLATNESS_MM:  # asked for again after every later move of the piece
            return [*self._usual_points]
        return self._points(flatness_mm)

    @cached_property
    def _usual_points(self) -> list[Point]:
        return self._points(FLATNESS_MM)

    def _points(self, flatness_mm: float) -> list[Point]:
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

    @cached_property
    def _rates(self) -> tuple[Point, Point, Point]:
        """a, b and c of the velocity a + b t + c t²."""
        p0, p1, p2, p3 = self.controls
        (x0, y0), (x1, y1), (x2, y2) = _step(p0, p1), _step(p1, p2), _step(p2, p3)
        return (
            (3 * x0, 3 * y0),
            (6 * (x1 - x0), 6 * (y1 - y0)),
            (3 * (x2 - 2 * x1 + x0), 3 * (y2 - 2 * y1 + y0)),
        )

    def _velocity(self, t: float) -> Point:
        (ax, ay), (bx, by), (cx, cy) = self._rates
        return (ax + t * (bx + t * cx), ay + t * (by + t * cy))

    def _speed(self, t: float) -> float:
        return math.hypot(*self._velocity(t))

    def _gauss(self, low: float, high: float) -> float:
        (ax, ay), (bx, by), (cx, cy) = self._rates
        middle, half = (low + high) / 2, (high - low) / 2
        total = 0.0
        for node, weight in _GAUSS_8:
            for t in (middle - half * node, middle + half * node):
                total += weight * math.hypot(ax + t * (bx + t * cx), ay + t * (by + t * cy))
        return half * total

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


def _between(one: Point, other: Point, t: float) -> Point:
    return (one[0] + t * (other[0] - one[0]), one[1] + t * (other[1] - one[1]))


def _step(one: Point, other: Point) -> Point:
    return (other[0] - one[0], other[1] - one[1])


def _cross(one: Point, other: Point) -> float:
    return one[0] * other[1] - one[1] * other[0]
