"""One side made of pieces that lie over each other on the other side, as the backs of a cushion."""

from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_joins import Join
from webapp.draft.garment_view_assembly import Assembly, laid_both_ways
from webapp.draft.garment_view_hung import hung
from webapp.draft.garment_view_layers import Layer, Placed
from webapp.draft.garment_view_parts import is_strip
from webapp.draft.results import Piece

_LAPS: Final = 2  # pieces at least


def lapped(own: Assembly, other: Assembly) -> list[Layer]:
    """The layers of a side whose pieces are sewn to the other side only; empty for any other."""
    garment = own.garment
    pieces = [
        piece
        for piece in garment.seen
        if garment.side(piece.name) == own.side and not is_strip(piece)
    ]
    if len(pieces) < _LAPS or own.by_halves or other.by_halves or len(own.placed) > 1:
        return []
    left, _, right, _ = shapely.bounds(other.placed[0].area)
    turned_over = Placed(other.placed[0].sewn, np.diag((-1.0, 1.0)), np.array((left + right, 0.0)))
    found = []
    for height, piece in enumerate(reversed(pieces)):  # the first in the list lies on top
        joins = [join for join in garment.of(piece.name) if join.other.piece == other.root.name]
        if not joins:
            return []
        placed = _on(turned_over, piece, _whole_edge(piece, joins), own)
        found.append(Layer(piece.name, placed.area, placed.layer(one_piece=False).lines, height))
    return found


def _whole_edge(piece: Piece, joins: list[Join]) -> Join:
    """A join along a whole edge of both, if there is one: its place is sure."""
    return min(joins, key=lambda join: _left_over(piece, join))


def _left_over(piece: Piece, join: Join) -> float:
    edge = piece.outline.edge(join.one.edge)
    return edge.length_mm - abs(join.one.end_mm - join.one.start_mm)


def _on(under: Placed, piece: Piece, join: Join, own: Assembly) -> Placed:
    """The piece with its edge on the other's, lying over it."""
    sewn = hung(own.garment, piece, own.pulled)
    there, here = under.stretch(join.other), sewn.stretch(join.one)
    both = laid_both_ways(sewn, here, there, 0)
    return max(both, key=lambda one: shapely.intersection(one.area, under.area).area)
