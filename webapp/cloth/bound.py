"""How short a lay of some pieces could be at best, whoever lays them.

Own working. Three bounds, the greatest counts: the longest piece; the area that is cut, over the
width; and, on any line along the cloth, the sum of what every piece is bound to cover of it. A
piece more than half as wide as the cloth covers the middle line wherever it lies, and one on the
fold lies at a known distance from it.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.cloth.forms import Form, Points
from webapp.cloth.laid import Cloth
from webapp.cloth.stocks import Stock

_LINES: Final = 97  # along the cloth, evenly spaced: enough to meet a straight side
_INSIDE_MM: Final = 1e-6


def least_length_mm(stocks: Sequence[Stock], cloth: Cloth) -> float:
    """No lay of these stocks takes less cloth than this; of the cloth's length, layers apart."""
    times = 2 if cloth.laid == "folded across" else 1
    longest = max(min(form.size[1] for form in stock.forms) for stock in stocks)
    return max(longest * times, _by_area_mm(stocks, cloth), _by_lines_mm(stocks, cloth) * times)


def _by_area_mm(stocks: Sequence[Stock], cloth: Cloth) -> float:
    area = sum(stock.piece.area_mm2 * len(stock.copies) * _layers(stock, cloth) for stock in stocks)
    return area / cloth.usable_width_mm


def _layers(stock: Stock, cloth: Cloth) -> int:
    """How many whole pieces a placement cuts, wanted or not."""
    return 1 if cloth.on_fold(stock.piece) else cloth.layers


def _by_lines_mm(stocks: Sequence[Stock], cloth: Cloth) -> float:
    lines = np.linspace(0, cloth.laid_width_mm, _LINES + 2)[1:-1]
    covered = np.zeros(_LINES)
    for stock in stocks:
        forms = [_least_covered(form, lines, cloth.laid_width_mm) for form in stock.forms]
        covered += len(stock.copies) * np.min(forms, axis=0)
    return float(covered.max())


def _least_covered(form: Form, lines: NDArray[np.float64], width_mm: float) -> NDArray[np.float64]:
    """What the form covers of each line at least, wherever it may lie across the cloth."""
    shape = form.points - form.corner
    play = 0.0 if form.held == "left" else width_mm - form.size[0]
    covered = (lines > play + _INSIDE_MM) & (lines < form.size[0] - _INSIDE_MM)  # grazing is not
    # What an upright line is cut by is piecewise linear between corners: its least over a stretch
    # is at an end of it or beside a corner.
    beside = np.concatenate((shape[:, 0] - _INSIDE_MM, shape[:, 0] + _INSIDE_MM))
    low, high = lines - play, lines
    at = np.unique(np.concatenate((beside, low[covered], high[covered])))
    at = at[(at > 0) & (at < form.size[0])]
    chords = _chords(shape, at)
    starts, ends = np.searchsorted(at, low - _INSIDE_MM), np.searchsorted(at, high + _INSIDE_MM)
    least = np.zeros(len(lines))
    for place in np.flatnonzero(covered):
        least[place] = chords[starts[place] : ends[place]].min()
    return least


def _chords(shape: Points, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much of the shape upright lines at these x lie inside, none of them through a corner.

    Along a line the sides crossed to the right and to the left alternate, so that the sum of their
    y, signed, is what lies between them.
    """
    (x0, y0), (x1, y1) = shape.T, np.roll(shape, -1, axis=0).T
    x = at[:, None]
    right, left = (x0 <= x) & (x < x1), (x1 <= x) & (x < x0)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = y0 + (x - x0) * ((y1 - y0) / (x1 - x0))
    signed = np.where(right, y, 0.0) - np.where(left, y, 0.0)
    chords: NDArray[np.float64] = np.abs(signed.sum(axis=1))
    return chords
