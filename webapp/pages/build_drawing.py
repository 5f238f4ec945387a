"""The build order drawn as threads: a knot for each step, and a thread from each to what waits on
it. Rows are the steps from top to bottom, the thread on the left is the longest chain.

A thread that leaves the line of its step runs down in a line of its own, so that no line ever
carries threads that neither begin nor end together.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.build.graph import Graph, Node

ROW: Final = 34.0  # of the drawing's units; the rows beside it are as high: see order.css
LINE: Final = 17.0  # from one line to the next
_MARGIN: Final = 12.0
_BEND: Final = 0.62  # of a row, in which a thread goes over from line to line


@dataclass(frozen=True, slots=True)
class Knot:
    """A step in the drawing. `step` is its id."""

    step: str
    x: float
    y: float
    longest: bool
    one_way: bool
    off_camera: bool


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread from one step to one that waits on it, as the path of an SVG; whether it lies on
    the longest chain, and how many hours the first of them rests."""

    begins: str  # ids
    ends: str
    path: str
    longest: bool
    rest_hours: float


@dataclass(frozen=True, slots=True)
class BuildDrawing:
    """Knots and threads in units of which a row is ROW high."""

    width: float
    height: float
    knots: tuple[Knot, ...]
    threads: tuple[Thread, ...]

    @property
    def rows(self) -> int:
        """How many rows it has."""
        return len(self.knots)


@dataclass(slots=True)
class _Line:
    """What runs down in one line: steps one after the other, or a single thread past others."""

    steps: list[int]
    first: int  # rows
    last: int
    at: int = 0


def drawing_of(graph: Graph) -> BuildDrawing:
    """The graph as it is drawn. The same graph is always drawn the same."""
    nodes = list(graph.nodes.values())
    place = {node.step.id: node.place for node in nodes}
    waits = [[place[one] for one in node.waits_on] for node in nodes]
    lines = _lines(nodes, [place[one] for one in graph.chain], waits)
    line_of = {step: line for line in lines for step in line.steps}
    passing: dict[tuple[int, int], _Line] = {}
    for at, own in enumerate(waits):
        for wait in own:
            _join(wait, at, line_of, passing)
    _side_by_side([*lines, *passing.values()])
    knots = tuple(_knot(node, line_of[node.place].at) for node in nodes)
    threads = tuple(_threads(nodes, waits, knots, line_of, passing))
    last = max((line.at for line in (*lines, *passing.values())), default=0)
    return BuildDrawing(2 * _MARGIN + LINE * last, ROW * len(nodes), knots, threads)


def _lines(
    nodes: Sequence[Node], chain: Sequence[int], waits: Sequence[Sequence[int]]
) -> list[_Line]:
    """Every step in one line: first the longest chain, then always the most steps in a row."""
    left = {node.place for node in nodes} - set(chain)
    lines = [_line(chain)] if chain else []
    while left:
        longest: dict[int, list[int]] = {}
        for at in sorted(left):
            before = [longest[one] for one in waits[at] if one in left]
            longest[at] = [*max(before, key=len, default=[]), at]
        found = max(longest.values(), key=lambda steps: (len(steps), -steps[0]))
        lines.append(_line(found))
        left -= set(found)
    return lines


def _line(steps: Sequence[int]) -> _Line:
    return _Line(list(steps), steps[0], steps[-1])


def _join(
    wait: int, at: int, line_of: Mapping[int, _Line], passing: dict[tuple[int, int], _Line]
) -> None:
    """Let a thread run in the line of its end, or of its beginning, or past both."""
    own, other = line_of[at], line_of[wait]
    if own is other:
        return  # the next in its line
    if own.steps[0] == at:
        own.first = min(own.first, wait)
    elif other.steps[-1] == wait:
        other.last = max(other.last, at)
    else:
        passing[wait, at] = _Line([], wait, at)


def _side_by_side(lines: Sequence[_Line]) -> None:
    """Give each line the leftmost place where no other runs in the same rows; the first keeps 0."""
    placed: list[_Line] = []
    for line in (*lines[:1], *sorted(lines[1:], key=lambda one: (one.first, -one.last))):
        taken = {one.at for one in placed if one.first <= line.last and line.first <= one.last} | (
            {0} if placed else set()
        )
        line.at = next(at for at in range(len(lines) + 1) if at not in taken)
        placed.append(line)


def _knot(node: Node, at: int) -> Knot:
    step = node.step
    x, y = _MARGIN + LINE * at, ROW * (node.place + 0.5)
    return Knot(step.id, x, y, node.on_longest, step.one_way, step.off_camera)


def _threads(
    nodes: Sequence[Node],
    waits: Sequence[Sequence[int]],
    knots: Sequence[Knot],
    line_of: Mapping[int, _Line],
    passing: Mapping[tuple[int, int], _Line],
) -> Iterator[Thread]:
    chained = {node.place for node in nodes if node.on_longest}
    for at, own in enumerate(waits):
        for wait in own:
            begins = line_of[at].steps[0] == at
            line = passing.get((wait, at)) or line_of[at if begins else wait]
            longest = line_of[at] is line_of[wait] and {wait, at} <= chained
            path = _path(knots[wait], knots[at], _MARGIN + LINE * line.at)
            begin, end = nodes[wait].step, nodes[at].step
            yield Thread(begin.id, end.id, path, longest, begin.rest_hours)


def _path(start: Knot, end: Knot, x: float) -> str:
    """From knot to knot along the line at x, with a bend at either end where that is elsewhere."""
    bend = _BEND * ROW
    if start.x == end.x == x:
        return f"M{x:g} {start.y:g}V{end.y:g}"
    if end.y - start.y <= ROW:  # one bend is all there is room for
        middle = (start.y + end.y) / 2
        return (
            f"M{start.x:g} {start.y:g}C{start.x:g} {middle:g} {end.x:g} {middle:g} "
            f"{end.x:g} {end.y:g}"
        )
    path = f"M{start.x:g} {start.y:g}"
    if start.x != x:
        down, half = start.y + bend, start.y + bend / 2
        path += f"C{start.x:g} {half:g} {x:g} {half:g} {x:g} {down:g}"
    if end.x == x:
        return f"{path}V{end.y:g}"
    up, half = end.y - bend, end.y - bend / 2
    return f"{path}V{up:g}C{x:g} {half:g} {end.x:g} {half:g} {end.x:g} {end.y:g}"
