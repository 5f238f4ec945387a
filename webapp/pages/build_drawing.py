"""The build order drawn as threads: a knot for each step, and a thread from each to what waits on
it. Rows are the steps from top to bottom, the thread on the left is the longest chain.

Every row has its own part of the drawing, so that a row may be as high as it needs to be: threads
that run on past it are drawn on to its foot. A thread that leaves the line of its step runs down in
a line of its own, so that no line ever carries threads that neither begin nor end together.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.build.graph import Graph, Node

ROW: Final = 40.0  # a row's height in units of the drawing, which the page stretches
LINE: Final = 16.0  # from one line to the next
_MARGIN: Final = 11.0


@dataclass(frozen=True, slots=True)
class Knot:
    """A step in the drawing. `step` is its id."""

    step: str
    x: float
    longest: bool
    one_way: bool
    off_camera: bool


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread from one step to one that waits on it; it crosses from row to row at `x`. Whether
    it lies on the longest chain, and how many hours the first of them rests."""

    begins: str  # ids
    ends: str
    first: int  # rows, from 0
    last: int
    x: float
    longest: bool
    rest_hours: float


@dataclass(frozen=True, slots=True)
class Stroke:
    """What is drawn of a thread in one row: the path of an SVG as wide as the drawing."""

    path: str
    longest: bool
    rests: bool


@dataclass(frozen=True, slots=True)
class DrawnRow:
    """One step's part of the drawing: its knot, its strokes, and those that run on below it."""

    knot: Knot
    strokes: tuple[Stroke, ...]
    running_on: tuple[Stroke, ...]


@dataclass(frozen=True, slots=True)
class BuildDrawing:
    """The rows, in units of which each is ROW high; `lines` run down side by side in them."""

    lines: int
    rows: tuple[DrawnRow, ...]
    threads: tuple[Thread, ...]

    @property
    def width(self) -> float:
        """How wide a row is, in the same units."""
        return 2 * _MARGIN + LINE * (self.lines - 1)


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
    threads = tuple(_threads(nodes, waits, line_of, passing))
    last = max((line.at for line in (*lines, *passing.values())), default=0)
    rows = tuple(_row(at, knots, threads) for at in range(len(knots)))
    return BuildDrawing(last + 1, rows, threads)


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
    x = _MARGIN + LINE * at
    return Knot(step.id, x, node.on_longest, step.one_way, step.off_camera)


def _threads(
    nodes: Sequence[Node],
    waits: Sequence[Sequence[int]],
    line_of: Mapping[int, _Line],
    passing: Mapping[tuple[int, int], _Line],
) -> Iterator[Thread]:
    chained = {node.place for node in nodes if node.on_longest}
    for at, own in enumerate(waits):
        for wait in own:
            begins = line_of[at].steps[0] == at
            line = passing.get((wait, at)) or line_of[at if begins else wait]
            x = _MARGIN + LINE * line.at
            longest = line_of[at] is line_of[wait] and {wait, at} <= chained
            begin, end = nodes[wait].step, nodes[at].step
            yield Thread(begin.id, end.id, wait, at, x, longest, begin.rest_hours)


def _row(at: int, knots: Sequence[Knot], threads: Sequence[Thread]) -> DrawnRow:
    strokes: dict[str, list[Thread]] = {}
    beneath: dict[str, list[Thread]] = {}
    for one in threads:
        if one.first <= at <= one.last:
            strokes.setdefault(_path(one, at, knots[at].x), []).append(one)
        if one.first <= at < one.last:
            beneath.setdefault(f"M{one.x:g} 0V{ROW:g}", []).append(one)
    return DrawnRow(knots[at], _strokes(strokes), _strokes(beneath))


def _strokes(found: Mapping[str, Sequence[Thread]]) -> tuple[Stroke, ...]:
    """Each path once, the longest chain above the others."""
    strokes = (
        Stroke(path, any(t.longest for t in threads), all(t.rest_hours > 0 for t in threads))
        for path, threads in found.items()
    )
    return tuple(sorted(strokes, key=lambda one: one.longest))


def _path(thread: Thread, at: int, knot: float) -> str:
    """A thread in the row `at`, whose knot is at `knot`: from it, to it, or past it."""
    x, half, bend = thread.x, ROW / 2, ROW / 4
    if thread.first < at < thread.last:
        return f"M{x:g} 0V{ROW:g}"
    starts = thread.first == at
    if x == knot:
        return f"M{x:g} {half:g}V{ROW:g}" if starts else f"M{x:g} 0V{half:g}"
    top, start, end = (half, knot, x) if starts else (0.0, x, knot)
    middle, foot = top + bend, top + half
    return f"M{start:g} {top:g}C{start:g} {middle:g} {end:g} {middle:g} {end:g} {foot:g}"
