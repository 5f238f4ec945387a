"""Where the pieces and the lettering of a step's small drawing stand, mm of paper."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

import shapely

from webapp.build.step_seams import Shown, Spot
from webapp.build.step_view import StepView
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
_LINE: Final = NAME * LINE
_ASCENT: Final = 0.75  # of the size of a name
_TRIES: Final = 12
_LINES_COUNTED: Final = 2  # a name in more makes the drawing higher, not its pieces smaller
_SAME: Final = 1e-6

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
    filled: bool  # with lines that its name would lie on

    @property
    def size(self) -> Point:
        left, top, right, bottom = self.box
        return right - left, bottom - top

    def at_scale(self, scale: float) -> "_Scaled":
        """What it takes on paper, its name inside it or below."""
        name = self.on.piece.name
        left, top, right, bottom = self.room
        width, height = (side * scale for side in self.size)
        lines = wrapped(name, width - 3.0) if width > _LEAST_INSIDE else ()
        if self._holds(name, lines, scale):
            return _Scaled(width + left + right, height + top + bottom, lines, inside=True)
        lines = wrapped(name, max(width + left + right, _LEAST_SLOT))
        widest = max(map(_name_width, lines))
        high = height + top + bottom + _LINE * len(lines)
        return _Scaled(max(width + left + right, widest), high, lines, inside=False)

    def _holds(self, name: str, lines: Sequence[str], scale: float) -> bool:
        """True when these lines, none of them a part of a word, have room in the piece's middle."""
        if self.filled or not 0 < len(lines) <= 2 or name.split() != " ".join(lines).split():
            return False
        left, top, right, bottom = self.box
        dx = (max(map(_name_width, lines)) / 2 + 1.0) / scale
        dy = (_LINE * len(lines) / 2 + 0.4) / scale
        if 2 * dx > right - left or 2 * dy > bottom - top:
            return False
        x, y = (left + right) / 2, (top + bottom) / 2
        return bool(self.shape.contains(shapely.box(x - dx, y - dy, x + dx, y + dy)))

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The piece as an area."""
        return shapely.Polygon(self.line)


@dataclass(frozen=True)
class _Scaled:
    """What a piece with its name takes on paper."""

    width: float
    height: float
    name: tuple[str, ...]
    inside: bool


def laid_out(view: StepView, spots: Sequence[Spot]) -> Layout:
    """The pieces to one scale, in order, in one row or more, with room for letters at the spots.

    Where each seam has pieces of its own, these stand together.
    """
    filled = {on for on, _ in view.pockets}
    blocks = [_block(on, spots, filled=on in filled) for on in view.shown]
    page = WIDTH, HEIGHT if spots else LOW
    scale, places = _best_places(blocks, page, _by_group(view.shown, view.groups))
    blocks = _level(blocks, places)
    sized = [block.at_scale(scale) for block in blocks]
    for _ in range(_TRIES):
        width, height = _all_of(places, sized)
        further = max(0, max(len(each.name) for each in sized) - _LINES_COUNTED)
        over = max(width / page[0], (height - further * _LINE) / page[1])
        if over <= 1.0:
            break
        scale *= max(0.8, min(0.98, 1 / over))
        sized = [block.at_scale(scale) for block in blocks]
    return _placed(blocks, sized, places, scale)


def _block(on: Shown, spots: Sequence[Spot], *, filled: bool) -> _Block:
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
    return _Block(on, line, box, (one, two, three, four), filled)


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
    """Each group a column; None when they share pieces or leave some out, or there is only one."""
    places = [[shown.index(on) for on in group] for group in groups]
    each_once = sorted(p for group in places for p in group) == list(range(len(shown)))
    return [places] if len(groups) > 1 and each_once else None


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


def _all_of(places: Places, sized: Sequence[_Scaled]) -> Point:
    rows = [[_column(column, sized) for column in row] for row in places]
    high = sum(max(high for _, high in row) for row in rows)
    return max(map(_beside, rows)), high + _GAP * (len(rows) - 1)


def _beside(row: Sequence[Point]) -> float:
    return sum(wide for wide, _ in row) + _GAP * (len(row) - 1)


def _column(column: Sequence[int], sized: Sequence[_Scaled]) -> Point:
    own = [sized[place] for place in column]
    high = sum(each.height for each in own) + _GAP * (len(own) - 1)
    return max(each.width for each in own), high


def _placed(
    blocks: Sequence[_Block], sized: Sequence[_Scaled], places: Places, scale: float
) -> Layout:
    width, height = _all_of(places, sized)
    standing: dict[int, Standing] = {}
    top = 0.0
    for row in places:
        columns = [_column(column, sized) for column in row]
        x = (width - _beside(columns)) / 2
        for column, (wide, _) in zip(row, columns, strict=True):
            y = top
            for place in column:
                standing[place] = _stood(blocks[place], sized[place], (x + wide / 2, y), scale)
                y += sized[place].height + _GAP
            x += wide + _GAP
        top += max(high for _, high in columns) + _GAP
    return Layout(width, height, tuple(standing[place] for place in sorted(standing)))


def _stood(block: _Block, sized: _Scaled, top: Point, scale: float) -> Standing:
    """The piece below the middle of its slot's top, its name inside or below it."""
    left, upper, right, lower = block.box
    middle, y = top
    if sized.width <= (right - left) * scale + block.room[0] + block.room[2] + _SAME:
        middle += (block.room[0] - block.room[2]) / 2  # the room beside it need not be alike
    shift = middle - (left + right) / 2 * scale, y + block.room[1] - upper * scale
    if sized.inside:
        first = (upper + lower) / 2 * scale + shift[1] - _LINE * (len(sized.name) - 1) / 2
        first += NAME * BASELINE_EM
    else:
        first = lower * scale + shift[1] + block.room[3] + NAME * _ASCENT
    name = tuple((line, (middle, first + _LINE * n)) for n, line in enumerate(sized.name))
    drawn = [(px * scale + shift[0], py * scale + shift[1]) for px, py in block.line]
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
    return at[0] - half, at[1] - _ASCENT * NAME, at[0] + half, at[1] + 0.25 * NAME


