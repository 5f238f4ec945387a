"""The pages of a true-scale pattern as they are drawn.

A page draws only what lies on it, one path for each style of line. Millimetres; a page's origin is
the top left corner of its cell.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from markupsafe import Markup

from webapp.draft import svg
from webapp.draft.drawing import BASELINE_EM
from webapp.draft.outline import Point
from webapp.handouts.drawings import FACE, INK
from webapp.handouts.pattern_ink import Ink, Text, rectangles
from webapp.handouts.pattern_lettering import Lettered
from webapp.handouts.pattern_pieces import Style, stroke
from webapp.handouts.pattern_tiles import Format, Join, Layout, Tile, clipped, label_of

_STRIP_TINT: Final = "#ececea"
_RING, _ARM = 3.2, 7.0  # of a join's mark: a ring, and a line that crosses the rim in it
_ROUND: Final = 0.5523  # how far off their corners a circle's Bézier curves are pulled, in radii
# Half a pair of scissors: the point, the pin, and what pulls the loop behind the pin.
_BLADE: Final = ((0.0, -0.6), (-2.3, 0.0), (-6.2, 0.4), (-4.4, 2.7))
_SHORT: Final = 5  # letters
TITLE_FACE: Final = "'Alegreya', 'Alegreya Ext', serif"
_TAG: Final = (17.0, 11.0)
_TAG_EMS: Final = (8.0, 6.0, 4.5)


@dataclass(frozen=True)
class Word:
    """A text as the template sets it."""

    text: Text
    style: str


@dataclass(frozen=True)
class Page:
    """A page of the pattern."""

    label: str
    size: tuple[float, float]  # of the paper
    drawing: Markup
    words: tuple[Word, ...]


def pages_of(layout: Layout, ink: Ink, joins: Sequence[Join], told: Sequence[Lettered],
             tags: Sequence[Text | None], title: str) -> list[Page]:  # fmt: skip
    """Every page, row by row."""
    form = layout.form
    layers = _layers(layout, told)
    heads = shapely.union_all([head for one in told for head in one.heads])
    texts = [text for one in told for text in one.texts]
    tree = shapely.STRtree([shapely.Point(text.centre) for text in texts])
    pages = []
    mine_too: dict[tuple[int, int], list[Join]] = {}
    for join in joins:
        for cell in (join.one, join.other):
            mine_too.setdefault(cell, []).append(join)
    for tile, tag in zip(layout.tiles, tags, strict=True):
        near = mine_too.get((tile.row, tile.column), [])
        mine = [texts[i] for i in sorted(tree.query(tile.cell, predicate="intersects").tolist())]
        size = layout.page_size(tile)
        drawn = _drawing(tile, form, size, layers, heads, near, title)
        short = [*_butt_words(tile, form, near, ink), *([tag] if tag else [])]
        long: list[Text] = []
        for text in (*mine, *_strip_words(tile, form, ink)):
            (short if _is_short(text) else long).append(text)
        _write_short(drawn, short, (tile.left, tile.top))
        pages.append(
            Page(
                tile.label,
                size,
                Markup(svg.written(drawn)),
                tuple(_word(text, tile) for text in long),
            )
        )
    return pages


def tile_tags(layout: Layout, ink: Ink) -> list[Text | None]:
    """Each page's label, large, in the corner where there is room."""
    found: list[Text | None] = []
    for tile in layout.tiles:
        area = shapely.buffer(tile.cell, -2.0, join_style="mitre")
        placed = None
        for em in _TAG_EMS:
            text = Text((tile.label,), em, "tag")
            size = (max(_TAG[0] * em / 8, text.size[0] + 0.8 * em), _TAG[1] * em / 8)
            spot = ink.spot(area, size, (tile.left, tile.top), room=0.6, tries=12)
            if spot:
                placed = text.at(*spot)
                ink.write(shapely.box(spot[0] - size[0] / 2, spot[1] - size[1] / 2,
                                      spot[0] + size[0] / 2, spot[1] + size[1] / 2))  # fmt: skip
                break
        found.append(placed)
    return found


def _layers(layout: Layout, told: Sequence[Lettered]) -> list[tuple[Style, shapely.Geometry]]:
    """Everything that is drawn, by style, over the whole canvas."""
    every: dict[Style, list[shapely.Geometry]] = {}
    for placed in layout.placed:
        for style, lines in placed.lines.items():
            every.setdefault(style, []).extend(shapely.get_parts(lines))
    guides = [line for one in told for line in one.guides]
    every.setdefault(Style("guide"), []).extend(guides)
    return [(style, shapely.MultiLineString(lines)) for style, lines in every.items() if lines]


