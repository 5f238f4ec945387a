"""Corners: finding the one between two edges, and moving it along an edge."""

import math
from dataclasses import dataclass, replace

from webapp.draft.moves.base import Workpiece
from webapp.draft.moves.cutting import kept_taken
from webapp.draft.names import edge_called, edges_called
from webapp.draft.outline import Edge, Line, Outline, Point


@dataclass(frozen=True)
class Corner:
    """Where `first` ends and `second` starts."""

    first: Edge
    second: Edge

    @property
    def point(self) -> Point:
        """The corner, mm."""
        return self.second.start


def edge_of(work: Workpiece, name: str) -> Edge:
    """The named edge. MoveError lists the edges there are."""
    try:
        return work.outline.edge(name)
    except KeyError:
        known = ", ".join(work.outline.names)
        raise work.refusal(f"there is no edge called “{name}”; the edges are {known}") from None


def straight_edge(work: Workpiece, name: str) -> Edge:
    """The named edge, which must be a straight line. MoveError if it is curved."""
    edge = edge_of(work, name)
    if edge.taken_mm and not edge.is_straight:
        raise work.refusal(
            f"the {edge_called(name)} has a dart, pleats or gathers; make this move before them"
        )
    if not edge.is_straight:
        raise work.refusal(f"the {edge_called(name)} is curved; this move needs a straight one")
    return edge


def corner_between(work: Workpiece, one: str, other: str) -> Corner:
    """The corner where two edges meet. MoveError if they do not."""
    a, b = edge_of(work, one), edge_of(work, other)
    if work.outline.after(one) is b:
        return Corner(a, b)
    if work.outline.after(other) is a:
        return Corner(b, a)
    raise work.refusal(f"the {edges_called((one, other))} do not meet at a corner")


def with_corner_moved(work: Workpiece, edge: str, along: str, by_mm: float) -> Outline:
    """Move the corner of two straight edges along `along`, into the piece if `by_mm` > 0."""
    corner = corner_between(work, edge, along)
    moving, guide = straight_edge(work, edge), straight_edge(work, along)
    if by_mm >= guide.length_mm:
        raise work.limit(
            "", by_mm, f"as long as the {edge_called(along)} or longer", guide.length_mm
        )
    far = guide.end if guide is corner.second else guide.start
    point = towards(corner.point, far, by_mm)
    ahead = guide is corner.second
    if ahead:
        new_edge, new_guide = Line(moving.start, point), Line(point, far)
    else:
        new_edge, new_guide = Line(point, moving.end), Line(far, point)
    taken = guide.taken_mm
    if by_mm > 0 and taken:
        taken = kept_taken(
            work, guide, by_mm if ahead else guide.length_mm - by_mm, from_start=not ahead
        )
    outline = work.outline.replaced(edge, moving.redrawn(new_edge))
    return outline.replaced(along, replace(guide.redrawn(new_guide), taken_mm=taken))


@dataclass(frozen=True)
class CutCorner:
    """An outline whose corner is about to be cut off between `start` and `end`.

    `taken_mm` is what is taken out of the parts of both edges that are kept.
    """

    outline: Outline
    before: Edge
    after: Edge
    corner: Point
    start: Point
    end: Point
    taken_mm: tuple[float, float]

    def joined(self, new: Edge) -> Outline:
        """The outline with the new edge where the corner was."""
        first = self.before.redrawn(Line(self.before.start, self.start))
        last = self.after.redrawn(Line(self.end, self.after.end))
        taken, after = self.taken_mm
        outline = self.outline.replaced(self.before.name, replace(first, taken_mm=taken))
        return outline.replaced(self.after.name, new, replace(last, taken_mm=after))


def cut_off_corner(
    work: Workpiece, edge: str, other: str, on_edge_mm: float, on_other_mm: float
) -> CutCorner:
    """The corner of two straight edges, cut off so far along each. MoveError past either's end."""
    corner = corner_between(work, edge, other)
    for name, value, than in ((edge, on_edge_mm, "wider"), (other, on_other_mm, "deeper")):
        limit = straight_edge(work, name).length_mm
        if value >= limit:
            raise work.limit("", value, f"{than} than the {edge_called(name)}", limit)
    before, after = corner.first, corner.second
    on_after, on_before = on_edge_mm, on_other_mm
    if before.name == edge:
        on_after, on_before = on_before, on_after
    start = towards(corner.point, before.start, on_before)
    end = towards(corner.point, after.end, on_after)
    taken = (
        kept_taken(work, before, before.length_mm - on_before, from_start=True),
        kept_taken(work, after, on_after, from_start=False),
    )
    return CutCorner(work.outline, before, after, corner.point, start, end, taken)


def towards(start: Point, end: Point, by_mm: float) -> Point:
    """The point `by_mm` from `start` in the direction of `end` (away from it if negative)."""
    share = by_mm / math.dist(start, end)
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))


def direction(line: Edge | Line) -> Point:
    """The unit vector from the start to the end."""
    (x0, y0), (x1, y1) = line.start, line.end
    length = math.hypot(x1 - x0, y1 - y0)
    return ((x1 - x0) / length, (y1 - y0) / length)


def outward(line: Edge | Line) -> Point:
    """The unit normal of a straight run, pointing out of the piece."""
    dx, dy = direction(line)
    return (dy, -dx)


def crossing(p: Point, along: Point, q: Point, other: Point) -> Point | None:
    """Where the line through p in direction `along` meets that through q in `other`."""
    cross = along[0] * other[1] - along[1] * other[0]
    if abs(cross) < 1e-9:
        return None
    t = ((q[0] - p[0]) * other[1] - (q[1] - p[1]) * other[0]) / cross
    return (p[0] + t * along[0], p[1] + t * along[1])


def spoken(work: Workpiece, name: str) -> str:
    """An edge as a sentence calls it: the fold when it lies there."""
    edge = edge_of(work, name)
    return "fold" if work.on_fold and edge.on_fold else edge_called(name)


def way_along(work: Workpiece, name: str, corner: str) -> str:
    """`down the side edge`, as it runs from the corner: down, up, or along where it is level."""
    edge = edge_of(work, name)
    (x0, y0), (x1, y1) = edge.start, edge.end
    if corner_between(work, name, corner).first is edge:
        (x0, y0), (x1, y1) = (x1, y1), (x0, y0)
    across, down = x1 - x0, y1 - y0
    way = "along" if abs(down) <= abs(across) else "down" if down > 0 else "up"
    return f"{way} the {spoken(work, name)}"


def along_from(work: Workpiece, edge: str, corner: str, by_mm: float) -> float:
    """How far along `edge`, in its own direction, a point lies `by_mm` from its corner.

    MoveError when the edges do not meet or the point is past the far end.
    """
    found, named = corner_between(work, edge, corner), edge_of(work, edge)
    if by_mm > named.length_mm + 1e-6:
        raise work.limit(
            "", by_mm, f"further than the {edge_called(edge)} is long", named.length_mm
        )
    return by_mm if found.second is named else named.length_mm - by_mm
