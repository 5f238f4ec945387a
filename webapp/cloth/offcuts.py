"""Offcuts: the largest rectangles on the grain that a lay leaves free.

Own working: the cloth is cut up by lines along both ways of the grain, at every straight edge that
runs so and a step apart between; a cell that a piece reaches into is taken. The largest rectangle
of free cells is looked for again on lines set close about its sides, and at last each side is
moved out until it meets a piece. So a rectangle is exact beside straight edges on the grain; beside
a curve it is as large as the fine lines tell.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from webapp.cloth.laid import Lay, WayOfLaying
from webapp.draft.outline import Point

LEAST_SIDE_MM: Final = 80.0  # narrower is waste; common practice, no source
LEAST_AREA_MM2: Final = 40_000.0  # 400 cm², as much as a pocket; common practice, no source
MOST_OFFCUTS: Final = 8

_STEP_MM: Final = 5.0  # between the lines of the first look
_FINE_STEP_MM: Final = 0.5  # and of the second
_NOISE_MM: Final = 4e-6  # what a cell does not count as reached into: 6 m of it is 0.024 mm²
_APART_MM: Final = 4 * _NOISE_MM  # lines nearer than this are one
_SAME_MM: Final = 1e-3

_Floats = NDArray[np.float64]
_Whole = NDArray[np.int64]


class _Box(NamedTuple):
    left: float
    near: float
    right: float
    far: float

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.far - self.near)

    def holds(self, least_mm: float, least_area_mm2: float) -> bool:
        """True when it is worth keeping."""
        sides = (self.right - self.left, self.far - self.near)
        return min(sides) >= least_mm - _SAME_MM and self.area >= least_area_mm2 - _SAME_MM


@dataclass(frozen=True)
class Offcut:
    """A free rectangle as the cloth lies: its corner nearest the origin and its sides, mm.

    x and width run across the cloth, y and length along the grain (see `cloth.laid`). It is there
    in each of the `layers`.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float
    layers: int = 1
    laid: WayOfLaying = "open"

    @property
    def area_mm2(self) -> float:
        """Area of one layer."""
        return self.width_mm * self.length_mm

    @property
    def at_fold(self) -> bool:
        """True when its layers hang together at the fold."""
        if self.laid == "open":
            return False
        return (self.x_mm if self.laid == "folded" else self.y_mm) <= _SAME_MM

    @property
    def opened_mm(self) -> tuple[float, float] | None:
        """Width and length with the fold opened out; None when it does not lie at a fold."""
        if not self.at_fold:
            return None
        if self.laid == "folded":
            return 2 * self.width_mm, self.length_mm
        return self.width_mm, 2 * self.length_mm

    @property
    def rectangles_mm(self) -> tuple[tuple[float, float], ...]:
        """Width and length of each single layer it gives: one if it can be opened out."""
        opened = self.opened_mm
        return (opened,) if opened else ((self.width_mm, self.length_mm),) * self.layers


def offcuts(
    lay: Lay,
    cloth_length_mm: float | None = None,
    *,
    least_mm: float = LEAST_SIDE_MM,
    least_area_mm2: float = LEAST_AREA_MM2,
    most: int = MOST_OFFCUTS,
) -> tuple[Offcut, ...]:
    """The rectangles free of pieces, each the largest beside those before it, at most `most`.

    `cloth_length_mm` is the length of washed and squared cloth, all layers taken apart; it never
    counts as less than the lay's own. No side is under `least_mm`, no area (of one layer) under
    `least_area_mm2`.
    """
    per_layer = 2 if lay.cloth.laid == "folded across" else 1
    length = max(lay.laid_length_mm, (cloth_length_mm or 0.0) / per_layer)
    cloth = _Box(0.0, 0.0, lay.cloth.laid_width_mm, length)
    outlines = [lay.placed_points(placement) for placement in lay.placements]
    found: list[_Box] = []
    while len(found) < most:
        box = _largest(cloth, [*outlines, *map(_corners, found)], least_mm, least_area_mm2)
        if box is None:
            break
        found.append(box)
    return tuple(
        Offcut(
            box.left,
            box.near,
            box.right - box.left,
            box.far - box.near,
            lay.cloth.layers,
            lay.cloth.laid,
        )
        for box in sorted(found, key=lambda box: -box.area)
    )


def _corners(box: _Box) -> list[Point]:
    left, near, right, far = box
    return [(left, near), (right, near), (right, far), (left, far)]


