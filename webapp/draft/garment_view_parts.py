"""What part each piece plays in how a garment looks: a side of the body, a strip, a lining.

Goes by the trade's words in the pieces' names, by their shapes, and by what is sewn to what.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

from webapp.draft.garment_joins import Join, joins_of
from webapp.draft.markings import MarkedLine, Notch
from webapp.draft.outline import bounds
from webapp.draft.results import Draft, Piece
from webapp.draft.symmetry import is_symmetrical

Side = Literal["front", "back"]
SIDES: Final[tuple[Side, Side]] = ("front", "back")

# What lies on the inside of a finished garment.
_INSIDE: Final = frozenset(
    ("lining", "linings", "facing", "facings", "interfacing", "interlining", "underlining",
     "inside", "inner", "stay", "wadding", "padding", "pocketing", "undercollar", "underlay")
)  # fmt: skip
_BINDING: Final = frozenset(("binding", "bindings", "piping", "bias"))
_STRIPS: Final = frozenset(
    ("band", "bands", "waistband", "neckband", "hatband", "cuff", "cuffs", "collar", "rib",
     "ribbing", "strap", "straps", "halter", "tie", "ties", "handle", "handles", "belt", "loop",
     "loops", "tab", "tabs", "frill", "frills", "ruffle", "ruffles", "casing", "placket")
)  # fmt: skip
_LONG: Final = 2.5  # times as long as wide, a piece with four edges and such a name is a strip
_FOUR: Final = 4  # edges of a strip
_SAME_SIZE_MM: Final = 2.0  # a pocket and the place it is marked at


def words_of(name: str) -> frozenset[str]:
    """The words of a name, in lower case."""
    return frozenset(re.findall(r"\w+", name.lower()))


@dataclass(frozen=True)
class Garment:
    """A draft with its pieces sorted by how they are seen."""

    draft: Draft

    @cached_property
    def joins(self) -> tuple[Join, ...]:
        """Which stretch of which edge is sewn to which, among pieces seen from outside."""
        seen = {piece.name for piece in self.seen}
        return tuple(
            join
            for join in joins_of(self.draft)
            if join.one.piece in seen and join.other.piece in seen
        )

    @cached_property
    def seen(self) -> tuple[Piece, ...]:
        """The pieces that are seen from outside; bindings are drawn on the edge they bind."""
        return tuple(
            piece
            for piece in self.draft.pieces
            if not words_of(piece.name) & (_INSIDE | _BINDING)
            and not words_of(piece.cloth) & _INSIDE
        )

    @cached_property
    def bindings(self) -> tuple[Piece, ...]:
        """The pieces that bind an edge."""
        return tuple(piece for piece in self.draft.pieces if words_of(piece.name) & _BINDING)

    def piece(self, name: str) -> Piece:
        """The piece of that name. KeyError without one."""
        return self.draft.piece(name)

    def of(self, piece: str) -> list[Join]:
        """The joins of a piece, its stretch first; one that is sewn to itself comes once."""
        return [
            join.seen_from(piece)
            for join in self.joins
            if piece in {join.one.piece, join.other.piece}
        ]

    def side(self, name: str) -> Side | None:
        """Front or back by its name; None for what goes round, or is the same on both."""
        words = words_of(name)
        return next((side for side in SIDES if side in words and not set(SIDES) <= words), None)

    def body(self, side: Side | None) -> Piece | None:
        """The largest piece of that side that is no strip, band or pocket."""
        wanted = [
            piece
            for piece in self.seen
            if self.side(piece.name) == side and not is_strip(piece) and not self.is_pocket(piece)
        ]
        return max(wanted, key=area_mm2, default=None)

    def is_pocket(self, piece: Piece) -> bool:
        """True for a patch: it is sewn onto another piece, not to an edge."""
        return "pocket" in piece.name.lower()

    def pocket_at(self, mark: MarkedLine, *, half: bool) -> Piece | None:
        """The pocket of the size that is marked; `half` of it beside a fold."""
        left, top, right, bottom = bounds(list(mark.points))
        wide, long = (right - left) * (2 if half else 1), bottom - top
        for piece in self.seen:
            if not self.is_pocket(piece):
                continue
            x0, y0, x1, y1 = bounds(piece.seam_points)
            if abs(x1 - x0 - wide) <= _SAME_SIZE_MM and abs(y1 - y0 - long) <= _SAME_SIZE_MM:
                return piece
        return None

    def sewn_to_itself(self, piece: Piece) -> list[Join]:
        """The joins of a piece with itself or its other copies."""
        return [join for join in self.joins if join.one.piece == join.other.piece == piece.name]

    def centre_edges(self, piece: Piece) -> tuple[str, ...]:
        """The edges of a left or a right half that lie on the centre of the garment."""
        if not is_half(piece) or piece.on_fold:
            return tuple(edge.name for edge in piece.outline if piece.on_fold and edge.on_fold)
        return tuple(
            join.one.edge for join in self.sewn_to_itself(piece) if join.one.edge == join.other.edge
        )


def is_half(piece: Piece) -> bool:
    """True for a piece that is drawn for one side of the body only."""
    if piece.on_fold or piece.pair:
        return True
    return piece.cut_count > 1 and not is_symmetrical(piece.seam_points)


def is_strip(piece: Piece) -> bool:
    """True for what was drawn as a band, or is called one and is much longer than wide."""
    if "free edge" in piece.outline.names:
        return True
    sides = sorted(_sides_mm(piece))
    named = bool(words_of(piece.name) & _STRIPS) and len(piece.outline.edges) == _FOUR
    return named and sides[1] >= _LONG * sides[0]


def strip_mm(piece: Piece) -> float:
    """How wide a strip is once it is finished, mm: folded bands are cut twice as wide."""
    if "free edge" not in piece.outline.names:
        return min(_sides_mm(piece))
    _, flat = _sides_mm(piece)
    folded = flat > piece.figures_mm.get("width", flat) * 1.5
    long_edges = [piece.finishes[name] for name in ("join", "free edge") if name in piece.finishes]
    # Edges without allowance are folded in to the crease, so that four layers lie together.
    raw = folded and all(finish.kind == "raw" for finish in long_edges)
    return flat / (4 if raw else 2 if folded else 1)


def strip_length_mm(piece: Piece) -> float:
    """How long a strip is, mm."""
    return _sides_mm(piece)[0] if "free edge" in piece.outline.names else max(_sides_mm(piece))


def _sides_mm(piece: Piece) -> tuple[float, float]:
    """How wide and how long it is as drawn, opened out."""
    left, top, right, bottom = bounds(piece.seam_points)
    return (right - left) * (2 if piece.on_fold else 1), bottom - top


def area_mm2(piece: Piece) -> float:
    """What the piece covers once: both halves of one on the fold."""
    return piece.outline.area_mm2 * (2 if piece.on_fold else 1)


def notches_called(piece: Piece, words: Iterable[str]) -> Sequence[Notch]:
    """The notches of a piece whose name holds one of the words."""
    wanted = set(words)
    return [
        mark for mark in piece.markings if isinstance(mark, Notch) and words_of(mark.name) & wanted
    ]
