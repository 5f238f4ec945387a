"""What a step sews, seen on its pieces: which edges meet, where, and what lies turned under.

Lengths in mm, in the pieces' own coordinates. Every piece lies with its right side up.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final

from webapp.build.step_seams import (
    Course,
    Meeting,
    Shown,
    Spot,
    again,
    can_be_walked,
    hand,
    joins_copies,
    places,
    sign,
    walked,
    where,
)
from webapp.build.step_work import (
    Before,
    Drafted,
    SeamAt,
    StepWork,
    UseAt,
    marked_for,
)
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.markings import MarkedLine
from webapp.draft.outline import ON_FOLD_MM, Point, bounds
from webapp.draft.sewn import as_sewn
from webapp.draft.walks import Run, Side

MOST_PIECES: Final = 6  # in one drawing: more are too small to tell apart
_BAND: Final = 4.0  # times as wide as high


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
    drafted = Drafted(drafts)
    work = drafted.work_of(step)
    if not (work.seams or work.edges or work.darts):
        return None
    known = drafted.work_before(earlier)
    maker = _Maker()
    meetings = tuple(maker.meetings(at for at in work.seams if at.key not in known.seen))
    worked = tuple(maker.worked(work, known, meetings))
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

    def worked(
        self, work: StepWork, known: Before, meetings: Sequence[Meeting]
    ) -> Iterator[Worked]:
        """The edges stitched or turned by themselves, without those that are seamed here."""
        seamed = {(id(c.on.piece), c.edge.name) for each in meetings for c in each.courses}
        joined = known.sewn.union(*(at.edges for at in work.seams))
        joined_at = [at for at in known.joined if any(use.key in at.edges for use in work.edges)]
        for use in (use for use in work.edges if use.key not in seamed):
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
                    yield on, _lying(line, piece, mirrored=mirrored)

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
        taken = {where(course) for course in (*of_meetings, *of_edges)}
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
                    if where(lying) not in taken:
                        taken.add(where(lying))
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
        one, other = Side(walked(at.one)), Side(walked(at.other))
        other = other.turned() if at.seam.turned else other
        on_hand = hand(one.runs, other.runs)
        twin = joins_copies(at)
        courses = (
            tuple(self._course(run, on_hand, 0) for run in one.runs),
            tuple(self._course(run, -on_hand, twin) for run in other.runs),
        )
        return Meeting(
            at.seam.name,
            *courses,
            tuple(again(at, (*courses[0], *courses[1]))),
            tuple(places(*courses)) if can_be_walked(at, one, other) else (),
        )

    def _course(self, run: Run, on_hand: int, copy: int) -> Course:
        """Where the run lies when the cloth is to be on that hand of the walk: see `hand`."""
        piece = run.piece
        mirrored = (piece.on_fold or piece.pair) and on_hand != sign(run)
        # A pair's two are told apart by their sides.
        copy = copy if not piece.pair else 0
        on = self._one(piece, mirrored=mirrored, copy=copy)
        return Course(on, run, mirrored)


def is_band(piece: Piece) -> bool:
    """True for a piece far wider than it is high."""
    left, top, right, bottom = bounds(piece.whole_cut_points)
    return right - left > _BAND * (bottom - top)


def _lying(line: MarkedLine, piece: Piece, *, mirrored: bool) -> tuple[Point, ...]:
    """The line where it lies, without the side on which the other half goes on."""
    points = line.points
    for place in range(1, len(points) if piece.on_fold else 0):
        if all(abs(x) <= ON_FOLD_MM for x, _ in points[place - 1 : place + 1]):
            points = (*points[place:-1], *points[:place])
            break
    return tuple((-x, y) for x, y in points) if mirrored else points


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
