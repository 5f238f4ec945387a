"""The pages of a true-scale pattern: which there are, what lies on each, and how they join.

The canvas is ruled into cells, row by row from the top; one that holds part of a piece is a page.
Rows have letters and columns numbers: B3. Millimetres.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from string import ascii_uppercase
from typing import Final, Literal

import numpy as np
import shapely

from webapp.draft.outline import Point
from webapp.handouts.pattern_ink import Ink, Text, rectangles
from webapp.handouts.pattern_lettering import TAG_GAP, Lettered, lettered, tag_of
from webapp.handouts.pattern_packing import Shape, on_roll, on_tiles, turned
from webapp.handouts.pattern_pieces import Nest, Placed, Style
from webapp.plan.print_choices import A0_WIDTH_MM, SheetEdges
from webapp.units import System

PatternPaper = Literal["a4", "letter", "sheet"]

ROOM_MM: Final = 3.0  # around every piece, so that no cut line lies on the rim of a page
A0_LENGTH_MM: Final = 1189.0  # ISO 216
# A PDF page is at most 14,400 units of 1/72 in long where readers keep to Acrobat's limits
# (ISO 32000-1, Annex C); a little less.
LONGEST_SHEET_MM: Final = 5000.0
_SMALLEST_AREA: Final = 0.01  # mm²; less of a piece on a page is only the noise of arithmetic
_SHORTEST_JOIN: Final = 0.01
_MARK_EVERY: Final = 250.0
_MARK_ROOM: Final = (18.0, 9.0)  # across a join and along it, that its mark likes to itself


@dataclass(frozen=True, slots=True)
class Format:
    """A sheet of paper and what of it is used, mm.

    The margin is what home printers leave white, the strip what is glued under the next page:
    common practice, no source.
    """

    width: float
    height: float
    margin: float = 10.0
    head: float = 6.0  # a line of words above the pattern
    strip: float = 0.0

    @property
    def cell(self) -> tuple[float, float]:
        """How much of the pattern a page brings."""
        return (
            self.width - 2 * self.margin - self.strip,
            self.height - 2 * self.margin - self.head - self.strip,
        )

    @property
    def corner(self) -> Point:
        """Where on the page the cell's top left corner lies."""
        return self.margin, self.margin + self.head


STRIP_MM: Final = 12.0
_SIZES: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; 8 1/2 x 11 in


def format_of(paper: PatternPaper, edges: SheetEdges, roll_mm: float) -> Format:
    """The paper with its margins; a large sheet as long as a sheet can be."""
    if paper == "sheet":
        return Format(roll_mm, LONGEST_SHEET_MM, head=0.0)
    return Format(*_SIZES[paper], strip=STRIP_MM if edges == "overlap" else 0.0)


@dataclass(frozen=True, slots=True)
class Join:
    """Two pages that meet along a line, and where on the line its marks stand."""

    one: tuple[int, int]  # row and column of the page on the left, or above
    other: tuple[int, int]
    start: Point
    end: Point
    marks: tuple[Point, ...]

    @property
    def upright(self) -> bool:
        """True for pages side by side."""
        return self.start[0] == self.end[0]


@dataclass(frozen=True)
class Tile:
    """A page: its cell of the canvas, and the labels of the pages it is joined to."""

    row: int
    column: int
    left: float
    top: float
    width: float
    height: float
    right_of: str = ""
    below: str = ""
    leads_right: str = ""
    leads_down: str = ""

    @property
    def label(self) -> str:
        """Row letter and column number."""
        return label_of(self.row, self.column)

    @property
    def cell(self) -> shapely.Polygon:
        """Its part of the canvas."""
        return shapely.box(self.left, self.top, self.left + self.width, self.top + self.height)

    def window(self, strip: float) -> shapely.Polygon:
        """Its part of the canvas and the strips that are glued under other pages."""
        right = self.left + self.width + (strip if self.leads_right else 0.0)
        bottom = self.top + self.height + (strip if self.leads_down else 0.0)
        return shapely.box(self.left, self.top, right, bottom)


def label_of(row: int, column: int) -> str:
    """Letters count on after Z as in AA, AB …"""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, len(ascii_uppercase))
        letters = ascii_uppercase[rest] + letters
    return f"{letters}{column + 1}"


