"""Where the pieces of a garment meet a stripe: a point of each that falls on the same place of it.

Sewn together, two pieces show one stripe across the seam if the corners where the seam ends lie at
the same height of the repeat: the lower ones, so that the stripes meet from the hem up to a dart.
From seam to seam every piece follows from the first; seams that run along the grain come first,
since there a stripe that does not meet is seen. Across the cloth every piece has its middle on the
repeat. What lies across the grain or on the bias meets no stripe. Common practice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from webapp.draft.construction import EdgeUse
from webapp.draft.names import name_key
from webapp.draft.outline import Edge, Point, bounds
from webapp.draft.recipe import Seam
from webapp.draft.results import Piece


def with_match_points(pieces: Iterable[Piece], seams: Sequence[Seam]) -> tuple[Piece, ...]:
    """The pieces of a garment, each with the point of its drawing that falls on the repeat."""
    named = {name_key(piece.name): piece for piece in pieces}
    heights = _heights(named, seams)
    return tuple(
        piece.told(match_mm=(_middle(piece), heights[key])) if piece.grain == "along" else piece
        for key, piece in named.items()
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
    corner where it ends is drawn on the other."""
    for seam in seams:
        ends = list(_ends(pieces, seam))
        if not ends:
            continue
        (one, here), (other, there) = max(ends, key=lambda end: end[0][1][1])
        if one == other or not _lie_alike(pieces[one], pieces[other]):
            continue
        across, along = np.ptp([end[0][1] for end in ends], axis=0)
        yield bool(along > across), one, other, there[1] - here[1]


_Corner = tuple[str, Point]  # of a piece


def _ends(pieces: Mapping[str, Piece], seam: Seam) -> Iterator[tuple[_Corner, _Corner]]:
    """The corners that meet at either end of the seam, on its first side and on its other."""
    if not seam.one or not seam.other:
        return
    one = _corner(pieces, seam.one[0], end=False), _corner(pieces, seam.one[-1], end=True)
    other = _corner(pieces, seam.other[0], end=False), _corner(pieces, seam.other[-1], end=True)
    for here, there in zip(one, other[::-1] if seam.turned else other, strict=True):
        if here and there:
            yield here, there


def _corner(pieces: Mapping[str, Piece], use: EdgeUse, *, end: bool) -> _Corner | None:
    """Where the walk along an edge begins or ends."""
    found = _edge(pieces, use)
    if found is None:
        return None
    piece, edge = found
    return piece, edge.end if end != use.backwards else edge.start


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
