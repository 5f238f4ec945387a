"""Where the names of nested outlines stand: beside the drawing, led to where the lines part.

Outlines that lie within each other run close together along most of their way. Each side of the
drawing is tried; along it, the stretch is sought where every line is furthest from its neighbours.
The leaders start at different levels and run straight out, so that none crosses another.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.draft.labels import LINE, Label
from webapp.draft.outline import Point

_Table = NDArray[np.float64]  # a row for each outline, a column for each level

_LEVELS: Final = 96  # tried along each side
_STRIDES: Final = (1, 2, 3, 4, 6, 8, 12)  # levels between one leader and the next
_INSET: Final = 0.02  # of a side, kept clear of its corners
_CLEAR_EM: Final = 1.5  # a line this far from its neighbours is told from them at a glance
_OUT_EM, _BEND_EM, _TEXT_EM = 0.6, 1.5, 1.8  # from the outermost line to bend, bend and text
_STEP_EM: Final = LINE + 0.1
_SIDE_COSTS: Final = {"right": 0.0, "bottom": 0.1, "left": 0.15, "top": 0.2}  # em of clearness


@dataclass(frozen=True)
class Led:
    """A name, and the leader from its line to it; the leader's first point lies on the line."""

    label: Label
    leader: tuple[Point, ...]


@dataclass(frozen=True)
class _Side:
    """A side of the drawing, turned so that out is to greater x."""

    name: str
    turned: Callable[[Point], Point]
    back: Callable[[Point], Point]

    @property
    def is_level(self) -> bool:
        """True for the sides whose leaders run level and whose names stand below each other."""
        return self.name in ("right", "left")


_SIDES: Final = (
    _Side("right", lambda p: (p[0], p[1]), lambda p: (p[0], p[1])),
    _Side("bottom", lambda p: (p[1], p[0]), lambda p: (p[1], p[0])),
    _Side("left", lambda p: (-p[0], p[1]), lambda p: (-p[0], p[1])),
    _Side("top", lambda p: (-p[1], p[0]), lambda p: (p[1], -p[0])),
)


@dataclass(frozen=True)
class _Stretch:
    """Where the leaders of a side start: for each outline a level and the outermost x there."""

    side: _Side
    cost: float
    order: tuple[int, ...]  # the outlines from the first level to the last
    levels: tuple[float, ...]  # in that order, rising
    xs: tuple[float, ...]


def led_names(
    names: Sequence[str], outlines: Sequence[Sequence[Point]], em: float, *, on_fold: bool
) -> list[Led]:
    """A name for each outline, from the smallest to the largest; none on the side of the fold."""
    best: _Stretch | None = None
    for side in _SIDES:
        if not (on_fold and side.name == "left"):
            for stretch in _stretches(side, outlines, em):
                if best is None or stretch.cost < best.cost:
                    best = stretch
    assert best is not None  # outlines within each other share some level
    out = max(best.side.turned(point)[0] for outline in outlines for point in outline)
    return list(_led(best, names, out, em))


def _stretches(side: _Side, outlines: Sequence[Sequence[Point]], em: float) -> Iterator[_Stretch]:
    """For each way to space the leaders along a side, the stretch where the lines part most."""
    turned = [np.array([side.turned(point) for point in outline]) for outline in outlines]
    low = max(float(each[:, 1].min()) for each in turned)
    high = min(float(each[:, 1].max()) for each in turned)
    if not high > low:
        return
    inset = _INSET * (high - low)
    levels = np.linspace(low + inset, high - inset, _LEVELS)
    xs = np.array([_outermost(each, levels) for each in turned])
    clear = np.minimum(_clearness(xs, levels) / em, _CLEAR_EM)
    count = len(outlines)
    for stride in _STRIDES:
        if (count - 1) * stride >= _LEVELS:
            return
        for order in (range(count), range(count - 1, -1, -1)):
            at = np.arange(_LEVELS - (count - 1) * stride)
            least = np.min([clear[i, at + k * stride] for k, i in enumerate(order)], axis=0)
            place = int(np.argmax(least))
            picked = [place + k * stride for k in range(count)]
            bend = max(0.0, _STEP_EM - (levels[1] - levels[0]) * stride / em) * count
            yield _Stretch(
                side,
                float(-least[place]) + _SIDE_COSTS[side.name] + 0.02 * bend,
                tuple(order),
                tuple(float(levels[p]) for p in picked),
                tuple(float(xs[i, p]) for i, p in zip(order, picked, strict=True)),
            )


def _outermost(outline: NDArray[np.float64], levels: NDArray[np.float64]) -> NDArray[np.float64]:
    """The greatest x at which the outline crosses each level."""
    (x1, y1), (x2, y2) = outline.T[:, :, None], np.roll(outline, -1, axis=0).T[:, :, None]
    crosses = (y1 <= levels) != (y2 <= levels)
    run = np.where(y2 == y1, 1.0, y2 - y1)
    found = np.where(crosses, x1 + (levels - y1) / run * (x2 - x1), -np.inf)
    return np.asarray(found.max(axis=0))


def _clearness(xs: _Table, levels: NDArray[np.float64]) -> _Table:
    """How far each line is from the nearest other one at each level, square to its own run."""
    if len(xs) == 1:
        return np.full_like(xs, np.inf)
    apart = np.abs(xs[:, None, :] - xs[None, :, :])
    apart[np.arange(len(xs)), np.arange(len(xs))] = np.inf
    slope = np.gradient(xs, levels, axis=1)
    return np.asarray(apart.min(axis=1) / np.hypot(1.0, slope))


def _led(stretch: _Stretch, names: Sequence[str], out: float, em: float) -> Iterator[Led]:
    side = stretch.side
    plain = [Label((names[i],), em, bold_first=True) for i in stretch.order]
    slots, upright = _slots(stretch.levels, plain, em, is_level=side.is_level)
    labels = [replace(label, upright=upright) for label in plain]
    for label, level, x, slot in zip(labels, stretch.levels, stretch.xs, slots, strict=True):
        width, height = label.size
        depth = width if side.is_level else height
        way = [(x, level), (out + _OUT_EM * em, level), (out + _BEND_EM * em, slot)]
        centre = side.back((out + _TEXT_EM * em + depth / 2, slot))
        yield Led(label.at(*centre), tuple(side.back(point) for point in way))


def _slots(
    levels: Sequence[float], labels: Sequence[Label], em: float, *, is_level: bool
) -> tuple[list[float], bool]:
    """Where along the side each name stands, and whether the names are turned upright for it."""
    widest = max(label.size[0] for label in labels) + 0.6 * em
    upright = not is_level and widest * len(labels) > 24 * em
    step = _STEP_EM * em if is_level or upright else widest
    if all(after - before >= step for before, after in pairwise(levels)):
        return [*levels], upright
    middle = (levels[0] + levels[-1]) / 2
    return [middle + (k - (len(levels) - 1) / 2) * step for k in range(len(levels))], upright
