"""What two layers do to the pieces cut from them: mirror images, and copies that nobody wants."""

from collections.abc import Sequence

import shapely
from shapely import affinity

from webapp.cloth.laid import Cloth, LayPiece

_SAME_SHAPE = 1e-3  # of the area: less than a blade is true


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


def _through_both(pieces: Sequence[LayPiece], cloth: Cloth) -> list[LayPiece]:
    if cloth.layers == 1:
        return []
    return [piece for piece in pieces if not cloth.on_fold(piece)]


def _own_mirror_image(piece: LayPiece, cloth: Cloth) -> bool:
    """True if the piece turned over is the piece again, in one of the turns its grain allows."""
    shape = shapely.Polygon(piece.whole_mm)
    mirrored = affinity.scale(shape, xfact=-1, yfact=1, origin=(0, 0))
    first = next(iter(cloth.turns_of(piece)))
    for turn in cloth.turns_of(piece):
        turned = affinity.rotate(mirrored, turn - first, origin=(0, 0))
        dx, dy = shape.centroid.x - turned.centroid.x, shape.centroid.y - turned.centroid.y
        moved = affinity.translate(turned, dx, dy)
        if shape.symmetric_difference(moved).area <= _SAME_SHAPE * shape.area:
            return True
    return False
