"""Laying pieces on cloth: at once, by a longer search, or as a lay was kept."""

import hashlib
import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain
from typing import Final, NamedTuple

import numpy as np

from webapp.cloth.first_lay import quick_fills
from webapp.cloth.forms import Form, coarse, turned
from webapp.cloth.laid import (
    TOO_WIDE_MM,
    Cloth,
    Lay,
    LayPiece,
    Placement,
    check,
    fault,
    laid,
    width_mm,
)
from webapp.cloth.search import PLAY, Found, Wanted, search
from webapp.cloth.settle import settle
from webapp.cloth.terrain import Spot
from webapp.draft.evaluate import Piece
from webapp.draft.outline import Point
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

OVERLAP_MM2: Final = 0.05  # what two placed pieces may share: a hair's width of arithmetic
KEPT_OVERLAP_MM2: Final = 5.0  # what two long edges share at most when kept to 0.001 mm
_QUICK: Final = ((0, 1000), (2, 200))  # spare columns, and how much to try with them
_SETTLINGS: Final = 40  # how many pieces are settled in all, one fill at least
_PUSHES: Final = (1e-6, 2 * PLAY)  # of the width: for float noise, and for what a search found
_SAME_TURN: Final = 1e-6  # degrees

_TURNS: Final[dict[str, tuple[float, ...]]] = {
    "along": (0, 180),
    "across": (90, 270),
    "bias": (45, 135, 225, 315),
}


class _Stock(NamedTuple):
    """Copies of a piece that lie the same side up: all of them, or one hand of a pair.

    With the outline they are packed by, mirrored if flipped, and its forms in the turns that fit
    the cloth.
    """

    piece: LayPiece
    copies: Sequence[int]
    flipped: bool
    outline: Sequence[Point]
    forms: Mapping[float, Form]


def lay_pieces(pieces: Iterable[Piece]) -> tuple[LayPiece, ...]:
    """Evaluated pattern pieces as pieces to lay on open cloth, those on the fold opened out."""
    return tuple(
        LayPiece(
            piece.name,
            tuple(piece.whole_cut_points),
            piece.cut_count,
            _TURNS[piece.grain],
            pair=piece.pair,
        )
        for piece in pieces
    )


def first_lay(pieces: Sequence[LayPiece], cloth: Cloth) -> Lay:
    """A lay at once, the same every time. LayError if the pieces cannot be laid on this cloth."""
    check(pieces, cloth)
    return _first(_stocks(pieces, cloth), cloth)


def lay_out(
    pieces: Sequence[LayPiece],
    cloth: Cloth,
    *,
    seconds: float,
    seed: int = 0,
    progress: Callable[[float, float], None] | None = None,
) -> Lay:
    """The shortest lay found in about `seconds` (whole seconds, at least 1).

    Never longer than `first_lay`. The seed steers the search but the clock ends it, so the same
    seed may end a little differently. `progress` hears length (mm) and density of the first lay,
    then of each shorter one. LayError as in `first_lay`.
    """
    check(pieces, cloth)
    stocks = _stocks(pieces, cloth)
    best = _first(stocks, cloth)
    tell = _shorter_only(progress, best.density * best.length_mm) if progress else None
    if tell:
        tell(best.length_mm)
    found = search(
        [Wanted(stock.outline, len(stock.copies), list(stock.forms)) for stock in stocks],
        cloth.usable_width_mm,
        seconds=max(1, int(seconds)),
        seed=seed,
        progress=tell,
    )
    lay = _settled(stocks, cloth, found, _PUSHES) if found else None
    if lay and lay.length_mm < best.length_mm:
        best = lay
    if tell:
        tell(best.length_mm)
    return best


def lay_from(pieces: Sequence[LayPiece], cloth: Cloth, placements: Iterable[Placement]) -> Lay:
    """A lay as it was kept. LayError if it is not a lay of these pieces on this cloth."""
    check(pieces, cloth)
    places = tuple(placements)
    known = {piece.name: piece for piece in pieces}
    for place in places:
        if place.name not in known:
            raise LayError(f"The kept lay holds “{place.name}”, which is not one of the pieces.")
        _check_kept(place, known[place.name], cloth)
    times = Counter((place.name, place.copy) for place in places)
    for piece in pieces:
        if any(times[piece.name, copy] != 1 for copy in range(piece.count)):
            raise LayError(f"The kept lay does not hold each copy of {piece.name} once.")
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
    )
    return hashlib.sha256(json.dumps((shown, ground)).encode()).hexdigest()


def _stocks(pieces: Sequence[LayPiece], cloth: Cloth) -> list[_Stock]:
    stocks = []
    for piece in pieces:
        for flipped in (False, True):
            copies = [copy for copy in range(piece.count) if piece.flips(copy) == flipped]
            if copies:
                stocks.append(_stock(piece, copies, flipped, cloth))
    return stocks


