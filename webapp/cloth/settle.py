"""Sliding shapes together: each towards the start of the cloth, then towards one selvedge."""

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.cloth.forms import Points

_SHORTEST_SLIDE_MM: Final = 0.01  # less than this is not worth another round
_ROUNDS: Final = 4
_GRAZE_MM: Final = 1e-6  # shapes may slide along each other this near


def settle(shapes: list[Points], push_mm: float) -> list[Points]:
    """The shapes slid along y and x towards 0 as far as they go, none through another.

    Shapes that overlap by less than `push_mm` are pushed apart; any further is not mended.
    """
    around = _Around(shapes, push_mm)
    for _ in range(_ROUNDS):
        if around.slide(1) + around.slide(0) < _SHORTEST_SLIDE_MM:
            break
    return around.shapes()


class _Around:
    """All corners of all shapes in one array, so that a slide is one sweep of array arithmetic."""

    def __init__(self, shapes: list[Points], push_mm: float) -> None:
        counts = [len(shape) for shape in shapes]
        starts = np.cumsum([0, *counts])
        self.push = push_mm
        self.corners = np.concatenate(shapes)
        self.parts = [slice(*ends) for ends in pairwise(starts)]
        self.following = np.concatenate(
            [
                start + np.roll(np.arange(count), -1)
                for start, count in zip(starts[:-1], counts, strict=True)
            ]
        )

    def shapes(self) -> list[Points]:
        return [self.corners[part] for part in self.parts]

    def slide(self, axis: int) -> float:
        """Slide every shape towards 0 along the axis, the nearest first; the sum of the slides."""
        foremost = [shape[:, axis].min() for shape in self.shapes()]
        total = 0.0
        for i in np.argsort(foremost, kind="stable"):
            room = self._room(self.parts[i], axis)
            self.corners[self.parts[i], axis] -= room
            total += abs(room)
        return total

    def _room(self, mine: slice, axis: int) -> float:
        """How far the shape can go before it meets another shape, or the end."""
        ours = self.corners[mine][:, [1 - axis, axis]]
        start = self.corners[:, [1 - axis, axis]]
        end = start[self.following]
        low, high = ours[:, 0].min(), ours[:, 0].max()
        near = (
            (np.maximum(start[:, 0], end[:, 0]) > low)
            & (np.minimum(start[:, 0], end[:, 0]) < high)
            & (np.minimum(start[:, 1], end[:, 1]) < ours[:, 1].max())
        )
        near[mine] = False
        start, end = start[near], end[near]
        # A hair narrower, so that a side can slide along a side and a corner meets a corner.
        middle = (low + high) / 2
        thin = ours.copy()
        thin[:, 0] -= (ours[:, 0] - middle) * (2 * _GRAZE_MM / max(high - low, 1.0))
        upside_down = (1, -1)
        return min(
            float(ours[:, 1].min()),
            self._drop(thin, start, end),
            self._drop(
                start * upside_down, thin * upside_down, np.roll(thin, -1, axis=0) * upside_down
            ),
        )

    def _drop(self, corners: Points, start: Points, end: Points) -> float:
        """The least drop from a corner to an edge beneath it, infinite if there is none.

        Negative, down to the push, if a corner is just beneath an edge.
        """
        x, y = corners[:, :1], corners[:, 1:]
        (x0, y0), (x1, y1) = start.T, end.T
        over: NDArray[np.bool_] = (np.minimum(x0, x1) <= x) & (x <= np.maximum(x0, x1))
        with np.errstate(divide="ignore", invalid="ignore"):
            drop = y - (y0 + (x - x0) * ((y1 - y0) / (x1 - x0)))
        return float(drop.min(where=over & (drop > -self.push), initial=np.inf))
