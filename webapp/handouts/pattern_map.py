"""The drawings of a pattern's first sheet: test squares, a key of the lines, a map of the pages."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated, Final
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from markupsafe import Markup

from webapp.draft import svg
from webapp.draft.outline import Point
from webapp.handouts.drawings import INK
from webapp.handouts.pattern_ink import rectangles, wide
from webapp.handouts.pattern_pages import draw_line, root_of, scissors
from webapp.handouts.pattern_pieces import Style
from webapp.handouts.pattern_tiles import Layout

SQUARES_MM: Final = (50.0, 50.8)  # 5 cm and 2 in (1 in = 25.4 mm: agreement of 1 July 1959)
_SQUARE_LINE: Final = 0.2
_STITCH: Final = "#93331f"
_MAP_LINE, _MAP_TEXT = 0.18, 3.0
_NAME_EMS: Final = (2.5, 2.1, 1.75)  # mm; of the names on the map
_NAME_LETTERS: Final = 24
_NARROWER: Final = 0.88  # small letters than `wide` takes them to be
_DOWN: Final = (
    0.5,
    0.62,
    0.8,
    0.56,
    0.44,
    0.38,
    0.3,
    0.25,
    0.7,
    0.75,
)  # shares of a part's height that a name is tried at


@dataclass(frozen=True)
class MapName:
    """A piece's name on the map."""

    name: Annotated[str, "the piece"]
    style: Annotated[str, "where it stands, as CSS"]


def squares() -> Markup:
    """Two squares side by side, 5 cm and 2 in, measured from middle to middle of their lines."""
    small, large = SQUARES_MM
    root = root_of((-1.0, -1.0, small + large + 8.0, large + 2.0), "Two squares to measure")
    for x, side in ((0.0, small), (small + 6.0, large)):
        corners = [(x, 0.0), (x + side, 0.0), (x + side, side), (x, side)]
        svg.add(root, "path", d=svg.through(corners, closed=True),
                stroke_width=_SQUARE_LINE)  # fmt: skip
    return Markup(svg.written(root))


def sample(kind: str, style: Style | None = None) -> Markup:
    """A short piece of a line, or a sign, for the key."""
    root = root_of((0.0, 0.0, 22.0, 5.0), "sample")
    if style:
        draw_line(root, style, svg.through([(0.5, 3.0), (21.5, 3.0)]))
    elif kind == "grain":
        svg.add(root, "path", d="M1 3 L21 3", stroke_width=0.25)
        svg.add(root, "path", d="M1 3 L4.5 1.9 L4.5 4.1 Z M21 3 L17.5 1.9 L17.5 4.1 Z", fill=INK,
                stroke="none")  # fmt: skip
    elif kind == "notch":
        svg.add(root, "path", d="M0.5 1 L21.5 1", stroke_width=0.5)
        svg.add(root, "path", d="M7 1 L7 6 M14 1 L14 6 M17 1 L17 6", stroke_width=0.5)
    elif kind == "hole":
        svg.add(root, "circle", cx=11, cy=3, r=2, stroke_width=0.25)
        svg.add(root, "path", d="M8 3 L14 3 M11 0 L11 6", stroke_width=0.25)
    elif kind == "join":
        svg.add(root, "circle", cx=11, cy=3, r=2, stroke_width=0.2)
        svg.add(root, "path", d="M5 3 L17 3 M11 0 L11 6", stroke_width=0.2)
    elif kind == "trim":
        svg.add(root, "path", d=f"M6 3 L21.5 3 {scissors((6.0, 3.0), (1.0, 0.0))}",
                stroke_width=0.25)  # fmt: skip
    return Markup(svg.written(root))


