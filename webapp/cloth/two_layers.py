"""What two layers do to the pieces cut from them: mirror images, and copies that nobody wants."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import shapely

from webapp.cloth.laid import Cloth, LayPiece
from webapp.draft.outline import ON_FOLD_MM, bounds
from webapp.draft.symmetry import is_symmetrical

_SAME_TURN: Final = 1e-6  # degrees
_SAME_AREA: Final = 1e-3


def wrong_hands(pieces: Sequence[LayPiece], cloth: Cloth) -> tuple[str, ...]:
    """Names of pieces wanted alike that two layers give as a left and a right."""
    return tuple(
        piece.name
        for piece in _through_both(pieces, cloth)
        if piece.count > 1 and not piece.pair and not _own_mirror_image(piece, cloth)
    )


def cut_for_nothing(pieces: Sequence[LayPiece], cloth: Cloth) -> tuple[str, ...]:
    """Names of pieces of which two layers give one more than is wanted."""
    return tuple(piece.name for piece in _through_both(pieces, cloth) if piece.count % 2)


def halved(piece: LayPiece) -> LayPiece:
    """A single piece whose sides are alike as the half that lies on a fold along the cloth.

    The pattern piece is folded down its middle for it: common practice, no source. Any other piece
    comes back as it is.
    """
    points = list(piece.whole_mm)
    if piece.on_fold or piece.count != 1 or 0.0 not in piece.turns or not is_symmetrical(points):
        return piece
    left, top, right, bottom = bounds(points)
    middle = (left + right) / 2
    half = shapely.Polygon(points).intersection(shapely.box(middle, top, right, bottom))
    if not isinstance(half, shapely.Polygon):  # a notch down the middle cuts it in two
        return piece
    ring = half.exterior.coords[:-1]
    outline = tuple((0.0 if abs(x - middle) < ON_FOLD_MM else x - middle, y) for x, y in ring)
    match = piece.match_mm and (piece.match_mm[0] - middle, piece.match_mm[1])
    folded = replace(piece, outline_mm=outline, on_fold=True, match_mm=match)
    same = abs(folded.area_mm2 - piece.area_mm2) < _SAME_AREA * piece.area_mm2
    return folded if same else piece


def _through_both(pieces: Sequence[LayPiece], cloth: Cloth) -> list[LayPiece]:
    if cloth.layers == 1:
        return []
    return [piece for piece in pieces if not cloth.on_fold(piece)]


def _own_mirror_image(piece: LayPiece, cloth: Cloth) -> bool:
    """True if the piece turned over is the piece again, or is so once turned upside down."""
    first, *others = cloth.turns_of(piece)
    upside_down = any(abs((turn - first) % 360 - 180) < _SAME_TURN for turn in others)
    points = list(piece.whole_mm)
    return is_symmetrical(points) or (upside_down and is_symmetrical([(y, x) for x, y in points]))
