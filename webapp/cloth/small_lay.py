"""A lay drawn small, without lettering: the cloth on a tape, the pieces on it."""

from collections.abc import Iterable
from typing import Final
from xml.etree.ElementTree import Element

import shapely

from webapp.cloth.drawing import described
from webapp.cloth.laid import Lay
from webapp.draft import svg
from webapp.units import System

_LONG, _WIDE = 500.0, 170.0  # pixels that every lay fits in
_INK: Final = "currentColor"
_TICK_MM: Final = 100.0  # of the tape; every fifth one is longer


def fitting_scale(lays: Iterable[Lay]) -> float:
    """The largest scale (pixels a millimetre) at which each of the lays is small enough."""
    scales = [
        min(_LONG / max(lay.laid_length_mm, 1.0), _WIDE / max(lay.cloth.laid_width_mm, 1.0))
        for lay in lays
    ]
    return min(scales, default=1.0)


def draw_small_lay(lay: Lay, first: System, title: str, scale: float) -> str:
    """The lay as SVG, its length running across, with a tick each 10 cm of it.

    All lays drawn at one `scale`, in pixels a millimetre, can be compared.
    """
    length, wide = lay.laid_length_mm, lay.cloth.laid_width_mm
    box = (-1.0, -1.0, length * scale + 2, wide * scale + 12)
    size = {"width": svg.number(box[2]), "height": svg.number(box[3])}
    root = svg.figure(box, title, described(lay, first), **size)
    svg.add(
        root, "rect", x=0.0, y=0.0, width=length * scale, height=wide * scale, fill=_INK,
        fill_opacity=0.04, stroke=_INK, stroke_width=1.0,
    )  # fmt: skip
    drawn = svg.add(
        root, "g", fill=_INK, fill_opacity=0.14, stroke=_INK, stroke_width=1.2,
        stroke_linejoin="round",
    )  # fmt: skip
    for place in lay.placements:
        points = [(y * scale, (wide - x) * scale) for x, y in lay.placed_points(place)]
        ring = shapely.LinearRing(points).simplify(0.5)
        svg.add(drawn, "path", d=svg.through(ring.coords[:-1], closed=True))
    if lay.cloth.laid == "folded":
        y = wide * scale + 2
        svg.add(root, "line", x1=0.0, y1=y, x2=length * scale, y2=y, stroke=_INK, stroke_width=1.0)
    _ticks(root, length, scale, wide * scale + 3)
    return svg.written(root)


def _ticks(root: Element, length: float, scale: float, y: float) -> None:
    marks = []
    for number in range(int(length / _TICK_MM) + 1):
        x = number * _TICK_MM * scale
        marks.append(svg.through(((x, y), (x, y + (7 if number % 5 == 0 else 4)))))
    svg.add(root, "path", d=" ".join(marks), fill="none", stroke=_INK, stroke_width=1.0)
