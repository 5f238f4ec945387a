"""Where the pieces and the lettering of a step's small drawing stand, mm of paper."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

import numpy as np
import shapely

from webapp.build.step_view import Shown, Spot
from webapp.draft.drawing import BASELINE_EM
from webapp.draft.labels import LINE, text_width
from webapp.draft.outline import Point, bounds

NAME: Final = 2.5  # the size of the pieces' names: 7 pt
LETTER: Final = 2.75  # of a letter: 7.8 pt
WIDTH, HEIGHT = 64.0, 34.0  # as much as the column beside the words holds: companion.css
LOW: Final = 26.0  # of a drawing in which nothing meets
_ROOM, _LITTLE_ROOM = 3.3, 0.7  # beside a piece, where letters stand and where none do
_GAP: Final = 2.0
_LEAST_INSIDE: Final = 8.0
_LEAST_SLOT: Final = 15.0  # a name is not broken for less
_ONE_ROW: Final = 0.8  # what is simpler is taken if it is no smaller than so much of the largest
_DETAIL: Final = 0.05  # what a line may be off, on paper
_LARGEST: Final = 1 / 6  # of true size: a tab needs no more

Box = tuple[float, float, float, float]
# Rows of columns of pieces that stand one above the other, each by its place among the pieces.
Places = list[list[list[int]]]


@dataclass(frozen=True)
class Standing:
    """A piece on the paper: its cut line, the scale, and its name's lines, each with its middle."""

    on: Shown
    scale: float
    shift: Point
    outline: list[Point]
    name: tuple[tuple[str, Point], ...]

    def at(self, point: Point) -> Point:
        """A point of the piece, on paper."""
        (dx, dy), scale = self.shift, self.scale
        return point[0] * scale + dx, point[1] * scale + dy


@dataclass(frozen=True)
class Layout:
    """All pieces in their places."""

    width: float
    height: float
    standing: tuple[Standing, ...]


