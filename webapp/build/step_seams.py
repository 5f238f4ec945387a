"""Where a seam lies on the pieces it joins: which half, which copy, and what meets what.

Lengths in mm, in the pieces' own coordinates. Every piece lies with its right side up.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from webapp.build.step_work import SeamAt, UseAt
from webapp.draft.evaluate import Piece
from webapp.draft.names import name_key
from webapp.draft.outline import ON_FOLD_MM, Edge, Point
from webapp.draft.sewn import as_sewn
from webapp.draft.walks import Run, Side

_SAME_PLACE_MM: Final = 3.0  # places of a seam no further apart are one


@dataclass(frozen=True, eq=False)
class Shown:
    """A piece in the drawing: opened out when on the fold, the mirrored one of a pair, a copy."""

    piece: Piece
    mirrored: bool = False


@dataclass(frozen=True)
class Spot:
    """A point on a piece, the way that leads off the piece there (a unit vector), and its words.

    The words are such as `Front at neck`, a corner, or `Sleeve on cap`, a place along an edge.
    """

    on: Shown
    at: Point
    off: Point
    told: str


@dataclass(frozen=True)
class Course:
    """An edge of a piece as it is walked; `mirrored` on the half, or the piece, not as drawn."""

    on: Shown
    run: Run
    mirrored: bool

    @property
    def edge(self) -> Edge:
        """The edge as it is drafted."""
        return self.run.sewn.edge

    def points(self, flatness_mm: float) -> list[Point]:
        """The edge as a polyline where it lies, in the direction of the walk."""
        drawn = [self._lie(point) for point in self.edge.points(flatness_mm)]
        return drawn[::-1] if self.run.backwards else drawn

    def at(self, drawn_mm: float) -> tuple[Point, Point]:
        """The point so many mm along the edge as drafted, and the way off the piece there."""
        point, (ux, uy) = self.edge.at(drawn_mm)
        return self._lie(point), self._lie((uy, -ux))

    def spot(self, along_mm: float) -> Spot:
        """The place so many mm along the walk; at its ends the way off leads past the edge too."""
        point, (nx, ny) = self.at(self.run.sewn.drawn_mm(self.run.flipped_mm(along_mm)))
        tx, ty = (-ny, nx) if self.mirrored == self.run.backwards else (ny, -nx)
        past = (along_mm >= self.run.length_mm - _SAME_PLACE_MM) - (along_mm <= _SAME_PLACE_MM)
        off = nx + past * tx, ny + past * ty
        size = math.hypot(*off) or 1.0
        before, after = self.run.neighbours
        place = f"at {after if past > 0 else before}" if past else f"on {self.edge.name}"
        told = f"{self.on.piece.name} {place}"
        return Spot(self.on, point, (off[0] / size, off[1] / size), told)

    def _lie(self, point: Point) -> Point:
        return (-point[0], point[1]) if self.mirrored else point


@dataclass(frozen=True)
class Meeting:
    """A seam: the courses of both sides, and the places along them that come to lie together."""

    name: str
    one: tuple[Course, ...]
    other: tuple[Course, ...]
    again: tuple[Course, ...]  # the same edges where the seam is sewn a second time
    places: tuple[tuple[Spot, ...], ...]  # the spots of each place; none if it is not walked

    @property
    def courses(self) -> tuple[Course, ...]:
        """Every edge that is sewn."""
        return (*self.one, *self.other, *self.again)

    @property
    def pieces(self) -> frozenset[Shown]:
        """Every piece it is sewn on."""
        return frozenset(course.on for course in self.courses)


def where(course: Course) -> tuple[int, str, bool]:
    """The same for every walk along that edge of that half or copy."""
    return id(course.on), course.edge.name, course.mirrored


def walked(uses: Sequence[UseAt]) -> tuple[Run, ...]:
    """The uses as walked: two of an edge that ends on the fold are walked to it and on from it."""
    runs: list[Run] = []
    for use in uses:
        run = Run(use.piece, as_sewn(use.edge, use.piece.markings), use.backwards)
        at_start, at_end = (abs(x) <= ON_FOLD_MM for x, _ in (use.edge.start, use.edge.end))
        if use.times > 1 and use.piece.on_fold and at_start != at_end:
            to_fold = Run(use.piece, run.sewn, backwards=at_start)
            runs += [to_fold, to_fold.turned()]
        else:
            runs.append(run)
    return tuple(runs)


def can_be_walked(at: SeamAt, one: Side, other: Side) -> bool:
    """True when what is as far along one side as along the other comes to lie together.

    Not so when an edge is not drafted or not sewn as often as the others, when some are walked
    over the fold and others are not, or when the walk as written leaves a corner out.
    """
    uses = (*at.one, *at.other)
    evenly = len({len(walked([use])) for use in uses}) == 1
    looped = {name_key(run.piece.name) for run in one.runs}
    looped &= {name_key(run.piece.name) for run in other.runs}
    return at.walked and evenly and not (one.leap(looped) or other.leap(looped))


def sign(run: Run) -> int:
    """1 for a run that goes clockwise around its piece as drawn, -1 for one that is backwards."""
    return -1 if run.backwards else 1


def hand(one: Sequence[Run], other: Sequence[Run]) -> int:
    """1 when the first side's cloth is on the right hand of the walk along the seam, else -1.

    An outline runs clockwise, so a piece as drawn is on the right of its edge, mirrored on the
    left. Both right sides up, one side of a seam is on the right and the other on the left: that
    says which half, or which of a pair, each edge is on. Pieces that are never mirrored say which
    hand it is; else as many as can be lie as they are drawn.
    """
    signs = [(run, sign(run)) for run in one] + [(run, -sign(run)) for run in other]
    for pair in (False, True):
        fixed = [way for run, way in signs if not run.piece.on_fold and run.piece.pair == pair]
        if sum(fixed):
            return 1 if sum(fixed) > 0 else -1
    return sign(one[0]) if one else 1


def joins_copies(at: SeamAt) -> int:
    """1 when the other side is on another copy of the same piece, else 0."""
    one, other = ({use.key for use in side} for side in (at.one, at.other))
    both = {piece for piece, _ in one} & {piece for piece, _ in other}
    pieces = [use.piece for use in at.one if id(use.piece) in both]
    if not pieces or pieces[0].cut_count < 2:
        return 0
    return int(bool(one & other) or at.seam.sewn < pieces[0].cut_count)


def again(at: SeamAt, courses: Sequence[Course]) -> Iterator[Course]:
    """The other halves on which the seam, or its mirror image, is sewn as well."""
    taken = {where(course) for course in courses}
    for course in courses:
        key = (id(course.on.piece), course.edge.name)
        uses = sum(use.times for use in (*at.one, *at.other) if use.key == key) * at.seam.sewn
        turned = Course(course.on, course.run, not course.mirrored)
        twice = course.on.piece.on_fold and uses > course.on.piece.cut_count
        if twice and where(turned) not in taken:
            taken.add(where(turned))
            yield turned


def places(one: Sequence[Course], other: Sequence[Course]) -> Iterator[tuple[Spot, ...]]:
    """The ends of the seam, and wherever a piece ends along either side."""
    lengths = [sum(course.run.length_mm for course in side) for side in (one, other)]
    if min(lengths) <= 0:
        return
    least = _SAME_PLACE_MM / min(lengths)
    shares: list[float] = [0.0]
    for share in sorted({*_breaks(one), *_breaks(other)}):
        if least < share - shares[-1] and share < 1 - least:
            shares.append(share)
    for share in (*shares, 1.0):
        yield (*_spots(one, share * lengths[0]), *_spots(other, share * lengths[1]))


def _breaks(side: Sequence[Course]) -> Iterator[float]:
    """The shares of a side at which it goes on elsewhere than where the last edge ended."""
    whole, walked = sum(course.run.length_mm for course in side), 0.0
    for before, after in pairwise(side):
        walked += before.run.length_mm
        end, start = before.spot(before.run.length_mm), after.spot(0.0)
        if before.on is not after.on or math.dist(end.at, start.at) > _SAME_PLACE_MM:
            yield walked / whole


def _spots(side: Sequence[Course], along_mm: float) -> Iterator[Spot]:
    """Where that place of the side is: where two pieces meet there, on both."""
    found: list[Spot] = []
    for course in side:
        length = course.run.length_mm
        if -_SAME_PLACE_MM <= along_mm <= length + _SAME_PLACE_MM:
            spot = course.spot(min(max(along_mm, 0.0), length))
            near = (s.on is spot.on and math.dist(s.at, spot.at) <= _SAME_PLACE_MM for s in found)
            if not any(near):
                found.append(spot)
        along_mm -= length
    yield from found
