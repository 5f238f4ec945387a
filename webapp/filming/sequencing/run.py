"""One search under way: what it has found and proven so far, and the time it has left."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from time import monotonic

from webapp.filming.sequencing.problem import Problem


@dataclass(frozen=True)
class Order:
    """Tasks in an order that keeps every precedence.

    `cost` is the sum of its changeovers in minutes; no order costs less than `bound`. Both are
    equal when the order is proven to be the best.
    """

    sequence: tuple[int, ...]
    cost: float
    bound: float

    @property
    def is_proven(self) -> bool:
        """True if no order costs less."""
        return self.bound >= self.cost


class Run:
    """The best sequence and bound of a problem, in its units, until the time is up."""

    def __init__(
        self, problem: Problem, seconds: float, progress: Callable[[Order], None] | None
    ) -> None:
        self.problem = problem
        self.sequence: tuple[int, ...] = ()
        self.cost = math.inf
        self.bound = 0.0
        self._ends = monotonic() + seconds
        self._progress = progress
        self._told: Order | None = None

    @property
    def left(self) -> float:
        """Seconds left; below 0 when the time is up."""
        return self._ends - monotonic()

    @property
    def cutoff(self) -> float:
        """Whatever cannot cost less than this or as little is of no use any more."""
        slack = 1e-9 * (1 + abs(self.cost))
        return self.cost - max(self.problem.step - 1e-6 - slack, slack)

    @property
    def is_proven(self) -> bool:
        """True if nothing cheaper is possible."""
        return self.bound >= self.cutoff

    @property
    def is_over(self) -> bool:
        """True if there is nothing left to do or no time to do it."""
        return self.is_proven or self.left <= 0

    def offer(self, sequence: Sequence[int]) -> bool:
        """Keep a sequence if it is cheaper than the best one, and tell whether it is."""
        sequence = tuple(int(task) for task in sequence)
        cost = self.problem.cost_of(sequence)
        if cost >= self.cost or not self.problem.keeps(sequence):
            return False
        self.sequence, self.cost = sequence, cost
        self._tell()
        return True

    def raise_bound(self, bound: float) -> None:
        """Keep a proven bound if it is higher than the one before."""
        if bound > self.bound:
            self.bound = bound
            self._tell()

    def order(self) -> Order:
        """What is known so far, in minutes."""
        raw, path = self.problem.raw, self.sequence
        cost = math.fsum(raw[i, j] for i, j in pairwise(path))
        if self.is_proven:
            return Order(path, cost, cost)
        unit = self.problem.unit
        bound = self.bound - 1e-9 * (1 + abs(self.bound))
        if self.problem.step:
            bound = math.ceil(bound - 1e-6)
        bound = max(0.0, bound * unit)
        if not (self.problem.step and unit.is_integer()):
            bound *= 1 - 1e-12
        return Order(path, cost, min(bound, math.nextafter(cost, 0.0)))

    def _tell(self) -> None:
        if self._progress is None or not math.isfinite(self.cost):
            return
        order = self.order()
        if order != self._told:
            self._told = order
            self._progress(order)
