"""What a true-scale pattern draws of its pieces: one size, or several from one origin. Millimetres.

Lines are kept by style, so that a page draws each style as one path.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal, NamedTuple

import numpy as np
import shapely

from webapp.draft.allowances import NONE
from webapp.draft.mark_lines import TRUE_TO_SCALE, hole_cross, notch_ticks
from webapp.draft.markings import DrillHole, MarkedLine, Notch
from webapp.draft.marks import cut_words
from webapp.draft.nested import DASHES
from webapp.draft.outline import Point, open_at_fold
from webapp.draft.results import Piece
from webapp.handouts.companion_sizes import places_of
from webapp.handouts.pattern_packing import turned
from webapp.plan.evaluate import draft_all
from webapp.plan.results import Plan

Kind = Literal["cut", "seam", "fold", "notch", "mark", "guide", "join", "trim"]


class Style(NamedTuple):
    """A kind of line; lines of several sizes over each other are told apart by their dashes."""

    kind: Kind
    size: int = 0  # its place among several sizes, from 1; 0: a whole line, for every size


Lines = dict[Style, shapely.Geometry]

_DASH_MM: Final = 4.0  # of the dashes, which are shares of a text's size
_CIRCLE: Final = 6  # corners of a quarter of a drill hole
_WIDTHS: Final[dict[Kind, float]] = {
    "cut": 0.5,
    "seam": 0.25,
    "fold": 0.35,
    "notch": 0.4,
    "mark": 0.25,
    "guide": 0.25,
    "join": 0.2,
    "trim": 0.15,
}
_DASHED: Final[dict[Kind, tuple[float, ...]]] = {"seam": (4.0, 2.0), "fold": (14.0, 2.5, 2.5, 2.5)}


@dataclass(frozen=True)
class SizeLine:
    """A piece in one size, and the names of all sizes that have this very outline."""

    sizes: tuple[str, ...]
    place: int  # among several sizes, from 1, for its dashes; 0: the outline of every size
    piece: Piece
    shift: Point = (0.0, 0.0)  # only where the sizes do not lie over each other by themselves

    def moved(self, points: Sequence[Point]) -> list[Point]:
        """The points, shifted with the size."""
        (dx, dy) = self.shift
        return [(x + dx, y + dy) for x, y in points]

    @cached_property
    def cut(self) -> shapely.Polygon:
        """What is cut out."""
        return shapely.Polygon(self.moved(self.piece.cut_points))

    @cached_property
    def sewn(self) -> shapely.Polygon:
        """What the seam line surrounds."""
        return shapely.Polygon(self.moved(self.piece.seam_points))


@dataclass(frozen=True)
class Nest:
    """A piece as it is printed: in one size, or in several from one origin."""

    garment: str
    lines: tuple[SizeLine, ...]  # the smallest first
    nested: bool = False  # True where the pattern has several sizes, also if this piece is alike
    turned_over: bool = False  # a half that the lay has no fold for: it is chalked around twice

    @property
    def piece(self) -> Piece:
        """What its words are told of: the piece in the smallest size."""
        return self.lines[0].piece

    @property
    def cut_words(self) -> str:
        """How it is cut: Cut 1 on the fold."""
        words = cut_words(self.piece, turned_over=self.turned_over)
        return words[:1].upper() + words[1:]

    @property
    def sizes(self) -> tuple[str, ...]:
        """The names of its sizes."""
        return tuple(name for line in self.lines for name in line.sizes)

    @cached_property
    def whole(self) -> shapely.Geometry:
        """What it covers in its sizes together."""
        return shapely.union_all([line.cut for line in self.lines])

    @cached_property
    def inside(self) -> shapely.Geometry:
        """What lies within the seam line of every size; of the largest where they share nothing."""
        shared = shapely.intersection_all([line.sewn for line in self.lines])
        return self.lines[-1].sewn if shapely.is_empty(shared) else shared

    @cached_property
    def drawn(self) -> Lines:
        """Every line of it by style, in the piece's own coordinates."""
        found: dict[Style, dict[tuple[Point, ...], None]] = {}
        for line in self.lines:
            for style, points in _drawn(line, seams=not self.nested):
                key = tuple((round(x, 4), round(y, 4)) for x, y in points)
                found.setdefault(style, {})[key] = None
        seen: set[tuple[Point, ...]] = set()
        lines: Lines = {}
        for style, ways in found.items():
            new = [way for way in ways if way not in seen]  # what all sizes share is drawn once
            seen |= ways.keys()
            if new:
                lines[style] = shapely.MultiLineString([shapely.LineString(way) for way in new])
        return lines