@dataclass(frozen=True)
class Panel:
    """Where the title block stands on a large sheet."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Layout:
    """The whole pattern laid out on pages."""

    form: Format
    placed: tuple[Placed, ...]
    tags: tuple[Text | None, ...]
    panel: Panel | None = None

    def page_size(self, tile: Tile) -> tuple[float, float]:
        """Width and length of the paper under a page: as long as need be on a large sheet."""
        if not self.panel:
            return self.form.width, self.form.height
        bottom = max(
            float(shapely.intersection(area, other.cell).bounds[3])
            for other in self.tiles
            for area in (*self.areas, _box(self.panel))
            if other.row == tile.row and shapely.area(shapely.intersection(area, other.cell)) > 0
        )
        needed = math.ceil((bottom + ROOM_MM - tile.top + 2 * self.form.margin) / 10) * 10.0
        if self.form.width == A0_WIDTH_MM and needed <= A0_LENGTH_MM:
            return A0_WIDTH_MM, A0_LENGTH_MM
        return self.form.width, min(needed, self.form.height)

    @property
    def _tagged(self) -> list[tuple[Placed, Text]]:
        """The pieces whose names stand beside them."""
        return [(one, tag) for one, tag in zip(self.placed, self.tags, strict=True) if tag]

    @cached_property
    def areas(self) -> tuple[shapely.Geometry, ...]:
        """What each piece covers, with the name of a small one beside it."""
        return tuple(map(_with_tag, self.placed, self.tags))

    @cached_property
    def cells(self) -> tuple[tuple[int, int], ...]:
        """Row and column of every page, row by row."""
        wide, high = self.form.cell
        found: set[tuple[int, int]] = set()
        for area in (*self.areas, *([_box(self.panel)] if self.panel else [])):
            left, top, right, bottom = (float(side) for side in area.bounds)
            rows = np.arange(int(top // high), int(bottom // high) + 1)
            columns = np.arange(int(left // wide), int(right // wide) + 1)
            r, c = (grid.ravel() for grid in np.meshgrid(rows, columns))
            shapely.prepare(area)
            touched = shapely.intersects(
                area, shapely.box(c * wide, r * high, (c + 1) * wide, (r + 1) * high)
            )
            for row, column in zip(r[touched].tolist(), c[touched].tolist(), strict=True):
                cell = shapely.box(column * wide, row * high, (column + 1) * wide, (row + 1) * high)
                if float(shapely.intersection(area, cell).area) > _SMALLEST_AREA:
                    found.add((row, column))
        return tuple(sorted(found))

    @cached_property
    def edges(self) -> tuple[tuple[tuple[int, int], tuple[int, int], shapely.LineString], ...]:
        """The pages that some piece runs across, each with the line they share."""
        wide, high = self.form.cell
        used, found = set(self.cells), []
        whole = shapely.union_all(list(self.areas))
        shapely.prepare(whole)
        for row, column in self.cells:
            x, y = column * wide, row * high
            right = shapely.LineString([(x + wide, y), (x + wide, y + high)])
            under = shapely.LineString([(x, y + high), (x + wide, y + high)])
            for other, line in (((row, column + 1), right), ((row + 1, column), under)):
                if (
                    other in used
                    and shapely.intersects(whole, line)
                    and float(shapely.intersection(whole, line).length) > _SHORTEST_JOIN
                ):
                    found.append(((row, column), other, line))
        return tuple(found)

    @cached_property
    def tiles(self) -> tuple[Tile, ...]:
        """Every page that is printed."""
        wide, high = self.form.cell
        joined: dict[tuple[int, int], dict[str, str]] = {}
        for one, other, line in self.edges:
            level = line.coords[0][1] == line.coords[1][1]
            ahead, back = ("leads_down", "below") if level else ("leads_right", "right_of")
            joined.setdefault(one, {})[ahead] = label_of(*other)
            joined.setdefault(other, {})[back] = label_of(*one)
        return tuple(
            Tile(
                row, column, column * wide, row * high, wide, high, **joined.get((row, column), {})
            )
            for row, column in self.cells
        )

    def ink(self) -> Ink:
        """Every line of the pieces and every join of pages, to write between."""
        lines = [line for placed in self.placed for line in placed.lines.values()]
        ink = Ink(lines, [line for _, _, line in self.edges])
        ink.write(*(_tag_room(placed, tag) for placed, tag in self._tagged))
        return ink

    def joins(self, ink: Ink) -> tuple[Join, ...]:
        """The joins with their marks, away from the pattern's own lines where that can be."""
        return tuple(
            Join(one, other, line.coords[0], line.coords[1], tuple(_mark_places(line, ink)))
            for one, other, line in self.edges
        )


def lay_out(nests: Sequence[Nest], tags: Sequence[Text | None], form: Format) -> Layout:
    """The pieces on tiled pages."""
    spots = on_tiles([_shape(nest, tag) for nest, tag in zip(nests, tags, strict=True)], form.cell)
    return Layout(form, _standing(nests, tags, spots), tuple(tags))


