"""Words on a true-scale pattern, and where there is room for them. Millimetres, y down."""

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from webapp.draft.labels import text_width
from webapp.draft.outline import Point

Look = Literal["name", "plain", "edge", "fold", "mark", "size", "again", "tag", "strip", "join"]

LINE: Final = 1.2  # height of a line in em, as in pattern.css
LEAD: Final = 1.7  # how much larger the first lines of a name are, as in pattern.css
_BROAD: Final = 1.35  # em of a letter as wide as a square, or of a picture
_BOLD: Final = 1.15  # how much wider the larger lines' face runs
_SLACK_EM: Final = 0.4


@dataclass(frozen=True, slots=True)
class Text:
    """Lines of text around a centre, turned clockwise by some degrees; the first `lead` larger."""

    lines: tuple[str, ...]
    em: float
    look: Look
    lead: int = 0
    centre: Point = (0.0, 0.0)
    angle: float = 0.0

    @property
    def size(self) -> tuple[float, float]:
        """Width and height before it is turned."""
        ems = [LEAD if place < self.lead else 1.0 for place in range(len(self.lines))]
        broad = [_BOLD * em if em > 1 else em for em in ems]
        width = max(em * wide(line) for em, line in zip(broad, self.lines, strict=True))
        return (width + _SLACK_EM) * self.em, LINE * sum(ems) * self.em

    @property
    def box(self) -> shapely.Polygon:
        """What it covers."""
        return rectangles(np.array([self.centre]), self.size, self.angle)[0]

    def at(self, x: float, y: float, angle: float = 0.0) -> "Text":
        """The same text there."""
        return replace(self, centre=(x, y), angle=angle)


@lru_cache(maxsize=4096)
def wide(text: str) -> float:
    """Its width in em, rather too wide than too narrow, in any script."""
    narrow = "".join(char for char in text if ord(char) < 0x2190)
    broad = sum(
        _BROAD
        for char in text
        if ord(char) >= 0x2190 and not unicodedata.combining(char) and char not in "\u200d\ufe0f"
    )
    return text_width(narrow) + broad


def wrapped(text: str, widest_em: float, most: int) -> tuple[str, ...]:
    """The text in at most so many lines, broken at spaces where it can be; the rest is cut off."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if wide(joined) <= widest_em:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for char in word:
            if lines[-1] and wide(lines[-1] + char) > widest_em:
                lines.append("")
            lines[-1] += char
    return tuple(lines) if len(lines) <= most else (*lines[: most - 1], lines[most - 1][:-1] + "…")


def rectangles(
    centres: NDArray[np.float64], size: tuple[float, float], angle: float | NDArray[np.float64]
) -> NDArray[np.object_]:
    """Boxes of that size around the centres, turned clockwise by some degrees."""
    if np.ndim(angle) == 0 and angle == 0:
        low, high = centres - np.array(size) / 2, centres + np.array(size) / 2
        return np.asarray(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    turn = np.radians(np.broadcast_to(np.asarray(angle, float), (len(centres),)))
    half = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * np.array(size) / 2
    x = half[:, 0] * np.cos(turn)[:, None] - half[:, 1] * np.sin(turn)[:, None]
    y = half[:, 0] * np.sin(turn)[:, None] + half[:, 1] * np.cos(turn)[:, None]
    return np.asarray(shapely.polygons(np.stack((x, y), axis=2) + centres[:, None, :]))


class Ink:
    """What is on the canvas already: nothing is written over it."""

    def __init__(
        self, lines: Iterable[shapely.Geometry], joins: Sequence[shapely.Geometry] = ()
    ) -> None:
        """`joins` are the lines along which pages meet."""
        points = [shapely.get_coordinates(part) for part in shapely.get_parts([*lines])]
        pairs = [np.stack((way[:-1], way[1:]), axis=1) for way in points if len(way) > 1]
        every = np.concatenate(pairs) if pairs else np.zeros((0, 2, 2))
        self._tree = shapely.STRtree(shapely.linestrings(every) if len(every) else [])
        self._joins = shapely.STRtree(list(joins))
        self._near_joins = shapely.union_all(shapely.buffer(list(joins), 4.0, quad_segs=1))
        self._boxes = np.zeros((64, 4))  # it doubles when it is full
        self._written = 0

    def write(self, *areas: shapely.Geometry) -> None:
        """Take room."""
        for area in areas:
            if self._written == len(self._boxes):
                self._boxes = np.vstack((self._boxes, np.zeros_like(self._boxes)))
            self._boxes[self._written] = area.bounds
            self._written += 1

    def between_joins(self, line: shapely.Geometry) -> shapely.Geometry:
        """What is left of a line away from the joins."""
        return shapely.difference(line, self._near_joins)

    def free(
        self,
        areas: NDArray[np.object_],
        *,
        room: float = 0.0,
        joins: bool = True,
        lines_only: bool = False,
    ) -> NDArray[np.bool_]:
        """Which areas nothing is in, nor nearer to than `room`; no join either if `joins`.

        With `lines_only`, words and signs that are there do not matter.
        """
        free = np.ones(len(areas), bool)
        for tree in (self._tree, self._joins) if joins else (self._tree,):
            if room:
                hit, _ = tree.query(areas, predicate="dwithin", distance=room)
            else:
                hit, _ = tree.query(areas, predicate="intersects")
            free[hit] = False
        if self._written and free.any() and not lines_only:
            mine = shapely.bounds(areas)[:, None, :]
            own = self._boxes[None, : self._written] + np.array([-room, -room, room, room])
            apart = (
                (mine[..., 0] >= own[..., 2]) | (mine[..., 2] <= own[..., 0])
                | (mine[..., 1] >= own[..., 3]) | (mine[..., 3] <= own[..., 1])
            )  # fmt: skip
            free &= apart.all(axis=1)
        return free

    def spot(
        self,
        area: shapely.Geometry,
        size: tuple[float, float],
        near: Point,
        *,
        room: float = 0.8,
        tries: int = 9,
        joins: bool = True,
    ) -> Point | None:
        """The place nearest to a point where a box of that size is free inside the area."""
        left, top, right, bottom = map(float, shapely.bounds(area))
        if not (size[0] <= right - left and size[1] <= bottom - top):  # also when it is empty
            return None
        across = np.linspace(left + size[0] / 2, right - size[0] / 2, tries)
        down = np.linspace(top + size[1] / 2, bottom - size[1] / 2, tries)
        x, y = (grid.ravel() for grid in np.meshgrid(across, down))
        order = np.lexsort((x, y, np.hypot(x - near[0], y - near[1]).round(3)))
        centres = np.column_stack((x[order], y[order]))
        boxes = rectangles(centres, size, 0.0)
        shapely.prepare(area)
        fits = shapely.covers(area, boxes)
        fits[fits] = self.free(boxes[fits], room=room, joins=joins)
        if not fits.any():
            return None
        found = centres[int(fits.argmax())]
        return float(found[0]), float(found[1])


def readable(degrees: float) -> float:
    """The angle of text along a line of that direction, so that it is not upside down."""
    turn = (degrees + 90.0) % 180.0 - 90.0
    return -90.0 if math.isclose(turn, 90.0) or turn > 89.5 else turn