def _largest(
    cloth: _Box, outlines: Sequence[Sequence[Point]], least_mm: float, least_area_mm2: float
) -> _Box | None:
    """The largest free rectangle; None when none is as large as is asked for."""
    edges = _edges(outlines)
    straight = [edges[np.abs(edges[:, i] - edges[:, i + 2]) < _NOISE_MM, i] for i in (0, 1)]
    coarse = [_lines(_spread(cloth[i], cloth[i + 2]), straight[i]) for i in (0, 1)]
    box = _largest_of_cells(edges, coarse[0], coarse[1], least_mm)
    if box is None:
        return None
    fine = [_lines(_about(box[i], box[i + 2], cloth[i], cloth[i + 2]), straight[i]) for i in (0, 1)]
    box = max(
        (box, _largest_of_cells(edges, fine[0], fine[1], least_mm) or box), key=lambda one: one.area
    )
    box = _pushed_out(box, cloth, [shapely.Polygon(outline) for outline in outlines])
    return box if box.holds(least_mm, least_area_mm2) else None


def _edges(outlines: Iterable[Sequence[Point]]) -> _Floats:
    """Every edge as x, y, x, y; the outlines all run the same way round."""
    parts = [np.empty((0, 4))]
    for outline in outlines:
        points = np.asarray(outline, dtype=np.float64)
        after = np.roll(points, -1, axis=0)
        turn = np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1])
        parts.append(np.hstack((points, after) if turn >= 0 else (after, points)))
    return np.vstack(parts)


def _spread(low: float, high: float) -> _Floats:
    return np.linspace(low, high, max(2, int((high - low) / _STEP_MM) + 1))


def _about(low: float, high: float, least: float, most: float) -> _Floats:
    """Lines close about both sides of a rectangle, within the cloth."""
    reach = 1.5 * _STEP_MM
    steps = np.arange(-reach, reach, _FINE_STEP_MM)
    lines = np.concatenate((low + steps, high + steps, (low, high)))
    return lines[(lines >= least) & (lines <= most)]


def _lines(spread: _Floats, straight: _Floats) -> _Floats:
    """Both kinds of lines within the spread ones' ends; where some all but meet, an edge's stays.

    The ends stay as they are.
    """
    spread = np.unique(spread)
    spread = spread[np.diff(spread, prepend=-np.inf) > _APART_MM]
    ends = spread[0], spread[-1]
    inner = straight[(straight > ends[0] + _APART_MM) & (straight < ends[1] - _APART_MM)]
    exact = np.unique(np.append(inner, ends))
    exact = exact[np.diff(exact, prepend=-np.inf) > _APART_MM]
    place = np.searchsorted(exact, spread).clip(1, len(exact) - 1)
    away = np.minimum(np.abs(spread - exact[place - 1]), np.abs(spread - exact[place]))
    lines: _Floats = np.unique(np.append(exact, spread[away > _APART_MM]))
    return lines


def _largest_of_cells(edges: _Floats, xs: _Floats, ys: _Floats, least_mm: float) -> _Box | None:
    """The largest rectangle of free cells with no side under that; None when there is none."""
    free = ~_taken(edges, xs, ys)
    turned = len(ys) > len(xs)  # the loop over rows is the slow part
    if turned:
        free, xs, ys = free.T, ys, xs
    tops, lefts, rights = _maximal(free)
    widths = xs[rights] - xs[lefts]
    heights = ys[1:, None] - ys[tops]
    areas = np.where(np.minimum(widths, heights) >= least_mm - _SAME_MM, widths * heights, 0.0)
    best = np.unravel_index(np.argmax(areas), areas.shape)
    if areas[best] <= 0:
        return None
    box = _Box(
        float(xs[lefts[best]]),
        float(ys[tops[best]]),
        float(xs[rights[best]]),
        float(ys[best[0] + 1]),
    )
    return _Box(box.near, box.left, box.far, box.right) if turned else box


