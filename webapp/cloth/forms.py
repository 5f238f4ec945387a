"""Shapes on the cloth: turning an outline, and the coarser form that packs in its place."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from webapp.draft.outline import Point

Points = NDArray[np.float64]  # shape (n, 2), mm

_FINE_POINTS: Final = 32  # outlines of up to this many corners are laid as they are
_COARSE_MM: Final = 0.1  # how far a form may stand out from a curve; less than a cut can be true
_RIGHT_ANGLES: Final = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


def cos_sin(degrees: float) -> tuple[float, float]:
    """Cosine and sine of a turn, exact for the right angles, so that straight grain stays true."""
    exact = _RIGHT_ANGLES.get(degrees % 360)
    return exact or (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))


def turned(points: Sequence[Point] | Points, degrees: float, *, flipped: bool = False) -> Points:
    """The points turned about the origin, after mirroring at x = 0 if flipped."""
    cos, sin = cos_sin(degrees)
    flat = np.asarray(points, dtype=np.float64) * ((-1.0, 1.0) if flipped else (1.0, 1.0))
    return np.column_stack((flat @ (cos, -sin), flat @ (sin, cos)))


def coarse(points: Sequence[Point]) -> list[Point]:
    """A polygon with fewer corners that contains this one and has the same bounding box."""
    exact = shapely.Polygon(points)
    if len(points) <= _FINE_POINTS:
        return list(points)
    grown = exact.buffer(_COARSE_MM, join_style="mitre").simplify(_COARSE_MM)
    form = grown.intersection(shapely.box(*exact.bounds))
    if not isinstance(form, shapely.Polygon) or not form.covers(exact):
        return list(points)
    return [(x, y) for x, y in form.exterior.coords[:-1]]


Held = Literal["", "left", "start"]  # nowhere, or at the fold: beside x = 0, or above y = 0


@dataclass(frozen=True, eq=False)
class Form:
    """A piece in one of its lies, about the origin, mm. `match` falls on the cloth's repeat.

    Without one it may lie anywhere in the repeat.
    """

    turn: float
    points: Points
    flipped: bool = False
    held: Held = ""
    match: Point | None = None

    def sideways(self) -> "Form":
        """The form with across and along changed for each other, mirrored so."""
        held: dict[Held, Held] = {"": "", "left": "start", "start": "left"}
        return Form(self.turn, self.points[::-1, ::-1], self.flipped, held[self.held])

    @property
    def corner(self) -> Point:
        """Least x and least y."""
        least_x, least_y = self.points.min(axis=0)
        return float(least_x), float(least_y)

    @property
    def size(self) -> tuple[float, float]:
        """Width across the cloth and length along it."""
        across, along = np.ptp(self.points, axis=0)
        return float(across), float(along)
