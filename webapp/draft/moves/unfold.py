"""Unfold: open a half out into the whole piece."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from typing import ClassVar, Final, Literal

from webapp.draft.markings import Marking, Notch
from webapp.draft.moves.base import (
    EdgeName,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
)
from webapp.draft.moves.corners import outward, straight_edge
from webapp.draft.moves.cutting import straightened
from webapp.draft.names import edge_called
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
        there are two, called by the side they lie on. The edge itself goes, and its notches too.
        """
        if work.on_fold:
            raise work.refusal("the piece is cut on the fold, so the cloth opens it out by itself")
        line = straight_edge(work, self.edge)
        if line.taken_mm:
            raise work.refusal(
                f"the {edge_called(self.edge)} has pleats or gathers; unfold it before them"
            )
        place = work.outline.index(self.edge)
        around = (*work.outline.edges[place + 1 :], *work.outline.edges[:place])
        if len(around) < 2:
            raise work.refusal(
                f"a piece of two edges cannot be mirrored over the {edge_called(self.edge)}"
            )
        mirror = _mirror(line)
        first, *between, last = around  # from the line's end back to its start
        kept = [m for m in work.markings if not isinstance(m, Notch) or m.edge != self.edge]
        sides = _Sides.of(line, [edge.name for edge in between], {first.name, last.name}, kept)
        drawn = [replace(edge, name=sides.edge(edge.name, sides.drawn)) for edge in between]
        image = [
            replace(edge.mirrored(mirror), name=sides.edge(edge.name, sides.image))
            for edge in reversed(between)
        ]
        edges = (
            _joined(first.mirrored(mirror), first),
            *drawn,
            _joined(last, last.mirrored(mirror)),
            *image,
        )
        marks = _both_sides(kept, mirror, sides)
        words = Sentence(
            f"Open the piece out: fold the paper along the {edge_called(self.edge)}, trace "
            "everything through to the other side and unfold it."
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


@dataclass(frozen=True)
class _Sides:
    """What the two halves are called: right and left, or upper and lower over a level line.

    An edge or a marking that is called by a side already is not called by two.
    """

    drawn: str
    image: str
    joined: frozenset[str]  # the edges that run on over the line and keep their names
    edges: Mapping[str, str]  # what each of the others is called without its side
    marks: Mapping[str, str]

    @classmethod
    def of(
        cls, line: Edge, edges: Sequence[str], joined: Set[str], marks: Sequence[Marking]
    ) -> "_Sides":
        """The sides of the piece along `line`, which it lies to one side of."""
        nx, ny = outward(line)
        sides = ("right", "left") if abs(nx) >= abs(ny) else ("lower", "upper")
        drawn, image = sides if (nx if abs(nx) >= abs(ny) else ny) < 0 else sides[::-1]
        named = [mark.name for mark in marks]
        return cls(
            drawn,
            image,
            frozenset(joined),
            _without_side(edges, sides, joined),
            _without_side(named, sides, ()),
        )

    def edge(self, name: str, side: str) -> str:
        """What an edge is called on a side."""
        return f"{side} {self.edges.get(name, name)}"

    def marking(self, mark: Marking, side: str) -> Marking:
        """The marking under a name of its own side.

        A notch on an edge of one side keeps its name: seams match notches by their names.
        """
        if isinstance(mark, Notch) and mark.edge not in self.joined:
            return replace(mark, edge=self.edge(mark.edge, side))
        return replace(mark, name=f"{side} {self.marks.get(mark.name, mark.name)}")


def _without_side(
    names: Sequence[str], sides: tuple[str, str], taken: Iterable[str]
) -> dict[str, str]:
    """The names without the side they are called by, where no two would then be called alike."""
    bare = {name: name.split(" ", 1)[-1] if name.startswith(sides) else name for name in names}
    known = Counter(name.lower() for name in bare.values())
    known.update(f"{side} {name}".lower() for side in sides for name in bare.values())
    known.update(name.lower() for name in taken)

    def clear(name: str) -> bool:
        return known[name.lower()] == 1 and all(
            known[f"{side} {name}".lower()] == 1 for side in sides
        )

    return {name: short if clear(short) else name for name, short in bare.items()}


def _both_sides(markings: Iterable[Marking], mirror: Placing, sides: _Sides) -> tuple[Marking, ...]:
    """Every marking and its image; what lies on the line of the fold stays one."""
    found = []
    for mark in markings:
        image = mark.placed(mirror)
        if max(map(_apart, mark.points, image.points)) <= _ON_LINE_MM:
            found.append(mark)
        else:
            found += [sides.marking(mark, sides.drawn), sides.marking(image, sides.image)]
    for edge in sides.joined:
        found = _gathers_joined(found, edge, sides)
    return tuple(found)


def _gathers_joined(markings: list[Marking], edge: str, sides: _Sides) -> list[Marking]:
    """Gathers that start on the line of the fold run on over it, from their one end to the other.

    Their start is then no end any more.
    """
    for middle, ends in (("from", "to"), ("to", "from")):
        start = f"{edge} gathers {middle}"
        drawn, image = (f"{side} {edge} gathers {ends}" for side in (sides.drawn, sides.image))
        names = {mark.name for mark in markings}
        if {start, drawn, image} <= names:
            renamed = {image: f"{edge} gathers from", drawn: f"{edge} gathers to"}
            return [
                replace(mark, name=renamed.get(mark.name, mark.name))
                for mark in markings
                if mark.name != start
            ]
    return markings


def _apart(one: Point, other: Point) -> float:
    return abs(one[0] - other[0]) + abs(one[1] - other[1])
