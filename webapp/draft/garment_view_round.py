"""Where a piece that goes round the body turns from one side to the other: a sleeve, a side panel.

Points of the piece as it is drawn, mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from webapp.draft.garment_joins import Stretch
from webapp.draft.garment_view_parts import Garment, Side, is_strip
from webapp.draft.outline import Edge, Point
from webapp.draft.results import Piece

_NEAR_MM: Final = 1.0


@dataclass(frozen=True, slots=True)
class Turn:
    """The line that a piece is folded on: a point of it, and another."""

    at: Point
    towards: Point
    along_an_edge: bool  # it leads from the sewn edge across the piece, as in a sleeve


def turning(garment: Garment, side: Side | None, piece: Piece, sewn: Stretch) -> Turn | None:
    """Where a piece turns that is sewn to this side along a stretch; None if it does not."""
    if side is None or garment.side(piece.name) is not None:
        return None
    own: list[Stretch] = []
    far: list[Stretch] = []
    for join in garment.of(piece.name):
        other = garment.side(join.other.piece)
        if other is not None and join.other.piece != piece.name:
            (own if other == side else far).append(join.one)
    if not far:
        return None
    place = _goes_over(piece, sewn, own, far)
    if place is not None:
        return _across_from(garment, piece, place, {stretch.edge for stretch in (*own, *far)})
    return _between(piece, sewn, max(far, key=lambda stretch: stretch.length_mm))


def _goes_over(
    piece: Piece, sewn: Stretch, own: Sequence[Stretch], far: Sequence[Stretch]
) -> tuple[Edge, float] | None:
    """Where on the edge, or at its corner with the next, this side ends and the other begins."""
    edge = piece.outline.edge(sewn.edge)
    mine = [mm for one in own if one.edge == edge.name for mm in (one.start_mm, one.end_mm)]
    there = [mm for one in far if one.edge == edge.name for mm in (one.start_mm, one.end_mm)]
    if mine and there:
        before = sum(mine) / len(mine) < sum(there) / len(there)
        return edge, max(mine) if before else min(mine)
    beyond = {one.edge for one in far}
    if piece.outline.after(edge.name).name in beyond:
        return edge, edge.length_mm
    if piece.outline.before(edge.name).name in beyond:
        return edge, 0.0
    return None


def _across_from(
    garment: Garment, piece: Piece, place: tuple[Edge, float], bodily: set[str]
) -> Turn:
    """From there to the same share of the free edges across: of a sleeve, its lower edge."""
    edge, mm = place
    edges = piece.outline.edges
    chain = _run(edges, piece.outline.index(edge.name), bodily)
    before = sum(one.length_mm for one in chain[: chain.index(edge)]) + mm
    share = before / sum(one.length_mm for one in chain)
    sewn = {
        join.one.edge
        for join in garment.of(piece.name)
        if not is_strip(garment.piece(join.other.piece))
    }
    sewn |= {join.other.edge for join in garment.sewn_to_itself(piece)}
    start = (edges.index(chain[-1]) + 1) % len(edges)
    free = [one for one in edges[start:] + edges[:start] if one.name not in sewn]
    at = edge.at(mm)[0]
    if not free:
        (x0, y0), (x1, y1) = chain[0].start, chain[-1].end
        return Turn(at, (at[0] - (y1 - y0), at[1] + (x1 - x0)), along_an_edge=True)
    rest = (1 - share) * sum(one.length_mm for one in free)
    for one in free:
        if rest <= one.length_mm + _NEAR_MM:
            return Turn(at, one.at(rest)[0], along_an_edge=True)
        rest -= one.length_mm
    return Turn(at, free[-1].end, along_an_edge=True)


def _run(edges: Sequence[Edge], place: int, named: set[str]) -> list[Edge]:
    """The edges in a row around one, clockwise, that all bear one of the names."""
    count = len(edges)
    first = last = place
    while last - first < count - 1 and edges[(first - 1) % count].name in named:
        first -= 1
    while last - first < count - 1 and edges[(last + 1) % count].name in named:
        last += 1
    return [edges[at % count] for at in range(first, last + 1)]


def _between(piece: Piece, sewn: Stretch, far: Stretch) -> Turn:
    """Halfway between two edges, along the first: where a side panel turns to the back."""
    one, two = piece.outline.edge(sewn.edge), piece.outline.edge(far.edge)
    (x0, y0), _ = one.at(one.length_mm / 2)
    (x1, y1), _ = two.at(two.length_mm / 2)
    at = ((x0 + x1) / 2, (y0 + y1) / 2)
    along = (one.end[0] - one.start[0], one.end[1] - one.start[1])
    return Turn(at, (at[0] + along[0], at[1] + along[1]), along_an_edge=False)