def _join_mark(at: Point, into: Point, *, whole: bool) -> str:
    """A ring and a line across where pages meet, or their half on the side of `into`."""
    (x, y), (ux, uy) = at, into

    def path(start: tuple[float, float], *corners: tuple[float, float]) -> str:
        drawn = [f"{x + a * ux - b * uy:.2f} {y + a * uy + b * ux:.2f}" for a, b in corners]
        first = f"{x + start[0] * ux - start[1] * uy:.2f} {y + start[0] * uy + start[1] * ux:.2f}"
        return f"M{first} {'C' if len(corners) > 1 else 'L'}{' '.join(drawn)}"

    r, k, back = _RING, _RING * _ROUND, -_ARM if whole else 0.0
    half = ((k, -r), (r, -k), (r, 0.0), (r, k), (k, r), (0.0, r))
    rings = [path((0.0, -r), *half)]
    if whole:
        rings.append(path((0.0, -r), *((-a, b) for a, b in half)))
    return " ".join((*rings, path((back, 0.0), (_ARM, 0.0))))


def _join_marks(tile: Tile, form: Format, joins: Sequence[Join]) -> str:
    """The marks along the page's rims: whole where the next page's strip shows them."""
    drawn = []
    for join in joins:
        ahead = join.one == (tile.row, tile.column)
        if not ahead and join.other != (tile.row, tile.column):
            continue
        inwards = -1.0 if ahead else 1.0
        into = (inwards, 0.0) if join.upright else (0.0, inwards)
        whole = ahead and form.strip > 0
        for x, y in join.marks:
            drawn.append(_join_mark((x - tile.left, y - tile.top), into, whole=whole))
    return " ".join(drawn)


def _drawing(
    tile: Tile,
    form: Format,
    size: tuple[float, float],
    layers: Sequence[tuple[Style, shapely.Geometry]],
    heads: shapely.Geometry,
    joins: Sequence[Join],
    title: str,
) -> Element:
    box = (-form.corner[0], -form.corner[1], *size)
    root = root_of(box, f"{title}, page {tile.label}")
    _strips(root, tile, form)
    origin = (tile.left, tile.top)
    for style, part in clipped(tile, form.strip, layers):
        draw_line(root, style, _path(part, origin))
    filled = shapely.intersection(heads, tile.window(form.strip))
    if not shapely.is_empty(filled):
        svg.add(root, "path", d=_path(shapely.boundary(filled), origin), fill=INK, stroke="none")
    _trims(root, tile, form, joins)
    return root


def _is_short(text: Text) -> bool:
    """Plain letters, few: drawn one by one they take less time than as a paragraph."""
    return len(text.lines) == 1 and len(text.lines[0]) <= _SHORT and text.lines[0].isascii()


def _write_short(root: Element, texts: Sequence[Text], origin: Point) -> None:
    if not texts:
        return
    small = svg.add(root, "g", fill=INK, stroke="none", font_family=FACE, font_weight="600",
                    text_anchor="middle")  # fmt: skip
    large = svg.add(root, "g", fill=INK, stroke="none", font_family=TITLE_FACE, font_weight="700",
                    text_anchor="middle")  # fmt: skip
    for text in texts:
        x, y = text.centre[0] - origin[0], text.centre[1] - origin[1]
        drawn = svg.add(large if text.look in ("tag", "strip") else small, "text", text.lines[0],
                        x=x, y=y + BASELINE_EM * text.em, font_size=text.em)  # fmt: skip
        if text.angle:
            turn = " ".join(svg.number(each) for each in (text.angle, x, y))
            drawn.set("transform", f"rotate({turn})")


def _strips(root: Element, tile: Tile, form: Format) -> None:
    """The strips that are glued under the next pages, tinted."""
    if not form.strip:
        return
    wide, high = tile.width, tile.height
    if tile.leads_right:
        svg.add(
            root,
            "rect",
            x=wide,
            y=0,
            width=form.strip,
            height=high,
            fill=_STRIP_TINT,
            stroke="none",
        )
    if tile.leads_down:
        across = wide + (form.strip if tile.leads_right else 0.0)
        svg.add(
            root,
            "rect",
            x=0,
            y=high,
            width=across,
            height=form.strip,
            fill=_STRIP_TINT,
            stroke="none",
        )


def _trims(root: Element, tile: Tile, form: Format, joins: Sequence[Join]) -> None:
    """The rims where a page is joined, with scissors where it is trimmed."""
    wide, high, butt = tile.width, tile.height, not form.strip
    trims = [
        (tile.right_of, (0.0, 0.0), (0.0, high), True),
        (tile.below, (0.0, 0.0), (wide, 0.0), True),
        (tile.leads_right, (wide, 0.0), (wide, high), butt),
        (tile.leads_down, (0.0, high), (wide, high), butt),
    ]
    drawn = [_join_marks(tile, form, joins)] if joins else []
    for joined, start, end, cut in trims:
        if not joined:
            continue
        way = (
            (end[0] - start[0]) / math.dist(start, end),
            (end[1] - start[1]) / math.dist(start, end),
        )
        before = (start[0] - 2.2 * way[0], start[1] - 2.2 * way[1])
        drawn += [scissors(before, way)] * cut
        drawn.append(_line([before if cut else start, end]))
    if drawn:
        width, _ = stroke(Style("trim"))
        svg.add(root, "path", d=" ".join(drawn), stroke_width=width)


