"""Cloth, the pieces to lay on it, and the lay they make; when a lay holds and when it cannot.

x runs across the usable cloth from 0 to its width, y along the grain from 0 to the lay's length,
all in mm. A placed point is the outline's point, mirrored at x = 0 if flipped, turned by t
(x cos t - y sin t, x sin t + y cos t), then shifted by (x_mm, y_mm).
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

import numpy as np
import shapely

from webapp.cloth.forms import turned
from webapp.draft.outline import ON_FOLD_MM, Point, unfolded
from webapp.errors import LayError
from webapp.units import both

WayOfLaying = Literal["open", "folded", "folded across"]

MOST_COPIES: Final = 500
MOST_SHRINKAGE: Final = 0.5
TOO_WIDE_MM: Final = 1e-6  # arithmetic noise, when a piece is just as wide as the cloth
_OUTSIDE_MM: Final = 1e-3  # placements may have been rounded to this


@dataclass(frozen=True)
class LayPiece:
    """A piece to lay: its cut line, how many copies, and the turns its grain allows, degrees.

    A piece on the fold is drawn as the half to the right of x = 0. Open cloth has no fold, so it
    is opened out first, and a placement speaks of the points of the opened outline. Open cloth
    also keeps the sides as drawn: no lay made here flips a piece, but for every second copy of a
    `pair`, a left and a right; `may_flip` says whether a placement brought from elsewhere may.
    """

    name: str
    outline_mm: Sequence[Point]
    count: int
    turns: Sequence[float] = (0, 180)
    on_fold: bool = False
    may_flip: bool = False
    pair: bool = False

    def flips(self, copy: int) -> bool:
        """True for a copy of the other hand, which lies flipped: the odd ones of a pair."""
        return self.pair and copy % 2 == 1

    @cached_property
    def whole_mm(self) -> tuple[Point, ...]:
        """The outline as the cloth sees it, opened out, the closing point not repeated.

        LayError if a piece on the fold is not drawn as one half beside x = 0.
        """
        points = [(float(x), float(y)) for x, y in self.outline_mm]
        if len(points) > 1 and points[0] == points[-1]:
            points.pop()
        if not self.on_fold:
            return tuple(points)
        on_fold = [abs(x) <= ON_FOLD_MM for x, _ in points]
        has_fold = any(on_fold[i] and on_fold[i - 1] for i in range(len(points)))
        if not has_fold or min(x for x, _ in points) < -ON_FOLD_MM:
            raise LayError(
                f"{self.name} is cut on the fold, but is not drawn as one half along it."
            )
        return tuple(unfolded(points))

    @cached_property
    def area_mm2(self) -> float:
        """Area of one copy, opened out."""
        return float(shapely.Polygon(self.whole_mm).area)


@dataclass(frozen=True)
class Cloth:
    """A cloth as bought; it shrinks by these parts of 1 before the pieces are laid."""

    width_mm: float
    laid: WayOfLaying = "open"
    one_way: bool = False
    shrink_length: float = 0.0
    shrink_width: float = 0.0
    edge_margin_mm: float = 0.0

    @property
    def washed_width_mm(self) -> float:
        """Width from selvedge to selvedge after the first wash."""
        return self.width_mm * (1 - self.shrink_width)

    @property
    def usable_width_mm(self) -> float:
        """Width after the first wash, less the margin at each selvedge."""
        return self.washed_width_mm - 2 * self.edge_margin_mm

    @property
    def layers(self) -> int:
        """How many layers lie under the scissors."""
        return 1 if self.laid == "open" else 2

    @property
    def laid_width_mm(self) -> float:
        """Usable width as the cloth lies: half of it when folded lengthwise, the fold at x = 0."""
        return self.usable_width_mm / (2 if self.laid == "folded" else 1)

    def turns_of(self, piece: LayPiece) -> tuple[float, ...]:
        """The turns a piece may take, from 0 to 360; on one-way cloth only one.

        That is turn 0 or, if the grain does not allow it, the first of the piece's turns.
        """
        turns = tuple(dict.fromkeys(float(turn) % 360 for turn in piece.turns))
        if not self.one_way:
            return turns
        return (0.0,) if 0.0 in turns else turns[:1]


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
        """Length as the cloth lies: half of it when folded across, the fold at y = 0."""
        return self.length_mm / (2 if self.cloth.laid == "folded across" else 1)

    def placed_points(self, placement: Placement) -> list[Point]:
        """The outline of that copy where it lies on the cloth. KeyError for an unknown name."""
        piece = {piece.name: piece for piece in self.pieces}[placement.name]
        points = turned(piece.whole_mm, placement.turn_degrees, flipped=placement.flipped)
        return [(x + placement.x_mm, y + placement.y_mm) for x, y in points.tolist()]


def laid(pieces: Sequence[LayPiece], cloth: Cloth, placements: Sequence[Placement]) -> Lay:
    """The lay of these placements, with its length and density. Nothing is checked."""
    lay = Lay(cloth, tuple(pieces), tuple(placements), 0.0, 0.0)
    length = max(y for placement in placements for _, y in lay.placed_points(placement))
    area = sum(piece.area_mm2 * piece.count for piece in pieces)
    return Lay(cloth, lay.pieces, lay.placements, length, area / (cloth.usable_width_mm * length))


def fault(lay: Lay, overlap_mm2: float) -> str:
    """Why the pieces cannot lie as placed: one over the edge, or two that share more than that.

    Empty if they can.
    """
    shapes = [shapely.Polygon(lay.placed_points(place)) for place in lay.placements]
    names = [f"{place.name} ({place.copy + 1})" for place in lay.placements]
    for name, shape in zip(names, shapes, strict=True):
        left, top, right, _ = shape.bounds
        if min(left, top, lay.cloth.usable_width_mm - right) < -_OUTSIDE_MM:
            return f"{name} lies over the edge of the cloth."
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    pairs = np.array((one, other))[:, one < other].T
    for i, j in pairs.tolist():
        if shapes[i].intersection(shapes[j]).area > overlap_mm2:
            return f"{names[i]} and {names[j]} lie on top of each other."
    return ""


def check(pieces: Sequence[LayPiece], cloth: Cloth) -> None:
    """LayError, in a sentence, if these pieces cannot be laid on this cloth."""
    _check_cloth(cloth)
    if not pieces:
        raise LayError("There are no pieces to lay.")
    twins = [name for name, times in Counter(piece.name for piece in pieces).items() if times > 1]
    if twins:
        raise LayError(f"Two pieces are called “{twins[0]}”; give one another name.")
    for piece in pieces:
        _check_piece(piece)
    if sum(piece.count for piece in pieces) > MOST_COPIES:
        raise LayError(f"A lay holds up to {MOST_COPIES} pieces; lay fewer copies at a time.")
    for piece in pieces:
        _check_width(piece, cloth)


def _check_cloth(cloth: Cloth) -> None:
    if cloth.laid != "open":
        raise LayError("Only open cloth can be laid so far, one layer from selvedge to selvedge.")
    numbers = (cloth.width_mm, cloth.edge_margin_mm, cloth.shrink_width, cloth.shrink_length)
    if not all(math.isfinite(number) for number in numbers) or cloth.width_mm <= 0:
        raise LayError("The cloth's width must be more than zero.")
    for shrinks in (cloth.shrink_width, cloth.shrink_length):
        if not 0 <= shrinks < MOST_SHRINKAGE:
            raise LayError("Cloth shrinks by 0 % or more, and by less than 50 %.")
    if cloth.edge_margin_mm < 0:
        raise LayError("The margin left at the selvedges cannot be less than zero.")
    if cloth.usable_width_mm <= 0:
        raise LayError("The margins at the selvedges leave no cloth between them.")


def _check_piece(piece: LayPiece) -> None:
    if piece.count < 1:
        raise LayError(f"{piece.name} must be cut at least once.")
    if not piece.turns or not all(math.isfinite(turn) for turn in piece.turns):
        raise LayError(f"{piece.name} has no turn in which it may lie on the cloth.")
    if len(piece.outline_mm) < 3 or not np.isfinite(np.asarray(piece.outline_mm)).all():
        raise LayError(f"{piece.name} has no outline to lay.")
    if len(piece.whole_mm) < 3 or not shapely.Polygon(piece.whole_mm).is_valid:
        raise LayError(f"The cut line of {piece.name} crosses itself.")
    if piece.area_mm2 <= 0:
        raise LayError(f"{piece.name} has no outline to lay.")


def _check_width(piece: LayPiece, cloth: Cloth) -> None:
    usable = cloth.usable_width_mm
    width = _least_width_mm(piece, cloth.turns_of(piece))
    if width <= usable + TOO_WIDE_MM:
        return
    advice = "Choose a wider cloth, or split the piece with a seam."
    if _least_width_mm(piece, (0, 90)) <= usable + TOO_WIDE_MM:
        advice = (
            "It would fit turned to the other grain, if the cloth allows it; "
            "otherwise choose a wider cloth, or split the piece with a seam."
        )
    raise LayError(
        f"{piece.name} is {both(width, 'cm')} wide on the cloth, which has "
        f"{both(usable, 'cm')} to lay on. {advice}"
    )


def _least_width_mm(piece: LayPiece, turns: Sequence[float]) -> float:
    """Width of the piece in its narrowest turn; of a pair, that of its wider hand."""
    hands = {piece.flips(copy) for copy in range(min(piece.count, 2))}
    return max(min(width_mm(piece, turn, flipped=flipped) for turn in turns) for flipped in hands)


def width_mm(piece: LayPiece, turn: float, *, flipped: bool = False) -> float:
    """Width of the piece across the cloth in that turn."""
    return float(np.ptp(turned(piece.whole_mm, turn, flipped=flipped)[:, 0]))
