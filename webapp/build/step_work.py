"""The seams, edges and darts that steps work on, found in the drafts by their names."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
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


def work_of(step: Step, drafts: Sequence[Draft]) -> StepWork:
    """The seams, edges and darts the step handles, each once; what is not drafted is left out."""
    named = [name for work in step.work if work.kind in _HANDLING for name in work.seams]
    seams = [at for name in dict.fromkeys(named) if (at := seam_at(name, drafts))]
    uses: dict[Key, UseAt] = {}
    darts: list[tuple[Piece, MarkedLine]] = []
    for work in step.work:
        for edge in work.edges:
            use = _use_at(edge, drafts)
            if use is not None:
                had, done = uses.get(use.key, use), _done(work, use)
                uses[use.key] = replace(
                    done,
                    times=max(had.times, done.times),
                    stitched=had.stitched or done.stitched,
                    turned=had.turned or done.turned,
                )
            elif work.kind in _HANDLING:
                darts += [dart for dart in _darts_at(edge, drafts) if dart not in darts]
    # A hem that is stitched is turned, even if no work says so; what is seamed and pressed is not.
    edges = (replace(u, turned=u.folds_up if u.stitched else u.turned) for u in uses.values())
    return StepWork(tuple(seams), tuple(edges), tuple(darts))


def work_before(steps: Iterable[Step], drafts: Sequence[Draft]) -> Before:
    """What these steps, all earlier than the one that is looked at, leave behind."""
    seen: dict[str, bool] = {}  # by name; True when sewn for good
    stitched: dict[Key, UseAt] = {}
    for step in steps:
        for work in step.work:
            if work.kind in _HANDLING:
                lasts = _lasts(work)
                for name in work.seams:
                    seen[name] = seen.get(name, False) or lasts
                uses = (_use_at(edge, drafts) for edge in work.edges) if lasts else ()
                stitched |= {use.key: use for use in uses if use}
    found = [(at, lasts) for name, lasts in seen.items() if (at := seam_at(name, drafts))]
    joined = tuple(at for at, lasts in found if lasts)
    hemmed = tuple(use for use in stitched.values() if use.folds_up)
    sewn = frozenset(use.key for use in hemmed).union(*(at.edges for at in joined))
    seen_keys = frozenset(at.key for at, _ in found)
    return Before(seen_keys, joined, hemmed, sewn, frozenset(stitched))


def seam_at(name: str, drafts: Sequence[Draft]) -> SeamAt | None:
    """The seam of that name, its edges looked up in its own garment first; None without it."""
    for draft in drafts:
        for seam in draft.recipe.seams:
            if seam.name.lower() == name.strip().lower():
                own_first = (draft, *(each for each in drafts if each is not draft))
                one, other = (_uses_at(side, own_first) for side in (seam.one, seam.other))
                whole = 0 < len(one) == len(seam.one) and 0 < len(other) == len(seam.other)
                evenly = len({use.times for use in (*one, *other)}) == 1
                return SeamAt(seam, one, other, whole and evenly)
    return None


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


def _uses_at(uses: Sequence[EdgeUse], drafts: Sequence[Draft]) -> tuple[UseAt, ...]:
    return tuple(at for use in uses if (at := _use_at(use, drafts)))


def _use_at(use: EdgeUse, drafts: Sequence[Draft]) -> UseAt | None:
    piece, name = _piece_of(use, drafts)
    if piece is None:
        return None
    for edge in piece.outline:
        if name_key(edge.name) in (name, name.removesuffix(_DRAWN)):
            return UseAt(piece, edge, use.times, use.backwards)
    return None


def _darts_at(use: EdgeUse, drafts: Sequence[Draft]) -> Iterator[tuple[Piece, MarkedLine]]:
    piece, name = _piece_of(use, drafts)
    for mark in piece.markings if piece else ():
        if isinstance(mark, MarkedLine) and mark.kind == "dart":
            called = name_key(mark.name.rstrip(" 0123456789"))
            if name.endswith(_LEG) and name.removesuffix(_LEG) in (called, name_key(mark.name)):
                yield piece, mark  # type: ignore[misc]


def _piece_of(use: EdgeUse, drafts: Sequence[Draft]) -> tuple[Piece | None, str]:
    piece_name, _, name = name_key(use.edge).partition(".")
    pieces = (piece for draft in drafts for piece in draft.pieces)
    return next((p for p in pieces if name_key(p.name) == piece_name), None), name
