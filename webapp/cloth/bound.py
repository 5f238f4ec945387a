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
    least = np.zeros(len(lines))
    for place, line in enumerate(lines.tolist()):
        low, high = max(line - play, 0.0), min(line, form.size[0])
        if line > play + _INSIDE_MM and line < form.size[0] - _INSIDE_MM:  # covered, not grazed
            least[place] = _least_chord(shape, low, high)
    return least


def _least_chord(shape: Points, low: float, high: float) -> float:
    """The least the shape is cut by of an upright line from x = low to high.

    What is cut of it is piecewise linear between corners, so its least is beside one of them.
    """
    corners = shape[(shape[:, 0] > low) & (shape[:, 0] < high), 0]
    at = np.unique(np.concatenate(([low, high], corners)))
    beside = np.concatenate((at - _INSIDE_MM, at + _INSIDE_MM))
    inside = beside[(beside >= low - _INSIDE_MM) & (beside <= high + _INSIDE_MM)]
    inside = np.clip(inside, _INSIDE_MM, shape[:, 0].max() - _INSIDE_MM)
    return min(_chord(shape, x) for x in inside.tolist())


def _chord(shape: Points, x: float) -> float:
    start, end = shape, np.roll(shape, -1, axis=0)
    crossed = (start[:, 0] > x) != (end[:, 0] > x)
    (x0, y0), (x1, y1) = start[crossed].T, end[crossed].T
    ys = np.sort(y0 + (x - x0) * (y1 - y0) / (x1 - x0))
    return float((ys[1::2] - ys[::2]).sum())
