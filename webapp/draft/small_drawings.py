"""Drawings without lettering, small enough for a card: garments as they look, pieces as cut.

The view boxes are in hundredths of the drawing's longer side, so that pens are alike at any scale.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

import shapely

from webapp.draft import svg
from webapp.draft.garment_view import GarmentView
from webapp.draft.outline import Point, bounds
from webapp.draft.results import Piece

_LONG: Final = 300.0  # units of the longer side of a drawing of garments
_GAP: Final = 0.08  # between two of them, of the widest
_IN_A_ROW: Final = 4
_FINE: Final = 0.25  # units: nearer than this a point lies on the line between its neighbours
_PEN: Final = {"edge": 1.6, "seam": 0.8, "stitch": 0.6, "gather": 0.7, "fold": 0.7}
_SHADE: Final = {False: 0.07, True: 0.2}  # the right side of the cloth, the inside
_CURRENT: Final = "currentColor"

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class _Cell:
    """What stands in one place: areas with holes and lines, in mm, and where its top lies."""

    areas: tuple[tuple[tuple[tuple[Point, ...], ...], bool], ...]
    lines: tuple[tuple[str, tuple[Point, ...]], ...]
    box: Box
    top: float


def draw_garments(
    garments: Iterable[tuple[Sequence[GarmentView], Sequence[Piece]]],
    title: str,
    words: str,
    *,
    ink: str = _CURRENT,
    pen: float = 1.0,
) -> str:
    """Garments to one scale as SVG: each by its views, by its pieces where it has none.

    A finer `pen` is for a drawing that is shown large. Empty when there is nothing to draw.
    """
    cells = [cell for views, pieces in garments for cell in _cells(views, pieces)]
    if not cells:
        return ""
    in_a_row = max(_IN_A_ROW, math.ceil(math.sqrt(1.6 * len(cells))))
    rows = [cells[at : at + in_a_row] for at in range(0, len(cells), in_a_row)]
    gap = _GAP * max(cell.box[2] - cell.box[0] for cell in cells)
    width = max(_wide(row, gap) for row in rows)
    height = sum(_high(row) for row in rows) + gap * (len(rows) - 1)
    scale = _LONG / max(width, height)
    edge = _PEN["edge"] / 2
    box = (-edge, -edge, width * scale + 2 * edge, height * scale + 2 * edge)
    root = svg.figure(box, title, words)
    y = 0.0
    for row in rows:
        x = (width - _wide(row, gap)) / 2
        for cell in row:
            _draw(root, cell, scale, (x - cell.box[0], y - cell.top), (ink, pen))
            x += cell.box[2] - cell.box[0] + gap
        y += _high(row) + gap
    return svg.written(root)


def draw_outline(piece: Piece, scale: float) -> str:
    """A piece as it comes off the cloth, opened out, at so many pixels a millimetre.

    It has no title: a page names it beside the drawing.
    """
    left, top, right, bottom = bounds(piece.whole_cut_points)
    wide, high = (right - left) * scale + 2, (bottom - top) * scale + 2
    root = Element("svg", xmlns="http://www.w3.org/2000/svg", width=svg.number(wide))
    root.set("height", svg.number(high))
    root.set("viewBox", f"-1 -1 {svg.number(wide)} {svg.number(high)}")
    root.set("aria-hidden", "true")
    points = [((x - left) * scale, (y - top) * scale) for x, y in piece.whole_cut_points]
    svg.add(
        root, "path", d=svg.through(_fewer(points, 0.2), closed=True), fill=_CURRENT,
        fill_opacity=0.08, stroke=_CURRENT, stroke_width=1.2, stroke_linejoin="round",
    )  # fmt: skip
    if piece.on_fold and left < 0 < right:
        svg.add(
            root, "line", x1=-left * scale, y1=0.0, x2=-left * scale, y2=high - 2,
            stroke=_CURRENT, stroke_width=0.7, stroke_dasharray="3 2",
        )  # fmt: skip
    return svg.written(root)


def one_scale(pieces: Iterable[Piece], wide: float, high: float) -> float:
    """The largest scale (pixels a millimetre) at which every piece fits that box of pixels."""
    scale = math.inf
    for piece in pieces:
        left, top, right, bottom = bounds(piece.whole_cut_points)
        scale = min(scale, wide / max(right - left, 1.0), high / max(bottom - top, 1.0))
    return scale if math.isfinite(scale) else 1.0


def _cells(views: Sequence[GarmentView], pieces: Sequence[Piece]) -> list[_Cell]:
    if views:
        top = min(view.bounds_mm[1] for view in views)  # front and back hang at one height
        return [
            _Cell(
                tuple((shape.rings, shape.inside) for shape in view.shapes),
                tuple((stroke.kind, stroke.points) for stroke in view.strokes),
                view.bounds_mm,
                top,
            )
            for view in views
        ]
    found = []
    for piece in pieces:
        ring = tuple(piece.whole_cut_points)
        box = bounds(list(ring))
        found.append(_Cell((((ring,), False),), (("edge", (*ring, ring[0])),), box, box[1]))
    return found


def _wide(row: Sequence[_Cell], gap: float) -> float:
    return sum(cell.box[2] - cell.box[0] for cell in row) + gap * (len(row) - 1)


def _high(row: Sequence[_Cell]) -> float:
    return max(cell.box[3] - cell.top for cell in row)


def _draw(
    root: Element, cell: _Cell, scale: float, shift: Point, drawn_with: tuple[str, float]
) -> None:
    ink, pen = drawn_with

    def placed(points: Iterable[Point]) -> list[Point]:
        return [((x + shift[0]) * scale, (y + shift[1]) * scale) for x, y in points]

    for rings, inside in cell.areas:
        d = " ".join(svg.through(_fewer(placed(ring), _FINE), closed=True) for ring in rings)
        svg.add(root, "path", d=d, fill=ink, fill_opacity=_SHADE[inside], fill_rule="evenodd")
    for kind in dict.fromkeys(kind for kind, _ in cell.lines):
        lines = [points for known, points in cell.lines if known == kind]
        if kind == "button":
            for ((x, y),) in (placed(points) for points in lines):
                svg.add(
                    root, "circle", cx=x, cy=y, r=2.0, fill="none", stroke=ink, stroke_width=pen
                )
            continue
        d = " ".join(svg.through(_fewer(placed(points), _FINE)) for points in lines)
        drawn = svg.add(
            root, "path", d=d, fill="none", stroke=ink, stroke_width=pen * _PEN[kind],
            stroke_linejoin="round", stroke_linecap="round",
        )  # fmt: skip
        if kind == "stitch":
            drawn.set("stroke-dasharray", "2.5 1.8")


def _fewer(points: Sequence[Point], near: float) -> Sequence[Point]:
    """The points that the line needs to be seen as it is."""
    if len(points) < 3:
        return points
    kept: list[Point] = shapely.LineString(points).simplify(near).coords[:]
    return kept