def scissors(at: Point, way: Point) -> str:
    """Scissors that cut from there on, the blades' points at `at`: two blades, each with a loop."""
    (x, y), (ux, uy) = at, way
    halves = [
        [f"{x + a * ux - s * b * uy:.2f} {y + a * uy + s * b * ux:.2f}" for a, b in _BLADE]
        for s in (-1.0, 1.0)
    ]
    return " ".join(f"M{tip} L{pin} C{one} {other} {pin}" for tip, pin, one, other in halves)


def _strip_words(tile: Tile, form: Format, ink: Ink) -> Iterable[Text]:
    """On each strip, the page that is glued over it."""
    if not form.strip:
        return
    right, bottom = tile.left + tile.width, tile.top + tile.height
    if tile.leads_right:
        area = shapely.box(right + 1, tile.top + 1, right + form.strip, bottom - 1)
        yield from _on_strip(tile.leads_right, area, ink, -90.0)
    if tile.leads_down:
        area = shapely.box(tile.left + 1, bottom + 1, right - 1, bottom + form.strip)
        yield from _on_strip(tile.leads_down, area, ink, 0.0)


def _on_strip(label: str, area: shapely.Geometry, ink: Ink, angle: float) -> Iterable[Text]:
    middle = shapely.centroid(area)
    for em in (7.0, 5.0, 3.5):
        text = Text((label,), em, "strip")
        size = text.size if angle == 0 else text.size[::-1]
        spot = ink.spot(area, size, (middle.x, middle.y), room=0.5, tries=9, joins=False)
        if spot:
            yield text.at(*spot, angle)
            return


def _butt_words(tile: Tile, form: Format, joins: Sequence[Join], ink: Ink) -> Iterable[Text]:
    """Beside the marks of pages that meet edge to edge, the page that comes there."""
    if form.strip:
        return
    for join in joins:
        ahead = join.one == (tile.row, tile.column)
        text = Text((label_of(*(join.other if ahead else join.one)),), 3.2, "join")
        wide, high = text.size
        inwards, found = (-1.0 if ahead else 1.0), 0
        for x, y in join.marks:
            centres = [
                (
                    (x + inwards * (_RING + 1 + wide / 2 + off), y + side * (high / 2 + 0.4))
                    if join.upright
                    else (x + side * (_RING + wide) / 2, y + inwards * (_RING + 1 + high / 2 + off))
                )
                for off in (0.0, 3.0, 6.0)
                for side in (-1.0, 1.0)
            ]
            boxes = rectangles(np.array(centres), (wide, high), 0.0)
            free = ink.free(boxes, room=0.2, lines_only=True)
            if free.any() or (not found and (x, y) == join.marks[-1]):
                found += 1
                yield text.at(*centres[int(free.argmax())])


def _word(text: Text, tile: Tile) -> Word:
    width, height = text.size
    x, y = text.centre[0] - tile.left - width / 2, text.centre[1] - tile.top - height / 2
    style = f"left:{x:.2f}mm;top:{y:.2f}mm;width:{width:.2f}mm;font-size:{text.em:.2f}mm"
    if text.angle:
        style += f";transform:rotate({text.angle:.2f}deg)"
    return Word(text, style)


def draw_line(root: Element, style: Style, d: str) -> None:
    """A line in the width and the dashes of its style; the root has its colour."""
    width, dashes = stroke(style)
    path = svg.add(root, "path", d=d, stroke_width=width)
    if dashes:
        path.set("stroke-dasharray", " ".join(svg.number(each) for each in dashes))


def _path(lines: shapely.Geometry, origin: Point) -> str:
    parts = [
        (shapely.get_coordinates(part) - origin).tolist()
        for part in shapely.get_parts(lines)
        if part.geom_type in ("LineString", "LinearRing")
    ]
    return " ".join(map(_line, parts))


def _line(points: Sequence[Sequence[float]]) -> str:
    """Path data to a hundredth of a millimetre."""
    return "M" + " L".join([f"{x:.2f} {y:.2f}" for x, y in points])


def root_of(box: tuple[float, float, float, float], title: str) -> Element:
    """The root of a drawing at true scale, whose lines are ink and whose areas are empty."""
    root = Element("svg", xmlns="http://www.w3.org/2000/svg", fill="none", stroke=INK)
    root.set("viewBox", " ".join(svg.number(value) for value in box))
    root.set("width", f"{svg.number(box[2])}mm")
    root.set("height", f"{svg.number(box[3])}mm")
    svg.add(root, "title", title)
    return root
