"""How the finished garment looks from the front and from the back, drawn from its own pieces.

Pieces are set together along their seams (`garment_view_assembly`), each as it hangs once it is
sewn (`garment_view_sewn`), and what lies behind is hidden. Millimetres, y down.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Final, Literal

import numpy as np
import shapely
from shapely.errors import GEOSException

from webapp.draft.expressions import read
from webapp.draft.garment_view_assembly import Assembly, other_side
from webapp.draft.garment_view_gores import side_by_side
from webapp.draft.garment_view_hung import Pulled, top_edges
from webapp.draft.garment_view_lapped import lapped
from webapp.draft.garment_view_layers import Layer, closed_up
from webapp.draft.garment_view_loose import loose_strips
from webapp.draft.garment_view_parts import (
    SIDES,
    Garment,
    Side,
    is_half,
    is_strip,
    strip_length_mm,
)
from webapp.draft.garment_view_sewn import StrokeKind, areas_of, hangs_at
from webapp.draft.garment_view_tube import tube
from webapp.draft.outline import Point
from webapp.draft.recipe import Notion
from webapp.draft.results import Draft, Piece
from webapp.errors import FigureError, WaitingError

# both: the two sides are alike; flat: there is only one, laid flat.
Seen = Literal["front", "back", "both", "flat"]

_ON_LINE_MM: Final = 0.4  # nearer than this, two lines are one
_FINE_MM: Final = 0.15  # less than a pen line where a garment fills the cover
_GRID_MM: Final = 1e-3  # without a grid, lines that lie on each other may be lost
_LEAST_SHARE: Final = 0.2  # no elastic draws cloth up more


@dataclass(frozen=True, slots=True)
class Shape:
    """What is seen of a piece: rings, holes among them, filled even-odd."""

    piece: str
    rings: tuple[tuple[Point, ...], ...]
    inside: bool  # the wrong side of the cloth, seen through an opening

    @property
    def area_mm2(self) -> float:
        """What is seen of it."""
        polygons = shapely.polygons([shapely.LinearRing(ring) for ring in self.rings])
        return float(shapely.area(_even_odd(polygons)))


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of the drawing; a button is one point."""

    kind: StrokeKind
    points: tuple[Point, ...]


