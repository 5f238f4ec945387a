"""The words and signs on a piece of a true-scale pattern, none on another and none across a join.

What matters most is placed first: the piece's name, the fold, the grain, the sizes on their lines,
the allowances along the edges, the names of marks. What finds no room is told on the first sheet.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import shapely

from webapp.draft.allowances import NONE
from webapp.draft.mark_lines import grouped
from webapp.draft.markings import MarkedLine
from webapp.draft.outline import Edge, Point
from webapp.draft.recipe import FINISHES
from webapp.draft.results import Piece
from webapp.handouts.pattern_ink import LINE, Ink, Text, readable, rectangles, wide, wrapped
from webapp.handouts.pattern_pieces import Nest, Placed
from webapp.units import System, both

NAME_EMS: Final = (5.2, 4.4, 3.6, 3.0, 2.5)  # mm; the last is 7 pt
_SMALL_EMS: Final = (3.4, 2.9, 2.5)
_EDGE_EMS: Final = (3.4, 2.9, 2.5, 2.1)
_NAME_EM: Final = 26.0  # the widest line of a name
_SHARES: Final = np.array((0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88))
_AROUND: Final = 1e-3  # shares of an edge on both sides of a point that tell its direction
_OFF: Final = (0.9, 2.5, 5.0, 9.0)  # mm between a line and words beside it
_FOLD_FROM, _FOLD_TO, _FOLD_DEEP = 24.0, 90.0, 11.0  # a bracket's length and depth
_GRAIN_TO, _GRAIN_FROM = 320.0, 12.0  # a grain arrow's length
_HEAD: Final = 4.0
TAG_GAP: Final = 4.0  # mm between a small piece and its name beside it
_SIZE_EMS: Final = (3.2, 2.6, 2.1)
_ALIKE: Final = 0.8  # mm; where sizes run nearer than this, no name could tell them apart
_SIZE_EVERY: Final = 260.0  # mm along a line from one name of its size to the next


@dataclass
class Lettered:
    """What was placed: texts, thin lines and filled arrow heads, on the canvas."""

    texts: list[Text] = field(default_factory=list)
    guides: list[shapely.Geometry] = field(default_factory=list)
    heads: list[shapely.Geometry] = field(default_factory=list)


def name_block(nest: Nest, sizes: str, cloth: str) -> Text:
    """A piece's name, how it is cut, and in which size, one below the other."""
    piece = nest.piece
    name = wrapped(piece.name, _NAME_EM, 4)
    told = [nest.cut_words, sizes, *([f"from {cloth}"] if cloth else [])]
    rest = [line for one in (*told, nest.garment) for line in wrapped(one, 1.3 * _NAME_EM, 3)]
    return Text((*name, *rest), NAME_EMS[0], "name", lead=len(name))


def name_line(nest: Nest, sizes: str) -> Text:
    """The same in one line, for a narrow piece."""
    line = f"{nest.piece.name} · {nest.cut_words} · {sizes}"
    return Text(wrapped(line, 90.0, 1), _SMALL_EMS[0], "plain")


def tag_of(nest: Nest, sizes: str, cloth: str) -> Text | None:
    """What stands beside a piece that is too small for its name; None for one that holds it."""
    line, block = name_line(nest, sizes), name_block(nest, sizes, cloth)
    least = [resized(line, _SMALL_EMS[-1]), resized(block, NAME_EMS[-1])]
    ink = Ink(nest.drawn.values())
    centre = nest.inside.representative_point()
    for text in least:
        for size in (text.size, text.size[::-1]):
            if ink.spot(nest.inside, size, (centre.x, centre.y), tries=15):
                return None
    return resized(block, NAME_EMS[-1])


def resized(text: Text, em: float) -> Text:
    """The same text in another size."""
    return Text(text.lines, em, text.look, text.lead, text.centre, text.angle)


