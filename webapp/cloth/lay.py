"""Laying pieces on cloth: at once, by a longer search, or as a lay was kept."""

import hashlib
import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from typing import Final

import numpy as np

from webapp.cloth.bound import least_length_mm
from webapp.cloth.first_lay import quick_fills
from webapp.cloth.forms import turned
from webapp.cloth.improve import improved_fills
from webapp.cloth.laid import Cloth, Lay, LayPiece, Placement, laid
from webapp.cloth.lay_checks import check, check_kept, fault
from webapp.cloth.search import PLAY, Wanted, search
from webapp.cloth.settle import settle
from webapp.cloth.stocks import Found, Stock, lay_of, stocks_of
from webapp.cloth.terrain import Fill, Ground
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

OVERLAP_MM2: Final = 0.05  # what two placed pieces may share: a hair's width of arithmetic
KEPT_OVERLAP_MM2: Final = 5.0  # what two long edges share at most when kept to 0.001 mm
_PLACINGS: Final = (1000, 200)  # how much is tried at once, without and with spare columns
_SPARE_COLUMNS: Final = 2
_MOST_PHASES: Final = 12  # of a repeat that are tried
_SETTLINGS: Final = 40  # how many pieces are settled in all, one fill at least
_PUSHES: Final = (1e-6, 2 * PLAY)  # of the width: for float noise, and for what a search found
_AS_SHORT_AS_CAN_BE: Final = 1.0005  # times the least length; the rest is a hair of cloth

_TURNS: Final[dict[str, tuple[float, ...]]] = {
    "along": (0, 180),
    "across": (90, 270),
    "bias": (45, 135, 225, 315),
}


def lay_pieces(pieces: Iterable[Piece]) -> tuple[LayPiece, ...]:
    """Evaluated pattern pieces as pieces to lay, those on the fold as the half that is drawn."""
    return tuple(
        LayPiece(
            piece.name,
            tuple(piece.cut_points),
            piece.cut_count,
            _TURNS[piece.grain],
            on_fold=piece.on_fold,
            pair=piece.pair,
        )
        for piece in pieces
    )


def first_lay(pieces: Sequence[LayPiece], cloth: Cloth) -> Lay:
    """A lay at once, the same every time. LayError if the pieces cannot be laid on this cloth."""
    check(pieces, cloth)
    return _first(stocks_of(pieces, cloth), cloth)


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
    stocks = stocks_of(pieces, cloth)
    best = _first(stocks, cloth)
    tell = _shorter_only(progress, best.density * best.length_mm) if progress else None
    if tell:
        tell(best.length_mm)
    if best.length_mm > least_length_mm(stocks, cloth) * _AS_SHORT_AS_CAN_BE:
        for lay in _searched(stocks, cloth, max(1, int(seconds)), seed, tell):
            if lay.length_mm < best.length_mm:
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
            *(_thousandths(piece.match_mm) if _repeats(cloth) else ()),
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
        *_thousandths(_repeats(cloth)),
    )
    return hashlib.sha256(json.dumps((shown, ground)).encode()).hexdigest()


def _repeats(cloth: Cloth) -> tuple[float, ...]:
    """The repeats of a cloth that has any; without them a lay has the key it always had."""
    repeats = (cloth.repeat_width_mm, cloth.repeat_length_mm)
    return repeats if any(repeats) else ()


def _thousandths(lengths_mm: Iterable[float]) -> tuple[int, ...]:
    return tuple(round(length * 1000) for length in lengths_mm)


