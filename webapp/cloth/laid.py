"""Cloth, the pieces to lay on it, and the lay they make.

x runs across the cloth as it lies from 0 to its width, y along the grain from 0 to the lay's
length, all in mm. A placed point is the outline's point, mirrored at x = 0 if flipped, turned by t
(x cos t - y sin t, x sin t + y cos t), then shifted by (x_mm, y_mm).

Cloth is laid open in one layer, or in two: folded lengthwise with its selvedges together and the
fold at x = 0, or folded across with the fold at y = 0. On two layers every placement is cut
through both, which gives a piece and its mirror image; a piece on the fold lies along it as the
half that is drawn, and comes out whole.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal, NamedTuple

import numpy as np
import shapely

from webapp.cloth.forms import turned
from webapp.draft.outline import ON_FOLD_MM, Point, unfolded
from webapp.draft.recipe import MOST_TILT
from webapp.errors import LayError

WayOfLaying = Literal["open", "folded", "folded across"]
# How a half drawn to the right of x = 0 comes to lie along the fold: turn, and flipped or not.
_ALONG_FOLD: Final[dict[WayOfLaying, dict[float, bool]]] = {
    "open": {},
    "folded": {0.0: False, 180.0: True},
    "folded across": {90.0: False, 270.0: True},
}


class Lie(NamedTuple):
    """A way a piece may lie: its turn in degrees, and whether it is flipped."""

    turn: float
    flipped: bool


@dataclass(frozen=True)
class LayPiece:
    """A piece to lay: its cut line, how many copies, and the turns its grain allows, degrees.

    A piece on the fold is drawn as the half to the right of x = 0. Where the cloth has no fold
    along its grain it is opened out, and a placement speaks of the points of the opened outline.

    Open cloth keeps the sides as drawn: no lay made here flips a piece on it, but for every second
    copy of a `pair`, a left and a right. On two layers a placement gives both hands, so a piece
    that is a pair, or `may_flip`, may lie either side up.

    `match_mm`: the point of the outline that falls on the same place of the cloth's repeat as
    those of the other pieces; None if the piece need not meet.
    """

    name: str
    outline_mm: Sequence[Point]
    count: int
    turns: Sequence[float] = (0, 180)
    on_fold: bool = False
    may_flip: bool = False
    pair: bool = False
    match_mm: Point | None = (0.0, 0.0)

    def flips(self, copy: int) -> bool:
        """True for a copy of the other hand, which lies flipped: the odd ones of a pair."""
        return self.pair and copy % 2 == 1

    @cached_property
    def drawn_mm(self) -> tuple[Point, ...]:
        """The outline as drawn, the closing point not repeated."""
        points = [(float(x), float(y)) for x, y in self.outline_mm]
        if len(points) > 1 and points[0] == points[-1]:
            points.pop()
        return tuple(points)

    @cached_property
    def whole_mm(self) -> tuple[Point, ...]:
        """The outline opened out.

        LayError if a piece on the fold is not drawn as one half beside x = 0.
        """
        points = self.drawn_mm
        if not self.on_fold:
            return points
        on_fold = [abs(x) <= ON_FOLD_MM for x, _ in points]
        has_fold = any(on_fold[i] and on_fold[i - 1] for i in range(len(points)))
        if not has_fold or min(x for x, _ in points) < -ON_FOLD_MM:
            raise LayError(
                f"{self.name} is cut on the fold, but is not drawn as one half along it."
            )
        return tuple(unfolded(list(points)))

    @cached_property
    def area_mm2(self) -> float:
        """Area of one copy, opened out."""
        return float(shapely.Polygon(self.whole_mm).area)


@dataclass(frozen=True)
class Cloth:
    """A cloth as bought; it shrinks by these parts of 1 before the pieces are laid.

    The repeats are those of its stripes or checks after washing, zero where nothing is to meet.
    """

    width_mm: float
    laid: WayOfLaying = "open"
    one_way: bool = False
    shrink_length: float = 0.0
    shrink_width: float = 0.0
    edge_margin_mm: float = 0.0
    repeat_length_mm: float = 0.0
    repeat_width_mm: float = 0.0

    @property
    def washed_width_mm(self) -> float:
        """Width from selvedge to selvedge after the first wash."""
        return self.width_mm * (1 - self.shrink_width)

    @property
    def usable_width_mm(self) -> float:
        """Width after the first wash, less the margin at each selvedge."""
        return self.washed_width_mm - 2 * self.edge_margin_mm

    @property
    def repeats(self) -> tuple[float, ...]:
        """The repeats across and along; none if nothing is to meet."""
        repeats = (self.repeat_width_mm, self.repeat_length_mm)
        return repeats if any(repeats) else ()

    @property
    def layers(self) -> int:
        """How many layers lie under the scissors."""
        return 1 if self.laid == "open" else 2

    @property
    def laid_width_mm(self) -> float:
        """Usable width as the cloth lies: half of it when folded lengthwise."""
        return self.usable_width_mm / (2 if self.laid == "folded" else 1)

    def turns_of(self, piece: LayPiece) -> tuple[float, ...]:
        """The turns a piece may take, from 0 to 360; on one-way cloth only one way up.

        That is turn 0 or, if the grain does not allow it, the first of the piece's turns, with
        what is tilted from it. Over a repeat nothing is tilted.
        """
        turns = tuple(dict.fromkeys(float(turn) % 360 for turn in piece.turns))
        if self.repeats and piece.match_mm is not None:
            turns = tuple(t for i, t in enumerate(turns) if not any(_near(t, s) for s in turns[:i]))
        if not self.one_way:
            return turns
        up = 0.0 if 0.0 in turns else turns[0]
        return tuple(turn for turn in turns if _near(turn, up))

    def on_fold(self, piece: LayPiece) -> bool:
        """True for a piece on the fold that this cloth has a fold for, along its grain."""
        along = _ALONG_FOLD[self.laid]
        return piece.on_fold and any(turn in along for turn in self.turns_of(piece))

    def outline_of(self, piece: LayPiece) -> tuple[Point, ...]:
        """The outline that is laid: the half along the fold, or the whole."""
        return piece.drawn_mm if self.on_fold(piece) else piece.whole_mm

    def copies_of(self, piece: LayPiece) -> tuple[int, ...]:
        """The copies that are placed; on two layers the one after each comes from below it.

        Of an odd number the last has one below that is cut for nothing.
        """
        step = self.layers if not self.on_fold(piece) else 1
        return tuple(range(0, piece.count, step))

    def lies_of(self, piece: LayPiece, copy: int = 0) -> tuple[Lie, ...]:
        """How that copy of the piece may lie."""
        turns = self.turns_of(piece)
        if self.on_fold(piece):
            along = _ALONG_FOLD[self.laid]
            return tuple(Lie(turn, along[turn]) for turn in turns if turn in along)
        if self.layers == 1:
            return tuple(Lie(turn, piece.flips(copy)) for turn in turns)
        sides = (False, True) if piece.pair or piece.may_flip else (False,)
        return tuple(Lie(turn, side) for side in sides for turn in turns)


def _near(one: float, other: float) -> bool:
    """True if one turn is the other, or only tilted from it."""
    return abs((one - other + 180) % 360 - 180) <= MOST_TILT


@dataclass(frozen=True)
class Placement:
    """Where one copy of a piece lies; copies count from 0."""

    name: str
    copy: int
    turn_degrees: float
    flipped: bool
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Lay:
    """Pieces placed on cloth. `length_mm`: cloth used, along its length, all layers taken apart.

    `density`: area of the pieces over that of the cloth used, 0 to 1.
    """

    cloth: Cloth
    pieces: tuple[LayPiece, ...]
    placements: tuple[Placement, ...]
    length_mm: float
    density: float

    @property
    def laid_length_mm(self) -> float:
        """Length as the cloth lies: half of it when folded across."""
        return self.length_mm / (2 if self.cloth.laid == "folded across" else 1)

    @cached_property
    def _outlines(self) -> dict[str, tuple[Point, ...]]:
        return {piece.name: self.cloth.outline_of(piece) for piece in self.pieces}

    def placed_points(self, placement: Placement) -> list[Point]:
        """The outline of that copy where it lies on the cloth. KeyError for an unknown name."""
        outline = self._outlines[placement.name]
        points = turned(outline, placement.turn_degrees, flipped=placement.flipped)
        return [(x + placement.x_mm, y + placement.y_mm) for x, y in points.tolist()]


def laid(pieces: Sequence[LayPiece], cloth: Cloth, placements: Sequence[Placement]) -> Lay:
    """The lay of these placements, with its length and density. Nothing is checked."""
    lay = Lay(cloth, tuple(pieces), tuple(placements), 0.0, 0.0)
    length = max(y for placement in placements for _, y in lay.placed_points(placement))
    length *= 2 if cloth.laid == "folded across" else 1
    area = sum(piece.area_mm2 * piece.count for piece in pieces)
    return Lay(cloth, lay.pieces, lay.placements, length, area / (cloth.usable_width_mm * length))


def width_mm(piece: LayPiece, cloth: Cloth, lie: Lie) -> float:
    """Width of the piece across the cloth as it lies."""
    outline = turned(cloth.outline_of(piece), lie.turn, flipped=lie.flipped)
    return float(np.ptp(outline[:, 0]))