def lay_out_sheet(
    nests: Sequence[Nest], tags: Sequence[Text | None], form: Format, panel: tuple[float, float]
) -> Layout:
    """The pieces on a large sheet, its title block in the first corner."""
    room = 2 * ROOM_MM
    block = Shape(shapely.box(0, 0, panel[0] + room, panel[1] + room), may_turn=False)
    shapes = [block, *(_shape(nest, tag) for nest, tag in zip(nests, tags, strict=True))]
    first, *spots = on_roll(shapes, form.cell)
    return Layout(
        form,
        _standing(nests, tags, spots),
        tuple(tags),
        Panel(first.x + ROOM_MM, first.y + ROOM_MM, *panel),
    )


def written(layout: Layout, ink: Ink, first: System, words: str, cloths: bool) -> list[Lettered]:
    """The words and signs of every piece."""
    cells = [tile.cell for tile in layout.tiles]
    tree = shapely.STRtree(cells)
    return [
        lettered(
            placed,
            ink,
            first,
            words,
            placed.nest.piece.cloth if cloths else "",
            tag,
            [cells[i] for i in sorted(tree.query(placed.covered, predicate="intersects").tolist())],
        )
        for placed, tag in zip(layout.placed, layout.tags, strict=True)
    ]


def tags_of(nests: Sequence[Nest], words: str, cloths: bool) -> list[Text | None]:
    """For each piece the words that stand beside it because it is too small to hold them."""
    return [tag_of(nest, words, nest.piece.cloth if cloths else "") for nest in nests]


def clipped(
    tile: Tile, strip: float, layers: Sequence[tuple[Style, shapely.Geometry]]
) -> Iterator[tuple[Style, shapely.Geometry]]:
    """What of each layer lies on the page."""
    window = tile.window(strip)
    cut = shapely.intersection([geometry for _, geometry in layers], window)
    for (style, _), part in zip(layers, cut, strict=True):
        if not shapely.is_empty(part):
            yield style, part


def _shape(nest: Nest, tag: Text | None) -> Shape:
    whole = nest.whole
    around = shapely.buffer(whole, ROOM_MM, join_style="mitre", mitre_limit=2.0)
    if tag is None:
        return Shape(around)
    _, top, right, _ = whole.bounds
    width, height = tag.size
    room = shapely.box(
        right, top - ROOM_MM, right + TAG_GAP + width + ROOM_MM, top + height + ROOM_MM
    )
    return Shape(shapely.union(around, room), may_turn=False)


def _standing(
    nests: Sequence[Nest], tags: Sequence[Text | None], spots: Sequence[object]
) -> tuple[Placed, ...]:
    placed = []
    for nest, tag, spot in zip(nests, tags, spots, strict=True):
        outline = _shape(nest, tag).outline
        box = (turned(outline) if spot.turned else outline).bounds  # type: ignore[attr-defined]
        shift = (float(spot.x - box[0]), float(spot.y - box[1]))  # type: ignore[attr-defined]
        placed.append(Placed(nest, spot.turned, shift))  # type: ignore[attr-defined]
    return tuple(placed)


def _with_tag(placed: Placed, tag: Text | None) -> shapely.Geometry:
    if tag is None:
        return placed.covered
    return shapely.union(placed.covered, _tag_room(placed, tag))


def _tag_room(placed: Placed, tag: Text) -> shapely.Polygon:
    _, top, right, _ = placed.covered.bounds
    width, height = tag.size
    return shapely.box(right, top, right + TAG_GAP + width, top + height)


def _box(panel: Panel) -> shapely.Polygon:
    return shapely.box(panel.left, panel.top, panel.left + panel.width, panel.top + panel.height)


def _mark_places(line: shapely.LineString, ink: Ink) -> Iterator[Point]:
    """A place in each half of the line, on a long line in each shorter part: free ones first."""
    upright = line.coords[0][0] == line.coords[1][0]
    room = _MARK_ROOM if upright else _MARK_ROOM[::-1]
    parts = max(2, round(line.length / _MARK_EVERY))
    for part in range(parts):
        middle, reach = (part + 0.5) / parts, 0.36 / parts
        shares = sorted(
            np.linspace(middle - reach, middle + reach, 17).tolist(),
            key=lambda share: abs(share - middle),
        )
        points = shapely.get_coordinates(
            shapely.line_interpolate_point(line, shares, normalized=True)
        )
        free = ink.free(rectangles(points, room, 0.0), joins=False)
        x, y = points[int(free.argmax())]
        ink.write(shapely.box(x - room[0] / 2, y - room[1] / 2, x + room[0] / 2, y + room[1] / 2))
        yield float(x), float(y)
