"""Where the pieces of a true-scale pattern stand, so that few pages are printed. Millimetres.

Pieces are put one by one onto a canvas that is ruled into pages. Each goes where it needs the
fewest pages that no other piece needs yet; several orders are tried and the best is kept. Outlines
are told apart on a raster that starts at each outline's own top left corner and is taken wide at
its edges, so that pieces never touch. No chance and no clock: the same pieces stand the same.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import islice
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

_Bits = NDArray[np.bool_]
_Key = NDArray[np.float64]

_FINENESS: Final = (12, 8, 5, 3, 2, 1)  # raster squares across a page, the finest that is quick
_MOST_SQUARES: Final = 40_000  # of all pieces together
_NUDGE: Final = 1e-6
_TURNED: Final = 0.5  # pages a piece must save to be turned: upright it is easier to read
_STEP_MM: Final = 8.0  # of the raster of a roll
_MOST_PLACED: Final = 240  # pieces put on a roll, in all tries together
_OUT_OF_CORNER: Final = 1.04  # how much more paper it may take to begin with the title block
_A_PAGE: Final = 1e9  # outweighs any place on the canvas


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a piece stands: the top left corner of its box on the canvas, and whether turned.

    Turned is a quarter turn clockwise: (x, y) comes to (-y, x).
    """

    x: float
    y: float
    turned: bool = False


@dataclass(frozen=True)
class Shape:
    """What takes up room: an outline with the room around it, and whether it may be turned."""

    outline: shapely.Geometry
    may_turn: bool = True


def turned(shape: shapely.Geometry) -> shapely.Geometry:
    """The geometry a quarter turn clockwise, as seen on paper with y down."""
    return shapely.transform(shape, lambda points: np.column_stack((-points[:, 1], points[:, 0])))


