"""Inequalities that every order keeps and a fractional one breaks.

Precedence-forced cuts after Balas, Fischetti & Pulleyblank, "The precedence-constrained
asymmetric traveling salesman polytope", Mathematical Programming 68 (1995) 241–265, looked for
with minimum cuts as by Ascheuer, Jünger & Reinelt, "A branch & cut algorithm for the asymmetric
traveling salesman problem with precedence constraints", Computational Optimization and
Applications 17 (2000) 61–84 (both from memory; the arguments are given below).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from webapp.filming.sequencing.problem import Problem

_BROKEN: Final = 0.03  # by less than this an inequality is not worth a row
_NOTHING: Final = 1e-7


@dataclass(frozen=True)
class Cut:
    """At least one arc of every order leads from a task of `tails` to one of `heads` (bit sets).

    Bit n is the depot: as a tail the one that the order starts from, as a head the one it ends at.
    """

    tails: int
    heads: int


class Network:
    """The arcs of a fractional order as pipes; the depot is split in node n, where all starts,
    and node n + 1, where all ends."""

    def __init__(self, n: int, arcs: Iterator[tuple[int, int, float]]) -> None:
        self.n = n
        self._next = [0] * (n + 2)
        self._room: dict[tuple[int, int], float] = {}
        for tail, head, value in arcs:
            into = n + 1 if head == n else head
            self._next[tail] |= 1 << into
            self._room[tail, into] = value

    def cut_below_one(self, source: int, sink: int, nodes: int) -> int | None:
        """Nodes on the side of the source where less than 1 passes to the sink within `nodes`."""
        following = list(self._next)
        room: dict[tuple[int, int], float] = {}
        flow = 0.0
        while flow < 1 - _BROKEN:
            came = self._path(following, source, sink, nodes)
            if isinstance(came, int):
                return came
            path = [sink]
            while path[-1] != source:
                path.append(came[path[-1]])
            path.reverse()
            links = list(pairwise(path))
            rooms = [room.get(link, self._room.get(link, 0.0)) for link in links]
            pushed = min(rooms)
            flow += pushed
            for (tail, head), free in zip(links, rooms, strict=True):
                room[tail, head] = free - pushed
                if free - pushed <= _NOTHING:
                    following[tail] &= ~(1 << head)
                back = room.get((head, tail), self._room.get((head, tail), 0.0))
                room[head, tail] = back + pushed
                following[head] |= 1 << tail
        return None

    @staticmethod
    def _path(following: list[int], source: int, sink: int, nodes: int) -> dict[int, int] | int:
        """By node where a shortest way came from, or all nodes reached if none gets there."""
        seen = 1 << source
        came: dict[int, int] = {}
        queue = [source]
        for node in queue:
            new = following[node] & nodes & ~seen
            seen |= new
            while new:
                low = new & -new
                new ^= low
                there = low.bit_length() - 1
                came[there] = node
                if there == sink:
                    return came
                queue.append(there)
        return seen


class Cutter:
    """Finds cuts of a problem that a network breaks."""

    def __init__(self, problem: Problem) -> None:
        self.n = problem.n
        self.ahead, self.after = problem.ahead, problem.after
        self.tasks = (1 << problem.n) - 1
        self.pairs = [
            (i, j) for i in range(problem.n) for j in range(problem.n) if problem.precedes[i, j]
        ]

    def ahead_cut(self, network: Network, task: int) -> Cut | None:
        """The way from a task to the end meets none of those ahead of it.

        For any set S of tasks: from the last of S that is done the order goes on to a task
        outside of S, and neither is ahead of any of S.
        """
        nodes = (self.tasks | 1 << self.n + 1) & ~self.ahead[task]
        inside = network.cut_below_one(task, self.n + 1, nodes)
        if inside is None:
            return None
        out = self._union(self.ahead, inside)
        return Cut(inside & ~out, (self.tasks | 1 << self.n) & ~inside & ~out)

    def after_cut(self, network: Network, task: int) -> Cut | None:
        """The way from the start to a task meets none of those after it: the same mirrored."""
        nodes = (self.tasks | 1 << self.n) & ~self.after[task]
        reached = network.cut_below_one(self.n, task, nodes)
        if reached is None:
            return None
        inside = self.tasks & ~reached & ~self.after[task]
        out = self._union(self.after, inside)
        return Cut((self.tasks | 1 << self.n) & ~inside & ~out, inside & ~out)

    def between_cut(self, network: Network, first: int, second: int) -> Cut | None:
        """The way from one task to one after it meets none ahead of the first or after the second.

        For X in S and Y outside, all of X ahead of all of Y: the way from the last of X to the
        first of Y leaves S and meets nothing that is ahead of any of X or after any of Y.
        """
        out = self.ahead[first] | self.after[second]
        inside = network.cut_below_one(first, second, self.tasks & ~out)
        if inside is None:
            return None
        firsts = inside & self.ahead[second] | 1 << first
        seconds = self.tasks & ~inside
        for task in _each(firsts):
            seconds &= self.after[task]
        out = self._union(self.ahead, firsts) | self._union(self.after, seconds)
        return Cut(inside & ~out, self.tasks & ~inside & ~out)

    @staticmethod
    def _union(sets: tuple[int, ...], members: int) -> int:
        union = 0
        for task in _each(members):
            union |= sets[task]
        return union


def _each(members: int) -> Iterator[int]:
    while members:
        low = members & -members
        members ^= low
        yield low.bit_length() - 1
