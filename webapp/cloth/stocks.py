"""What has to be placed: the copies of each piece, with the forms they may take on a cloth."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from webapp.cloth.forms import Form, Held, coarse, turned
from webapp.cloth.laid import Cloth, Lay, LayPiece, Lie, Placement, laid, width_mm
from webapp.cloth.lay_checks import TOO_WIDE_MM
from webapp.draft.outline import Point

_HELD: dict[str, Held] = {"folded": "left", "folded across": "start"}


class Stock(NamedTuple):
    """Copies of a piece that may lie the same ways: all of them, or one hand of a pair."""

    piece: LayPiece
    copies: Sequence[int]
    forms: Sequence[Form]


class Found(NamedTuple):
    """A copy of the stock at this place in the list, in one of its forms, shifted, mm."""

    stock: int
    form: int
    x_mm: float
    y_mm: float


def stocks_of(pieces: Sequence[LayPiece], cloth: Cloth) -> list[Stock]:
    """The stocks of pieces that `check` found nothing against."""
    stocks = []
    for piece in pieces:
        hands: dict[tuple[Lie, ...], list[int]] = {}
        for copy in cloth.copies_of(piece):
            hands.setdefault(cloth.lies_of(piece, copy), []).append(copy)
        stocks += [
            Stock(piece, copies, _forms(piece, cloth, lies)) for lies, copies in hands.items()
        ]
    return stocks


def lay_of(stocks: Sequence[Stock], cloth: Cloth, found: Sequence[Found]) -> Lay:
    """The lay of what was found, the copies of a stock numbered along the cloth."""
    copies = [iter(stock.copies) for stock in stocks]
    placements = []
    for each in sorted(found, key=lambda each: (each.y_mm, each.x_mm)):
        stock = stocks[each.stock]
        form = stock.forms[each.form]
        name, copy = stock.piece.name, next(copies[each.stock])
        placements.append(Placement(name, copy, form.turn, form.flipped, each.x_mm, each.y_mm))
    pieces = list({stock.piece.name: stock.piece for stock in stocks}.values())
    return laid(pieces, cloth, placements)


def _forms(piece: LayPiece, cloth: Cloth, lies: Sequence[Lie]) -> tuple[Form, ...]:
    """A form for each lie that fits the cloth, of fewer corners than the outline if that fits."""
    room = cloth.laid_width_mm + TOO_WIDE_MM
    fitting = [lie for lie in lies if width_mm(piece, cloth, lie) <= room]
    drawn = cloth.outline_of(piece)
    for outline in (coarse(drawn), drawn):
        forms = tuple(_form(piece, cloth, lie, outline) for lie in fitting)
        if all(form.size[0] <= room for form in forms):
            break
    return _unlike(forms)


def _form(piece: LayPiece, cloth: Cloth, lie: Lie, outline: Sequence[Point]) -> Form:
    points = turned(outline, lie.turn, flipped=lie.flipped)
    held = _HELD[cloth.laid] if cloth.on_fold(piece) else ""
    match: Point | None = None
    if cloth.repeats and piece.match_mm is not None:
        ((x, y),) = turned([piece.match_mm], lie.turn, flipped=lie.flipped).tolist()
        match = (x, y)
    return Form(lie.turn, points[::-1] if lie.flipped else points, lie.flipped, held, match)


def _unlike(forms: Sequence[Form]) -> tuple[Form, ...]:
    """The forms without those that repeat another's shape, as a rectangle does upside down."""
    kept: dict[tuple[tuple[float, float], ...], Form] = {}
    for form in forms:
        corners = np.round(form.points - form.corner, 6) + 0.0  # no minus zero
        shape = tuple(sorted(map(tuple, corners.tolist())))
        match = tuple(np.round(np.subtract(form.match or form.corner, form.corner), 6).tolist())
        kept.setdefault((*shape, match), form)
    return tuple(kept.values())