@dataclass(frozen=True)
class GarmentView:
    """The garment from one side."""

    side: Seen
    shapes: tuple[Shape, ...]
    strokes: tuple[Stroke, ...]

    @property
    def pieces(self) -> tuple[str, ...]:
        """The pieces whose right side is seen, each once, those of which most is seen first."""
        areas: dict[str, float] = {}
        for shape in self.shapes:
            if shape.piece and not shape.inside:
                areas[shape.piece] = areas.get(shape.piece, 0.0) + shape.area_mm2
        return tuple(sorted(areas, key=lambda name: -areas[name]))

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y."""
        points = np.array(list(chain.from_iterable(stroke.points for stroke in self.strokes)))
        (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
        return float(left), float(top), float(right), float(bottom)


def views_of(draft: Draft, notions: Iterable[Notion] = ()) -> tuple[GarmentView, ...]:
    """Front and back, or one view of what has no two sides; empty where none can be put together.

    Elastic among the `notions` draws up what it is threaded through.
    """
    garment = Garment(draft)
    try:
        found = tuple(_views(garment, _pulled(garment, notions)))
    except (ArithmeticError, ValueError, LookupError, GEOSException):
        return ()  # an outline that crosses itself, or a seam that leads nowhere
    return found if all(view.strokes and view.shapes for view in found) else ()


def not_seen(draft: Draft, views: Iterable[GarmentView]) -> tuple[str, ...]:
    """The pieces that are seen from outside but whose place the draft does not say."""
    drawn = {name for view in views for name in view.pieces}
    return tuple(piece.name for piece in Garment(draft).seen if piece.name not in drawn)


def _views(garment: Garment, pulled: Pulled) -> Iterator[GarmentView]:
    bodies = {side: garment.body(side) for side in SIDES}
    around = garment.body(None)
    if not any(bodies.values()):
        layers = tube(garment)
        if layers:
            yield _composed("both", layers)
        elif around is not None:
            yield from _alike(garment, around, pulled)
        return
    roots = {side: bodies[side] or around for side in SIDES}
    hangs = _shared_slant(garment, [root for root in roots.values() if root])
    sides: dict[Side, Assembly] = {}
    for side, root in roots.items():
        if root is not None:
            sides[side] = Assembly(garment, side, root, pulled, hangs)
            sides[side].set_together()
    for side in sides:
        yield _two_sided(garment, sides, side)


def _alike(garment: Garment, root: Piece, pulled: Pulled) -> Iterator[GarmentView]:
    """A garment of one body piece."""
    assembly = Assembly(garment, None, root, pulled)
    assembly.set_together()
    layers = [*side_by_side(assembly), *loose_strips(assembly)]
    yield _composed("both" if root.cut_count > 1 else "flat", layers)


def _two_sided(garment: Garment, sides: dict[Side, Assembly], side: Side) -> GarmentView:
    """One of two sides, and what is seen of the other through its opening."""
    own, other = sides[side], sides.get(other_side(side))
    if other is not None:
        over = lapped(own, other)
        if over:
            return _composed(side, over)
        shift = _met_in_the_middle(own, other)
        if shift:
            own = Assembly(garment, side, own.root, own.pulled, own.hangs)
            own.set_together(shift)
    layers = own.whole()
    behind = list(_behind(own, other)) if other is not None else []
    return _composed(side, [*behind, *layers, *loose_strips(own)])


def _met_in_the_middle(own: Assembly, other: Assembly) -> float:
    """How far a left and a right that are not sewn together lie from where they are drawn.

    Their shoulders, or side seams, meet those of the other side.
    """
    if own.root.on_fold or not own.by_halves or own.garment.centre_edges(own.root):
        return 0.0
    mine, there = own.tip(), other.tip()
    fixed = other.root.on_fold or other.garment.centre_edges(other.root)
    return there[0] - mine[0] if mine and there and fixed else 0.0


def _behind(own: Assembly, other: Assembly) -> Iterator[Layer]:
    """The inside of the other side, as far as it is seen through the opening at the top."""
    mine, there = own.corner(), other.corner()
    if mine is None or there is None:
        return
    opening = own.opening()
    dx, dy = mine[0] - there[0], mine[1] - there[1]
    for layer in other.whole():
        if layer.height < 0:
            continue
        # Of the other side the right half lies on the left: both are alike.
        moved = layer.moved(0.0 if own.by_halves else dx, dy)
        seen = areas_of(shapely.intersection(moved.area, opening))
        if not shapely.is_empty(seen):
            yield replace(moved, area=seen, height=-100 + layer.height, inside=True)


def _shared_slant(garment: Garment, roots: Sequence[Piece]) -> float | None:
    """How front and back hang at the side seam they share: between what each would by itself."""
    slants = []
    for root in roots:
        tops = top_edges(garment, root)
        if not root.on_fold or not tops:
            return None
        side = root.outline.after(tops[-1].name)
        (x0, y0), (x1, y1) = side.start, side.end
        slants.append(float(np.arctan2(x1 - x0, y1 - y0)))
    return sum(map(hangs_at, slants)) / len(slants) if slants else None


# --- Elastic ---------------------------------------------------------------------------------


def _pulled(garment: Garment, notions: Iterable[Notion]) -> dict[tuple[str, str], float]:
    """The share that elastic draws each edge up to.

    It is threaded through the pieces its texts quote, else through the top all round.
    """
    shares: dict[tuple[str, str], float] = {}
    for notion in notions:
        if notion.kind != "elastic" or not notion.length:
            continue
        try:
            length = read(notion.length).length_mm(garment.draft.names)
        except (FigureError, WaitingError):
            continue  # another garment's, or not drafted yet
        texts = f"{notion.amount} {notion.why}"
        quoted = [piece for piece in garment.seen if f"{{{piece.name}." in texts]
        threaded = list(_threaded(garment, quoted))
        whole = sum(mm for _, mm in threaded)
        if whole > 0 and _LEAST_SHARE < length / whole < 1:
            shares |= {key: length / whole for key, _ in threaded}
    return shares


def _threaded(garment: Garment, quoted: Sequence[Piece]) -> Iterator[tuple[tuple[str, str], float]]:
    """The edges drawn up, and their lengths, those of a half twice."""
    for strip in filter(is_strip, quoted):
        keys = dict.fromkeys(
            join.other.key for join in garment.of(strip.name) if join.other.piece != strip.name
        )
        for key in keys:
            yield key, strip_length_mm(strip) / len(keys)
    if not quoted:
        for root in filter(None, (garment.body(side) for side in SIDES)):
            for edge in top_edges(garment, root):
                yield (root.name, edge.name), edge.sewn_mm * (2 if is_half(root) else 1)


# --- What hides what -------------------------------------------------------------------------


def _composed(side: Seen, layers: Sequence[Layer]) -> GarmentView:
    """The layers, lowest first, without what is hidden."""
    taken = shapely.Polygon()
    shapes: list[Shape] = []
    lines: list[Stroke] = []
    seams: list[shapely.Geometry] = []
    ordered = sorted(layers, key=lambda layer: layer.height)
    for layer in reversed(ordered):
        seen = areas_of(shapely.difference(layer.area, taken))
        lines += _seen_lines(layer, taken)
        taken = areas_of(shapely.union(taken, layer.area))
        if shapely.is_empty(seen):
            continue
        seams.append(shapely.boundary(seen))
        shapes.append(Shape(layer.name, tuple(_rings(seen)), layer.inside))
    own = closed_up(one.area for one in ordered if not one.inside)
    whole = closed_up(one.area for one in ordered)
    # What lies along an outline is drawn once, with the heavier line.
    within = [shapely.buffer(one, -_ON_LINE_MM) for one in (own, shapely.difference(whole, own))]
    drawn = shapely.union_all(seams, grid_size=_GRID_MM)
    for core in within:
        lines += _strokes("seam", shapely.intersection(drawn, core, grid_size=_GRID_MM))
    lines += _strokes("edge", shapely.union_all([shapely.boundary(own), shapely.boundary(whole)]))
    return GarmentView(side, tuple(reversed(shapes)), tuple(lines))


def _seen_lines(layer: Layer, taken: shapely.Geometry) -> Iterator[Stroke]:
    for line in layer.lines:
        if len(line.points) == 1 and not shapely.intersects(taken, shapely.Point(line.points[0])):
            yield Stroke(line.kind, (_pair(line.points[0]),))
    for kind in dict.fromkeys(line.kind for line in layer.lines if len(line.points) > 1):
        alike = [line.points for line in layer.lines if line.kind == kind]
        shown = shapely.multilinestrings([shapely.LineString(points) for points in alike])
        if not shapely.is_empty(layer.area):
            shown = _lines_of(shapely.intersection(shown, layer.area))
        yield from _strokes(kind, shapely.difference(shown, taken))


def _strokes(kind: StrokeKind, shape: shapely.Geometry) -> Iterator[Stroke]:
    merged = shapely.line_merge(_lines_of(shape))
    for part in shapely.get_parts(shapely.simplify(merged, _FINE_MM)):
        if part.length > _ON_LINE_MM:
            yield Stroke(kind, tuple(map(_pair, shapely.get_coordinates(part))))


def _lines_of(shape: shapely.Geometry) -> shapely.Geometry:
    """Only the lines, of whatever came of cutting them: not where two merely touch."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    return shapely.MultiLineString([part for part in parts if part.length > 0])


def _rings(area: shapely.Geometry) -> Iterator[tuple[Point, ...]]:
    for part in shapely.get_parts(area):
        for ring in (part.exterior, *part.interiors):
            yield tuple(map(_pair, shapely.get_coordinates(ring)))


def _even_odd(polygons: Iterable[shapely.Geometry]) -> shapely.Geometry:
    whole = shapely.Polygon()
    for polygon in polygons:
        whole = shapely.symmetric_difference(whole, polygon)
    return whole


def _pair(point: Sequence[float]) -> Point:
    return (float(point[0]), float(point[1]))
