"""What a step sews, seen on its pieces: which edges meet, where, and what lies turned under.

Lengths in mm, in the pieces' own coordinates. Every piece lies with its right side up.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise
from typing import Final

from webapp.build.step_work import (
    Before,
    SeamAt,
    StepWork,
    UseAt,
    marked_for,
    work_before,
    work_of,
)
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.markings import MarkedLine
from webapp.draft.outline import ON_FOLD_MM, Edge, Point, bounds
from webapp.draft.sewn import as_sewn
from webapp.draft.walks import Run, Side

MOST_PIECES: Final = 6  # in one drawing: more are too small to tell apart
_BAND: Final = 4.0  # times as wide as high
_SAME_PLACE_MM: Final = 3.0  # places of a seam no further apart are one


@dataclass(frozen=True, eq=False)
class Shown:
    """A piece in the drawing: opened out when on the fold, the mirrored one of a pair, a copy."""

    piece: Piece
    mirrored: bool = False


@dataclass(frozen=True)
class Spot:
    """A point on a piece and the way that leads off the piece there, a unit vector."""

    on: Shown
    at: Point
    off: Point


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
        return Spot(self.on, point, (off[0] / size, off[1] / size))

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


@dataclass(frozen=True)
class Worked:
    """An edge worked on by itself: stitched, or its allowance turned under, or both."""

    courses: tuple[Course, ...]
    stitched: bool
    turned: bool


@dataclass(frozen=True)
class StepView:
    """Everything a drawing of the step shows."""

    shown: tuple[Shown, ...]
    groups: tuple[tuple[Shown, ...], ...]  # the pieces of each seam
    meetings: tuple[Meeting, ...]
    worked: tuple[Worked, ...]
    darts: tuple[tuple[Shown, tuple[Point, ...]], ...]
    pockets: tuple[tuple[Shown, tuple[Point, ...]], ...]  # where what is sewn on is marked
    before: tuple[Course, ...]  # sewn in earlier steps


def step_view(step: Step, earlier: Sequence[Step], drafts: Sequence[Draft]) -> StepView | None:
    """What the step sews or turns under; None when that is nothing, or was shown before.

    `earlier` are the steps before it in the order they are done. Names are looked up in each draft
    in turn; what is not drafted is left out.
    """
    known = work_before(earlier, drafts)
    work = work_of(step, drafts)
    maker = _Maker()
    meetings = tuple(maker.meetings(at for at in work.seams if at.key not in known.seen))
    worked = tuple(maker.worked(work, known))
    darts = tuple(maker.lines(work.darts))
    new = any(use.turned or use.key not in known.stitched for use in work.edges)
    if not (meetings or darts or (worked and new)):
        return None
    pockets = tuple(maker.lines(marked_for(work.edges, drafts)))
    before = tuple(maker.before(known.joined, known.hemmed, meetings, worked))
    shown = maker.in_order(meetings)
    groups = tuple(tuple(on for on in shown if on in meeting.pieces) for meeting in meetings)
    return StepView(shown, groups, meetings, worked, darts, pockets, before)


@dataclass
class _Maker:
    """Puts pieces into the drawing as they are needed."""

    shown: dict[tuple[int, bool, int], Shown] = field(default_factory=dict)

    def meetings(self, seams: Iterable[SeamAt]) -> Iterator[Meeting]:
        for at in seams:
            had = dict(self.shown)
            meeting = self._meeting(at)
            if len(self.shown) > MOST_PIECES:
                self.shown = had
            elif meeting.one or meeting.other:
                yield meeting

    def worked(self, work: StepWork, known: Before) -> Iterator[Worked]:
        joined = known.sewn.union(*(at.edges for at in work.seams))
        joined_at = [at for at in known.joined if any(use.key in at.edges for use in work.edges)]
        for use in work.edges:
            turned = use.turned and use.key not in joined
            if (use.stitched or turned) and self._has_room(use.piece):
                yield Worked(self._halves(use, joined_at), use.stitched, turned)

    def lines(
        self, marked: Iterable[tuple[Piece, MarkedLine]]
    ) -> Iterator[tuple[Shown, tuple[Point, ...]]]:
        for piece, line in marked:
            if self._has_room(piece):
                on = self._any(piece)
                for mirrored in (False, True) if piece.on_fold else (on.mirrored,):
                    yield on, _lying(line, mirrored)

    def before(
        self,
        joined: Iterable[SeamAt],
        hemmed: Iterable[UseAt],
        meetings: Sequence[Meeting],
        worked: Sequence[Worked],
    ) -> Iterator[Course]:
        """What of the pieces shown is sewn already, once each, without what is sewn now."""
        of_meetings = (course for meeting in meetings for course in meeting.courses)
        of_edges = (course for each in worked for course in each.courses)
        taken = {_where(course) for course in (*of_meetings, *of_edges)}
        pieces = {id(on.piece) for on in self.shown.values()}
        earlier = [_Maker()._halves(use) for use in hemmed if id(use.piece) in pieces]
        for at in joined:
            if any(piece in pieces for piece, _ in at.edges):
                earlier.append(_Maker()._meeting(at).courses)
        for course in (course for courses in earlier for course in courses):
            for on in self.shown.values():
                if on.piece is course.on.piece:
                    mirrored = course.mirrored if on.piece.on_fold else on.mirrored
                    lying = Course(on, course.run, mirrored)
                    if _where(lying) not in taken:
                        taken.add(_where(lying))
                        yield lying

    def in_order(self, meetings: Sequence[Meeting]) -> tuple[Shown, ...]:
        """Bands first; then from left to right so that edges that meet lie near each other."""
        return tuple(sorted(self.shown.values(), key=partial(_order, meetings)))

    def _has_room(self, piece: Piece) -> bool:
        there = any(on.piece is piece for on in self.shown.values())
        return there or len(self.shown) < MOST_PIECES

    def _any(self, piece: Piece) -> Shown:
        there = (on for on in self.shown.values() if on.piece is piece)
        return next(there, None) or self._one(piece, mirrored=False, copy=0)

    def _one(self, piece: Piece, *, mirrored: bool, copy: int) -> Shown:
        mirrored = mirrored and not piece.on_fold
        return self.shown.setdefault((id(piece), mirrored, copy), Shown(piece, mirrored))

    def _halves(self, use: UseAt, joined: Sequence[SeamAt] = ()) -> tuple[Course, ...]:
        """The edge on both halves of a piece on the fold; once, on the one that is free."""
        on = self._any(use.piece)
        run = Run(use.piece, as_sewn(use.edge, use.piece.markings))
        if not use.piece.on_fold:
            return (Course(on, run, on.mirrored),)
        both = Course(on, run, mirrored=False), Course(on, run, mirrored=True)
        if use.times > 1:
            return both
        meetings = [_Maker()._meeting(at) for at in joined]
        sewn = {c.mirrored for m in meetings for c in m.courses if c.run.key == run.key}
        return both[1:] if sewn == {False} else both[:1]

    def _meeting(self, at: SeamAt) -> Meeting:
        one, other = Side(_runs(at.one)), Side(_runs(at.other))
        other = other.turned() if at.seam.turned else other
        hand = _hand(one.runs, other.runs)
        twin = _joins_copies(at)
        courses = (
            tuple(self._course(run, hand, 0) for run in one.runs),
            tuple(self._course(run, -hand, twin) for run in other.runs),
        )
        again = tuple(_again(at, (*courses[0], *courses[1])))
        places = tuple(_places(*courses)) if at.walked else ()
        return Meeting(at.seam.name, *courses, again, places)

    def _course(self, run: Run, hand: int, copy: int) -> Course:
        """Where the run lies when the cloth is to be on that hand of the walk: see `_hand`."""
        piece = run.piece
        mirrored = (piece.on_fold or piece.pair) and hand != _sign(run)
        # A pair's two are told apart by their sides.
        copy = copy if not piece.pair else 0
        on = self._one(piece, mirrored=mirrored, copy=copy)
        return Course(on, run, mirrored)


def is_band(piece: Piece) -> bool:
    """True for a piece far wider than it is high."""
    left, top, right, bottom = bounds(piece.whole_cut_points)
    return right - left > _BAND * (bottom - top)


def _lying(line: MarkedLine, mirrored: bool) -> tuple[Point, ...]:
    return tuple((-x, y) for x, y in line.points) if mirrored else line.points


def _where(course: Course) -> tuple[int, str, bool]:
    return id(course.on), course.edge.name, course.mirrored


def _order(meetings: Sequence[Meeting], on: Shown) -> tuple[bool, int, int]:
    """By the first seam it is sewn in; to the left what is joined on its right side."""
    place = next((n for n, each in enumerate(meetings) if on in each.pieces), len(meetings))
    spots = [s for spots in meetings[place].places for s in spots] if meetings[place:] else []
    return not is_band(on.piece), place, -_lean(on, spots)


def _lean(on: Shown, spots: Sequence[Spot]) -> int:
    """1 when the places that meet are on its right, -1 on its left, 0 on neither or both."""
    own = [spot.at[0] for spot in spots if spot.on is on]
    if not own:
        return 0
    points = on.piece.whole_cut_points
    xs = [-x if on.mirrored else x for x, _ in points]
    reach = max(xs) - min(xs)
    off = sum(own) / len(own) - (max(xs) + min(xs)) / 2
    return 0 if abs(off) < 0.1 * reach else int(math.copysign(1, off))


# --- Where a seam lies -----------------------------------------------------------------------


def _runs(uses: Sequence[UseAt]) -> tuple[Run, ...]:
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


def _sign(run: Run) -> int:
    return -1 if run.backwards else 1


def _hand(one: Sequence[Run], other: Sequence[Run]) -> int:
    """1 when the first side's cloth is on the right hand of the walk along the seam, else -1.

    An outline runs clockwise, so a piece as drawn is on the right of its edge, mirrored on the
    left. Both right sides up, one side of a seam is on the right and the other on the left: that
    says which half, or which of a pair, each edge is on. Pieces that are never mirrored say which
    hand it is; else as many as can be lie as they are drawn.
    """
    signs = [(run, _sign(run)) for run in one] + [(run, -_sign(run)) for run in other]
    for least in (False, True):
        fixed = [sign for run, sign in signs if not run.piece.on_fold and run.piece.pair == least]
        if sum(fixed):
            return 1 if sum(fixed) > 0 else -1
    return _sign(one[0]) if one else 1


def _joins_copies(at: SeamAt) -> int:
    """1 when the other side is on another copy of the same piece, else 0."""
    one, other = ({use.key for use in side} for side in (at.one, at.other))
    both = {piece for piece, _ in one} & {piece for piece, _ in other}
    pieces = [use.piece for use in at.one if id(use.piece) in both]
    if not pieces or pieces[0].cut_count < 2:
        return 0
    return int(bool(one & other) or at.seam.sewn < pieces[0].cut_count)


def _again(at: SeamAt, courses: Sequence[Course]) -> Iterator[Course]:
    """The other halves on which the seam, or its mirror image, is sewn as well."""
    taken = {_where(course) for course in courses}
    for course in courses:
        key = (id(course.on.piece), course.edge.name)
        uses = sum(use.times for use in (*at.one, *at.other) if use.key == key) * at.seam.sewn
        turned = Course(course.on, course.run, not course.mirrored)
        twice = course.on.piece.on_fold and uses > course.on.piece.cut_count
        if twice and _where(turned) not in taken:
            taken.add(_where(turned))
            yield turned


def _places(one: Sequence[Course], other: Sequence[Course]) -> Iterator[tuple[Spot, ...]]:
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
