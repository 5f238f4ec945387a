"""A guide prices what a search still has before it, never too high."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.problem import Flags, Matrix, Problem, Words, words_of

_RANKS: Final = (0, 1, 2, 3, 5, 8)  # of the cheapest arcs at a task, between which is told apart
_NO_WAY: Final = 1e15
_CHUNK: Final = 8192


class Guide:
    """Reduced costs: every order costs at least `constant` plus those of all its arcs.

    They are 0 or more. `rest` adds what every task still to do costs at least, entered from or
    left for one that is not done either.
    """

    def __init__(
        self, problem: Problem, constant: float, reduced: Matrix, *, is_first: bool = False
    ) -> None:
        self.is_first = is_first
        self.constant = constant
        self.reduced = np.minimum(reduced, _NO_WAY)
        n = problem.n
        self._all = words_of([(1 << n) - 1], n)[0]
        self._bits = words_of([1 << task for task in range(n + 1)], n)
        self._into = _levels(self.reduced.T, n)
        self._out_of = _levels(self.reduced, n)

    def rest(self, done: Words, last: NDArray[np.int64]) -> Matrix:
        """The least reduced cost from each state on, one state a row."""
        return np.concatenate(
            [np.zeros(0)]
            + [
                self._rest(done[k : k + _CHUNK], last[k : k + _CHUNK])
                for k in range(0, len(done), _CHUNK)
            ]
        )

    def _rest(self, done: Words, last: NDArray[np.int64]) -> Matrix:
        to_do = ~done & self._all
        tails = to_do | self._bits[last]
        heads = to_do | self._bits[-1]
        entered = _least(tails, heads, self._into, self._bits)
        left = _least(heads, tails, self._out_of, self._bits)
        return np.maximum(entered, left)


def first_guide(problem: Problem) -> Guide:
    """A guide that knows only what every task must be left and entered for at least."""
    return Guide(problem, *without_waste(problem.cost), is_first=True)


def without_waste(reduced: Matrix) -> tuple[float, Matrix]:
    """What every task must be left and entered for at least, and the costs above that."""
    out_of = reduced.min(axis=1)
    left = reduced - out_of[:, None]
    into = left.min(axis=0)
    return float(out_of.sum() + into.sum()), left - into


def meet(sets: Words, masks: Words) -> Flags:
    """For each set a row that tells which of the masks it shares a task with."""
    found: Flags = (sets[:, None, 0] & masks[:, 0]) != 0
    for word in range(1, sets.shape[1]):
        found |= (sets[:, None, word] & masks[:, word]) != 0
    return found


Levels = Sequence[tuple[Matrix, Words]]


def _levels(reduced: Matrix, n: int) -> Levels:
    """By row: what the next cheapest arc costs more, and the bit set of those cheaper."""
    ranks = np.argsort(reduced, axis=1, kind="stable")
    levels = []
    before = np.zeros(n + 1)
    for rank in (rank for rank in _RANKS if rank <= n):
        at = np.take_along_axis(reduced, ranks[:, rank : rank + 1], axis=1)
        masks = [sum(1 << int(k) for k in row) for row in ranks[:, :rank]]
        more = at[:, 0] - before
        if more.any():
            levels.append((more, words_of(masks, n)))
        before = at[:, 0]
    return levels


def _least(others: Words, own: Words, levels: Levels, bits: Words) -> Matrix:
    """Sum over the tasks of `own` of the least that one of `others` costs beside it."""
    total = np.zeros(len(own))
    wanted = meet(own, bits)
    for more, masks in levels:
        wanted &= ~meet(others, masks)
        total += wanted @ more
    return total
