"""The seams, edges and darts that steps work on, found in the drafts by their names."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from webapp.draft.allowances import NONE
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.evaluate import Draft, Piece
from webapp.draft.markings import MarkedLine
from webapp.draft.names import name_key
from webapp.draft.outline import ON_FOLD_MM, Edge, Point, bounds
from webapp.draft.recipe import Seam

_SEWING: Final = {"machine", "overlock", "hand"}
_HANDLING: Final = _SEWING | {"pin"}  # what edges that meet are shown for
_FOR_A_WHILE: Final = {"tacking", "basting"}
_DRAWN: Final = " drawn"  # the figure of an edge as long as it is before it is gathered
_LEG: Final = " leg"  # the figure of a dart's leg is called after the dart
_DIGITS: Final = " 0123456789"
_SEWN_ON: Final = 3  # edges, at the least, of what is sewn on all round
_AS_LARGE_MM: Final = 5.0

Key = tuple[int, str]  # a piece's identity and the name of an edge


@dataclass(frozen=True)
class UseAt:
    """An edge found in the drafts; whether it is stitched by itself, or turned under."""

    piece: Piece
    edge: Edge
    times: int = 1
    backwards: bool = False
    stitched: bool = False
    turned: bool = False

    @property
    def key(self) -> Key:
        """The same for every use of the edge."""
        return id(self.piece), self.edge.name

    @property
    def folds_up(self) -> bool:
        """True for an edge that is hemmed."""
        return self.piece.allowances.get(self.edge.name, NONE).folds_up


@dataclass(frozen=True)
class SeamAt:
    """A seam found in the drafts; `walked` when every edge of it is, each sewn equally often."""

    seam: Seam
    one: tuple[UseAt, ...]
    other: tuple[UseAt, ...]
    walked: bool

    @property
    def key(self) -> int:
        """The same for every mention of the seam."""
        return id(self.seam)

    @property
    def edges(self) -> frozenset[Key]:
        """Every edge it joins."""
        return frozenset(use.key for use in (*self.one, *self.other))


@dataclass(frozen=True)
class StepWork:
    """What of a step's work can be seen on the pieces."""

    seams: tuple[SeamAt, ...]
    edges: tuple[UseAt, ...]
    darts: tuple[tuple[Piece, MarkedLine], ...]


@dataclass(frozen=True)
class Before:
    """What steps have done so far."""

    seen: frozenset[int]  # seams pinned, tacked or sewn, by `SeamAt.key`
    joined: tuple[SeamAt, ...]  # seams sewn for good
    hemmed: tuple[UseAt, ...]
    sewn: frozenset[Key]  # every edge of these
    stitched: frozenset[Key]  # edges stitched by themselves, as a neck is before its binding


