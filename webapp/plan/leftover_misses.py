"""What was not tried of a recipe for want of measures, and by how much it missed the offcuts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from webapp.cloth.forms import turned
from webapp.cloth.laid import Cloth, LayPiece
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Body, Recipe
from webapp.plan.evaluate import draft_all
from webapp.plan.leftovers import main_pieces

_NOISE_MM = 1e-6


@dataclass(frozen=True)
class NearMiss:
    """The piece of the smallest size that misses by the most, and the offcut nearest to it, mm.

    Across × along the grain. `alone` is True when each piece by itself would have had room; then
    the piece is the one with the least of it.
    """

    size: str
    piece: str
    piece_mm: tuple[float, float]
    offcut_mm: tuple[float, float]
    alone: bool


@dataclass(frozen=True)
class Tried:
    """A recipe that was tried: the sizes left out with the measures each lacks, the nearest miss.

    There is no miss when some size fits, and none when no size could be drafted.
    """

    key: str
    name: str
    lacking: tuple[tuple[str, tuple[str, ...]], ...]
    miss: NearMiss | None
    fits: bool

    @property
    def left_out(self) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
        """Sizes that lack the same measures, together, with these measures."""
        groups: dict[tuple[str, ...], list[str]] = {}
        for size, measures in self.lacking:
            groups.setdefault(measures, []).append(size)
        return tuple((tuple(sizes), measures) for measures, sizes in groups.items())


def tried(
    key: str,
    recipe: Recipe,
    offcuts: Sequence[Offcut],
    bodies: Sequence[Body],
    cloth: Cloth,
    *,
    fits: bool,
) -> Tried:
    """What came of a recipe on these bodies; `fits` when some size was found to fit."""
    return Tried(
        key,
        recipe.name,
        tuple((body.name, names) for body in bodies if (names := _lacking(recipe, body))),
        None if fits else _near_miss(recipe, offcuts, bodies, cloth),
        fits,
    )


def _lacking(recipe: Recipe, body: Body) -> tuple[str, ...]:
    given = {name.lower() for name, text in body.measures.items() if text.strip()}
    return tuple(name for name in recipe.measures if name.lower() not in given)


def _near_miss(
    recipe: Recipe, offcuts: Sequence[Offcut], bodies: Sequence[Body], cloth: Cloth
) -> NearMiss | None:
    rectangles = [sides for offcut in offcuts for sides in offcut.rectangles_mm]
    sized = [(body.name, pieces) for body, pieces in _drafted(recipe, bodies) if pieces]
    if not rectangles or not sized:
        return None
    turning = Cloth(1.0, one_way=cloth.one_way)
    size, pieces = min(sized, key=lambda one: sum(p.area_mm2 * p.count for p in one[1]))
    nearest = {piece.name: _nearest(piece, rectangles, turning) for piece in pieces}
    name, (short_mm, box, room) = max(nearest.items(), key=lambda one: one[1][0])
    return NearMiss(size, name, box, room, short_mm <= _NOISE_MM)


_Sides = tuple[float, float]


def _nearest(
    piece: LayPiece, rectangles: Sequence[_Sides], cloth: Cloth
) -> tuple[float, _Sides, _Sides]:
    """By how much a piece misses the rectangle that comes nearest, below zero if it fits.

    With the box about the piece as it lies then, and the rectangle.
    """
    tries = [(box, room) for box in _boxes_mm(piece, cloth) for room in rectangles]
    return min((max(box[0] - room[0], box[1] - room[1]), box, room) for box, room in tries)


def _drafted(recipe: Recipe, bodies: Sequence[Body]) -> Iterator[tuple[Body, tuple[LayPiece, ...]]]:
    if recipe.pieces:
        for body in bodies:
            (draft,) = draft_all((recipe,), body)
            yield body, main_pieces(draft)


def _boxes_mm(piece: LayPiece, cloth: Cloth) -> Iterator[tuple[float, float]]:
    """Width and length of the box about a piece, opened out, in each turn it may take."""
    for turn in cloth.turns_of(piece):
        width, length = np.ptp(turned(piece.whole_mm, turn), axis=0).tolist()
        yield width, length