@dataclass(frozen=True)
class _Block:
    """A piece before it has its place: its cut line in mm, and the room it needs on each side."""

    on: Shown
    line: list[Point]
    box: Box
    room: Box

    @property
    def size(self) -> Point:
        left, top, right, bottom = self.box
        return right - left, bottom - top

    def named(self, scale: float) -> tuple[bool, tuple[str, ...]]:
        """Whether its name stands inside it, and the name in lines."""
        name = self.on.piece.name
        width, height = (side * scale for side in self.size)
        lines = _wrapped(name, width - 3.0) if width > _LEAST_INSIDE else ()
        if (
            0 < len(lines) <= 2
            and height > _LINE * len(lines) + 2.0
            and name.split() == " ".join(lines).split()
        ):
            x, y = (self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2
            dx = (max(map(_name_width, lines)) / 2 + 1.0) / scale
            dy = (_LINE * len(lines) / 2 + 0.4) / scale
            if self.shape.contains(shapely.box(x - dx, y - dy, x + dx, y + dy)):
                return True, lines
        return False, _wrapped(name, max(width + self.room[0] + self.room[2], _LEAST_SLOT))

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The piece as an area."""
        return shapely.Polygon(self.line)

    def room_for(self, scale: float) -> Point:
        """Width and height of all it needs on paper."""
        inside, name = self.named(scale)
        left, top, right, bottom = self.room
        width, height = (side * scale for side in self.size)
        if inside:
            return width + left + right, height + top + bottom
        widest = max(map(_name_width, name))
        return max(width + left + right, widest), height + top + bottom + _LINE * len(name)


_LINE: Final = NAME * LINE


def laid_out(
    shown: Sequence[Shown], groups: Sequence[Sequence[Shown]], spots: Sequence[Spot]
) -> Layout:
    """The pieces to one scale, in order, in one row or more, with room for letters at the spots.

    Where each of the `groups` has pieces of its own, they stand side by side.
    """
    blocks = [_block(on, spots) for on in shown]
    page = WIDTH, HEIGHT if spots else LOW
    scale, places = _best_places(blocks, page, _by_group(shown, groups))
    blocks = _level(blocks, places)
    for _ in range(12):
        width, height = _all_of(places, blocks, scale)
        over = max(width / page[0], height / page[1])
        if over <= 1.0:
            break
        scale *= max(0.8, min(0.98, 1 / over))
    return _placed(blocks, places, scale)


def _block(on: Shown, spots: Sequence[Spot]) -> _Block:
    points = on.piece.whole_cut_points
    line = [(-x, y) for x, y in points] if on.mirrored else points
    box = left, top, right, bottom = bounds(line)
    near_x, near_y = 0.2 * (right - left), 0.2 * (bottom - top)
    lettered = [(spot.at, spot.off) for spot in spots if spot.on is on]
    sides = (
        any(x < left + near_x and nx < -0.3 for (x, _), (nx, _) in lettered),
        any(y < top + near_y and ny < -0.3 for (_, y), (_, ny) in lettered),
        any(x > right - near_x and nx > 0.3 for (x, _), (nx, _) in lettered),
        any(y > bottom - near_y and ny > 0.3 for (_, y), (_, ny) in lettered),
    )
    one, two, three, four = (_ROOM if side else _LITTLE_ROOM for side in sides)
    return _Block(on, line, box, (one, two, three, four))


def _level(blocks: Sequence[_Block], places: Places) -> list[_Block]:
    """The blocks with as much room above those that head a row's columns: their tops are level."""
    made = list(blocks)
    for row in places:
        above = max(blocks[column[0]].room[1] for column in row)
        for first in (column[0] for column in row):
            left, _, right, below = blocks[first].room
            made[first] = replace(blocks[first], room=(left, above, right, below))
    return made


def _by_group(shown: Sequence[Shown], groups: Sequence[Sequence[Shown]]) -> Places | None:
    """Each group a column; None when they share pieces, or there is only one."""
    places = [[shown.index(on) for on in group] for group in groups]
    if len(groups) < 2 or sum(map(len, places)) != len(shown):
        return None
    return [places]


def _best_places(
    blocks: Sequence[_Block], page: Point, grouped: Places | None
) -> tuple[float, Places]:
    """The scale and the places that make it largest; the simplest unless more is far better."""
    ways = [[[[place] for place in row] for row in rows] for rows in _partitions(len(blocks))]
    ways.sort(key=len)
    best: tuple[float, Places] = (0.0, ways[0])
    for places in ([grouped] if grouped else []) + ways:
        scale = _fitting(places, blocks, page)
        if scale * _ONE_ROW > best[0]:
            best = scale, places
    return max(best[0], 1e-4), best[1]


def _fitting(places: Places, blocks: Sequence[_Block], page: Point) -> float:
    """The largest scale at which they fit the page, with no room for names."""
    scale = _LARGEST
    high_mm = sum(max(sum(blocks[p].size[1] for p in column) for column in row) for row in places)
    spare = sum(
        max(sum(blocks[p].room[1] + blocks[p].room[3] + _GAP for p in column) for column in row)
        for row in places
    )
    scale = min(scale, (page[1] - spare) / high_mm)
    for row in places:
        wide_mm = sum(max(blocks[p].size[0] for p in column) for column in row)
        spare = sum(
            max(blocks[p].room[0] + blocks[p].room[2] for p in column) + _GAP for column in row
        )
        scale = min(scale, (page[0] - spare) / wide_mm)
    return scale


def _partitions(count: int) -> Iterator[list[list[int]]]:
    """Every way to break a row of so many into rows."""
    for mask in range(1 << max(count - 1, 0)):
        rows = [[0]]
        for place in range(1, count):
            if mask >> (place - 1) & 1:
                rows.append([])
            rows[-1].append(place)
        yield rows


def _all_of(places: Places, blocks: Sequence[_Block], scale: float) -> Point:
    rows = [[_column(column, blocks, scale) for column in row] for row in places]
    return max(map(_beside, rows)), sum(max(high for _, high in row) for row in rows) + _GAP * (
        len(rows) - 1
    )


def _beside(row: Sequence[Point]) -> float:
    return sum(wide for wide, _ in row) + _GAP * (len(row) - 1)


def _column(column: Sequence[int], blocks: Sequence[_Block], scale: float) -> Point:
    rooms = [blocks[p].room_for(scale) for p in column]
    return max(wide for wide, _ in rooms), sum(high for _, high in rooms) + _GAP * (len(rooms) - 1)


def _placed(blocks: Sequence[_Block], places: Places, scale: float) -> Layout:
    width, height = _all_of(places, blocks, scale)
    standing: list[Standing] = []
    top = 0.0
    for row in places:
        columns = [_column(column, blocks, scale) for column in row]
        high = max(tall for _, tall in columns)
        x = (width - _beside(columns)) / 2
        for column, (wide, _) in zip(row, columns, strict=True):
            y = top
            for p in column:
                standing.append(_stood(blocks[p], x + wide / 2, y, scale))
                y += blocks[p].room_for(scale)[1] + _GAP
            x += wide + _GAP
        top += high + _GAP
    return Layout(width, height, tuple(standing))


def _stood(block: _Block, middle: float, top: float, scale: float) -> Standing:
    """The piece in the middle of its slot, its name inside or below it."""
    left, upper, right, lower = block.box
    inside, lines = block.named(scale)
    # The room beside it need not be alike on both sides.
    middle += (
        0
        if not inside and max(map(_name_width, lines)) > (right - left) * scale
        else ((block.room[0] - block.room[2]) / 2)
    )
    shift = middle - (left + right) / 2 * scale, top + block.room[1] - upper * scale
    foot = top + block.room[1] + (lower - upper) * scale + block.room[3] + NAME * 0.75
    middle_y = (upper + lower) / 2 * scale + shift[1] - _LINE * (len(lines) - 1) / 2
    first = middle_y + NAME * BASELINE_EM if inside else foot
    name = tuple((line, (middle, first + _LINE * n)) for n, line in enumerate(lines))
    drawn = [(x * scale + shift[0], y * scale + shift[1]) for x, y in block.line]
    return Standing(block.on, scale, shift, _simpler(drawn), name)


def _simpler(points: list[Point]) -> list[Point]:
    """The closed line with as few points as paper needs."""
    if len(points) < 8:
        return points
    ring = shapely.LinearRing(points).simplify(_DETAIL)
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]