@dataclass(frozen=True)
class Drafted:
    """The drafts by the names of what is in them: where several have a name, the first's."""

    drafts: Sequence[Draft]

    def work_of(self, step: Step) -> StepWork:
        """The seams, edges and darts it handles, each once; what is not drafted is left out."""
        named = [name for work in step.work if work.kind in _HANDLING for name in work.seams]
        uses: dict[Key, UseAt] = {}
        darts: list[tuple[Piece, MarkedLine]] = []
        for work in step.work:
            for edge in work.edges:
                use = self.use_at(edge)
                if use is not None:
                    had, done = uses.get(use.key, use), _done(work, use)
                    uses[use.key] = replace(
                        done,
                        times=max(had.times, done.times),
                        stitched=had.stitched or done.stitched,
                        turned=had.turned or done.turned,
                    )
                elif work.kind in _HANDLING:
                    darts += [dart for dart in self._darts_at(edge) if dart not in darts]
        # A stitched hem is turned, even if no work says so; what is seamed and pressed is not.
        edges = (replace(u, turned=u.folds_up if u.stitched else u.turned) for u in uses.values())
        return StepWork(tuple(self._seams_at(named)), tuple(edges), tuple(darts))

    def work_before(self, steps: Iterable[Step]) -> Before:
        """What these steps, all earlier than the one that is looked at, leave behind."""
        seen: dict[str, bool] = {}  # by name; True when sewn for good
        stitched: dict[Key, UseAt] = {}
        for step in steps:
            for work in step.work:
                if work.kind in _HANDLING:
                    lasts = _lasts(work)
                    for name in work.seams:
                        seen[name] = seen.get(name, False) or lasts
                    uses = (self.use_at(edge) for edge in work.edges) if lasts else ()
                    stitched |= {use.key: use for use in uses if use}
        joined = tuple(self._seams_at(name for name, lasts in seen.items() if lasts))
        hemmed = tuple(use for use in stitched.values() if use.folds_up)
        sewn = frozenset(use.key for use in hemmed).union(*(at.edges for at in joined))
        return Before(
            frozenset(at.key for at in self._seams_at(seen)),
            joined,
            hemmed,
            sewn,
            frozenset(stitched),
        )

    def use_at(self, use: EdgeUse, first: int = 0) -> UseAt | None:
        """The edge of that name, also where a figure tells its length before it is gathered.

        It is looked up in the draft at that place first. None if there is no such edge.
        """
        piece_name, _, name = name_key(use.edge).partition(".")
        for edges in (self._edges[first], *self._edges) if self._edges else ():
            at = edges.get((piece_name, name)) or edges.get((piece_name, name.removesuffix(_DRAWN)))
            if at:
                return UseAt(*at, use.times, use.backwards)
        return None

    def _seams_at(self, names: Iterable[str]) -> Iterator[SeamAt]:
        """The seams of these names, each once, their edges looked up in their own garment first."""
        for key in dict.fromkeys(name.strip().lower() for name in names):
            if key in self._seams:
                own, seam = self._seams[key]
                one, other = (
                    tuple(at for use in side if (at := self.use_at(use, own)))
                    for side in (seam.one, seam.other)
                )
                whole = 0 < len(one) == len(seam.one) and 0 < len(other) == len(seam.other)
                evenly = len({use.times for use in (*one, *other)}) == 1
                yield SeamAt(seam, one, other, whole and evenly)

    @cached_property
    def _edges(self) -> list[dict[tuple[str, str], tuple[Piece, Edge]]]:
        return [
            {
                (name_key(piece.name), name_key(edge.name)): (piece, edge)
                for piece in draft.pieces
                for edge in piece.outline
            }
            for draft in self.drafts
        ]

    @cached_property
    def _seams(self) -> dict[str, tuple[int, Seam]]:
        found: dict[str, tuple[int, Seam]] = {}
        for place, draft in enumerate(self.drafts):
            for seam in draft.recipe.seams:
                found.setdefault(seam.name.lower(), (place, seam))
        return found

    def _darts_at(self, use: EdgeUse) -> Iterator[tuple[Piece, MarkedLine]]:
        """The darts whose legs are worked on."""
        piece_name, _, name = name_key(use.edge).partition(".")
        if not name.endswith(_LEG):
            return
        for piece in (piece for draft in self.drafts for piece in draft.pieces):
            if name_key(piece.name) == piece_name:
                for mark in piece.markings:
                    if isinstance(mark, MarkedLine) and mark.kind == "dart":
                        called = (name_key(mark.name.rstrip(_DIGITS)), name_key(mark.name))
                        if name.removesuffix(_LEG) in called:
                            yield piece, mark


def marked_for(
    uses: Iterable[UseAt], drafts: Sequence[Draft]
) -> Iterator[tuple[Piece, MarkedLine]]:
    """Where on other pieces a pocket of the size of what is sewn on by several edges is marked."""
    sewn_on = Counter(id(use.piece) for use in uses if use.stitched)
    for draft in drafts:
        pockets = [piece for piece in draft.pieces if sewn_on[id(piece)] >= _SEWN_ON]
        for size in (_size(pocket.seam_points) for pocket in pockets):
            for piece, mark in _marked_pockets(draft):
                if math.dist(size, _marked_size(piece, mark)) <= _AS_LARGE_MM:
                    yield piece, mark


def _marked_pockets(draft: Draft) -> Iterator[tuple[Piece, MarkedLine]]:
    for piece in draft.pieces:
        for mark in piece.markings:
            if isinstance(mark, MarkedLine) and mark.kind == "pocket":
                yield piece, mark


def _marked_size(piece: Piece, mark: MarkedLine) -> tuple[float, float]:
    """What the mark is across and down; half of it is drawn where it lies across the fold."""
    width, height = _size(mark.points)
    across = piece.on_fold and min(x for x, _ in mark.points) <= ON_FOLD_MM
    return (2 * width if across else width), height


def _size(points: Sequence[Point]) -> tuple[float, float]:
    left, top, right, bottom = bounds(list(points))
    return right - left, bottom - top


def _lasts(work: Work) -> bool:
    return work.kind in _SEWING and work.stitch.strip().lower() not in _FOR_A_WHILE


def _done(work: Work, use: UseAt) -> UseAt:
    """What the work does to the edge; pressed, its allowance is turned under if it has one."""
    given = use.piece.allowances.get(use.edge.name, NONE).total_mm > 0
    return replace(use, stitched=work.kind in _HANDLING, turned=work.kind == "press" and given)