class Letterer:
    """Writes on one piece where it stands."""

    def __init__(self, placed: Placed, ink: Ink, first: System) -> None:
        self.placed, self.ink, self.first = placed, ink, first
        self.nest = placed.nest
        self.out = Lettered()
        closed = [
            shapely.Polygon(mark.points)
            for mark in self.nest.piece.markings
            if isinstance(mark, MarkedLine) and mark.kind in ("dart", "pocket")
        ]
        holds = placed.on_canvas(shapely.union_all(closed))
        self.open = shapely.difference(placed.inside, holds)

    def name(self, sizes: str, cloth: str, tag: Text | None) -> None:
        """The piece's name, in the largest letters there is room for, or beside it."""
        if tag:
            _, _, right, _ = self.placed.covered.bounds
            top = self.placed.covered.bounds[1]
            width, height = tag.size
            self._write(tag.at(right + TAG_GAP + width / 2, top + height / 2))
            return
        block, line = name_block(self.nest, sizes, cloth), name_line(self.nest, sizes)
        middle = shapely.centroid(self.open)
        for text, ems in ((block, NAME_EMS), (line, _SMALL_EMS)):
            for em in ems:
                one = resized(text, em)
                for turn in (0.0, -90.0):
                    size = one.size if turn == 0 else one.size[::-1]
                    found = self.ink.spot(self.open, size, (middle.x, middle.y), room=2.0, tries=15)
                    if found:
                        self._write(one.at(*found, turn))
                        return

    def fold(self) -> None:
        """A bracket that points at the fold, with words, once on each page that the fold is on."""
        if not self.nest.piece.on_fold:
            return
        xs = [p for line in self.nest.lines for p in line.cut.exterior.coords if abs(p[0]) < 1e-6]
        ys = [y for _, y in xs]
        fold = shapely.LineString([self.placed.at((0, min(ys))), self.placed.at((0, max(ys)))])
        for part in shapely.get_parts(self.ink.between_joins(fold)):
            length = float(part.length)
            if length < _FOLD_FROM:
                continue
            start, end = (np.array(point) for point in part.coords)
            way, middle = (end - start) / length, (start + end) / 2
            half = min(0.36 * length, _FOLD_TO / 2)
            inwards = np.array(self.placed.way((1.0, 0.0)))
            deep = min(_FOLD_DEEP, 0.3 * self.nest.piece.cut_size_mm[0])
            tips = [middle - half * way, middle + half * way]
            corners = [tip + deep * inwards for tip in tips]
            bracket = shapely.LineString([tips[0], corners[0], corners[1], tips[1]])
            angle = readable(math.degrees(math.atan2(way[1], way[0])))
            words = "turn over along this line" if self.nest.turned_over else "place on the fold"
            text = Text((words,), _SMALL_EMS[0], "fold")
            x, y = middle + (deep - LINE * text.em * 0.6) * inwards
            if not self.ink.free(np.array([bracket], dtype=object))[0] and not self._touches(
                bracket
            ):
                continue
            self.out.guides.append(bracket)
            self.out.heads += [_head(c, t) for c, t in zip(corners, tips, strict=True)]
            if 2 * half > text.size[0] + 2:
                self._write(text.at(float(x), float(y), angle))
            self.ink.write(shapely.buffer(bracket, 1.0))

    def _touches(self, bracket: shapely.Geometry) -> bool:
        """The bracket's tips lie on the fold line, which is no reason to leave it out."""
        inner = shapely.LineString(shapely.get_coordinates(bracket)[1:3])
        return bool(self.ink.free(np.array([inner], dtype=object), room=0.5)[0])

    def grain(self) -> None:
        """The double arrow along the grain, as long as there is room for, even across joins."""
        degrees = {"along": 90.0, "across": 0.0, "bias": -45.0}[self.nest.piece.grain]
        way = np.array(
            self.placed.way((math.cos(math.radians(degrees)), math.sin(math.radians(degrees))))
        )
        word = Text(("grain",), _SMALL_EMS[0], "plain")
        middle = shapely.centroid(self.open)
        length = min(_GRAIN_TO, 0.6 * max(self.nest.piece.cut_size_mm))
        thick = 2 * LINE * word.em + 2
        while length >= _GRAIN_FROM:
            size = np.abs(way) * length + np.abs(way[::-1]) * (thick if length > 40 else 3.0)
            # A piece that is hardly more than its allowances has the arrow in those.
            for area in (self.open, self.placed.covered):
                found = self.ink.spot(
                    area,
                    (float(size[0]), float(size[1])),
                    (middle.x, middle.y),
                    tries=13,
                    joins=False,
                )
                if found:
                    self._arrow(np.array(found), way, length, word)
                    return
            length *= 0.8

    def _arrow(self, centre: np.ndarray, way: np.ndarray, length: float, word: Text) -> None:
        ends = centre - way * length / 2, centre + way * length / 2
        self.out.guides.append(shapely.LineString(ends))
        self.out.heads += [_head(ends[1], ends[0]), _head(ends[0], ends[1])]
        angle = readable(math.degrees(math.atan2(way[1], way[0])))
        if length > 40:
            up = np.array((math.sin(math.radians(angle)), -math.cos(math.radians(angle))))
            for along in (0.0, 0.25, -0.25, 0.15, -0.15):
                x, y = centre + along * length * way + up * (LINE * word.em / 2 + 0.4)
                text = word.at(float(x), float(y), angle)
                if self.ink.free(np.array([text.box], dtype=object))[0]:
                    self._write(text)
                    break
        self.ink.write(shapely.buffer(shapely.LineString(ends), 1.4, cap_style="flat"))

    def sizes(self) -> None:
        """In a pattern of several sizes each line's own name along it."""
        lines = [self.placed.on_canvas(line.cut.exterior) for line in self.nest.lines]
        for place, own in enumerate(self.nest.lines if self.nest.nested else ()):
            name = ", ".join(own.sizes) if own.place else "all sizes"
            name = name if wide(name) < 14 else f"{name[:12]}…"
            others = shapely.MultiLineString([*lines[:place], *lines[place + 1 :]])
            self._along_size(lines[place], others, Text((name,), _SIZE_EMS[0], "size"))

    def _along_size(self, line: shapely.Geometry, others: shapely.Geometry, text: Text) -> None:
        """The name beside its own line, again and again, where it runs apart from the others."""
        length, last, placed = float(line.length), -_SIZE_EVERY, 0
        steps = np.arange(6.0, length, 14.0)
        points = shapely.line_interpolate_point(line, steps)
        shapely.prepare(others)
        steps = steps[~shapely.dwithin(others, points, _ALIKE)]
        for em in _SIZE_EMS:
            one = resized(text, em)
            for side in (1, -1):
                if not len(steps) or placed:
                    return
                rects, centres, angles = self._beside(line, steps / length, one, _OFF[0] / 2, side)
                for i in np.flatnonzero(self.ink.free(rects)):
                    if steps[i] - last >= _SIZE_EVERY and self.ink.free(rects[i : i + 1])[0]:
                        self._write(one.at(*centres[i], angles[i]))
                        last, placed = float(steps[i]), placed + 1

    def _beside(
        self, line: shapely.Geometry, shares: np.ndarray, text: Text, off: float, side: int = 1
    ) -> tuple[np.ndarray, list[Point], list[float]]:
        """Boxes for a text along a line, `off` mm from it on its right as it runs, or its left."""
        around = np.clip(shares[:, None] + np.array((-_AROUND, 0.0, _AROUND)), 0.0, 1.0)
        points = shapely.get_coordinates(
            shapely.line_interpolate_point(line, around.ravel(), normalized=True)
        ).reshape(-1, 3, 2)
        ways = points[:, 2] - points[:, 0]
        ways /= np.maximum(np.hypot(ways[:, 0], ways[:, 1]), 1e-9)[:, None]
        right = np.column_stack((-ways[:, 1], ways[:, 0]))
        centres = points[:, 1] + side * (off + text.size[1] / 2) * right
        degrees = [readable(math.degrees(math.atan2(y, x))) for x, y in ways]
        boxes = rectangles(centres, text.size, np.array(degrees))
        return boxes, [(float(x), float(y)) for x, y in centres], degrees

    def allowances(self) -> None:
        """Along every edge its name, and in both units what is added outside the seam line."""
        for edge in self.nest.piece.outline:
            if not (edge.on_fold and self.nest.piece.on_fold):
                self._edge(edge)

    def _edge(self, edge: Edge) -> None:
        piece = self.nest.piece
        added = piece.allowances.get(edge.name, NONE).total_mm
        line = self.placed.on_canvas(shapely.LineString(self.nest.lines[0].moved(edge.points())))
        words = edge_words(self.nest, edge, self.first)
        shapely.prepare(self.placed.covered)
        for em in _EDGE_EMS:
            text = Text((words,), em, "edge")
            if text.size[0] > 0.98 * line.length and line.length > 25:
                continue
            # An outline runs clockwise: the allowance lies on its left, the piece on its right.
            in_band = (added - text.size[1]) / 2 >= 0.5 and len(self.nest.lines) == 1
            offs = [-(added + text.size[1]) / 2] if in_band else []
            for off in (*offs, *_OFF):
                rects, centres, angles = self._beside(line, _SHARES, text, off)
                fits = shapely.covers(self.placed.covered, rects)
                fits[fits] = self.ink.free(rects[fits], room=0.25)
                if fits.any():
                    first = int(fits.argmax())
                    self._write(text.at(*centres[first], angles[first]))
                    return

    def marks(self) -> None:
        """The names of pockets, darts, pleats and holes, each once, inside or beside them."""
        for name, marks in grouped(self.nest.piece.markings).items():
            areas = [shapely.MultiPoint(mark.points) for mark in marks]
            around = self.placed.on_canvas(shapely.union_all(areas))
            text = Text(wrapped(name, 30.0, 2), _SMALL_EMS[1], "mark")
            middle = shapely.centroid(around)
            room = shapely.buffer(shapely.envelope(around), 8 + max(text.size))
            near = shapely.intersection(self.placed.inside, room)
            found = self.ink.spot(near, text.size, (middle.x, middle.y), room=0.8, tries=15)
            if found:
                self._write(text.at(*found))

    def again(self, cells: Sequence[shapely.Polygon], sizes: str) -> None:
        """The name once more on every page that has a part of the piece and not the name."""
        own = [text.centre for text in self.out.texts if text.look in ("name", "plain")]
        words = f"{self.nest.piece.name} · {sizes}"
        for cell in cells:
            if any(shapely.contains_xy(cell, *centre) for centre in own[:1]):
                continue
            part = shapely.intersection(self.placed.covered, shapely.buffer(cell, -1.5))
            if shapely.is_empty(part):
                continue
            middle = shapely.centroid(part)
            self._again(part, (middle.x, middle.y), words)

    def _again(self, part: shapely.Geometry, near: Point, words: str) -> None:
        for line in (words, self.nest.piece.name):
            for em in (3.4, 2.6, 2.1):
                text = Text(wrapped(line, 30.0, 2), em, "again")
                for turn in (0.0, -90.0):
                    size = text.size if turn == 0 else text.size[::-1]
                    found = self.ink.spot(part, size, near, room=0.8)
                    if found:
                        self._write(text.at(*found, turn))
                        return

    def _write(self, text: Text) -> None:
        self.out.texts.append(text)
        self.ink.write(text.box)


