"""What some chains of tasks still cost by themselves, known for every state of theirs.

Left out tasks can only make an order cheaper where the way round over others is never shorter;
with the shortest ways in place of the changeovers that always holds. So the cost of going
through a few chains alone, worked out backwards for all places in them, is a bound for what is
left of the whole: a pattern database after Culberson & Schaeffer (1998; from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.groups import Groups
from webapp.filming.sequencing.problem import Matrix, Problem, Words, words_of
from webapp.filming.sequencing.run import Run

Ints = NDArray[np.int64]

_MOST_CHAINS: Final = 8
_MOST_TOGETHER: Final = 6
_MOST_TABLES: Final = 8
_LARGEST: Final = 2_000_000  # numbers in one table
_LARGEST_ALL: Final = 6_000_000
_MOST_PLACES: Final = 40


@dataclass(frozen=True, eq=False)
class _Table:
    """Costs by the state of its chains and the place where one stands, as one long row."""

    chains: tuple[int, ...]
    strides: tuple[int, ...]
    costs: Matrix


class Patterns:
    """Tables of chains of one problem; `rest` is what every state still costs at least."""

    def __init__(self, run: Run, groups: Groups) -> None:
        problem = run.problem
        n = problem.n
        self._places, place = np.unique(groups.of[:n], return_inverse=True)
        self._place = np.append(place, len(self._places))
        ways, self._inner = _ways(problem, self._place, groups)
        self._chains = _chains(problem, self._place, ways)
        self._masks = [words_of([sum(1 << task for task in chain)], n)[0] for chain in self._chains]
        self._bits = words_of([1 << task for task in range(n)], n)
        self._tables: list[_Table] = []
        left = _LARGEST_ALL
        for chains in self._choices():
            size = self._size(chains)
            if size > left or run.left <= 0:
                continue
            self._tables.append(self._table(problem, chains, ways))
            left -= size

    def rest(self, done: Words, last: Ints) -> Matrix:
        """The least cost from each state on."""
        at = [np.bitwise_count(done & mask).sum(axis=1, dtype=np.int64) for mask in self._masks]
        place = self._place[last]
        width = len(self._places) + 1
        # From the depot the first task is not entered, so its inner cost may not count.
        found = np.where(place == width - 1, -self._inner.max(), 0.0)
        for table in self._tables:
            index = sum(
                (at[chain] * step for chain, step in zip(table.chains, table.strides, strict=True)),
                start=np.zeros(len(done), dtype=np.int64),
            )
            np.maximum(found, table.costs[index * width + place], out=found)
        if self._inner.any():
            for bit, inner in zip(self._bits, self._inner, strict=True):
                found += inner * ~((done & bit) != 0).any(axis=1)
        return found

    def _choices(self) -> list[tuple[int, ...]]:
        """Which chains go together: those that fit and hold the most tasks."""
        numbers = range(len(self._chains))
        fitting = [
            chains
            for together in range(1, _MOST_TOGETHER + 1)
            for chains in combinations(numbers, together)
            if self._size(chains) <= _LARGEST
        ]
        tasks = {chains: sum(len(self._chains[k]) for k in chains) for chains in fitting}
        return sorted(fitting, key=lambda chains: (-tasks[chains], chains))[:_MOST_TABLES]

    def _size(self, chains: Sequence[int]) -> int:
        return prod(len(self._chains[chain]) + 1 for chain in chains) * (len(self._places) + 1)

    def _table(self, problem: Problem, numbers: tuple[int, ...], ways: Matrix) -> _Table:
        chains = [self._chains[number] for number in numbers]
        shape = [len(chain) + 1 for chain in chains]
        at = np.indices(shape).reshape(len(shape), -1)
        strides = [prod(shape[k + 1 :]) for k in range(len(shape))]
        # By task of a chain: how many of every other chain are to be done ahead of it.
        needed = [
            [
                problem.precedes[np.ix_(np.array(other), np.array(chain))].sum(axis=0)
                for other in chains
            ]
            for chain in chains
        ]
        costs = np.full((prod(shape), len(ways)), np.inf)
        costs[-1] = 0.0
        order = np.argsort(at.sum(axis=0), kind="stable")
        levels = np.split(order, np.cumsum(np.bincount(at.sum(axis=0)))[:-1])
        for level in levels[-2::-1]:
            best = np.full((len(level), len(ways)), np.inf)
            for k, chain in enumerate(chains):
                rows = np.nonzero(at[k, level] < len(chain))[0]
                states = level[rows]
                for other, most in enumerate(needed[k]):
                    if most.any() and other != k:
                        kept = at[other, states] >= most[at[k, states]]
                        rows, states = rows[kept], states[kept]
                tasks = np.array(chain)[at[k, states]]
                there = self._place[tasks]
                onward = costs[states + strides[k], there]
                best[rows] = np.minimum(best[rows], ways[:, there].T + onward[:, None])
            costs[level] = best
        return _Table(numbers, tuple(strides), costs.ravel())


def patterns_of(run: Run, groups: Groups) -> Patterns | None:
    """Patterns where there are few enough places for them."""
    if len(np.unique(groups.of)) - 1 > _MOST_PLACES:
        return None
    return Patterns(run, groups)


def _ways(problem: Problem, place: Ints, groups: Groups) -> tuple[Matrix, Matrix]:
    """Shortest ways between the places (and from the depot, the last row), and inner costs.

    What every task costs at least wherever it comes is taken out of the ways: the second answer.
    """
    n, count = problem.n, int(place.max())
    inner = np.minimum(groups.inner[:n], _cheapest_entry(problem))
    ways = np.full((count + 1, count + 1), np.inf)
    tails, heads = np.nonzero(np.isfinite(problem.cost))
    inside = heads < n
    tails, heads = tails[inside], heads[inside]
    spent = np.where(tails < n, problem.cost[tails, heads], 0.0) - inner[heads]
    np.minimum.at(ways, (place[tails], place[heads]), spent)
    ways[range(count), range(count)] = 0.0
    for by in range(count):
        np.minimum(ways, ways[:, by, None] + ways[None, by, :], out=ways)
    return ways, inner


def _cheapest_entry(problem: Problem) -> Matrix:
    cheapest: Matrix = problem.cost[: problem.n, : problem.n].min(axis=0)
    return np.where(np.isfinite(cheapest), cheapest, 0.0)


def _chains(problem: Problem, place: Ints, ways: Matrix) -> list[list[int]]:
    """Chains of tasks that wait on each other, the one that costs most by itself first."""
    left = np.ones(problem.n, dtype=bool)
    chains: list[list[int]] = []
    while len(chains) < _MOST_CHAINS and left.any():
        length, came = np.zeros(problem.n), np.full(problem.n, -1)
        for task in problem.topological:
            earlier = np.nonzero(problem.precedes[:, task] & left)[0]
            if left[task] and len(earlier):
                longer = length[earlier] + ways[place[earlier], place[task]]
                best = int(np.argmax(longer))
                length[task], came[task] = longer[best], earlier[best]
        task = int(np.argmax(np.where(left, length, -1.0)))
        chain = [task]
        while came[task] >= 0:
            task = int(came[task])
            chain.append(task)
        chain.reverse()
        chain[1:] = [b for a, b in pairwise(chain) if place[a] != place[b]]
        left[chain] = False
        chains.append(chain)
    return chains