def _stock(piece: LayPiece, copies: Sequence[int], flipped: bool, cloth: Cloth) -> _Stock:
    usable = cloth.usable_width_mm + TOO_WIDE_MM
    turns = [
        turn for turn in cloth.turns_of(piece) if width_mm(piece, turn, flipped=flipped) <= usable
    ]
    # Read backwards, a mirrored outline runs the same way round as the one it came from.
    whole = [(-x, y) for x, y in reversed(piece.whole_mm)] if flipped else piece.whole_mm
    for outline in (coarse(whole), whole):
        forms = {turn: Form(turn, turned(outline, turn)) for turn in turns}
        if all(form.size[0] <= usable for form in forms.values()):
            break
    return _Stock(piece, copies, flipped, outline, forms)


def _first(stocks: Sequence[_Stock], cloth: Cloth) -> Lay:
    copies = [i for i, stock in enumerate(stocks) for _ in stock.copies]
    choices = [list(stock.forms.values()) for stock in stocks]
    areas = [stock.piece.area_mm2 for stock in stocks]
    best: Lay | None = None
    for spare, placings in _QUICK:
        fills = quick_fills(
            copies,
            choices,
            areas,
            cloth.usable_width_mm,
            spare_columns=spare,
            placings=placings,
        )
        for fill in fills[: 1 + _SETTLINGS // len(copies)]:
            if best and fill.length_mm >= best.length_mm:
                break
            found = [
                _found(i, choices[i][spot.form], spot)
                for i, spot in zip(copies, fill.spots, strict=True)
            ]
            lay = _settled(stocks, cloth, found)
            if lay and (best is None or lay.length_mm < best.length_mm):
                best = lay
    assert best is not None  # a fill without spare columns always holds
    return best


def _found(piece: int, form: Form, spot: Spot) -> Found:
    left, top = form.corner
    return Found(piece, form.turn, spot.x_mm - left, spot.y_mm - top)


def _settled(
    stocks: Sequence[_Stock],
    cloth: Cloth,
    found: Sequence[Found],
    pushes: Sequence[float] = _PUSHES[:1],
) -> Lay | None:
    """The lay of what was found, slid together, else as it was found; None if neither holds."""
    pieces = list({stock.piece.name: stock.piece for stock in stocks}.values())
    pushes_mm = [push * cloth.usable_width_mm for push in pushes]
    for places in chain((_slid(stocks, found, push) for push in pushes_mm), [found]):
        lay = laid(pieces, cloth, _placements(stocks, places))
        if not fault(lay, OVERLAP_MM2):
            return lay
    return None


def _slid(stocks: Sequence[_Stock], found: Sequence[Found], push_mm: float) -> list[Found]:
    before = [
        np.add(stocks[each.piece].forms[each.turn].points, (each.x_mm, each.y_mm)) for each in found
    ]
    after = settle(before, push_mm)
    slides = [(new[0] - old[0]).tolist() for old, new in zip(before, after, strict=True)]
    return [
        each._replace(x_mm=each.x_mm + dx, y_mm=each.y_mm + dy)
        for each, (dx, dy) in zip(found, slides, strict=True)
    ]


def _placements(stocks: Sequence[_Stock], found: Sequence[Found]) -> list[Placement]:
    """Placements, the copies of a piece, or of each hand of a pair, numbered along the cloth."""
    copies = [iter(stock.copies) for stock in stocks]
    return [
        Placement(
            stocks[each.piece].piece.name,
            next(copies[each.piece]),
            each.turn,
            stocks[each.piece].flipped,
            each.x_mm,
            each.y_mm,
        )
        for each in sorted(found, key=lambda each: (each.y_mm, each.x_mm))
    ]


def _check_kept(place: Placement, piece: LayPiece, cloth: Cloth) -> None:
    if not all(math.isfinite(n) for n in (place.turn_degrees, place.x_mm, place.y_mm)):
        raise LayError(f"The kept lay gives no place for {piece.name}.")
    if not 0 <= place.copy < piece.count:
        raise LayError(f"The kept lay holds more copies of {piece.name} than are cut.")
    if piece.pair and place.flipped != piece.flips(place.copy):
        raise LayError(f"The kept lay does not hold a left and a right of {piece.name} in turn.")
    if place.flipped and not (piece.pair or piece.may_flip):
        raise LayError(f"The kept lay turns {piece.name} over, which it may not be.")
    aways = [abs((place.turn_degrees - t + 180) % 360 - 180) for t in cloth.turns_of(piece)]
    if min(aways) > _SAME_TURN:
        raise LayError(f"The kept lay turns {piece.name} off its grain.")


def _shorter_only(
    progress: Callable[[float, float], None], area_per_width: float
) -> Callable[[float], None]:
    """Pass on a length, with its density, only when it is the shortest so far."""
    shortest = math.inf

    def tell(length_mm: float) -> None:
        nonlocal shortest
        if length_mm < shortest:
            shortest = length_mm
            progress(length_mm, area_per_width / length_mm)

    return tell
