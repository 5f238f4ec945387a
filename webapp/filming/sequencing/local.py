"""Local search on whole sequences.

A move swaps two neighbouring stretches, which turns neither of them round: the 3-exchange of
Gambardella & Dorigo, "An ant colony system hybridized with a new local search for the
sequential ordering problem", INFORMS J. Computing 12 (2000) 237–255 (from memory). All moves of
a sequence are priced at once; the best one is made.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.problem import Problem
from webapp.filming.sequencing.run import Run

Ints = NDArray[np.int64]

_MOST_PRICED: Final = 1_500_000  # swaps at a time; of more, a random part is priced
_SHAKEN: Final = 12  # tasks in a stretch at most
_FAR: Final = 1e12


class LocalSearch:
    """Repeated descents from shaken sequences, with a seed of its own."""

    def __init__(self, run: Run, seed: int) -> None:
        self.run = run
        self.problem: Problem = run.problem
        self._rng = np.random.default_rng(seed)
        n = self.problem.n
        self._cost = np.where(np.isfinite(self.problem.cost), self.problem.cost, _FAR)
        self._precedes = np.zeros((n + 1, n + 1), dtype=bool)
        self._precedes[:n, :n] = self.problem.precedes
        self.current: Ints = np.array(run.sequence, dtype=np.int64)
        self.current_cost = run.cost

    def go(self, seconds: float, descents: int) -> int:
        """Shake and descend until either is used up; the number of descents made."""
        ends = self.run.left - seconds
        made = 0
        while made < descents and self.run.left > max(ends, 0) and not self.run.is_proven:
            sequence, cost = self.descend(self._shaken(self.current))
            made += 1
            self.run.offer(tuple(sequence))
            # A little worse is let pass, so that the search comes out of a hollow.
            worse = (cost - self.current_cost) / max(self.run.cost, 1e-9)
            if worse <= 0 or self._rng.random() < np.exp(-worse / 0.002) * 0.3:
                self.current, self.current_cost = sequence, cost
            elif self._rng.random() < 0.01:
                self.current, self.current_cost = np.array(self.run.sequence), self.run.cost
        return made

    def descend(self, sequence: Ints) -> tuple[Ints, float]:
        """The sequence after the best swap again and again, until none makes it cheaper."""
        cost = self.problem.cost_of(sequence)
        while self.run.left > 0:
            swap = self._best_swap(sequence)
            if swap is None:
                break
            h, i, j = swap
            tried = np.concatenate((sequence[:h], sequence[i:j], sequence[h:i], sequence[j:]))
            new_cost = self.problem.cost_of(tried)
            if not new_cost < cost - 1e-9 * (1 + cost):
                break
            sequence, cost = tried, new_cost
        return sequence, cost

    def _reach(self, sequence: Ints) -> Ints:
        """reach[h, i]: how far the second stretch from i may go with the first being h to i."""
        n = len(sequence)
        follows = self._precedes[np.ix_(sequence, sequence)]
        at = np.where(follows, np.arange(n), n)
        at = np.minimum.accumulate(at[:, ::-1], axis=1)[:, ::-1]
        at[np.tril_indices(n, 0)] = n  # the first stretch ends before i
        return np.minimum.accumulate(at[::-1], axis=0)[::-1]

    def _best_swap(self, sequence: Ints) -> tuple[int, int, int] | None:
        """The cheapest swap of sequence[h:i] and sequence[i:j] that precedence allows."""
        n = len(sequence)
        path = np.concatenate(([n], sequence, [n]))
        costs = self._cost[np.ix_(path, path)]
        links = costs[np.arange(n + 1), np.arange(1, n + 2)]
        joins = costs[: n + 1] - links[:, None]  # going there from a place, not to the next one
        reach = self._reach(sequence)
        hs, cuts = np.nonzero(reach > np.maximum(np.arange(n)[:, None], np.arange(n)))
        upper = hs < cuts
        hs, cuts = hs[upper], cuts[upper]
        if len(hs) * n > _MOST_PRICED:
            chosen = self._rng.choice(len(hs), _MOST_PRICED // n, replace=False)
            hs, cuts = hs[chosen], cuts[chosen]
        if not len(hs):
            return None
        into_first = joins[1 : n + 1, 1 : n + 1].T  # [h, j - 1]
        behind = joins[:n, 2 : n + 2].copy()  # [i, j - 1]
        behind[np.tril_indices(n, -1)] = np.inf
        behind[np.arange(n), np.arange(n)] = joins[np.arange(n), np.arange(2, n + 2)]
        gains = into_first[hs]
        gains += behind[cuts]
        gains += joins[hs, cuts + 1][:, None]
        gains[np.arange(n) >= reach[hs, cuts][:, None]] = np.inf
        best = int(gains.argmin())
        row, last = divmod(best, n)
        if not gains[row, last] < 0:
            return None
        return int(hs[row]), int(cuts[row]), last + 1

    def _shaken(self, sequence: Ints) -> Ints:
        """The sequence after a few random swaps of short stretches."""
        n, after = len(sequence), self.problem.after
        tasks = [int(task) for task in sequence]
        wanted = int(self._rng.integers(1, 4))
        for _ in range(40):
            h = int(self._rng.integers(0, n - 1))
            i = h + 1 + int(self._rng.integers(0, min(_SHAKEN, n - h - 1)))
            j = i + 1 + int(self._rng.integers(0, min(_SHAKEN, n - i)))
            later = 0
            for task in tasks[h:i]:
                later |= after[task]
            if any(later >> task & 1 for task in tasks[i:j]):
                continue
            tasks[h:j] = tasks[i:j] + tasks[h:i]
            wanted -= 1
            if not wanted:
                break
        return np.array(tasks, dtype=np.int64)
