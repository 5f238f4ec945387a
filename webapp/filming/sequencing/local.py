"""Local search on whole sequences.

A move swaps two neighbouring stretches, which turns neither of them round: the 3-exchange of
Gambardella & Dorigo, "An ant colony system hybridized with a new local search for the
sequential ordering problem", INFORMS J. Computing 12 (2000) 237–255. All moves of a sequence
are priced at once. Where none makes it cheaper, its dearest changeovers are made dearer still:
Voudouris & Tsang, "Guided local search and its application to the traveling salesman problem",
European J. Operational Research 113 (1999) 469–499. (Both from memory.)
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.guide import without_waste
from webapp.filming.sequencing.run import Run

Ints = NDArray[np.int64]
Short = NDArray[np.float32]

_MOST_PRICED: Final = 1_500_000  # swaps at a time; of more, a random part is priced
_MOST_SWAPS: Final = 40  # looked at, of a sequence
_SURELY: Final = np.float32(1 - 1e-5)  # of what it cost before; the rest is noise
_FAR: Final = 1e12
_DEARER: Final = 1.0  # times the mean of what is too dear, for each time


class LocalSearch:
    """A search that goes on where it stood, or from the run's best sequence if that is new."""

    def __init__(self, run: Run, seed: int) -> None:
        self.run = run
        self._rng = np.random.default_rng(seed)
        n = run.problem.n
        self._size = n
        self._cost = np.minimum(run.problem.cost, _FAR)
        # What a changeover costs above what its tasks cost in any order is what is amiss with it.
        self._amiss = np.minimum(without_waste(run.problem.cost)[1], _FAR)
        self._precedes = run.problem.precedes
        self._at = np.arange(n)
        self._upper = self._at[:, None] < self._at
        # Added to what a swap costs: nothing where it ends behind its middle, and where it ends
        # before it would turn a precedence round.
        self._too_early = np.where(self._at[:, None] > self._at, np.inf, 0).astype(np.float32)
        self._too_far = np.where(self._at >= np.arange(n + 1)[:, None], np.inf, 0)
        self._too_far = self._too_far.astype(np.float32)
        self._start()

    def _start(self) -> None:
        self._from = self.run.sequence
        self._sequence = np.array(self.run.sequence, dtype=np.int64)
        self._dearer = np.zeros_like(self._cost)
        self._priced = self._cost.astype(np.float32)
        self._step = 0.0

    def go(self, seconds: float, rounds: int) -> None:
        """Search until either is used up; a round ends where no swap helps."""
        if self._from != self.run.sequence:
            self._start()
        ends = max(self.run.left - seconds, 0.0)
        for _ in range(rounds):
            while self._swapped():
                if self.run.left <= ends:
                    return
            if self.run.is_proven or self.run.left <= ends:
                return
            self._make_dearer()

    def _swapped(self) -> bool:
        """Make the best swaps; False if there is none."""
        swaps = self._best_swaps()
        for h, i, j in swaps:
            old = self._sequence
            self._sequence = np.concatenate((old[:h], old[i:j], old[h:i], old[j:]))
        if swaps and self.run.problem.cost_of(self._sequence) < self.run.cost:
            self.run.offer(self._sequence.tolist())
            self._from = self.run.sequence
        return bool(swaps)

    def _make_dearer(self) -> None:
        path = np.concatenate(([self._size], self._sequence, [self._size]))
        tails, heads = path[:-1], path[1:]
        amiss = self._amiss[tails, heads]
        if not self._step:
            self._step = _DEARER * float(amiss.mean())
        if not self._step:
            return
        worth = amiss / (1 + self._dearer[tails, heads])
        most = worth >= worth.max() * (1 - 1e-9)
        tails, heads = tails[most], heads[most]
        self._dearer[tails, heads] += 1
        self._priced[tails, heads] += np.float32(self._step)

    def _best_swaps(self) -> list[tuple[int, int, int]]:
        """The cheapest swaps of sequence[h:i] and sequence[i:j], each clear of the others."""
        n = self._size
        path = np.concatenate(([n], self._sequence, [n]))
        costs: Short = self._priced[path[:, None], path]
        joins = costs[: n + 1] - costs.diagonal(1)[:, None]  # going there, not to the next one
        reach = self._reach()
        hs, cuts = np.nonzero((reach > self._at) & self._upper)
        if len(hs) * n > _MOST_PRICED:
            chosen = self._rng.choice(len(hs), _MOST_PRICED // n, replace=False)
            hs, cuts = hs[chosen], cuts[chosen]
        gains = joins[1 : n + 1, 1 : n + 1].T[hs]  # by h and j: from the second stretch's end
        gains += (joins[:n, 2:] + self._too_early)[cuts]  # by i and j: from the first one's end
        gains += self._too_far[reach[hs, cuts]]
        gains += joins[hs, cuts + 1][:, None]
        lasts = gains.argmin(axis=1)
        best = gains[np.arange(len(hs)), lasts]
        cheaper = np.nonzero(best < 0)[0]
        swaps: list[tuple[int, int, int]] = []
        for row in cheaper[np.argsort(best[cheaper], kind="stable")[:_MOST_SWAPS]]:
            h, i, j = int(hs[row]), int(cuts[row]), int(lasts[row]) + 1
            if any(h <= other_j and other_h <= j for other_h, _, other_j in swaps):
                continue
            old = costs[h, h + 1] + costs[i, i + 1] + costs[j, j + 1]
            if costs[h, i + 1] + costs[j, h + 1] + costs[i, j + 1] < old * _SURELY:
                swaps.append((h, i, j))
        return swaps

    def _reach(self) -> Ints:
        """reach[h, i]: how far the second stretch from i may go with the first being h to i."""
        follows = self._precedes[self._sequence[:, None], self._sequence]
        at = np.where(follows, self._at, self._size)
        at = np.minimum.accumulate(at[:, ::-1], axis=1)[:, ::-1]
        at[~self._upper] = self._size  # the first stretch ends before i
        return np.minimum.accumulate(at[::-1], axis=0)[::-1]