def stroke(style: Style) -> tuple[float, tuple[float, ...]]:
    """Width, and dashes and gaps, of a style's line."""
    width = _WIDTHS[style.kind]
    if style.kind in _DASHED:
        return width, _DASHED[style.kind]
    if not style.size:
        return width, ()
    turn, place = divmod(style.size - 1, len(DASHES) - 1)
    if style.kind == "cut" and turn % 2:
        width *= 1.8  # past the dashes there are, the same again in a heavier line
    return width, tuple(_DASH_MM * share for share in DASHES[place + 1])


def nests_of(plan: Plan) -> tuple[tuple[str, ...], tuple[Nest, ...]]:
    """The names of the sizes that are printed, and every piece in them."""
    drafted = _by_size(plan)
    names = tuple(drafted)
    opened = {
        piece.name
        for lay in plan.lays
        if lay.as_cut
        for piece in lay.pieces
        if piece.on_fold and not lay.as_cut.on_fold(piece)
    }
    nests = []
    for garment, piece in _piece_names(drafted):
        drawn = [
            (place, name, found)
            for place, name in enumerate(names, start=1)
            for own, found in drafted[name]
            if own == garment and found.name == piece
        ]
        lines = _set_together(_alike(drawn, len(names)))
        nests.append(Nest(garment, lines, len(names) > 1, piece in opened))
    return names, tuple(nests)


_Sized = dict[str, list[tuple[str, Piece]]]  # by size: the garment and the piece


def _by_size(plan: Plan) -> _Sized:
    """The pieces in each size that is printed, the smallest first: by its body, as in tables."""
    episode, choices = plan.episode, plan.episode.print_choices
    own = {episode.body.name: [(d.recipe.name, p) for d in plan.drafts for p in d.pieces]}
    if not choices.nested:
        return own
    wanted = {name.lower() for name in choices.sizes}
    drafted: _Sized = {}
    for body in (episode.body, *episode.sizes):
        if not wanted or body.name.lower() in wanted:
            drafts = draft_all(episode.garments, body)
            pieces = [(d.recipe.name, piece) for d in drafts for piece in d.pieces]
            if pieces:
                drafted[body.name] = pieces
    drafted = dict(sorted((drafted or own).items(), key=lambda each: _area(each[1])))
    if not any(draft.recipe.measures for draft in plan.drafts):
        return drafted
    places = places_of(plan)
    return dict(sorted(drafted.items(), key=lambda each: places.get(each[0], 0)))


def _area(pieces: Sequence[tuple[str, Piece]]) -> float:
    return sum(float(shapely.Polygon(piece.cut_points).area) for _, piece in pieces)


def _piece_names(drafted: _Sized) -> Iterator[tuple[str, str]]:
    names = ((garment, piece.name) for own in drafted.values() for garment, piece in own)
    return iter(dict.fromkeys(names))


