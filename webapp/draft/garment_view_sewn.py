"""A piece as it hangs once it is sewn: darts closed, gathers drawn up, flare falling in folds.

Millimetres in the piece's own coordinates, y down. Lengths from the top edge to the hem stay true;
widths are those of the cloth where it is taken up, and where it hangs free.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Final, Literal

import numpy as np
import numpy.typing as npt
import shapely
import shapely.ops

from webapp.draft.allowances import NONE
from webapp.draft.garment_joins import Stretch
from webapp.draft.markings import DrillHole, MarkedLine
from webapp.draft.outline import Edge, Point
from webapp.draft.results import Piece
from webapp.draft.sewn import along_mm

Points = npt.NDArray[np.float64]
Bend = Callable[[Points], Points]
StrokeKind = Literal["edge", "seam", "stitch", "gather", "fold", "button"]

FAR: Final = 1e5  # mm, further than any piece reaches
_STEP_MM: Final = 12.0  # between points of a line that is bent
_FINE_MM: Final = 0.15  # a hair's breadth even where a garment fills the cover
_STEEP: Final = math.radians(20)  # a side that slants more hangs in folds
_TO_THE_HEM: Final = 0.6  # of the depth below its top, that a side reaches at least
_FALLS: Final = 0.3  # of the slant beyond that, what is still seen when it hangs; by eye
_FOLDS: Final = 3  # in each half of a flare
_WAVE: Final = 0.014  # of its length that a hem falls and rises from fold to fold; by eye
_GATHER_MM: Final = 11.0  # between two strokes of gathers
_GATHER_LONG: Final = (0.16, 0.09, 0.13, 0.07)  # of the depth: strokes of uneven length
_SAME_MM: Final = 0.5


@dataclass(frozen=True, slots=True)
class Drawn:
    """A line on a piece, mm."""

    kind: StrokeKind
    points: Points


@dataclass(frozen=True)
class Sewn:
    """A piece with what bends it as it is sewn, and what is cut off by folding it away."""

    piece: Piece
    half: bool
    bends: tuple[Bend, ...] = ()
    kept: shapely.Geometry | None = None  # of the piece as drawn; None for all of it
    trimmed: shapely.Geometry | None = None  # of the piece as bent
    own_lines: tuple[Drawn, ...] = field(default=(), repr=False)  # as drawn

    def bent(self, points: Sequence[Point] | Points) -> Points:
        """Points of the piece as drawn, where they lie once it is sewn."""
        at = np.asarray(points, dtype=float).reshape(-1, 2)
        for bend in self.bends:
            at = bend(at)
        return at

    def edge(self, edge: Edge) -> Points:
        """An edge as it hangs, clockwise."""
        return self.bent(self._dense(edge.points()))

    def stretch(self, stretch: Stretch) -> Points:
        """Part of an edge as it hangs, from where the seam enters it."""
        edge = self.piece.outline.edge(stretch.edge)
        low, high = (max(mm, 0.0) for mm in sorted((stretch.start_mm, stretch.end_mm)))
        line = shapely.LineString(edge.points())
        share = line.length / edge.length_mm if edge.length_mm else 1.0
        part = shapely.ops.substring(line, low * share, high * share)
        points = self.bent(self._dense(list(part.coords)))
        return points if stretch.forward else points[::-1]

    @cached_property
    def polygon(self) -> shapely.Geometry:
        """What it covers; of a half, that half."""
        ring = self._dense([*self.piece.seam_points, self.piece.seam_points[0]])
        shape = shapely.Polygon(ring)
        if self.kept is not None:
            shape = shapely.intersection(shapely.make_valid(shape), self.kept)
        bent = shapely.transform(shape, self.bent) if self.bends else shape
        bent = shapely.make_valid(bent)
        if self.trimmed is not None:
            bent = shapely.intersection(bent, self.trimmed)
        return areas_of(shapely.simplify(bent, _FINE_MM))

    @cached_property
    def lines(self) -> tuple[Drawn, ...]:
        """What is drawn inside it: hems, bound edges, darts, folds, gathers, buttons."""
        return tuple(Drawn(line.kind, self.bent(line.points)) for line in self.own_lines)

    def _dense(self, points: Sequence[Point]) -> Points:
        if not self.bends or len(points) < 2:
            return np.asarray(points, dtype=float)
        line = shapely.segmentize(shapely.LineString(points), _STEP_MM)
        return np.asarray(shapely.get_coordinates(line))


def areas_of(shape: shapely.Geometry) -> shapely.Geometry:
    """Only what has an area, of whatever came of cutting it."""
    if shape.geom_type in {"Polygon", "MultiPolygon"}:
        return shape
    parts = shapely.get_parts(shapely.get_parts(shape))
    return shapely.union_all([areas_of(part) for part in parts if part.area > 0])


# --- Bends -----------------------------------------------------------------------------------


def mirrored(width_mm: float) -> Bend:
    """Turn it over, so that what lay at that width lies at x = 0."""
    return partial(_mirrored, width_mm)


def _mirrored(width_mm: float, at: Points) -> Points:
    return np.column_stack((width_mm - at[:, 0], at[:, 1]))


def straightened(centre: Points) -> Bend:
    """Rows moved sideways, so that a centre seam that leans in stands upright."""
    order = np.argsort(centre[:, 1], kind="stable")
    ys, xs = centre[order, 1], np.maximum(centre[order, 0], 0.0)
    return lambda at: np.column_stack((at[:, 0] - np.interp(at[:, 1], ys, xs), at[:, 1]))


@dataclass(frozen=True, slots=True)
class LegsApart:
    """Trouser legs moved apart below the crotch, so that the drawing shows two."""

    crotch_y: float
    foot_y: float
    inner_x: float  # of the hem's inner end, as drawn
    gap_mm: float  # between it and the centre

    @property
    def by_mm(self) -> float:
        """How far the hem moves outwards."""
        return max(self.gap_mm - self.inner_x, 0.0)

    def __call__(self, at: Points) -> Points:
        """Move each row out by its share."""
        share = np.clip((at[:, 1] - self.crotch_y) / (self.foot_y - self.crotch_y), 0.0, 1.0)
        return np.column_stack((at[:, 0] + share * self.by_mm, at[:, 1]))

    @property
    def seen(self) -> shapely.Geometry:
        """What of the half is seen: the fork turns in between the legs."""
        inner = self.inner_x + self.by_mm
        return shapely.Polygon(
            [(0, -FAR), (FAR, -FAR), (FAR, self.foot_y), (inner, self.foot_y), (0, self.crotch_y)]
        )


def dart_closed(mark: MarkedLine, pivot_x: float) -> Bend:
    """A dart closed: what lies beyond it, as seen from the centre, moves in by its width there."""
    legs = sorted((mark.points[0], mark.points[-1]))
    tip = mark.points[len(mark.points) // 2]
    (x0, y0), (x1, y1) = legs
    top = (y0 + y1) / 2
    outwards = 1.0 if tip[0] >= pivot_x else -1.0

    def bend(at: Points) -> Points:
        share = np.clip((tip[1] - at[:, 1]) / (tip[1] - top), 0.0, 1.2)
        left, right = tip[0] + share * (x0 - tip[0]), tip[0] + share * (x1 - tip[0])
        past = at[:, 0] - left if outwards > 0 else right - at[:, 0]
        # Eased towards the tip, as the cloth rounds over the body there.
        beyond = np.clip(past, 0.0, right - left) * np.clip(share, 0.0, 1.0) ** 0.7
        return np.column_stack((at[:, 0] - outwards * beyond, at[:, 1]))

    return bend


@dataclass(frozen=True, slots=True)
class TakenUp:
    """An edge that is drawn up to a share of its length, and how far down that shows.

    `pivot`, which stays where it is, and `along`, a unit vector, are of the piece as bent so far.
    """

    edge: Edge
    share: float
    pivot: Point
    along: Points
    depth_mm: float

    @property
    def axes(self) -> tuple[Points, Points]:
        """Along the edge, and into the piece: clockwise, y down, the inside is on the right."""
        return self.along, np.array((-self.along[1], self.along[0]))

    def __call__(self, at: Points) -> Points:
        """Draw the points in towards the pivot, less the further they are from the edge."""
        along, into = self.axes
        off = at - np.asarray(self.pivot)
        u, v = off @ along, off @ into
        free = 1 - (1 - np.clip(v / self.depth_mm, 0.0, 1.0)) ** 2
        drawn = u * (self.share + (1 - self.share) * free)
        moved = np.asarray(self.pivot) + np.outer(drawn, along) + np.outer(v, into)
        return np.asarray(moved)

    def strokes(self) -> Iterator[Drawn]:
        """Short lines from the edge into the cloth, as close as gathers are drawn."""
        _, into = self.axes
        count = max(int(self.edge.length_mm * self.share / _GATHER_MM), 2)
        for place in range(count):
            at, _ = self.edge.at((place + 0.5) / count * self.edge.length_mm)
            long = _GATHER_LONG[place % len(_GATHER_LONG)] * min(self.depth_mm, 450.0)
            shares = np.linspace(0.0, 1.0, 4)[:, None]
            yield Drawn("gather", np.asarray(at) + into * long * shares)


@dataclass(frozen=True, slots=True)
class Flare:
    """A half whose side slants so much from its centre line that it hangs in folds.

    Every line from waist to hem keeps its length; what the hem is wider than it hangs lies in the
    folds.
    """

    centre: Point  # where the side and the centre line would meet
    slant: float  # radians between the two
    waist_radius_mm: float
    waist_mm: float  # of the half, as sewn
    length_mm: float
    hangs: float  # radians: the slant of the side as it hangs

    def __call__(self, at: Points) -> Points:
        """Let the points hang."""
        x, y = at[:, 0] - self.centre[0], at[:, 1] - self.centre[1]
        share = np.arctan2(x, y) / self.slant
        down = np.hypot(x, y) - self.waist_radius_mm
        low = np.clip(down / self.length_mm, 0.0, 1.0) ** 2
        wave = 1 - _WAVE * low * (1 - np.cos(2 * math.pi * _FOLDS * share)) / 2
        turn = share * self.hangs
        return np.column_stack(
            (share * self.waist_mm + down * wave * np.sin(turn), down * wave * np.cos(turn))
        )

    def strokes(self) -> Iterator[Drawn]:
        """The folds, from the hem up."""
        for place in range(_FOLDS):
            turn = (2 * place + 1) / (2 * _FOLDS) * self.slant
            top = 0.42 if place % 2 else 0.28
            yield Drawn("fold", np.array([self._at(turn, t) for t in np.linspace(top, 1.0, 9)]))

    def _at(self, turn: float, share: float) -> Point:
        radius = self.waist_radius_mm + share * self.length_mm
        return (self.centre[0] + radius * math.sin(turn), self.centre[1] + radius * math.cos(turn))


def flare_of(
    side: Edge, top: Points, bottom_y: float, waist_share: float, hangs: float | None
) -> Flare | None:
    """The flare of a half between x = 0 and a side; None where it slants too little to fold.

    A side reaches down to the hem: a shoulder does not.
    """
    (x0, y0), (x1, y1) = side.start, side.end
    slant = math.atan2(x1 - x0, y1 - y0)
    down = (y1 - y0) / ((bottom_y - y0) or 1.0)
    if not _STEEP < slant < math.radians(175) or x0 <= 0 or down < _TO_THE_HEM:
        return None
    middle = (0.0, y0 - x0 / math.tan(slant))
    waist = float(np.hypot(*np.diff(top, axis=0).T).sum())
    return Flare(
        middle,
        slant,
        math.dist(middle, (x0, y0)),
        waist * waist_share,
        math.dist((x0, y0), (x1, y1)),
        hangs_at(slant) if hangs is None else hangs,
    )


def hangs_at(slant: float) -> float:
    """How much a side slants when it hangs, of how much it does as it is drawn; radians."""
    return min(slant, _STEEP) * 0.9 + max(slant - _STEEP, 0.0) * _FALLS * 0.9


# --- Lines -----------------------------------------------------------------------------------


def lines_on(piece: Piece, bound_mm: Mapping[str, float]) -> Iterator[Drawn]:
    """Stitching of hems, bound edges, darts, pleats, buttonholes and buttons."""
    shape = shapely.make_valid(shapely.Polygon(piece.seam_points))
    for edge in piece.outline:
        allowance = piece.allowances.get(edge.name, NONE)
        finish = piece.finishes.get(edge.name)
        if finish is None:
            continue
        if finish.kind.endswith("hem") and allowance.width_mm > 0:
            yield from _beside(edge, allowance.width_mm, shape, "stitch")
        elif finish.kind == "bound" and edge.name in bound_mm:
            yield from _beside(edge, bound_mm[edge.name], shape, "seam")
    for mark in piece.markings:
        if isinstance(mark, MarkedLine) and mark.kind in {"pleat", "tuck", "buttonhole"}:
            yield Drawn("seam", np.asarray(mark.points, dtype=float))
        elif isinstance(mark, MarkedLine) and mark.kind == "dart" and len(mark.points) > 2:
            tip = mark.points[len(mark.points) // 2]
            yield Drawn("seam", np.asarray((mark.points[0], tip), dtype=float))
        elif isinstance(mark, DrillHole) and "button" in mark.name.lower():
            yield Drawn("button", np.asarray((mark.at,), dtype=float))


def _beside(edge: Edge, mm: float, shape: shapely.Geometry, kind: StrokeKind) -> Iterator[Drawn]:
    """A line so far inside an edge, from side to side of the piece."""
    line = shapely.LineString(edge.points())
    inside = [
        shapely.intersection(shapely.offset_curve(line, way * mm, join_style="mitre"), shape)
        for way in (1, -1)
    ]
    best = max(inside, key=lambda part: part.length)
    whole = shapely.line_merge(best) if best.geom_type == "MultiLineString" else best
    for part in shapely.get_parts(shapely.segmentize(whole, _STEP_MM)):
        if part.geom_type == "LineString" and part.length > _SAME_MM:
            yield Drawn(kind, shapely.get_coordinates(part))


def darts_of(piece: Piece, edge: Edge) -> list[MarkedLine]:
    """The darts that open at an edge and point into the piece."""
    line = shapely.LineString(edge.points())
    return [
        mark
        for mark in piece.markings
        if isinstance(mark, MarkedLine)
        and mark.kind == "dart"
        and len(mark.points) > 2
        and all(line.distance(shapely.Point(mark.points[end])) <= _SAME_MM for end in (0, -1))
    ]


def dart_mm(edge: Edge, mark: MarkedLine) -> float:
    """How much of an edge a dart takes up, mm."""
    return abs(along_mm(edge, mark.points[0]) - along_mm(edge, mark.points[-1]))
