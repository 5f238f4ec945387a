"""Patch pockets, sewn on where the piece below is marked for them."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_view_hung import hung
from webapp.draft.garment_view_layers import ON_TOP, Layer, Placed
from webapp.draft.garment_view_parts import Garment
from webapp.draft.garment_view_sewn import FAR, Drawn, Points, Sewn, areas_of
from webapp.draft.markings import MarkedLine
from webapp.draft.outline import ON_FOLD_MM, bounds

_CLEAR_MM: Final = 8.0  # between a pocket and the edge of the cloth that elastic has drawn up


def pockets_on(garment: Garment, placed: Placed, *, by_halves: bool) -> Iterator[Layer]:
    """The pockets of a placed piece; one with a place but no piece of its size as marked."""
    for mark in placed.sewn.piece.markings:
        if not isinstance(mark, MarkedLine) or mark.kind != "pocket":
            continue
        left, *_ = bounds(list(mark.points))
        half = placed.sewn.piece.on_fold and left <= ON_FOLD_MM
        pocket = garment.pocket_at(mark, half=half)
        if pocket is None:
            line = Drawn("seam", placed.at(placed.sewn.bent(mark.points)))
            yield Layer("", shapely.Polygon(), (line,), ON_TOP)
        else:
            yield _sewn_on(hung(garment, pocket, {}), placed, mark, half=half, by_halves=by_halves)


def _sewn_on(sewn: Sewn, placed: Placed, mark: MarkedLine, *, half: bool, by_halves: bool) -> Layer:
    """Flat: it moves with the cloth under its middle, and is not bent itself."""
    x0, y0, x1, y1 = shapely.bounds(sewn.polygon)
    left, top, right, bottom = bounds(list(mark.points))
    middle = (0.0 if half else (left + right) / 2, (top + bottom) / 2)
    shift = placed.sewn.bent([middle])[0] - np.array(((x0 + x1) / 2, (y0 + y1) / 2))
    if not half:
        shift = shift + _kept_on(shapely.transform(sewn.polygon, lambda at: at + shift), placed)

    def there(at: Points) -> Points:
        return placed.at(at + shift)

    area = shapely.transform(sewn.polygon, there)
    if half:
        area = areas_of(shapely.intersection(area, shapely.box(0, -FAR, FAR, FAR)))
    lines = tuple(Drawn(line.kind, there(line.points)) for line in sewn.lines)
    return Layer(sewn.piece.name, area, lines, ON_TOP, half and by_halves)


def _kept_on(area: shapely.Geometry, placed: Placed) -> Points:
    """How far it must move sideways to lie on the cloth, where that is drawn up beneath it."""
    cloth = placed.sewn.polygon
    beyond = shapely.difference(area, cloth)
    if shapely.is_empty(beyond):
        return np.zeros(2)
    left, _, right, _ = shapely.bounds(beyond)
    inwards = -1.0 if (left + right) / 2 > cloth.centroid.x else 1.0
    return np.array((inwards * (right - left + _CLEAR_MM), 0.0))
