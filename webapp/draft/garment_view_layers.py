"""Pieces in their places, and what hides what: layers, mm, y down."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_joins import Stretch
from webapp.draft.garment_view_sewn import Drawn, Points, Sewn, areas_of

BEHIND: Final = -1  # sleeves hang behind the body
BODY: Final = 0
ON_TOP: Final = 2
OVER: Final = {BEHIND: BEHIND, BODY: BODY + 1, ON_TOP: ON_TOP}  # a band on each of them
_DECIMALS: Final = 4  # of a millimetre
_HAIR_MM: Final = 0.03


@dataclass(frozen=True, slots=True)
class Layer:
    """A piece in its place: what it covers and what is drawn on it; higher ones hide lower ones."""

    name: str
    area: shapely.Geometry
    lines: tuple[Drawn, ...] = ()
    height: int = BODY
    one_piece: bool = False  # both halves are one piece of cloth
    inside: bool = False  # the wrong side of the other side of the body, seen through an opening

    def moved(self, dx: float, dy: float) -> "Layer":
        """The layer shifted, mm."""
        return self.through(np.array(((1.0, 0.0), (0.0, 1.0))), np.array((dx, dy)))

    def through(self, turn: Points, shift: Points) -> "Layer":
        """The layer with every point multiplied by a matrix and shifted."""
        return replace(
            self,
            area=shapely.transform(self.area, lambda at: at @ turn.T + shift),
            lines=tuple(Drawn(line.kind, line.points @ turn.T + shift) for line in self.lines),
        )


@dataclass(frozen=True, slots=True)
class Placed:
    """A sewn piece in its place: every point is multiplied by `turn`, then shifted."""

    sewn: Sewn
    turn: Points
    shift: Points
    height: int = BODY
    seen: shapely.Geometry | None = None  # of the piece as bent: half of a sleeve; None for all

    def at(self, points: Points) -> Points:
        """Points of the bent piece in the view."""
        # Rounded, so that both halves of a piece on the fold meet in one line.
        return np.round(points @ self.turn.T + self.shift, _DECIMALS)

    def stretch(self, stretch: Stretch) -> Points:
        """Part of an edge, in the view."""
        return self.at(self.sewn.stretch(stretch))

    @property
    def area(self) -> shapely.Geometry:
        """What it covers."""
        own = self.sewn.polygon
        if self.seen is not None:
            own = areas_of(shapely.intersection(own, self.seen))
        return areas_of(shapely.make_valid(shapely.transform(own, self.at)))

    def layer(self, *, one_piece: bool) -> Layer:
        """As it is drawn."""
        lines = tuple(Drawn(line.kind, self.at(line.points)) for line in self.sewn.lines)
        return Layer(self.sewn.piece.name, self.area, lines, self.height, one_piece)


def closed_up(areas: Iterable[shapely.Geometry]) -> shapely.Geometry:
    """All areas as one, the hairs between neighbours closed."""
    return shapely.buffer(shapely.union_all([*areas]), _HAIR_MM, join_style="mitre", quad_segs=1)
