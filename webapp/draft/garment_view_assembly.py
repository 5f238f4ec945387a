"""The pieces of one side of a garment set together along their seams.

A view is y down, mm. Of a garment that is drafted by halves the half to the right of x = 0 is set
together, and the other is its mirror image.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_joins import Join, Stretch
from webapp.draft.garment_view_hung import Pulled, hung, side_edge, top_edges
from webapp.draft.garment_view_layers import BEHIND, BODY, OVER, Layer, Placed
from webapp.draft.garment_view_parts import (
    SIDES,
    Garment,
    Side,
    is_half,
    is_strip,
    strip_mm,
    words_of,
)
from webapp.draft.garment_view_pockets import pockets_on
from webapp.draft.garment_view_round import turning
from webapp.draft.garment_view_sewn import FAR, Points, Sewn, areas_of
from webapp.draft.outline import Point
from webapp.draft.results import Piece

_ARM_HANGS: Final = math.radians(42)  # a sleeve below the level, where its cut does not say more
_MOST: Final = 60  # pieces set together in a view: more than any garment shows
_TOUCH_MM: Final = 1.0
_LITTLE_MM2: Final = 1000.0  # two ways to lie that hide so little more are alike
_ONE_PATH_MM: Final = 6.0  # a strip runs on over a gap no wider than this


@dataclass
class Assembly:
    """One side of a garment; `layers` are the half's, or all where it has no halves."""

    garment: Garment
    side: Side | None
    root: Piece
    pulled: Pulled
    hangs: float | None = None
    layers: list[Layer] = field(default_factory=list)
    placed: list[Placed] = field(default_factory=list)

    @cached_property
    def by_halves(self) -> bool:
        """True when what is set together is the right half."""
        return is_half(self.root)

    def shows(self, name: str) -> bool:
        """True for a piece that may be seen from this side."""
        return self.garment.side(name) in {None, self.side}

    def set_together(self, shift_x: float = 0.0) -> None:
        """Place the root, what is sewn to it, and what is sewn to that."""
        sewn = hung(self.garment, self.root, self.pulled, self.hangs)
        self._add(Placed(sewn, np.eye(2), np.array((shift_x, 0.0))))
        for placed in self.placed:  # grows as it goes
            if len(self.placed) > _MOST:
                break
            joins = self.garment.of(placed.sewn.piece.name)
            for join in sorted(joins, key=lambda one: -one.one.length_mm):
                if self._is_left(join.other.piece):
                    self._attach(placed, join, self.garment.piece(join.other.piece))
        for strip in self.garment.seen:
            if is_strip(strip) and self.shows(strip.name):
                self._lay_strip(strip)
        for placed in self.placed:
            self.layers += pockets_on(self.garment, placed, by_halves=self.by_halves)

    def _add(self, placed: Placed) -> None:
        self.placed.append(placed)
        self.layers.append(placed.layer(one_piece=placed.sewn.piece.on_fold and self.by_halves))

    def _is_left(self, name: str) -> bool:
        """True while a copy of a piece that is seen from this side is not placed yet."""
        piece = self.garment.piece(name)
        if is_strip(piece) or self.garment.is_pocket(piece) or not self.shows(name):
            return False
        if name == self.root.name:
            return False  # its other copy is the other half, or the other side
        copies = sum(placed.sewn.piece.name == name for placed in self.placed)
        halves = 2 if self.by_halves and not piece.on_fold else 1
        return copies < max(piece.cut_count // halves, 1)

    # --- A piece along an edge -------------------------------------------------------------------

    def _attach(self, to: Placed, join: Join, piece: Piece) -> None:
        """Lay its edge along the other's, itself outside."""
        sewn = hung(self.garment, piece, self.pulled)
        there, here = to.stretch(join.one), sewn.stretch(join.other)
        upright = abs(there[-1][1] - there[0][1]) > abs(there[-1][0] - there[0][0])
        end = 0 if there[0][1] <= there[-1][1] else -1  # the upper one
        if not upright:
            end = 0 if abs(there[0][0]) <= abs(there[-1][0]) else -1  # the one at the centre
        turn = turning(self.garment, self.side, piece, join.other)
        if turn is not None and upright:
            # The shoulder is where a sleeve turns to the back, whichever end the seam says.
            at = sewn.bent([turn.at])[0]
            if math.dist(here[end], at) > math.dist(here[-1 - end], at):
                here = here[::-1]
        placed = self._outside(sewn, here, there, end)
        if turn is not None:
            one, two = (sewn.bent([point])[0] for point in (turn.at, turn.towards))
            placed = replace(placed, seen=_half_plane(one, two, keep=here[len(here) // 2]))
            if upright and turn.along_an_edge:
                ends = placed.at(np.array((one, two)))
                placed = _hanging(placed, ends[0], ends[1])
        self._add(placed)

    def _outside(self, sewn: Sewn, here: Points, there: Points, end: int) -> Placed:
        """The piece laid so that it hides least of the others, and does not cross the centre.

        Which end meets which is often said wrongly where no notch depends on it: tried last.
        """
        taken = shapely.union_all([placed.area for placed in self.placed])
        if self.by_halves:
            taken = shapely.union(taken, shapely.box(-FAR, -FAR, -_TOUCH_MM, FAR))
        as_said = laid_both_ways(sewn, here, there, end)
        ways = [*as_said, *laid_both_ways(sewn, here[::-1], there, end)]
        hidden = [shapely.intersection(way.area, taken).area for way in ways]
        best = min(hidden)
        return next(
            way for way, area in zip(ways, hidden, strict=True) if area <= best + _LITTLE_MM2
        )

    # --- Strips and pockets ----------------------------------------------------------------------

    def _lay_strip(self, strip: Piece) -> None:
        """A band along the edges that it is sewn to, outside them and as wide as it is finished."""
        runs: list[tuple[float, Points, Placed]] = []
        known: set[tuple[str, ...]] = set()  # of halves, the other one's edge comes as the same
        for join in self.garment.of(strip.name):
            ends = sorted((join.other.start_mm, join.other.end_mm))
            stretch = (*join.other.key, *(f"{mm:.0f}" for mm in ends))
            if stretch in known or not _is_long(strip, join.one):
                continue
            known.add(stretch)
            for placed in self.placed:
                if placed.sewn.piece.name == join.other.piece:
                    low = min(join.one.start_mm, join.one.end_mm)
                    points = placed.stretch(join.other)
                    points = points if join.one.forward else points[::-1]
                    runs += [(low, part, placed) for part in _inside(points, placed)]
        wide = strip_mm(strip)
        for path in _paths([points for _, points, _ in sorted(runs, key=lambda run: run[0])]):
            beside = [placed.area for placed in self.placed]
            lies_on = "collar" in words_of(strip.name)
            area = _beside(path, wide, shapely.union_all(beside), lies_on=lies_on)
            under = max(placed.height for _, _, placed in runs)
            if under == BODY and not lies_on:
                area = _ending_upright(area, path)
            if shapely.is_empty(area):
                continue
            one_piece = strip.cut_count == 1 and self.by_halves
            self.layers.append(Layer(strip.name, area, (), OVER[under], one_piece))

    # --- The other side --------------------------------------------------------------------------

    def whole(self) -> list[Layer]:
        """The layers of both halves."""
        if not self.by_halves:
            return self.layers
        both: list[Layer] = []
        over = np.array(((-1.0, 0.0), (0.0, 1.0)))
        for layer in self.layers:
            other = layer.through(over, np.zeros(2))
            if layer.one_piece:
                area = shapely.union(layer.area, other.area)
                both.append(replace(layer, area=area, lines=(*layer.lines, *other.lines)))
            else:
                both += [layer, other]
        return both

    @cached_property
    def uppermost(self) -> Placed:
        """Of the body's pieces the one that reaches highest: its top is the garment's opening."""
        body = [
            placed
            for placed in self.placed
            if self.garment.side(placed.sewn.piece.name) == self.side
            and placed.height == BODY
            and top_edges(self.garment, placed.sewn.piece)
        ]
        return min(body, key=lambda one: float(one.area.bounds[1]), default=self.placed[0])

    def corner(self) -> Point | None:
        """Where the opening at the top ends, in the view: the neck's end of the shoulder."""
        return self._beside_opening(0)

    def tip(self) -> Point | None:
        """The outer end of the first seam beside the opening: the shoulder's."""
        return self._beside_opening(-1)

    def _beside_opening(self, end: int) -> Point | None:
        edge = side_edge(self.garment, self.uppermost.sewn.piece)
        if edge is None:
            return None
        x, y = self.uppermost.at(self.uppermost.sewn.edge(edge))[end]
        return (float(x), float(y))

    def opening(self) -> shapely.Geometry:
        """What is seen through at the top: the hull of the opening's edge, both halves."""
        top = self.uppermost
        edges = [top.at(top.sewn.edge(one)) for one in top_edges(self.garment, top.sewn.piece)]
        if not edges:
            return shapely.Polygon()
        line = np.concatenate(edges)
        if self.by_halves:
            line = np.concatenate((line, line * np.array((-1.0, 1.0))))
        return shapely.convex_hull(shapely.MultiPoint(line))


def laid_both_ways(sewn: Sewn, here: Points, there: Points, end: int) -> list[Placed]:
    """A piece along another's edge, as it is drawn and turned over: one lies outside."""
    return [_laid(sewn, here, there, end, flip=flip) for flip in (False, True)]


def _laid(sewn: Sewn, here: Points, there: Points, end: int, *, flip: bool) -> Placed:
    """The chord of `here` laid on that of `there`, meeting at one end."""
    mirror = np.diag((-1.0, 1.0)) if flip else np.eye(2)
    own = (here[-1] - here[0]) @ mirror.T
    chord = there[-1] - there[0]
    turn = math.atan2(chord[1], chord[0]) - math.atan2(own[1], own[0])
    matrix = _rotation(turn) @ mirror
    return Placed(sewn, matrix, there[end] - here[end] @ matrix.T)


def _hanging(placed: Placed, start: Points, end: Points) -> Placed:
    """A sleeve turned about the shoulder until it hangs; the body covers what lies behind it."""
    along = end - start
    outwards = 1.0 if along[0] >= 0 else -1.0
    below = math.atan2(along[1], abs(along[0]))
    turn = max(_ARM_HANGS - below, 0.0) * outwards
    matrix = _rotation(turn)
    return replace(
        placed,
        turn=matrix @ placed.turn,
        shift=(placed.shift - start) @ matrix.T + start,
        height=BEHIND,
    )


def _rotation(turn: float) -> Points:
    return np.array(((math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))))


def _half_plane(one: Points, two: Points, keep: Points) -> shapely.Geometry:
    """All that lies on the side of a line where a point is."""
    along = (two - one) / (np.hypot(*(two - one)) or 1.0)
    across = np.array((-along[1], along[0]))
    if (keep - one) @ across < 0:
        across = -across
    ends = (one - along * FAR, one + along * FAR)
    return shapely.Polygon([*ends, ends[1] + across * FAR, ends[0] + across * FAR])


def _is_long(strip: Piece, stretch: Stretch) -> bool:
    """True for one of the two long edges of a strip, not for its ends."""
    lengths = sorted((edge.length_mm for edge in strip.outline if not edge.on_fold), reverse=True)
    least = lengths[min(1, len(lengths) - 1)] - _TOUCH_MM
    return strip.outline.edge(stretch.edge).length_mm >= least


def _inside(points: Points, placed: Placed) -> Iterator[Points]:
    """What of a line lies on what is seen of a piece: half of a sleeve's lower edge."""
    if placed.seen is None:
        yield points
        return
    line = shapely.intersection(
        shapely.LineString(points), shapely.buffer(placed.area, 0.2, join_style="mitre")
    )
    for part in shapely.get_parts(line):
        if part.geom_type == "LineString" and part.length > _TOUCH_MM:
            yield shapely.get_coordinates(part)


def _paths(runs: Sequence[Points]) -> list[Points]:
    """Lines that run on from one to the next, as one."""
    paths: list[Points] = []
    for run in runs:
        if paths and math.dist(paths[-1][-1], run[0]) <= _ONE_PATH_MM:
            paths[-1] = np.concatenate((paths[-1], run))
        else:
            paths.append(run)
    return paths


def _beside(
    path: Points, wide: float, taken: shapely.Geometry, *, lies_on: bool
) -> shapely.Geometry:
    """A strip along a line, outside what is taken; a collar that is folded down lies on it."""
    line = shapely.simplify(shapely.LineString(path), _TOUCH_MM / 4)
    both = shapely.buffer(line, wide, cap_style="flat", join_style="mitre")
    way = shapely.intersection if lies_on else shapely.difference
    beside = areas_of(way(both, taken))
    opened = shapely.buffer(beside, -_TOUCH_MM, join_style="mitre")  # without slivers
    return areas_of(shapely.buffer(opened, _TOUCH_MM, join_style="mitre"))


def _ending_upright(area: shapely.Geometry, path: Points) -> shapely.Geometry:
    """A strip along the top of the body, cut off above its ends, where it goes on round."""
    (left, top), (right, bottom) = path.min(axis=0), path.max(axis=0)
    if right - left < bottom - top:
        return area
    return areas_of(shapely.intersection(area, shapely.box(left, -FAR, right, FAR)))


def other_side(side: Side) -> Side:
    """Back for front, front for back."""
    return SIDES[1 - SIDES.index(side)]
