"""What two layers do to the pieces cut from them: mirror images, and copies that nobody wants."""

from collections.abc import Sequence
from typing import Final

from webapp.cloth.laid import Cloth, LayPiece
from webapp.draft.symmetry import is_symmetrical

_SAME_TURN: Final = 1e-6  # degrees


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
    """True if the piece turned over is the piece again, or is so once turned upside down."""
    first, *others = cloth.turns_of(piece)
    upside_down = any(abs((turn - first) % 360 - 180) < _SAME_TURN for turn in others)
    points = list(piece.whole_mm)
    return is_symmetrical(points) or (upside_down and is_symmetrical([(y, x) for x, y in points]))
