"""Where the pieces of a garment meet a stripe: a point of each that falls on the same place of it.

Sewn together, two pieces show one stripe across the seam if the corners where the seam begins lie
at the same height of the repeat. From seam to seam every piece follows from the first; seams that
run along the grain come first, since there a stripe that does not meet is seen. Across the cloth
every piece has its middle on the repeat. Common practice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from webapp.draft.construction import EdgeUse
from webapp.draft.names import name_key
from webapp.draft.outline import Edge, bounds
from webapp.draft.recipe import Seam
from webapp.draft.results import Piece


def with_match_points(pieces: Iterable[Piece], seams: Sequence[Seam]) -> tuple[Piece, ...]:
    """The pieces of a garment, each with the point of its drawing that falls on the repeat."""
    named = {name_key(piece.name): piece for piece in pieces}
    heights = _heights(named, seams)
    return tuple(
        replace(piece, match_mm=(_middle(piece), heights[key])) for key, piece in named.items()
    )


def _middle(piece: Piece) -> float:
    if piece.on_fold:
        return 0.0
    left, _, right, _ = bounds(piece.seam_points)
    return (left + right) / 2


def _heights(pieces: Mapping[str, Piece], seams: Sequence[Seam]) -> dict[str, float]:
    """The height of every piece's match point; pieces that no seam reaches have theirs on top."""
    meetings = sorted(_meetings(pieces, seams), key=lambda met: -met[0])
    heights: dict[str, float] = {}
    for key, piece in pieces.items():
        if key in heights:
            continue
        heights[key] = bounds(piece.seam_points)[1]
        while following := next(
            (met for met in meetings if (met[1] in heights) != (met[2] in heights)), None
        ):
            _, one, other, apart = following
            if one in heights:
                heights[other] = heights[one] + apart
            else:
                heights[one] = heights[other] - apart
    return heights


def _meetings(
    pieces: Mapping[str, Piece], seams: Sequence[Seam]
) -> Iterator[tuple[bool, str, str, float]]:
    """Of each seam: whether it runs along the grain, its two pieces, and how much lower the
    corner where it begins is drawn on the other."""
    for seam in seams:
        if not seam.one or not seam.other:
            continue
        there = seam.other[-1] if seam.turned else seam.other[0]
        first, second = _edge(pieces, seam.one[0]), _edge(pieces, there)
        if first is None or second is None:
            continue
        (one, here), (other, edge) = first, second
        if one == other or not _lie_alike(pieces[one], pieces[other]):
            continue
        start = here.end if seam.one[0].backwards else here.start
        met = edge.end if there.backwards != seam.turned else edge.start
        across, along = abs(here.end[0] - here.start[0]), abs(here.end[1] - here.start[1])
        yield along > across, one, other, met[1] - start[1]


def _edge(pieces: Mapping[str, Piece], use: EdgeUse) -> tuple[str, Edge] | None:
    piece, _, edge = use.edge.partition(".")
    found = pieces.get(name_key(piece))
    if found is None:
        return None
    edges = {name_key(each.name): each for each in found.outline}
    return (name_key(piece), edges[name_key(edge)]) if name_key(edge) in edges else None


def _lie_alike(one: Piece, other: Piece) -> bool:
    """A stripe meets only between pieces of one cloth that lie along its grain."""
    return one.cloth == other.cloth and one.grain == other.grain == "along"