def wrapped(name: str, width: float) -> tuple[str, ...]:
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
    (reach, math.cos(math.radians(turn)), math.sin(math.radians(turn)), abs(turn) / 60)
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
        near = width + height
        heavy, light = (
            [(x, y) for x, y in points if abs(x - at[0]) < near and abs(y - at[1]) < near]
            for points in (self.heavy, self.light)
        )
        best: tuple[float, Box] | None = None
        for reach, cos, sin, turned in _WAYS:
            way = off[0] * cos - off[1] * sin, off[0] * sin + off[1] * cos
            far = reach + abs(way[0]) * width / 2 + abs(way[1]) * height / 2
            x, y = at[0] + far * way[0], at[1] + far * way[1]
            box = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if not _within(box, self.page) or any(_meet(box, other) for other in self.taken):
                continue
            cost = 3 * reach + turned
            if best is not None and cost >= best[0]:
                continue
            cost += _OVER_HEAVY * _inside(heavy, box) + _OVER_LINE * _inside(light, box)
            if best is None or cost < best[0]:
                best = cost, box
        if best is None:
            return None
        left, top, right, bottom = best[1]
        self.taken.append((left - 0.3, top - 0.1, right + 0.3, bottom + 0.1))
        return (left + right) / 2, (top + bottom) / 2


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


def _inside(points: Sequence[Point], box: Box) -> int:
    left, top, right, bottom = box
    return sum(left < x < right and top < y < bottom for x, y in points)


def _within(box: Box, page: Box) -> bool:
    return box[0] >= page[0] and box[1] >= page[1] and box[2] <= page[2] and box[3] <= page[3]


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
