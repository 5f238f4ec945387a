"""A loop of cloth joined end to end, laid flat and a little open: a cowl, or a hat with its crown.

Laid flat it is half as wide as it is round; the seam that closes it lies at the centre back.
"""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_view_layers import Layer
from webapp.draft.garment_view_parts import Garment, is_half, notches_called, words_of
from webapp.draft.garment_view_sewn import Points
from webapp.draft.outline import Edge, bounds
from webapp.draft.results import Piece

_OPEN: Final = 0.075  # half the height of the opening as it is drawn, of its width; by eye
_DOME: Final = 2.3  # exponent of the crown's outline: 2 is an ellipse; by eye
_AROUND: Final = 48  # points of a curve
_SAME_MM: Final = 3.0  # a flap, and the notches it is sewn between


def tube(garment: Garment) -> list[Layer]:
    """The layers of a garment that is a loop; empty for any other."""
    for piece in garment.seen:
        ends = None if is_half(piece) or piece.cut_count > 1 else _closed(garment, piece)
        if ends is not None:
            return list(_laid_flat(garment, piece, *ends))
    return []


def _closed(garment: Garment, piece: Piece) -> tuple[float, float] | None:
    """How long the loop is round and how high, mm; None for a piece that is no loop."""
    left, top, right, bottom = bounds(piece.seam_points)
    round_mm = height = None
    folded = False
    for join in garment.sewn_to_itself(piece):
        one, other = (piece.outline.edge(name) for name in (join.one.edge, join.other.edge))
        if one is other or _meet(one, other):
            continue
        if _is_upright(one):
            round_mm = right - left
        else:
            folded = True
    height = (bottom - top) / (2 if folded else 1)
    return None if round_mm is None else (round_mm, height)


def _meet(one: Edge, other: Edge) -> bool:
    return math.dist(one.end, other.start) < 1 or math.dist(other.end, one.start) < 1


def _is_upright(edge: Edge) -> bool:
    return abs(edge.end[1] - edge.start[1]) > abs(edge.end[0] - edge.start[0])


def _laid_flat(garment: Garment, piece: Piece, round_mm: float, height: float) -> Iterator[Layer]:
    half = round_mm / 4
    dip = 2 * _OPEN * half
    crown = _crown(garment, piece)
    lower, upper = _arc(half, dip, height), _arc(half, dip, 0.0)
    wall = shapely.Polygon(np.concatenate((upper, lower[::-1])))
    yield Layer(piece.name, wall, (), 1)
    if crown is None:
        far = upper * np.array((1.0, -1.0))
        yield Layer(
            piece.name, shapely.Polygon(np.concatenate((upper, far[::-1]))), (), 0, inside=True
        )
    else:
        _, top, _, bottom = bounds(crown.seam_points)
        dome = _dome(half, (bottom - top) / 2)
        yield Layer(crown.name, shapely.Polygon(np.concatenate((dome, upper[::-1]))), (), 0)
    yield from _flaps(garment, piece, round_mm, height)


def _crown(garment: Garment, piece: Piece) -> Piece | None:
    """What closes the loop at its top."""
    upper = min(piece.outline, key=lambda edge: edge.start[1] + edge.end[1])
    joined = (
        join.other.piece
        for join in garment.of(piece.name)
        if join.other.piece != piece.name and join.one.edge == upper.name
    )
    name = next(joined, None)
    return garment.piece(name) if name else None


def _arc(half: float, dip: float, y: float) -> Points:
    turn = np.linspace(-1, 1, _AROUND) * math.pi / 2
    return np.column_stack((half * np.sin(turn), y + dip * np.cos(turn)))


def _dome(half: float, high: float) -> Points:
    turn = np.linspace(-1, 1, _AROUND) * math.pi / 2
    wide = np.sign(turn) * np.abs(np.sin(turn)) ** (2 / _DOME) * half
    return np.column_stack((wide, -high * np.cos(turn) ** (2 / _DOME)))


def _flaps(garment: Garment, piece: Piece, round_mm: float, height: float) -> Iterator[Layer]:
    """What hangs between notches of the lower edge that bear its name; the back half is hidden."""
    left, _, _, _ = bounds(piece.seam_points)
    lower = max(piece.outline, key=lambda edge: edge.start[1] + edge.end[1])
    half = round_mm / 4
    seen = shapely.box(-half, 0, half, 1e5)
    for flap in garment.seen:
        if flap is piece or garment.of(flap.name):
            continue
        x0, y0, x1, _ = bounds(flap.seam_points)
        at = sorted(
            mark.at[0] - left - round_mm / 2
            for mark in notches_called(piece, words_of(flap.name) - words_of(piece.name))
            if mark.edge == lower.name
        )
        for start, end in pairwise(at):
            if abs(end - start - (x1 - x0)) > _SAME_MM:
                continue
            shift = np.array((start - x0, height - y0))
            area = shapely.intersection(shapely.Polygon(np.asarray(flap.seam_points) + shift), seen)
            if not shapely.is_empty(area):
                yield Layer(flap.name, area, (), 0)
