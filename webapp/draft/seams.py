"""Seams: the lengths they join, the notches that meet along them, the length both sides show."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final, TypeVar

from webapp.draft.construction import EdgeUse
from webapp.draft.expressions import read
from webapp.draft.markings import Notch
from webapp.draft.names import Names, gathered, name_key
from webapp.draft.recipe import Seam
from webapp.draft.results import SEAM_TOLERANCE_MM, NotchesApart, Piece, SeamFinding
from webapp.draft.sewn import SewnEdge, along_mm, as_sewn
from webapp.errors import FigureError, WaitingError
from webapp.units import both

_END_MM: Final = 0.05  # a notch past the end by no more than this is at the end
_ONE_PLACE_MM: Final = 0.1  # an edge sewn to itself gets one notch there, not two
_NOISE_MM: Final = 1e-6
_Found = TypeVar("_Found")


@dataclass(frozen=True)
class _Side:
    """An edge of a piece as a seam uses it."""

    piece: Piece
    sewn: SewnEdge

    @property
    def key(self) -> tuple[str, str]:
        return self.piece.name, self.sewn.edge.name

    @property
    def name(self) -> str:
        """As a figure is called: Front.side."""
        return ".".join(self.key)

    def corner(self, at_end: bool) -> str:
        """The neighbour that the edge meets at its start, or at its end."""
        outline, name = self.piece.outline, self.sewn.edge.name
        return (outline.after(name) if at_end else outline.before(name)).name

    def counted(self, at_mm: float, from_end: bool) -> float:
        """A place on the sewn edge as counted from its start, or from its end."""
        return self.sewn.length_mm - at_mm if from_end else at_mm


@dataclass
class Seaming:
    """Goes through a garment's seams once its pieces are drafted; `tell` takes each problem."""

    pieces: Sequence[Piece]
    names: Names
    tell: Callable[[str], None]
    notches: dict[str, list[Notch]] = field(default_factory=dict)  # by piece
    shown_mm: dict[tuple[str, str], float] = field(default_factory=dict)  # by piece and edge

    def findings(self, seams: Sequence[Seam]) -> tuple[SeamFinding, ...]:
        """The lengths each seam joins; seams whose lengths are not known are left out."""
        found = []
        for seam in seams:
            finding = self._told(seam, partial(self._finding, seam))
            if finding is None:
                continue
            one, other = self._sides(seam.one), self._sides(seam.other)
            if len(one) == len(seam.one) == len(other) == len(seam.other) == 1:
                finding = replace(finding, apart=_apart(one[0], other[0]))
                self._show_alike(seam, finding, one[0], other[0])
            self._notch(seam, one, other)
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
        return replace(piece, markings=(*piece.markings, *added), shown_mm=shown)

    def _told(self, seam: Seam, work: Callable[[], _Found]) -> _Found | None:
        """What comes of it; None when it has trouble, which is told unless it only waits."""
        try:
            return work()
        except WaitingError:
            return None
        except FigureError as error:
            self.tell(f"Seam “{seam.name}”: {error.sentence}")
            return None

    def _finding(self, seam: Seam) -> SeamFinding:
        one, other, eased = gathered(
            (
                partial(self._length_mm, seam.one),
                partial(self._length_mm, seam.other),
                partial(self._mm, seam.eased_in or "0 cm"),
            )
        )
        return SeamFinding(seam.name, one, other, eased, seam.sewn, seam.stitch)

    def _length_mm(self, uses: Sequence[EdgeUse]) -> float:
        lengths = gathered(partial(self._mm, use.edge) for use in uses)
        return sum(mm * use.times for mm, use in zip(lengths, uses, strict=True))

    def _mm(self, text: str) -> float:
        return read(text).length_mm(self.names)

    def _sides(self, uses: Sequence[EdgeUse]) -> list[_Side]:
        """Those of the uses that are edges of this garment's pieces."""
        wanted = [name_key(use.edge).split(".") for use in uses]
        return [
            _Side(piece, as_sewn(edge, piece.markings))
            for piece_name, edge_name in wanted
            for piece in self.pieces
            if name_key(piece.name) == piece_name
            for edge in piece.outline
            if name_key(edge.name) == edge_name
        ]

    def _show_alike(self, seam: Seam, finding: SeamFinding, one: _Side, other: _Side) -> None:
        """Let edges that are sewn to each other and agree show the first side's length."""
        if not finding.agrees or finding.eased_mm or seam.one[0].times != seam.other[0].times:
            return
        if other.key in self.shown_mm and one.key not in self.shown_mm:
            one, other = other, one
        shown = self.shown_mm.setdefault(one.key, one.sewn.edge.sewn_mm)
        if abs(shown - other.sewn.edge.sewn_mm) <= SEAM_TOLERANCE_MM:
            self.shown_mm.setdefault(other.key, shown)

    def _notch(self, seam: Seam, one: list[_Side], other: list[_Side]) -> None:
        """Put every notch of the seam on both sides, at the same share of their lengths."""
        if not seam.notches or self._told(seam, partial(_refuse_apart, seam, one, other)) is None:
            return
        lengths = [sum(side.sewn.length_mm for side in sides) for sides in (one, other)]
        for number, notch in enumerate(seam.notches, start=1):
            share = self._told(seam, partial(self._share, notch.at, lengths[0]))
            if share is None:
                continue
            name = seam.name if len(seam.notches) == 1 else f"{seam.name} {number}"
            places = (share, 1 - share if seam.turned else share)
            for sides, length, place in zip((one, other), lengths, places, strict=True):
                side, at = _at(sides, place * length)
                edge = side.sewn.edge
                mark = Notch(name, edge.name, edge.at(side.sewn.drawn_mm(at))[0], notch.double)
                on_piece = self.notches.setdefault(side.piece.name, [])
                if not any(_is_there(mark, known) for known in on_piece):
                    on_piece.append(mark)

    def _share(self, text: str, length: float) -> float:
        at = self._mm(text)
        if not -_END_MM <= at <= length + _END_MM:
            raise FigureError(
                f"the notch at {both(at, 'cm')} is not on its first side, which is "
                f"{both(length, 'cm')} long."
            )
        return min(max(at / length, 0.0), 1.0)


