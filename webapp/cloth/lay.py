"""Laying pieces on cloth: at once, by a longer search, or as a lay was kept."""

import hashlib
import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Final

from webapp.cloth.bound import least_length_mm
from webapp.cloth.laid import Cloth, Lay, LayPiece, Placement, laid
from webapp.cloth.lay_checks import check, check_kept, fault
from webapp.cloth.searching import quick_lay, searched_lays
from webapp.cloth.stocks import stocks_of
from webapp.draft.evaluate import Piece
from webapp.errors import LayError

__all__ = [
    "Cloth",
    "Lay",
    "LayPiece",
    "Placement",
    "fingerprint",
    "first_lay",
    "lay_from",
    "lay_out",
    "lay_pieces",
]

KEPT_OVERLAP_MM2: Final = 5.0  # what two long edges share at most when kept to 0.001 mm
_LONGEST_SEARCH_S: Final = 3600
_AS_SHORT_AS_CAN_BE: Final = 1.0005  # times the least length; the rest is a hair of cloth

_TURNS: Final[dict[str, tuple[float, ...]]] = {
    "along": (0, 180),
    "across": (90, 270),
    "bias": (45, 135, 225, 315),
}

_TILTS: Final = (-1.0, -0.5, 0.5, 1.0)  # of the most a piece may be tilted


def lay_pieces(pieces: Iterable[Piece]) -> tuple[LayPiece, ...]:
    """Evaluated pattern pieces as pieces to lay, those on the fold as the half that is drawn."""
    return tuple(
        _as_known(
            LayPiece(
                piece.name,
                tuple(piece.cut_points),
                piece.cut_count,
                _turns(piece),
                on_fold=piece.on_fold,
                pair=piece.pair,
                match_mm=piece.match_mm,
            )
        )
        for piece in pieces
    )


@lru_cache(maxsize=1024)
def _as_known(piece: LayPiece) -> LayPiece:
    """The piece, or an equal one of before with what was worked out of it."""
    return piece


def _turns(piece: Piece) -> tuple[float, ...]:
    """The turns its grain allows, and where it may lie a little off it, some to either side."""
    offs = (0.0, *(piece.tilt * part for part in _TILTS)) if piece.tilt else (0.0,)
    return tuple(turn + off for off in offs for turn in _TURNS[piece.grain])


def first_lay(pieces: Sequence[LayPiece], cloth: Cloth) -> Lay:
    """A lay at once, the same every time. LayError if the pieces cannot be laid on this cloth."""
    check(pieces, cloth)
    return quick_lay(stocks_of(pieces, cloth), cloth)


def lay_out(
    pieces: Sequence[LayPiece],
    cloth: Cloth,
    *,
    seconds: float,
    seed: int = 0,
    progress: Callable[[Lay], None] | None = None,
) -> Lay:
    """The shortest lay found in about `seconds` (whole seconds, at least 1).

    Never longer than `first_lay`. On open cloth without a repeat the seed steers the library's
    search but the clock ends it, so the same seed may end a little differently; every other lay
    comes out the same. `progress` gets the first lay, then each shorter one. LayError as in
    `first_lay`.
    """
    check(pieces, cloth)
    stocks = stocks_of(pieces, cloth)
    best = quick_lay(stocks, cloth)
    if progress:
        progress(best)
    if best.length_mm <= least_length_mm(stocks, cloth) * _AS_SHORT_AS_CAN_BE:
        return best
    if not math.isfinite(seconds):
        raise LayError("A search takes a number of seconds.")
    whole_seconds = min(max(1, int(seconds)), _LONGEST_SEARCH_S)
    watched = progress is not None
    for lay in searched_lays(stocks, cloth, best, whole_seconds, seed % 2**32, on_the_way=watched):
        if lay.length_mm < best.length_mm:
            best = lay
            if progress:
                progress(best)
    return best


def lay_from(pieces: Sequence[LayPiece], cloth: Cloth, placements: Iterable[Placement]) -> Lay:
    """A lay as it was kept. LayError if it is not a lay of these pieces on this cloth."""
    check(pieces, cloth)
    places = tuple(placements)
    known = {piece.name: piece for piece in pieces}
    for place in places:
        if place.name not in known:
            raise LayError(f"The kept lay holds “{place.name}”, which is not one of the pieces.")
        check_kept(place, known[place.name], cloth)
    times = Counter((place.name, place.copy) for place in places)
    wanted = Counter((piece.name, copy) for piece in pieces for copy in cloth.copies_of(piece))
    for name, _ in (times - wanted) + (wanted - times):
        raise LayError(f"The kept lay does not hold each copy of {name} once.")
    lay = laid(pieces, cloth, places)
    reason = fault(lay, KEPT_OVERLAP_MM2)
    if reason:
        raise LayError(f"The kept lay does not hold: {reason}")
    return lay


def fingerprint(pieces: Iterable[LayPiece], cloth: Cloth) -> str:
    """SHA-256, in hex, of all a lay depends on; lengths count to 0.001 mm, order does not."""
    shown = [
        (
            piece.name,
            [(round(x * 1000), round(y * 1000)) for x, y in piece.whole_mm],
            piece.count,
            [round(float(turn) % 360, 6) for turn in piece.turns],
            "pair" if piece.pair else piece.may_flip,
            *((True,) if cloth.on_fold(piece) else ()),
            *(_thousandths(piece.match_mm or ()) if cloth.repeats else ()),
        )
        for piece in sorted(pieces, key=lambda piece: piece.name)
    ]
    ground = (
        round(cloth.width_mm * 1000),
        cloth.laid,
        cloth.one_way,
        round(cloth.shrink_length, 6),
        round(cloth.shrink_width, 6),
        round(cloth.edge_margin_mm * 1000),
        *_thousandths(cloth.repeats),
    )
    return hashlib.sha256(json.dumps((shown, ground)).encode()).hexdigest()


def _thousandths(lengths_mm: Iterable[float]) -> tuple[int, ...]:
    return tuple(round(length * 1000) for length in lengths_mm)