def _first(stocks: Sequence[Stock], cloth: Cloth) -> Lay:
    copies = [i for i, stock in enumerate(stocks) for _ in stock.copies]
    choices = [stock.forms for stock in stocks]
    areas = [stock.piece.area_mm2 for stock in stocks]
    best: Lay | None = None
    for ground in _grounds(stocks, cloth):
        placings = _PLACINGS[bool(ground.spare_columns)]
        fills = quick_fills(copies, choices, areas, ground, placings=placings)
        for fill in fills[: 1 + _SETTLINGS // len(copies)]:
            if best and fill.length_mm >= best.laid_length_mm:
                break
            lay = _settled(stocks, cloth, _placed(copies, stocks, fill))
            if lay and (best is None or lay.length_mm < best.length_mm):
                best = lay
    if best is None:
        raise LayError("The pieces find no room beside each other. Open the cloth out.")
    return best


def _grounds(stocks: Sequence[Stock], cloth: Cloth) -> list[Ground]:
    """The cloth to fill: with columns to spare too, and at each phase of its repeat."""
    across, along = cloth.repeat_width_mm, cloth.repeat_length_mm
    return [
        Ground(cloth.laid_width_mm, spare, across, along, phase)
        for spare in (0, _SPARE_COLUMNS)
        if spare == 0 or not across
        for phase in _phases(stocks, cloth)
    ]


def _phases(stocks: Sequence[Stock], cloth: Cloth) -> list[float]:
    """Where the repeat may start: where some piece that leads then lies at the very start."""
    repeat = cloth.repeat_length_mm
    if not repeat:
        return [0.0]
    leads = (form.match[1] - form.corner[1] for stock in stocks for form in stock.forms)
    return sorted({round(lead % repeat, 3) for lead in leads})[:_MOST_PHASES]


def _placed(copies: Sequence[int], stocks: Sequence[Stock], fill: Fill) -> list[Found]:
    found = []
    for i, spot in zip(copies, fill.spots, strict=True):
        left, top = stocks[i].forms[spot.form].corner
        found.append(Found(i, spot.form, spot.x_mm - left, spot.y_mm - top))
    return found


def _searched(
    stocks: Sequence[Stock],
    cloth: Cloth,
    seconds: int,
    seed: int,
    tell: Callable[[float], None] | None,
) -> Iterator[Lay]:
    """The lays that a search of so many seconds finds, by the library where it can."""
    if cloth.layers == 1 and not _repeats(cloth):
        wanted = [_wanted(stock) for stock in stocks]
        found = search(
            wanted,
            cloth.laid_width_mm,
            seconds=seconds,
            seed=seed,
            progress=tell,
        )
        spots = [
            Found(
                each.piece, _wanted(stocks[each.piece]).turns.index(each.turn), each.x_mm, each.y_mm
            )
            for each in found
        ]
        lay = _settled(stocks, cloth, spots, _PUSHES) if spots else None
        if lay:
            yield lay
        return
    copies = [i for i, stock in enumerate(stocks) for _ in stock.copies]
    choices = [stock.forms for stock in stocks]
    areas = [stock.piece.area_mm2 for stock in stocks]
    grounds = _grounds(stocks, cloth)
    for ground in grounds:
        for fill in improved_fills(
            copies, choices, areas, ground, seconds=seconds / len(grounds), seed=seed
        ):
            lay = _settled(stocks, cloth, _placed(copies, stocks, fill))
            if lay:
                yield lay


def _wanted(stock: Stock) -> Wanted:
    first = stock.forms[0]
    upright = turned(first.points, -first.turn)
    turns = [form.turn for form in stock.forms]
    return Wanted([(x, y) for x, y in upright.tolist()], len(stock.copies), turns)


def _settled(
    stocks: Sequence[Stock],
    cloth: Cloth,
    found: Sequence[Found],
    pushes: Sequence[float] = _PUSHES[:1],
) -> Lay | None:
    """The lay of what was found, slid together, else as it was found; None if neither holds."""
    pushes_mm = [push * cloth.laid_width_mm for push in pushes] * (not _repeats(cloth))
    for places in chain((_slid(stocks, found, push) for push in pushes_mm), [found]):
        lay = lay_of(stocks, cloth, places)
        if not fault(lay, OVERLAP_MM2):
            return lay
    return None


def _slid(stocks: Sequence[Stock], found: Sequence[Found], push_mm: float) -> list[Found]:
    before = [
        np.add(stocks[each.stock].forms[each.form].points, (each.x_mm, each.y_mm)) for each in found
    ]
    after = settle(before, push_mm)
    slides = [(new[0] - old[0]).tolist() for old, new in zip(before, after, strict=True)]
    return [
        each._replace(x_mm=each.x_mm + dx, y_mm=each.y_mm + dy)
        for each, (dx, dy) in zip(found, slides, strict=True)
    ]


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