def edge_words(nest: Nest, edge: Edge, first: System) -> str:
    """An edge and what is added outside it: hem 4 cm (1 5/8 in) and 1 cm (3/8 in) turned in."""
    added = added_words(nest.piece, edge, first)
    return f"{edge.name}{' ' if added[0].isdigit() else ': '}{added}"


def added_words(piece: Piece, edge: Edge, first: System) -> str:
    """What is added outside an edge, in both units, or that nothing is."""
    added = piece.allowances.get(edge.name, NONE)
    if added.total_mm <= 0:
        finish = FINISHES[piece.finishes[edge.name].kind]
        return finish if "nothing added" in finish else f"{finish}, nothing added"
    words = both(added.width_mm, first, allowance=True)
    if added.turn_under_mm > 0:
        words += f" and {both(added.turn_under_mm, first, allowance=True)} turned in"
    return words


def _head(start: np.ndarray, end: np.ndarray) -> shapely.Polygon:
    """A filled arrow head at `end` of the line from `start`."""
    length = math.dist(start, end)
    size = min(_HEAD, 0.4 * length)
    way = (np.asarray(end) - np.asarray(start)) / length
    side = np.array((-way[1], way[0]))
    back = end - size * way
    return shapely.Polygon([end, back + 0.32 * size * side, back - 0.32 * size * side])


def lettered(
    placed: Placed,
    ink: Ink,
    first: System,
    sizes: str,
    cloth: str,
    tag: Text | None,
    cells: Sequence[shapely.Polygon],
) -> Lettered:
    """All words and signs of a piece that stands on these pages."""
    writer = Letterer(placed, ink, first)
    writer.fold()
    writer.name(sizes, cloth, tag)
    writer.sizes()
    writer.grain()
    writer.allowances()
    writer.marks()
    writer.again(cells, sizes)
    return writer.out