def _maximal(free: NDArray[np.bool_]) -> tuple[_Whole, _Whole, _Whole]:
    """For each cell the widest free rectangle that ends in its row and is as high as its column.

    Its first row, first column, and the column past its last. Every free rectangle that cannot be
    made larger is among them.
    """
    rows, columns = free.shape
    row, column = np.arange(rows)[:, None], np.arange(columns)
    tops = np.maximum.accumulate(np.where(free, 0, row + 1), axis=0)
    lefts = np.maximum.accumulate(np.where(free, 0, column + 1), axis=1)
    rights = np.where(free, columns, column)
    rights = np.minimum.accumulate(rights[:, ::-1], axis=1)[:, ::-1].copy()
    for i in range(1, rows):
        on = free[i] & free[i - 1]
        np.maximum(lefts[i], lefts[i - 1], out=lefts[i], where=on)
        np.minimum(rights[i], rights[i - 1], out=rights[i], where=on)
    return tops, np.where(free, lefts, 0), np.where(free, rights, 0)


def _taken(edges: _Floats, xs: _Floats, ys: _Floats) -> NDArray[np.bool_]:
    """Which cells between the lines an outline reaches into, by row and column."""
    rows, columns = len(ys) - 1, len(xs) - 1
    low, high = np.minimum(edges[:, 1], edges[:, 3]), np.maximum(edges[:, 1], edges[:, 3])
    first, last = _reached(ys, low, high)
    times = np.maximum(last - first, 0)
    edge = np.repeat(np.arange(len(edges)), times)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times) + first[edge]
    x0, y0, x1, y1 = edges[edge].T
    one = _x_at(np.maximum(low[edge], ys[row]), x0, y0, x1, y1)
    other = _x_at(np.minimum(high[edge], ys[row + 1]), x0, y0, x1, y1)
    level = y0 == y1
    ends = np.where(level, x0, one), np.where(level, x1, other)
    start, stop = _reached(xs, np.minimum(*ends), np.maximum(*ends))
    some = stop > start
    touched = _counted(row[some], start[some], rows, columns)
    touched -= _counted(row[some], stop[some], rows, columns)

    middle = (ys[row] + ys[row + 1]) / 2
    crosses = (low[edge] <= middle) & (middle < high[edge])
    column = np.searchsorted((xs[1:] + xs[:-1]) / 2, _x_at(middle, x0, y0, x1, y1))
    down = crosses & (y1 < y0)
    up = crosses & (y1 > y0)
    inside = _counted(row[up], column[up], rows, columns)
    inside -= _counted(row[down], column[down], rows, columns)
    taken: NDArray[np.bool_] = (np.cumsum(touched, axis=1) > 0) | (np.cumsum(inside, axis=1) != 0)
    return taken[:, :-1]


def _reached(lines: _Floats, low: _Floats, high: _Floats) -> tuple[_Whole, _Whole]:
    """The first interval between lines that each range reaches into, and the one past its last."""
    first = np.searchsorted(lines, low + _NOISE_MM, "right") - 1
    last = np.searchsorted(lines, high - _NOISE_MM, "left")
    return first.clip(0, len(lines) - 1), last.clip(0, len(lines) - 1)


def _x_at(y: _Floats, x0: _Floats, y0: _Floats, x1: _Floats, y1: _Floats) -> _Floats:
    """Where each edge is at that y; at its start when it runs across."""
    rise = np.where(y0 == y1, 1.0, y1 - y0)
    part = np.where(y0 == y1, 0.0, (y - y0) / rise)
    x: _Floats = x0 + part.clip(0, 1) * (x1 - x0)
    return x


def _counted(row: _Whole, column: _Whole, rows: int, columns: int) -> _Whole:
    """How many there are of each row and column; one column more than there are cells."""
    place = row * (columns + 1) + column
    counts: _Whole = np.bincount(place, minlength=rows * (columns + 1))
    return counts.reshape(rows, columns + 1)


def _pushed_out(box: _Box, cloth: _Box, shapes: Sequence[shapely.Polygon]) -> _Box:
    """The rectangle with each side moved out until it meets a piece or the edge of the cloth."""
    pieces = np.array(shapes, dtype=object)
    for side in range(4):
        if box[side] == cloth[side]:
            continue
        opposite, across = (side + 2) % 4, (side + 1) % 2
        band = list(box)
        band[side], band[opposite] = cloth[side], box[side]
        # A hair's width narrower than the rectangle: what only touches its corner is no hindrance.
        band[across] += _NOISE_MM
        band[across + 2] -= _NOISE_MM
        met = shapely.total_bounds(shapely.clip_by_rect(pieces, *band))[opposite]
        moved = list(box)
        if np.isnan(met):
            moved[side] = cloth[side]
        else:
            moved[side] = max(met, box[side]) if side >= 2 else min(met, box[side])
        box = _Box(*map(float, moved))
    return box