def _alike(drawn: Sequence[tuple[int, str, Piece]], sizes: int) -> list[SizeLine]:
    """A line for each outline there is, from the smallest; sizes that come out alike share it.

    One that all the `sizes` there are have is no size's own.
    """
    same: dict[tuple[Point, ...], list[tuple[int, str, Piece]]] = {}
    for one in drawn:
        points = (*one[2].cut_points, *one[2].seam_points)
        same.setdefault(tuple((round(x, 3), round(y, 3)) for x, y in points), []).append(one)
    lines = [
        SizeLine(
            tuple(name for _, name, _ in group),
            0 if len(group) == sizes else group[0][0],
            group[0][2],
        )
        for group in same.values()
    ]
    return sorted(lines, key=lambda line: float(line.cut.area))


def _set_together(lines: list[SizeLine]) -> tuple[SizeLine, ...]:
    """As they are if all cross some level and some upright, else each set at the top.

    A part that was split off may lie wholly elsewhere in another size.
    """
    boxes = np.array([line.cut.bounds for line in lines])
    if (boxes[:, :2].max(axis=0) < boxes[:, 2:].min(axis=0)).all():
        return tuple(lines)
    shifts = [
        (0.0 if li.piece.on_fold else -b[0], -b[1]) for li, b in zip(lines, boxes, strict=True)
    ]
    return tuple(
        SizeLine(line.sizes, line.place, line.piece, (float(dx), float(dy)))
        for line, (dx, dy) in zip(lines, shifts, strict=True)
    )


def _drawn(line: SizeLine, *, seams: bool) -> Iterator[tuple[Style, list[Point]]]:
    piece, place = line.piece, line.place
    cut = line.moved(piece.cut_points)
    if piece.on_fold:
        opened = line.moved(open_at_fold(piece.cut_points))
        yield Style("cut", place), opened
        yield Style("fold"), [opened[-1], opened[0]]
    else:
        yield Style("cut", place), [*cut, cut[0]]
    if seams:  # among several sizes they would hide the lines that are cut, or be taken for one
        for edge in piece.outline:
            if piece.allowances.get(edge.name, NONE).total_mm > 0:
                yield Style("seam"), line.moved(edge.points())
    for mark in piece.markings:
        if isinstance(mark, Notch):
            for tick in notch_ticks(piece, mark, TRUE_TO_SCALE):
                yield Style("notch"), line.moved(tick)
        elif isinstance(mark, DrillHole):
            for arm in hole_cross(mark, TRUE_TO_SCALE.radius_mm):
                yield Style("guide"), line.moved(arm)
            ring = shapely.buffer(
                shapely.Point(mark.at), TRUE_TO_SCALE.radius_mm, quad_segs=_CIRCLE
            ).exterior
            yield Style("guide"), line.moved([(x, y) for x, y in ring.coords])
        elif isinstance(mark, MarkedLine):
            yield Style("mark", place), line.moved(mark.points)


@dataclass(frozen=True)
class Placed:
    """A piece where it stands on the canvas, upright or a quarter turn clockwise."""

    nest: Nest
    turned: bool
    shift: Point

    def at(self, point: Point) -> Point:
        """A point of the piece on the canvas."""
        x, y = self.way(point)
        return x + self.shift[0], y + self.shift[1]

    def way(self, vector: Point) -> Point:
        """A direction of the piece on the canvas."""
        return (-vector[1], vector[0]) if self.turned else vector

    def on_canvas(self, geometry: shapely.Geometry) -> shapely.Geometry:
        """A geometry of the piece as it stands on the canvas."""
        upright = turned(geometry) if self.turned else geometry
        return shapely.transform(upright, lambda points: points + self.shift)

    @cached_property
    def covered(self) -> shapely.Geometry:
        """What it covers of the canvas."""
        return self.on_canvas(self.nest.whole)

    @cached_property
    def inside(self) -> shapely.Geometry:
        """Where its words may stand."""
        return self.on_canvas(self.nest.inside)

    @cached_property
    def lines(self) -> Lines:
        """Its lines by style, on the canvas."""
        return {style: self.on_canvas(lines) for style, lines in self.nest.drawn.items()}
