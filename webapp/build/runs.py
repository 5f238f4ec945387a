"""Runs: edges of one piece that meet are worked in one go, with a corner to pivot between them."""

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Final, NamedTuple

from webapp.draft.evaluate import Piece
from webapp.draft.outline import ON_FOLD_MM, Edge, Point

PIVOT_DEGREES: Final = 20.0  # a smaller turn is sewn through; common practice, no source


class Runs(NamedTuple):
    """How often something is taken up, the corners inside it, and the joins at the fold."""

    number: int
    corners: int
    folds: int


def runs_along(piece: Piece, times: Mapping[str, int]) -> Runs:
    """The runs that edges of a piece make; `times` says how often each is used, in lower case.

    Two uses of an edge that ends on the fold are one run, as the cloth lies open.
    """
    edges = piece.outline.edges
    uses = {edge.name: times.get(edge.name.lower(), 0) for edge in edges}
    joins = corners = folds = 0
    for before, after in pairwise((edges[-1], *edges)):
        both = min(uses[before.name], uses[after.name])
        joins += both
        corners += both if _turn_degrees(before, after) > PIVOT_DEGREES else 0
    if piece.on_fold:
        folds = sum(uses[edge.name] // 2 * _ends_on_fold(edge) for edge in edges)
    most = max(uses.values())
    least = math.ceil(most / 2) if folds else most  # of edges that go all round there is one end
    return Runs(max(sum(uses.values()) - joins - folds, least), corners, folds)


def _ends_on_fold(edge: Edge) -> int:
    return sum(abs(x) <= ON_FOLD_MM for x, _ in (edge.start, edge.end)) * (not edge.on_fold)


def _turn_degrees(before: Edge, after: Edge) -> float:
    one, other = _way(*before.points()[-2:]), _way(*after.points()[:2])
    return abs(math.degrees(math.remainder(other - one, math.tau)))


def _way(start: Point, end: Point) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])