def _refuse_apart(seam: Seam, one: list[_Side], other: list[_Side]) -> bool:
    """FigureError when the sides cannot be walked along together."""
    if len(one) < len(seam.one) or len(other) < len(seam.other):
        raise FigureError("only edges of this garment's own pieces can be notched.")
    if len({use.times for use in (*seam.one, *seam.other)}) > 1:
        raise FigureError(
            "it joins edges that are not sewn equally often, so its notches would not meet; mark "
            "them on the pieces instead."
        )
    return True


def _at(sides: Sequence[_Side], along: float) -> tuple[_Side, float]:
    """The edge that a place along the whole side falls on, and how far along it."""
    for side in sides[:-1]:
        if along <= side.sewn.length_mm:
            return side, along
        along -= side.sewn.length_mm
    return sides[-1], along


def _is_there(mark: Notch, known: Notch) -> bool:
    return mark.edge == known.edge and math.dist(mark.at, known.at) < _ONE_PLACE_MM


def _apart(one: _Side, other: _Side) -> tuple[NotchesApart, ...]:
    """Hand-made notches of one name that do not meet, however the sides are laid together.

    They are laid together in one way for all notches: start to start, or start to end.
    """
    ways = [tuple(_apart_when_laid(one, other, crossed)) for crossed in (False, True)]
    return min(ways, key=lambda found: (len(found), sum(abs(n.one_mm - n.other_mm) for n in found)))


def _apart_when_laid(one: _Side, other: _Side, crossed: bool) -> Iterator[NotchesApart]:
    there = list(_notches_on(other))
    for name, at in _notches_on(one):
        counts = [
            (abs(a - b), end, a, b)
            for namesake, far in there
            if namesake.lower() == name.lower()
            for end in (False, True)
            for a, b in ((one.counted(at, end), other.counted(far, end != crossed)),)
        ]
        if not counts:
            continue
        off, end, a, b = min(counts)
        if off > SEAM_TOLERANCE_MM:
            corners = one.corner(end), other.corner(end != crossed)
            yield NotchesApart(name, one.name, corners[0], a, other.name, corners[1], b)


def _notches_on(side: _Side) -> Iterator[tuple[str, float]]:
    """The name of each notch on the edge and how far along it is sewn."""
    edge = side.sewn.edge
    for mark in side.piece.markings:
        if isinstance(mark, Notch) and mark.edge == edge.name:
            yield mark.name, side.sewn.sewn_mm(along_mm(edge, mark.at))
