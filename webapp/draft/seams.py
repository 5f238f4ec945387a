"""Seams: the lengths they join, the notches that meet along them, the length both sides show."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final, TypeVar

from webapp.draft.construction import EdgeUse
from webapp.draft.expressions import length_of
from webapp.draft.markings import Notch
from webapp.draft.names import Names, edge_called, gathered, name_key
from webapp.draft.recipe import Seam, SeamNotch
from webapp.draft.results import SEAM_TOLERANCE_MM, Piece, SeamFinding
from webapp.draft.sewn import as_sewn
from webapp.draft.walks import Run, Side, notches_apart
from webapp.draft.words import Sentence
from webapp.errors import FigureError, WaitingError
from webapp.units import both

_END_MM: Final = 0.05  # a notch past the end by no more than this is at the end
_ONE_PLACE_MM: Final = 0.1  # an edge sewn to itself gets one notch there, not two
_NOISE_MM: Final = 1e-6
_Found = TypeVar("_Found")


@dataclass
class Seaming:
    """Goes through a garment's seams once its pieces are drafted; `tell` takes seam and problem."""

    pieces: Sequence[Piece]
    names: Names
    tell: Callable[[str, str], None]
    notches: dict[str, list[Notch]] = field(default_factory=dict)  # by piece
    words: dict[str, list[Sentence]] = field(default_factory=dict)  # how those are drawn, by piece
    shown_mm: dict[tuple[str, str], float] = field(default_factory=dict)  # by piece and edge

    def findings(self, seams: Sequence[Seam]) -> tuple[SeamFinding, ...]:
        """The lengths each seam joins; seams whose lengths are not known are left out."""
        looped = _looped(seams)
        found = []
        for seam in seams:
            finding = self._told(seam, partial(self._finding, seam))
            if finding is None:
                continue
            one, other = self._side(seam.one), self._side(seam.other)
            if len(one.runs) == len(seam.one) == len(other.runs) == len(seam.other) == 1:
                self._show_alike(seam, finding, one.runs[0], other.runs[0])
            trouble = _not_walked(seam, one, other, looped)
            if not trouble:
                other = other.turned() if seam.turned else other
                finding = replace(finding, apart=tuple(notches_apart(one, other)))
                self._notch(seam, one, other)
            elif seam.notches:
                self.tell(seam.name, f"Seam “{seam.name}”: {trouble}")
            found.append(finding)
        return tuple(found)

    def finished(self) -> tuple[Piece, ...]:
        """The pieces with what their seams, once gone through, say of them."""
        return tuple(self._finished(piece) for piece in self.pieces)

    def _finished(self, piece: Piece) -> Piece:
        own = {edge: mm for (name, edge), mm in self.shown_mm.items() if name == piece.name}
        exact = {edge.name: edge.sewn_mm for edge in piece.outline}
        shown = {edge: mm for edge, mm in own.items() if abs(mm - exact[edge]) > _NOISE_MM}
        added = self.notches.get(piece.name, ())
        if not shown and not added:
            return piece
        return piece.told(
            markings=(*piece.markings, *added),
            words=(*piece.words, *self.words.get(piece.name, ())),
            shown_mm=shown,
        )

    def _told(self, seam: Seam, work: Callable[[], _Found]) -> _Found | None:
        """What comes of it; None when it has trouble, which is told unless it only waits."""
        try:
            return work()
        except WaitingError:
            return None
        except FigureError as error:
            self.tell(seam.name, f"Seam “{seam.name}”: {error.sentence}")
            return None

    def _finding(self, seam: Seam) -> SeamFinding:
        one, other, eased = gathered(
            (
                partial(self._length_mm, seam.one),
                partial(self._length_mm, seam.other),
                partial(length_of, seam.eased_in or "0 cm", self.names),
            )
        )
        return SeamFinding(
            seam.name, one, other, eased, seam.sewn, seam.stitch, seam.one, seam.other
        )

    def _length_mm(self, uses: Sequence[EdgeUse]) -> float:
        lengths = gathered(partial(length_of, use.edge, self.names) for use in uses)
        return sum(mm * use.times for mm, use in zip(lengths, uses, strict=True))

    def _side(self, uses: Sequence[EdgeUse]) -> Side:
        """Those of the uses that are edges of this garment's pieces."""
        wanted = [(name_key(use.edge).split("."), use.backwards) for use in uses]
        return Side(
            tuple(
                Run(piece, as_sewn(edge, piece.markings), backwards)
                for (piece_name, edge_name), backwards in wanted
                for piece in self.pieces
                if name_key(piece.name) == piece_name
                for edge in piece.outline
                if name_key(edge.name) == edge_name
            )
        )

    def _show_alike(self, seam: Seam, finding: SeamFinding, one: Run, other: Run) -> None:
        """Let edges that are sewn to each other and agree show the first side's length."""
        if not finding.agrees or finding.eased_mm or seam.one[0].times != seam.other[0].times:
            return
        if other.key in self.shown_mm and one.key not in self.shown_mm:
            one, other = other, one
        shown = self.shown_mm.setdefault(one.key, one.sewn.edge.sewn_mm)
        if abs(shown - other.sewn.edge.sewn_mm) <= SEAM_TOLERANCE_MM:
            self.shown_mm.setdefault(other.key, shown)

    def _notch(self, seam: Seam, one: Side, other: Side) -> None:
        """Put every notch of the seam on both sides, at the same share of their lengths."""
        for number, notch in enumerate(seam.notches, start=1):
            share = self._told(seam, partial(self._share, notch.at, one.length_mm))
            if share is None:
                continue
            name = seam.name if len(seam.notches) == 1 else f"{seam.name} {number}"
            for side in (one, other):
                run, drawn_mm = side.at(share * side.length_mm)
                edge = run.sewn.edge
                mark = Notch(name, edge.name, edge.at(drawn_mm)[0], notch.double)
                on_piece = self.notches.setdefault(run.piece.name, [])
                own = (each for each in run.piece.markings if isinstance(each, Notch))
                if not any(_is_there(mark, known) for known in (*own, *on_piece)):
                    on_piece.append(mark)
                    words = _told_on(side, run, drawn_mm, notch, seam.name)
                    self.words.setdefault(run.piece.name, []).append(words)

    def _share(self, text: str, length: float) -> float:
        at = length_of(text, self.names)
        if not -_END_MM <= at <= length + _END_MM:
            raise FigureError(
                f"the notch at {both(at, 'cm')} is not on its first side, which is "
                f"{both(length, 'cm')} long."
            )
        return min(max(at / length, 0.0), 1.0)