# --- Names -----------------------------------------------------------------------------------


def _name_width(line: str) -> float:
    return NAME * sum(text_width(char) if ord(char) < 0x250 else 1.0 for char in line)


def name_box(line: str, at: Point) -> Box:
    """What a line of a name takes, its baseline's middle being there."""
    half = _name_width(line) / 2
    return at[0] - half, at[1] - 0.75 * NAME, at[0] + half, at[1] + 0.25 * NAME


def _wrapped(name: str, width: float) -> tuple[str, ...]:
    """The name in lines no wider than that: broken between words, or inside one that is longer."""
    lines = [""]
    for word in name.split():
        grown = f"{lines[-1]} {word}".strip()
        if lines[-1] and _name_width(grown) > width:
            lines.append("")
            grown = word
        lines[-1] = ""
        for char in grown:
            if _name_width(lines[-1] + char) > width and lines[-1]:
                lines.append("")
            lines[-1] += char
    return tuple(line.strip() for line in lines)


# --- Letters ---------------------------------------------------------------------------------

_WAYS: Final = tuple(
    (reach, math.radians(turn))
    for reach in (0.75, 0.95, 1.2, 1.5)
    for turn in (0, 20, -20, 45, -45, 75, -75, 110, -110, 145, -145, 180)
)
_OVER_HEAVY, _OVER_LINE = 30.0, 2.0


@dataclass
class Lettering:
    """Places letters beside points: never over one another, and off the lines if they can be."""

    page: Box
    heavy: Sequence[Point]  # points along the lines no letter should hide
    light: Sequence[Point]
    taken: list[Box] = field(default_factory=list)

    def place(self, at: Point, off: Point, width: float, height: float) -> Point | None:
        """The middle of a box of that size beside the point; None where there is no room."""
        heavy, light = (
            np.asarray(self.heavy or [(-9.0, -9.0)]),
            np.asarray(self.light or [(-9.0, -9.0)]),
        )
        best: tuple[float, Point] | None = None
        for reach, turn in _WAYS:
            cos, sin = math.cos(turn), math.sin(turn)
            way = off[0] * cos - off[1] * sin, off[0] * sin + off[1] * cos
            far = reach + abs(way[0]) * width / 2 + abs(way[1]) * height / 2
            x, y = at[0] + far * way[0], at[1] + far * way[1]
            box = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if not _within(box, self.page) or any(_meet(box, other) for other in self.taken):
                continue
            cost = (
                _inside(heavy, box) * _OVER_HEAVY
                + _inside(light, box) * _OVER_LINE
                + 3 * reach
                + abs(turn)
            )
            if best is None or cost < best[0]:
                best = cost, (x, y)
        if best is None:
            return None
        x, y = best[1]
        dx, dy = width / 2 + 0.3, height / 2 + 0.1
        self.taken.append((x - dx, y - dy, x + dx, y + dy))
        return best[1]


def along(points: Sequence[Point], step: float, *, closed: bool = False) -> list[Point]:
    """Points along a line, no further apart than that."""
    found: list[Point] = list(points[:1])
    line = [*points, points[0]] if closed else points
    for (x0, y0), (x1, y1) in pairwise(line):
        parts = max(1, math.ceil(math.dist((x0, y0), (x1, y1)) / step))
        found += [
            (x0 + (x1 - x0) * n / parts, y0 + (y1 - y0) * n / parts) for n in range(1, parts + 1)
        ]
    return found


def _inside(points: "np.ndarray", box: Box) -> int:
    x, y = points[:, 0], points[:, 1]
    return int(((x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3])).sum())


def _within(box: Box, page: Box) -> bool:
    return box[0] >= page[0] and box[1] >= page[1] and box[2] <= page[2] and box[3] <= page[3]


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
