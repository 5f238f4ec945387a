"""Strips that no seam holds: handles between their notches, a strap round the neck, ties.

Which is which is told by the trade's words in their names; one whose place is not known is left
out. Their lengths along the middle are true.
"""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_view_assembly import Assembly
from webapp.draft.garment_view_hung import top_edges
from webapp.draft.garment_view_layers import Layer
from webapp.draft.garment_view_parts import (
    is_strip,
    notches_called,
    strip_length_mm,
    strip_mm,
    words_of,
)
from webapp.draft.garment_view_sewn import Points
from webapp.draft.results import Piece

_TIES: Final = frozenset(("tie", "ties"))
_STRAPS: Final = frozenset(("strap", "halter", "loop"))
_AROUND: Final = 60
_HALVINGS: Final = 40
# A tie as it falls: a Bézier curve to be scaled to its length; by eye.
_FALL: Final = ((0.0, 0.0), (0.22, 0.0), (0.02, 0.5), (0.1, 0.9))
_TUCKED_MM: Final = 15.0  # how far an end reaches behind what it is sewn to


def loose_strips(assembly: Assembly) -> Iterator[Layer]:
    """The layers of strips that are held by no seam, behind what they are sewn to."""
    garment, root = assembly.garment, assembly.placed[0]
    drawn = {layer.name for layer in assembly.layers}
    for strip in garment.seen:
        if strip.name in drawn or not is_strip(strip) or not assembly.shows(strip.name):
            continue
        words = words_of(strip.name)
        notches = notches_called(root.sewn.piece, words - words_of(assembly.root.name))
        ends = [tuple(root.at(root.sewn.bent([mark.at]))[0]) for mark in notches]
        if assembly.by_halves:
            ends += [(-x, y) for x, y in ends]
        if len(ends) == 2:
            yield _loop(strip, ends[0], ends[1])
        elif words & _STRAPS and "neck" in words:
            yield from _neck_strap(assembly, strip)
        elif words & _TIES:
            yield from _ties(assembly, strip)


def _neck_strap(assembly: Assembly, strip: Piece) -> Iterator[Layer]:
    """Between the outer ends of the top, its outer edge in line with theirs."""
    tops = top_edges(assembly.garment, assembly.root)
    if not tops:
        return
    root = assembly.placed[0]
    x, y = root.at(root.sewn.edge(tops[0]))[-1]
    x -= strip_mm(strip) / 2
    other = -x
    if not assembly.by_halves:
        other = root.at(root.sewn.edge(tops[0]))[0][0] + strip_mm(strip) / 2
    if abs(x - other) > 1:
        yield _loop(strip, (x, y), (other, y))


def _loop(strip: Piece, one: tuple[float, float], other: tuple[float, float]) -> Layer:
    """Half an ellipse as long as the strip, standing on both ends."""
    (x0, y0), (x1, y1) = sorted((one, other))
    half, length = (x1 - x0) / 2, max(strip_length_mm(strip), (x1 - x0) * 1.05)
    low, high = 0.0, length
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _long(_arch(half, middle)) < length else (low, middle)
    path = _arch(half, low) + np.array(((x0 + x1) / 2, (y0 + y1) / 2))
    tucked = np.array((0.0, _TUCKED_MM))
    return _band(strip, np.vstack((path[:1] + tucked, path, path[-1:] + tucked)))


def _arch(half: float, high: float) -> Points:
    turn = np.linspace(math.pi, 0, _AROUND)
    return np.column_stack((half * np.cos(turn), -high * np.sin(turn)))


def _ties(assembly: Assembly, strip: Piece) -> Iterator[Layer]:
    """One at each side, from where the body first is as wide as it gets, falling."""
    root = assembly.placed[0]
    ring = shapely.get_coordinates(root.area)
    widest = ring[:, 0].max()
    at = ring[ring[:, 0] > widest - 0.5]
    y = at[:, 1].min() + strip_mm(strip) / 2
    path = _bezier(np.asarray(_FALL))
    path = path * (strip_length_mm(strip) / _long(path)) + np.array((widest, y))
    path = np.vstack((path[:1] - np.array((_TUCKED_MM, 0.0)), path))
    middle = np.array((0.0 if assembly.by_halves else (ring[:, 0].min() + widest) / 2, 0.0))
    for way in (1.0, -1.0) if strip.cut_count > 1 else (1.0,):
        yield _band(strip, (path - middle) * np.array((way, 1.0)) + middle)


def _bezier(controls: Points) -> Points:
    t = np.linspace(0, 1, _AROUND)[:, None]
    back = 1 - t
    weights = np.hstack((back**3, 3 * back**2 * t, 3 * back * t**2, t**3))
    return np.asarray(weights @ controls)


def _long(path: Points) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def _band(strip: Piece, path: Points) -> Layer:
    line = shapely.LineString(path)
    area = shapely.buffer(line, strip_mm(strip) / 2, cap_style="flat", join_style="round")
    return Layer(strip.name, area, (), -2)
