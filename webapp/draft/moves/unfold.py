"""Unfold: open a half out into the whole piece."""

from collections.abc import Iterable
from dataclasses import replace
from typing import ClassVar, Final, Literal

from webapp.draft.markings import Marking, Notch
from webapp.draft.moves.base import (
    EdgeName,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
)
from webapp.draft.moves.corners import straight_edge
from webapp.draft.moves.cutting import straightened
from webapp.draft.outline import Edge, Outline, Placing, Point
from webapp.draft.words import Sentence

_ON_LINE_MM: Final = 1e-6


class Unfold(ShapingMove):
    """The piece and its mirror image over a straight edge, as one."""

    title: ClassVar[str] = "Unfold"
    purpose: ClassVar[str] = "Mirror a half over its centre, to cut the whole piece flat."
    family = "cloth"

    kind: Literal["unfold"] = "unfold"
    edge: EdgeName = edge_field("Over the edge", "The straight edge it is mirrored over.", "centre")

    def apply(self, work: Workpiece) -> Shaped:
        """Mirror every other edge over this one.

        The two that meet it go on in their image and keep their names; of each of the others
        there are a right one, as drawn, and a left one. The edge itself goes, and its notches too.
        """
        if work.on_fold:
            raise work.refusal("the piece is cut on the fold, so the cloth opens it out by itself")
        line = straight_edge(work, self.edge)
        if line.taken_mm:
            raise work.refusal(f"the {self.edge} edge has pleats or gathers; unfold it before them")
        place = work.outline.index(self.edge)
        around = (*work.outline.edges[place + 1 :], *work.outline.edges[:place])
        if len(around) < 2:
            raise work.refusal(f"a piece of two edges cannot be mirrored over the {self.edge} edge")
        mirror = _mirror(line)
        first, *between, last = around  # from the line's end back to its start
        right = [replace(edge, name=f"right {edge.name}") for edge in between]
        left = [
            replace(edge.mirrored(mirror), name=f"left {edge.name}") for edge in reversed(between)
        ]
        edges = (
            _joined(first.mirrored(mirror), first),
            *right,
            _joined(last, last.mirrored(mirror)),
            *left,
        )
        kept = (m for m in work.markings if not isinstance(m, Notch) or m.edge != self.edge)
        marks = _both_sides(kept, mirror, {first.name, last.name})
        words = Sentence(
            f"Open the piece out: fold the paper along the {self.edge} edge, trace everything "
            "through to the other side and unfold it."
        )
        return Shaped(Outline(edges), {}, (words,), marks)


def _mirror(line: Edge) -> Placing:
    """The map that mirrors in a straight edge."""
    (x0, y0), (x1, y1) = line.start, line.end
    dx, dy = (x1 - x0) / line.length_mm, (y1 - y0) / line.length_mm

    def place(point: Point) -> Point:
        x, y = point[0] - x0, point[1] - y0
        off = 2 * (x * dy - y * dx)
        return (point[0] - off * dy, point[1] + off * dx)

    return place


def _joined(one: Edge, other: Edge) -> Edge:
    """An edge and its image as one edge; a straight line where both run on in one direction."""
    segments = straightened((*one.segments, *other.segments))
    return Edge(one.name, segments, one.taken_mm + other.taken_mm)


def _both_sides(
    markings: Iterable[Marking], mirror: Placing, joined: set[str]
) -> tuple[Marking, ...]:
    """Every marking and its image; what lies on the line of the fold stays one."""
    found = []
    for mark in markings:
        image = mark.placed(mirror)
        if max(map(_apart, mark.points, image.points)) <= _ON_LINE_MM:
            found.append(mark)
        else:
            found += [_sided(mark, "right", joined), _sided(image, "left", joined)]
    for edge in joined:
        found = _gathers_joined(found, edge)
    return tuple(found)


def _gathers_joined(markings: list[Marking], edge: str) -> list[Marking]:
    """Gathers that start on the line of the fold run on over it, from their one end to the other.

    Their start is then no end any more.
    """
    for middle, ends in (("from", "to"), ("to", "from")):
        start = f"{edge} gathers {middle}"
        right, left = (f"{side} {edge} gathers {ends}" for side in ("right", "left"))
        names = {mark.name for mark in markings}
        if {start, right, left} <= names:
            renamed = {left: f"{edge} gathers from", right: f"{edge} gathers to"}
            return [
                replace(mark, name=renamed.get(mark.name, mark.name))
                for mark in markings
                if mark.name != start
            ]
    return markings


def _apart(one: Point, other: Point) -> float:
    return abs(one[0] - other[0]) + abs(one[1] - other[1])


def _sided(mark: Marking, side: str, joined: set[str]) -> Marking:
    """The marking under a name of its own side.

    A notch on a right or a left edge keeps its name: seams match notches by their names.
    """
    if isinstance(mark, Notch) and mark.edge not in joined:
        return replace(mark, edge=f"{side} {mark.edge}")
    return replace(mark, name=f"{side} {mark.name}")