def on_tiles(shapes: Sequence[Shape], cell: tuple[float, float]) -> list[Spot]:
    """Places on a canvas ruled into cells of that width and height, on few of them."""
    fineness = _fineness(shapes, cell)
    square = cell[0] / fineness, cell[1] / fineness
    rasters = [_rasters(shape, square, (fineness, fineness)) for shape in shapes]
    needed = [min(_cells(raster) for raster in both) for both in rasters]
    least = math.ceil(sum(float(shape.outline.area) for shape in shapes) / (cell[0] * cell[1]))
    widest = max(-(-both[0].bits.shape[1] // fineness) for both in rasters)
    columns = max(widest, round(math.sqrt(sum(needed) * cell[1] / cell[0])))
    best: tuple[tuple[int, int], list[_Stand]] | None = None
    for wide in (columns, columns + 1, widest):
        for order in _orders(rasters, needed):
            canvas = _Canvas(wide, (fineness, fineness), _fewest_cells)
            stands = _placed(canvas, rasters, order)
            worth = (int(canvas.used.sum()), canvas.spread)
            if stands and (best is None or worth < best[0]):
                best = worth, stands
        if best and best[0][0] == least:
            break
    stands = best[1] if best else []
    return [Spot(one.x * square[0], one.y * square[1], one.raster.turned) for one in stands]


def on_roll(shapes: Sequence[Shape], sheet: tuple[float, float]) -> list[Spot]:
    """Places on sheets of that width, from the top down; `sheet` is its width and longest length.

    The first shape, the title block, is kept in the first corner unless that takes much more paper.
    A piece stands across two sheets only where it is larger than one.
    """
    boxes = sum((b[2] - b[0]) * (b[3] - b[1]) for b in (s.outline.bounds for s in shapes))
    step_mm = max(_STEP_MM, math.sqrt(boxes / _MOST_SQUARES))
    across, down = (max(1, int(side / step_mm)) for side in sheet)
    square = (step_mm, step_mm)
    rasters = [_rasters(shape, square, (down, across)) for shape in shapes]
    wide = max(min(-(-one.bits.shape[1] // across) for one in both) for both in rasters)
    best: tuple[float, list[_Stand]] | None = None
    for ways, order in islice(_tries(rasters), max(8, _MOST_PLACED // len(shapes))):
        canvas = _Canvas(wide, (down, across), _highest)
        stands = _placed(canvas, ways, order)
        length = canvas.lowest * (1.0 if order[0] == 0 else _OUT_OF_CORNER)
        if stands and (best is None or length < best[0]):
            best = length, stands

    def spot(stand: _Stand) -> Spot:
        (column, x), (row, y) = divmod(stand.x, across), divmod(stand.y, down)
        left, top = column * sheet[0] + x * step_mm, row * sheet[1] + y * step_mm
        return Spot(left, top, stand.raster.turned)

    return [spot(stand) for stand in best[1]] if best else []


_Ways = list[tuple["_Raster", ...]]


def _tries(rasters: Sequence[tuple["_Raster", ...]]) -> Iterator[tuple[_Ways, list[int]]]:
    """Which way round pieces may stand and in which order they are placed, the likeliest first."""
    for ways in _ways_round(rasters):
        for order in _orders(ways, [int(both[0].bits.size) for both in ways]):
            yield ways, [0, *(i for i in order if i != 0)]
            yield ways, order


def _ways_round(rasters: Sequence[tuple["_Raster", ...]]) -> Iterator[_Ways]:
    """Which way round pieces may stand: either, upright, lying, standing tall."""
    yield list(rasters)
    yield [both[:1] for both in rasters]
    yield [(min(both, key=lambda one: one.bits.shape[0]),) for both in rasters]
    yield [(max(both, key=lambda one: one.bits.shape[0]),) for both in rasters]


@dataclass(frozen=True)
class _Raster:
    """A shape as squares of a grid that starts at the top left corner of its box."""

    bits: _Bits
    step: tuple[int, int]  # squares down and across a cell
    turned: bool

    @cached_property
    def cells(self) -> _Bits:
        """Which cells it touches, for each place of its corner in a cell: (y, x), row, column."""
        (down, across), (high, wide) = self.step, self.bits.shape
        rows, columns = (high + down - 2) // down + 1, (wide + across - 2) // across + 1
        found = np.zeros((down, across, rows, columns), bool)
        room = np.zeros((rows * down, columns * across), bool)
        for y in range(down):
            for x in range(across):
                room[:] = False
                room[y : y + high, x : x + wide] = self.bits
                found[y, x] = room.reshape(rows, down, columns, across).any(axis=(1, 3))
        return found.reshape(down * across, rows, columns)


def _cells(raster: _Raster) -> int:
    return int(raster.cells.sum(axis=(1, 2)).min())


def _fineness(shapes: Sequence[Shape], cell: tuple[float, float]) -> int:
    """Squares across a cell: fewer where there is very much to place."""
    boxes = [shape.outline.bounds for shape in shapes]
    pages = sum((b[2] - b[0]) * (b[3] - b[1]) for b in boxes) / (cell[0] * cell[1])
    return next((n for n in _FINENESS if pages * n * n <= _MOST_SQUARES), _FINENESS[-1])


def _rasters(
    shape: Shape, square: tuple[float, float], step: tuple[int, int]
) -> tuple[_Raster, ...]:
    upright = _Raster(_bits(shape.outline, square), step, turned=False)
    if not shape.may_turn:
        return (upright,)
    return upright, _Raster(_bits(turned(shape.outline), square), step, turned=True)


def _bits(outline: shapely.Geometry, square: tuple[float, float]) -> _Bits:
    left, top, right, bottom = (float(side) for side in outline.bounds)
    columns = max(1, math.ceil((right - left) / square[0] - _NUDGE))
    rows = max(1, math.ceil((bottom - top) / square[1] - _NUDGE))
    x = left + square[0] * np.arange(columns)[None, :] + np.zeros((rows, 1))
    y = top + square[1] * np.arange(rows)[:, None] + np.zeros((1, columns))
    boxes = shapely.box(x + _NUDGE, y + _NUDGE, x + square[0] - _NUDGE, y + square[1] - _NUDGE)
    shapely.prepare(outline)
    return np.asarray(shapely.intersects(outline, boxes))


def _orders(rasters: Sequence[tuple[_Raster, ...]], needed: Sequence[int]) -> list[list[int]]:
    """Orders to try: the largest first, by pages, by area, by length, by width; each once."""
    shapes = [both[0].bits for both in rasters]
    measures: list[list[tuple[int, ...]]] = [
        [(cells, int(bits.sum())) for cells, bits in zip(needed, shapes, strict=True)],
        [(int(bits.sum()),) for bits in shapes],
        [(bits.shape[0], bits.shape[1]) for bits in shapes],
        [(bits.shape[1], bits.shape[0]) for bits in shapes],
    ]
    orders = [
        sorted(range(len(shapes)), key=lambda i, by=by: (*(-v for v in by[i]), i))  # type: ignore[misc]
        for by in measures
    ]
    return [list(order) for order in dict.fromkeys(map(tuple, orders))]


Worth = Callable[["_Canvas", _Raster, tuple[int, int]], _Key]


class _Canvas:
    """The canvas as squares, with what is taken of it; it grows downwards."""

    def __init__(self, columns: int, step: tuple[int, int], worth: Worth) -> None:
        self.step, self.columns, self.worth = step, columns, worth
        self.taken = np.zeros((0, columns * step[1]), bool)
        self.used = np.zeros((0, columns), bool)  # cells
        self.lowest = 0

    def best(self, raster: _Raster) -> tuple[float, int, int] | None:
        """The best place for the shape: what it costs, squares down, squares across."""
        (high, wide), down = raster.bits.shape, self.step[0]
        rows = -(-self.lowest // down) + -(-high // down)
        self._grow(rows)
        if wide > self.taken.shape[1]:
            return None
        tall = self.lowest + high
        if (tall - 1) // down != self.lowest // down:
            tall = rows * down  # it may have to begin with the next row of cells
        free = _overlaps(self.taken[:tall], raster.bits) < 0.5
        worth = np.where(free, self.worth(self, raster, (free.shape[0], free.shape[1])), np.inf)
        place = int(worth.argmin())
        y, x = divmod(place, free.shape[1])
        return (float(worth[y, x]), y, x) if np.isfinite(worth[y, x]) else None

    @property
    def spread(self) -> int:
        """The cells of the rectangle that holds all used ones."""
        return int(self.used.any(axis=1).sum() * self.used.any(axis=0).sum())

    def put(self, raster: _Raster, y: int, x: int) -> None:
        """Take the room of a shape there."""
        high, wide = raster.bits.shape
        self.taken[y : y + high, x : x + wide] |= raster.bits
        self.lowest = max(self.lowest, y + high)
        rows, columns = self.used.shape
        down, across = self.step
        whole = self.taken.reshape(rows, down, columns, across)
        self.used = np.asarray(whole.any(axis=(1, 3)))

    def _grow(self, rows: int) -> None:
        more = rows - self.used.shape[0]
        if more > 0:
            self.used = np.vstack((self.used, np.zeros((more, self.columns), bool)))
            empty = np.zeros((more * self.step[0], self.taken.shape[1]), bool)
            self.taken = np.vstack((self.taken, empty))


def _overlaps(taken: _Bits, shape: _Bits) -> NDArray[np.float64]:
    """How many squares are taken already, for each place of the shape inside the canvas."""
    # What wraps around comes to places that are cut off.
    size = (_smooth(taken.shape[0]), _smooth(taken.shape[1]))
    one = np.fft.rfft2(taken.astype(float), size)
    other = np.fft.rfft2(shape[::-1, ::-1].astype(float), size)
    found = np.fft.irfft2(one * other, size)
    (tall, across), (high, wide) = taken.shape, shape.shape
    return np.asarray(found[high - 1 : tall, wide - 1 : across])


@lru_cache
def _smooth(least: int) -> int:
    """The next number without a prime factor above five: the transform is quick for those."""
    size = least
    while True:
        rest = size
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return size
        size += 1


def _fewest_cells(canvas: _Canvas, raster: _Raster, size: tuple[int, int]) -> _Key:
    """The cells that would be used only for it, then how far down, then how far to the right."""
    cells = raster.cells.astype(float)
    _, rows, columns = cells.shape
    (down, across), (tall, wide) = canvas.step, size
    below, right = -(-tall // down), -(-wide // across)
    fresh = np.zeros((below + rows - 1, right + columns - 1))
    seen = ~canvas.used[: fresh.shape[0], : fresh.shape[1]]
    fresh[: seen.shape[0], : seen.shape[1]] = seen
    windows = np.lib.stride_tricks.sliding_window_view(fresh, (rows, columns))
    new = np.tensordot(windows, cells, axes=([2, 3], [1, 2]))
    new = new.reshape(below, right, down, across).transpose(0, 2, 1, 3)
    new = new.reshape(below * down, right * across)[:tall, :wide]
    return np.asarray((new + _TURNED * raster.turned) * _A_PAGE + _place(size, raster))


def _highest(canvas: _Canvas, raster: _Raster, size: tuple[int, int]) -> _Key:
    """How far down it reaches, and not across two sheets if it fits on one."""
    worth = _place(size, raster) + 0.5 * raster.turned
    (down, across), (high, wide) = canvas.step, raster.bits.shape
    y, x = np.arange(size[0]), np.arange(size[1])
    broken_y = y // down != (y + high - 1) // down if high <= down else y % down != 0
    broken_x = x // across != (x + wide - 1) // across if wide <= across else x % across != 0
    return np.asarray(worth + _A_PAGE * (broken_y[:, None].astype(float) + broken_x[None, :]))


def _place(size: tuple[int, int], raster: _Raster) -> _Key:
    bottoms = np.arange(size[0])[:, None] + raster.bits.shape[0]
    return np.asarray(bottoms * 1e4 + np.arange(size[1])[None, :])


@dataclass(frozen=True, slots=True)
class _Stand:
    """Where a raster stands, in squares."""

    y: int
    x: int
    raster: _Raster


def _placed(
    canvas: _Canvas, rasters: Sequence[tuple[_Raster, ...]], order: Sequence[int]
) -> list[_Stand]:
    """Each piece at the best place when its turn comes; nothing if one is wider than the canvas."""
    stands: dict[int, _Stand] = {}
    for i in order:
        places = sorted(_found(canvas, rasters[i]), key=lambda found: found[:3])
        if not places:
            return []
        _, y, x, raster = places[0]
        canvas.put(raster, y, x)
        stands[i] = _Stand(y, x, raster)
    return [stands[i] for i in range(len(rasters))]


def _found(canvas: _Canvas, both: tuple[_Raster, ...]) -> Iterator[tuple[float, int, int, _Raster]]:
    for raster in both:
        found = canvas.best(raster)
        if found:
            yield (*found, raster)