def map_drawing(layout: Layout, widest: float, tallest: float) -> tuple[Markup, float]:
    """The pages and the pieces on them, small, with the pages' labels; and its scale."""
    wide, high = layout.form.cell
    rows = range(min(r for r, _ in layout.cells), max(r for r, _ in layout.cells) + 1)
    columns = range(min(c for _, c in layout.cells), max(c for _, c in layout.cells) + 1)
    scale = min(widest / (len(columns) * wide), tallest / (len(rows) * high), 0.12)
    x0, y0 = columns[0] * wide, rows[0] * high
    size = len(columns) * wide * scale, len(rows) * high * scale
    names = ", ".join(tile.label for tile in layout.tiles)
    root = root_of((-0.5, -0.5, size[0] + 1, size[1] + 1), f"Map of the pages {names}")

    def on_map(points: Iterable[Point]) -> list[Point]:
        return [((x - x0) * scale, (y - y0) * scale) for x, y in points]

    used = set(layout.cells)
    blank = [
        [(c * wide + i * wide, r * high), (c * wide + (1 - i) * wide, (r + 1) * high)]
        for r in rows for c in columns if (r, c) not in used for i in (0, 1)
    ]  # fmt: skip
    if blank:
        d = " ".join(svg.through(on_map(line)) for line in blank)
        svg.add(root, "path", d=d, fill="none", stroke="#c9c6bd", stroke_width=_MAP_LINE)
    rims = shapely.union_all([shapely.boundary(tile.cell) for tile in layout.tiles])
    seams = shapely.union_all([line for _, _, line in layout.edges])
    _map_lines(root, shapely.difference(rims, seams), on_map, stroke_width=2 * _MAP_LINE)
    for placed in layout.placed:
        for ring in shapely.get_parts(placed.covered):
            d = svg.through(on_map(ring.exterior.coords), closed=True)
            svg.add(root, "path", d=d, fill="#dfe5e4", stroke="none")
        outlines = [placed.on_canvas(line.cut.exterior) for line in placed.nest.lines]
        d = " ".join(svg.through(on_map(ring.coords), closed=True) for ring in outlines)
        fine = _MAP_LINE if len(outlines) == 1 else _MAP_LINE / 2
        svg.add(root, "path", d=d, fill="none", stroke=INK, stroke_width=fine)
    dashes = {"stroke_dasharray": "1 0.7", "stroke": _STITCH}
    _map_lines(root, seams, on_map, stroke_width=2 * _MAP_LINE, **dashes)
    em = min(_MAP_TEXT, 0.3 * wide * scale)
    words = svg.add(
        root, "g", font_family="'Source Sans 3'", font_weight="600", fill=INK, stroke="none"
    )
    for tile in layout.tiles:
        x, y = on_map([(tile.left, tile.top)])[0]
        svg.add(words, "text", tile.label, x=x + 0.25 * em, y=y + 1.0 * em, font_size=em)
    return Markup(svg.written(root)), scale


def _map_lines(root: Element, lines: shapely.Geometry, on_map: object, **look: str | float) -> None:
    parts = [part for part in shapely.get_parts(shapely.line_merge(lines)) if not part.is_empty]
    if parts:
        d = " ".join(svg.through(on_map(part.coords)) for part in parts)  # type: ignore[operator]
        svg.add(root, "path", d=d, **({"fill": "none", "stroke": INK} | look))


def map_names(layout: Layout, scale: float) -> Iterator[MapName]:
    """Each inside its piece, level or upright, on no page's label and on no other name.

    One that no letters are small enough for stands over the piece's edge.
    """
    x0, y0 = min(tile.left for tile in layout.tiles), min(tile.top for tile in layout.tiles)
    right = (max(tile.left + tile.width for tile in layout.tiles) - x0) * scale
    em = _MAP_TEXT
    taken = [
        shapely.box(x, y + 0.2 * em, x + 0.6 * em * len(tile.label) + 0.4, y + 1.1 * em)
        for tile in layout.tiles
        for x, y in [((tile.left - x0) * scale, (tile.top - y0) * scale)]
    ]
    for placed in layout.placed:
        name = placed.nest.piece.name
        name = name if len(name) <= _NAME_LETTERS else f"{name[: _NAME_LETTERS - 1]}…"
        shape = shapely.transform(placed.covered, lambda points: (points - (x0, y0)) * scale)
        centres = np.array(list(_name_places(layout, placed.covered))) - (x0, y0)
        tries = [(size, upright) for size in _NAME_EMS for upright in (False, True)]
        found: tuple[shapely.Polygon, float, bool] | None = None
        spare: tuple[shapely.Polygon, float, bool] | None = None
        for size, upright in tries:
            across = (_NARROWER * wide(name) * size, 1.2 * size)
            boxes = rectangles(centres * scale, across[::-1] if upright else across, 0.0)
            free = ~shapely.intersects(boxes[:, None], np.array(taken)[None, :]).any(axis=1)
            inside = free & shapely.covers(shape, boxes)
            if inside.any():
                found = boxes[int(inside.argmax())], size, upright
                break
            spare = spare or (boxes[int(free.argmax())], size, upright)
        box, size, upright = found or spare  # type: ignore[misc]
        taken.append(box)
        yield MapName(name, _name_style(box, wide(name) * size, size, right, upright=upright))


def _name_places(layout: Layout, covered: shapely.Geometry) -> Iterator[Point]:
    """The middle of the piece, then places on the pages that have most of it."""
    parts = [covered.intersection(tile.cell) for tile in layout.tiles]
    largest = sorted(parts, key=lambda one: -round(float(one.area)))[:6]
    for part in (covered, *largest):
        if not part.is_empty:
            left, top, right, bottom = part.bounds
            for share in _DOWN:
                yield (left + right) / 2, top + share * (bottom - top)


def _name_style(
    box: shapely.Polygon, width: float, em: float, right: float, *, upright: bool
) -> str:
    """Where a name stands, as CSS; on the map's own origin, half a millimetre inside its rim."""
    x, y = (box.bounds[0] + box.bounds[2]) / 2, (box.bounds[1] + box.bounds[3]) / 2
    left = x - width / 2 if upright else max(0.0, min(x - width / 2, right - width))
    style = f"left:{left + 0.5:.2f}mm;top:{y - 0.6 * em + 0.5:.2f}mm;width:{width:.2f}mm"
    style += f";font-size:{em:.2f}mm"
    return style + ";transform:rotate(-90deg)" * upright
