"""Lays of stocks: one at once, and shorter ones by a longer search.

Open cloth is searched by the library. It knows no fold and no repeat: there our own fills serve,
in more orders than the quick lay tries. What was found is then slid together.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, islice
from typing import Final

import numpy as np

from webapp.cloth.bound import least_length_mm
from webapp.cloth.fills import promising_fills
from webapp.cloth.forms import Held, turned
from webapp.cloth.laid import Cloth, Lay
from webapp.cloth.lay_checks import OVERLAP_MM2, fault
from webapp.cloth.no_fit import Fill, Ground, Spot
from webapp.cloth.search import PLAY, Spotted, Wanted, search
from webapp.cloth.settle import settle
from webapp.cloth.stocks import Found, Stock, lay_of
from webapp.errors import LayError

# How often a piece is set down in a quick lay, without and with spare columns, and in a second's
# search; the rest of the second slides pieces together.
_PLACINGS: Final = (1200, 240)
_PLACINGS_A_SECOND: Final = 16_000
_SPARE_COLUMNS: Final = 2
_MOST_GROUNDS: Final = 12  # phases of the repeats that are tried if one of them gives a lay
_MOST_FORMS: Final = 60  # of all stocks in a quick lay: every two of them are compared
_MOST_FORMS_SEARCHED: Final = 150
_SETTLINGS: Final = 40  # how many pieces are settled in a quick lay, one fill at least
_SETTLINGS_A_SECOND: Final = 4_000  # of one piece; the time it takes grows with their square
_MOST_SLID: Final = 200  # more pieces than this lie as they were found
_HALVINGS: Final = (3, 6)  # of what lies between the shortest lay and the least there can be
_WORTH_A_TRY: Final = 1.005  # times the least length, and times the width that sliding may close
_PUSHES: Final = (1e-6, 2 * PLAY)  # of the width: for float noise, and for what the library found


def quick_lay(stocks: Sequence[Stock], cloth: Cloth) -> Lay:
    """A lay at once, the same every time. LayError if the pieces find no room side by side."""
    stocks = _with_few_forms(stocks, _MOST_FORMS)
    copies, grounds = _copies(stocks), _grounds(stocks, cloth)
    shared = min(len(grounds), _MOST_GROUNDS) if cloth.repeats else 1
    best: Lay | None = None
    for number, ground in enumerate(grounds):
        if best and number >= _MOST_GROUNDS:
            break
        placings = _PLACINGS[bool(ground.spare_columns)] // shared
        fills = sorted(_fills(stocks, ground, placings, seed=0))
        for fill in islice(fills, 1 + _SETTLINGS // len(copies)):
            if best and fill.length_mm >= best.laid_length_mm:
                break
            lay = _settled(stocks, cloth, _placed(copies, stocks, fill))
            if lay and (best is None or lay.length_mm < best.length_mm):
                best = lay
    if best is None:
        raise LayError(f"The pieces find no room beside each other. {_advice(cloth)}")
    return min(
        (best, *_sideways(stocks, cloth, best, _HALVINGS[0], _PLACINGS[1], 0)), key=_length_mm
    )


def searched_lays(
    stocks: Sequence[Stock],
    cloth: Cloth,
    quick: Lay,
    seconds: int,
    seed: int,
    *,
    on_the_way: bool,
) -> Iterator[Lay]:
    """Lays that a search of so many seconds finds after the quick one; of the library's those
    `on_the_way` too.
    """
    if cloth.layers == 1 and not cloth.repeats:
        wanted = [_wanted(stock) for stock in stocks]
        for spotted in search(
            wanted, cloth.laid_width_mm, seconds=seconds, seed=seed, on_the_way=on_the_way
        ):
            spots = [_found(wanted, spot) for spot in spotted]
            lay = _settled(stocks, cloth, spots, _PUSHES)
            if lay:
                yield lay
        return
    stocks = _with_few_forms(stocks, _MOST_FORMS_SEARCHED)
    copies, grounds = _copies(stocks), _grounds(stocks, cloth)[:_MOST_GROUNDS]
    for ground in grounds:
        placings = seconds * _PLACINGS_A_SECOND // len(grounds)
        settlings = seconds * _SETTLINGS_A_SECOND / len(copies) ** 2 / len(grounds)
        waiting: Fill | None = None  # the shortest that there was no time to slide
        for fill in _fills(stocks, ground, placings, seed):
            if settlings < 1:
                waiting = min(waiting or fill, fill)
                continue
            settlings -= 1
            lay = _settled(stocks, cloth, _placed(copies, stocks, fill))
            if lay:
                yield lay
        if waiting and (lay := _settled(stocks, cloth, _placed(copies, stocks, waiting))):
            yield lay
    placings = seconds * _PLACINGS_A_SECOND // 2 // _HALVINGS[1]
    yield from _sideways(stocks, cloth, quick, _HALVINGS[1], placings, seed)


def _sideways(
    stocks: Sequence[Stock], cloth: Cloth, best: Lay, halvings: int, placings: int, seed: int
) -> Iterator[Lay]:
    """Shorter lays, filled across the cloth to a length that is tried.

    Long pieces that interlock beside each other, like the legs of trousers, are found so: where
    one lies along the cloth follows from its neighbours, not from the start of the cloth.
    """
    if cloth.repeats:
        return
    copies, forms = _copies(stocks), [[form.sideways() for form in s.forms] for s in stocks]
    areas = [stock.piece.area_mm2 for stock in stocks]
    layers = best.length_mm / best.laid_length_mm
    least, most = least_length_mm(stocks, cloth) / layers, best.laid_length_mm
    for _ in range(halvings):
        if most < least * _WORTH_A_TRY:
            return
        target = (least + most) / 2
        ground = Ground(target)
        fills = promising_fills(copies, forms, areas, ground, placings=placings, seed=seed)
        narrow = min(fills, default=None)
        lay = None
        if narrow and narrow.length_mm <= cloth.laid_width_mm * _WORTH_A_TRY:
            spots = tuple(Spot(spot.form, spot.y_mm, spot.x_mm) for spot in narrow.spots)
            lay = _settled(stocks, cloth, _placed(copies, stocks, narrow._replace(spots=spots)))
        if lay and lay.laid_length_mm < most:
            yield lay
            most = lay.laid_length_mm
        else:
            least = target


def _length_mm(lay: Lay) -> float:
    return lay.length_mm


def _with_few_forms(stocks: Sequence[Stock], most: int) -> list[Stock]:
    """The stocks with so many forms in all, one each at least; what is tilted goes first."""
    each = max(1, most // len(stocks))
    return [stock._replace(forms=stock.forms[:each]) for stock in stocks]


def _found(wanted: Sequence[Wanted], spot: Spotted) -> Found:
    turns = wanted[spot.piece].turns
    return Found(spot.piece, turns.index(spot.turn), spot.x_mm, spot.y_mm)


def _wanted(stock: Stock) -> Wanted:
    """The stock as the library takes it: one outline and its turns, all the same side up."""
    first = stock.forms[0]
    upright = turned(first.points, -first.turn)
    turns = [form.turn for form in stock.forms]
    return Wanted([(x, y) for x, y in upright.tolist()], len(stock.copies), turns)


def _advice(cloth: Cloth) -> str:
    if cloth.repeats:
        return "Choose a wider cloth, or leave its repeat unmatched."
    return "Open the cloth out, or choose a wider one."


def _copies(stocks: Sequence[Stock]) -> list[int]:
    return [i for i, stock in enumerate(stocks) for _ in stock.copies]


def _fills(stocks: Sequence[Stock], ground: Ground, placings: int, seed: int) -> Iterator[Fill]:
    forms = [stock.forms for stock in stocks]
    areas = [stock.piece.area_mm2 for stock in stocks]
    return promising_fills(_copies(stocks), forms, areas, ground, placings=placings, seed=seed)


def _grounds(stocks: Sequence[Stock], cloth: Cloth) -> list[Ground]:
    """The cloth to fill: with columns to spare too, or at each phase of its repeat."""
    across, along = cloth.repeat_width_mm, cloth.repeat_length_mm
    return [
        Ground(cloth.laid_width_mm, spare, across, along, into_width, into_length)
        for spare in ((0,) if cloth.repeats else (0, _SPARE_COLUMNS))
        for into_length in _phases(stocks, along, "start")
        for into_width in _phases(stocks, across, "left")
    ]


def _phases(stocks: Sequence[Stock], repeat_mm: float, held: Held) -> list[float]:
    """Where the repeat may begin: where some piece, the largest first, lies at the very edge.

    Those that a fold holds there, `left` across the cloth or at its `start`, leave no choice.
    """
    axis = 0 if held == "left" else 1
    largest = sorted(stocks, key=lambda stock: -max(form.size[axis] for form in stock.forms))
    forms = [form for stock in largest for form in stock.forms if form.match]
    forms = [form for form in forms if form.held == held] or forms
    if not repeat_mm or not forms:
        return [0.0]
    if held == "left" and forms[0].held == held:
        return [0.0]  # its middle lies on the fold
    phases: dict[float, float] = {}
    for form in forms:
        assert form.match is not None
        ahead = (form.match[axis] - form.corner[axis]) % repeat_mm
        phases.setdefault(round(ahead, 3), ahead)
    return list(phases.values())


def _placed(copies: Sequence[int], stocks: Sequence[Stock], fill: Fill) -> list[Found]:
    found = []
    for i, spot in zip(copies, fill.spots, strict=True):
        left, top = stocks[i].forms[spot.form].corner
        found.append(Found(i, spot.form, spot.x_mm - left, spot.y_mm - top))
    return found


def _settled(
    stocks: Sequence[Stock],
    cloth: Cloth,
    found: Sequence[Found],
    pushes: Sequence[float] = _PUSHES[:1],
) -> Lay | None:
    """The lay of what was found, slid together, else as it was found; None if neither holds.

    Nothing is slid that has to stay on a repeat, and not very many pieces.
    """
    may_slide = not cloth.repeats and len(found) <= _MOST_SLID
    pushes_mm = [push * cloth.laid_width_mm for push in pushes if may_slide]
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