def _looped(seams: Sequence[Seam]) -> frozenset[str]:
    """The pieces that a seam sews to themselves or to a copy of theirs.

    A walk may leave those at one corner and go on from another.
    """
    both_sides = (
        {name_key(use.edge.partition(".")[0]) for use in seam.one}
        & {name_key(use.edge.partition(".")[0]) for use in seam.other}
        for seam in seams
    )
    return frozenset().union(*both_sides)


def _not_walked(seam: Seam, one: Side, other: Side, looped: frozenset[str]) -> str:
    """Why the two sides, as they are written, cannot be walked together; empty if they can."""
    if not 0 < len(seam.one) == len(one.runs) or not 0 < len(seam.other) == len(other.runs):
        return "only edges of this garment's own pieces can be notched."
    if len({use.times for use in (*seam.one, *seam.other)}) > 1:
        return (
            "it joins edges that are not sewn equally often, so its notches would not meet; mark "
            "them on the pieces instead."
        )
    for side in (one, other):
        passing = side.leap(looped)
        if passing:
            first, second = passing
            return (
                f"{first.name} and {second.name} meet at a corner, but the seam as it is written "
                f"does not pass it, so its notches are left out; write “{first.written}, "
                f"{second.written}”, or change their order."
            )
    return ""


def _told_on(side: Side, run: Run, drawn_mm: float, notch: SeamNotch, seam: str) -> Sentence:
    """How the notch is drawn on a run of a side, counted from where the seam enters it."""
    edge, corner = run.sewn.edge, run.piece.outline.edge(run.neighbours[0])
    at = edge.length_mm - drawn_mm if run.backwards else drawn_mm
    what, on = "a double notch" if notch.double else "a notch", edge_called(edge.name)
    meets = "fold" if run.piece.on_fold and corner.on_fold else edge_called(corner.name)
    of = seam.replace("{", "(").replace("}", ")")
    slot = f"{edge.name} notch"
    place = f"{{.{slot}}} from" if at > _END_MM else "at"
    before = "".join(f" - {each.name}" for each in side.runs[: side.runs.index(run)])
    return Sentence(
        f"For the seam “{of}” draw {what} out from the {on}, {place} its corner with the {meets}.",
        {slot: at},
        {slot: f"({notch.at}){before}" if before else notch.at},
        own=f"For the seam “{of}” draw {what} out from the {on}, where its other side has one: lay "
        "the two seam lines together.",
    )


def _is_there(mark: Notch, known: Notch) -> bool:
    return mark.edge == known.edge and math.dist(mark.at, known.at) < _ONE_PLACE_MM
