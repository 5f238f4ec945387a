"""What is marked on a piece besides its outline: notches, drill holes, lines to sew or fold on.

Millimetres, in the piece's own coordinates.
"""

from dataclasses import dataclass, replace
from typing import Literal

from webapp.draft.segments import Placing, Point

LineKind = Literal["dart", "pleat", "tuck", "gathers", "pocket", "buttonhole", "fold"]


@dataclass(frozen=True, slots=True)
class Notch:
    """A snip into the allowance at a point of an edge; `double` marks the back by custom."""

    name: str
    edge: str
    at: Point
    double: bool = False

    def placed(self, where: Placing) -> "Notch":
        """The notch placed anew."""
        return replace(self, at=where(self.at))

    @property
    def points(self) -> tuple[Point, ...]:
        """Every point it is drawn through."""
        return (self.at,)


@dataclass(frozen=True, slots=True)
class DrillHole:
    """A point inside the piece: a dart's tip, a pocket's corner, a button."""

    name: str
    at: Point

    def placed(self, where: Placing) -> "DrillHole":
        """The hole placed anew."""
        return replace(self, at=where(self.at))

    @property
    def points(self) -> tuple[Point, ...]:
        """Every point it is drawn through."""
        return (self.at,)


@dataclass(frozen=True, slots=True)
class MarkedLine:
    """A line inside the piece, closed if it ends where it starts."""

    name: str
    kind: LineKind
    points: tuple[Point, ...]

    def placed(self, where: Placing) -> "MarkedLine":
        """The line placed anew."""
        return replace(self, points=tuple(where(point) for point in self.points))


Marking = Notch | DrillHole | MarkedLine
