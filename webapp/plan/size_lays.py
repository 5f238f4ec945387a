"""A lay of one size serves another: the same arrangement, with the other's pieces in the places.

Where each piece lies inside the larger size's piece, the larger size's lay holds for the smaller
as it stands. So the smaller is not told more cloth, however lucky each size's own quick lay is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from typing import Final, NamedTuple

import numpy as np
import shapely
from shapely import affinity

from webapp.cloth.forms import turned
from webapp.cloth.laid import Cloth, Lay, LayPiece, Placement
from webapp.cloth.lay import first_lay, lay_from
from webapp.cloth.lay_checks import OVERLAP_MM2, fault
from webapp.cloth.settle import settle
from webapp.errors import LayError

_PUSH_MM: Final = 15.0  # how far a piece may stand out of the larger one and be slid clear
_SHORTER_MM: Final = 1e-6  # arithmetic noise


class _Match(NamedTuple):
    """How far to shift a piece so that it lies best in another, and what stands out of it."""

    dx_mm: float
    dy_mm: float
    outside_mm2: float


@dataclass(frozen=True)
class Bed:
    """The pieces of one size on a cloth, and the beds of sizes whose lays may serve it."""

    size: str
    pieces: tuple[LayPiece, ...]
    cloth: Cloth
    found: Lay | None = None  # by a search
    larger: Callable[[], Sequence["Bed"]] = tuple

    @cached_property
    def own(self) -> Lay:
        """The lay of its own: the one found, else the quick one. LayError if there can be none."""
        return self.found or quick(self.pieces, self.cloth)

    @cached_property
    def served(self) -> tuple[Lay, str]:
        """The shortest lay, its own or another size's, and the size it is of. LayError as above."""
        own = self.own
        lent = [(bed.lay, bed.size) for bed in self.larger() if bed.can_be_laid]
        for lay, size in sorted(lent, key=lambda pair: pair[0].length_mm):
            if lay.length_mm > own.length_mm - _SHORTER_MM:
                break
            served = lent_lay(lay, self.pieces)
            if served and served.length_mm < own.length_mm - _SHORTER_MM:
                return served, size
        return own, self.size

    @property
    def lay(self) -> Lay:
        """The shortest lay. LayError if there can be none."""
        return self.served[0]

    @property
    def least_mm(self) -> float:
        """No lay of these pieces is shorter: it would be less cloth than they are."""
        area_mm2 = sum(piece.area_mm2 * piece.count for piece in self.pieces)
        return area_mm2 / self.cloth.usable_width_mm

    @cached_property
    def can_be_laid(self) -> bool:
        """False when the pieces cannot be laid on the cloth."""
        try:
            return bool(self.own)
        except LayError:
            return False


@lru_cache(maxsize=512)
def quick(pieces: tuple[LayPiece, ...], cloth: Cloth) -> Lay:
    """`first_lay`, remembered."""
    return first_lay(pieces, cloth)


@lru_cache(maxsize=512)
def lent_lay(lay: Lay, pieces: tuple[LayPiece, ...]) -> Lay | None:
    """These pieces laid as those of the lay are; None where they are others or do not hold so.

    Each piece takes the place of the one of its name, shifted so that it lies in it as well as it
    can; what stands out is slid clear. What comes back is checked like any kept lay.
    """
    theirs = {piece.name: piece for piece in lay.pieces}
    if len(theirs) != len(pieces) or not all(
        piece.name in theirs and _alike(piece, theirs[piece.name]) for piece in pieces
    ):
        return None
    repeats = bool(lay.cloth.repeat_length_mm or lay.cloth.repeat_width_mm)
    matches = {
        piece.name: match(piece, theirs[piece.name], by_match_point=repeats) for piece in pieces
    }
    placements = [_shifted(place, matches[place.name]) for place in lay.placements]
    tries = [placements, _slid(replace(lay, pieces=pieces), placements)]
    sound = [found for places in tries if (found := _sound(pieces, lay.cloth, places))]
    return min(sound, key=lambda found: found.length_mm, default=None)


def _alike(one: LayPiece, other: LayPiece) -> bool:
    """True when they are cut as often, on the same grain, on the fold or as a pair alike."""
    return (one.count, tuple(one.turns), one.on_fold, one.pair, one.may_flip) == (
        other.count,
        tuple(other.turns),
        other.on_fold,
        other.pair,
        other.may_flip,
    )


@lru_cache(maxsize=1024)
def match(piece: LayPiece, other: LayPiece, *, by_match_point: bool = False) -> _Match:
    """The shift that leaves the least of the piece outside the other: as drawn, or by bounds.

    A piece on the fold keeps to its fold; where a repeat is to meet, match point lies on match
    point.
    """
    mine, theirs = shapely.Polygon(piece.whole_mm), shapely.Polygon(other.whole_mm)
    near, far = np.subtract(theirs.bounds, mine.bounds).reshape(2, 2)
    across = [0.0] if piece.on_fold else [0.0, near[0], far[0], (near[0] + far[0]) / 2]
    along = [0.0, near[1], far[1], (near[1] + far[1]) / 2]
    if by_match_point and piece.match_mm and other.match_mm:
        across, along = ([float(d)] for d in np.subtract(other.match_mm, piece.match_mm))
    shapely.prepare(theirs)
    found = []
    for dx, dy in product(dict.fromkeys(across), dict.fromkeys(along)):
        moved = affinity.translate(mine, dx, dy)
        outside = 0.0 if theirs.covers(moved) else moved.difference(theirs).area
        found.append(_Match(float(dx), float(dy), outside))
    return min(found, key=lambda each: each.outside_mm2)


def _shifted(place: Placement, by: _Match) -> Placement:
    """The placement of the piece that was shifted on paper, before it is flipped and turned."""
    dx, dy = turned([(by.dx_mm, by.dy_mm)], place.turn_degrees, flipped=place.flipped)[0].tolist()
    return replace(place, x_mm=place.x_mm + dx, y_mm=place.y_mm + dy)


def _slid(lay: Lay, placements: Sequence[Placement]) -> list[Placement]:
    """The pieces slid clear of each other, and together along the cloth."""
    before = [np.array(lay.placed_points(place)) for place in placements]
    after = settle([shape.copy() for shape in before], _PUSH_MM)
    slides = [(new[0] - old[0]).tolist() for old, new in zip(before, after, strict=True)]
    return [
        replace(place, x_mm=place.x_mm + dx, y_mm=place.y_mm + dy)
        for place, (dx, dy) in zip(placements, slides, strict=True)
    ]


def _sound(
    pieces: tuple[LayPiece, ...], cloth: Cloth, placements: Sequence[Placement]
) -> Lay | None:
    try:
        lay = lay_from(pieces, cloth, placements)
    except LayError:
        return None
    return None if fault(lay, OVERLAP_MM2) else lay  # a lay just made holds to a hair
