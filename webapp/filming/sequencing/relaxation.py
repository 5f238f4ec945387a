"""The linear relaxation of a problem: how cheap can an order be at most?

Every task is entered and left once, and cuts are added as long as the fractional order breaks
some. HiGHS solves it; what is proven does not rest on its answer but on the prices taken from
it: any prices of rows give a bound, which is worked out here anew for all arcs.
"""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.cuts import Cut, Cutter, Network
from webapp.filming.sequencing.guide import Guide, without_waste
from webapp.filming.sequencing.problem import Flags, Matrix
from webapp.filming.sequencing.run import Run

Ints = NDArray[np.int64]

_NEAREST: Final = 8  # arcs at every task to begin with; others come in as they are missed
_NEW_ARCS: Final = 400
_NEW_CUTS: Final = 60
_USED: Final = 1e-6
_FAR: Final = 1e13
_MANY_ROWS: Final = 4  # times the tasks, before slack cuts are thrown out


class Relaxation:
    """A relaxation under way; `guide` holds the best prices so far, `cuts` the rows added.

    A cut goes with the tasks of its tails and of its heads as flags.
    """

    def __init__(self, run: Run, seed: int) -> None:
        self.run = run
        self.problem = run.problem
        n = self.problem.n
        self._cutter = Cutter(self.problem)
        self._rng = np.random.default_rng(seed)
        self._cost = np.minimum(self.problem.cost, _FAR)
        constant, reduced = without_waste(self._cost)
        self.guide = Guide(self.problem, constant, reduced)
        self.is_done = False
        self._known: Flags = np.zeros((n + 1, n + 1), dtype=bool)
        self._tails: Ints = np.zeros(0, dtype=np.int64)
        self._heads: Ints = np.zeros(0, dtype=np.int64)
        self.cuts: list[tuple[Cut, Flags, Flags]] = []
        self._highs = _solver()
        infinite = np.ones(2 * (n + 1))
        nothing = np.zeros(2 * (n + 1), dtype=np.int32)
        self._highs.addRows(
            2 * (n + 1), infinite, infinite, 0, nothing, np.zeros(0, np.int32), np.zeros(0)
        )
        self._add_arcs(self._first_arcs(reduced))

    def go(self, seconds: float) -> None:
        """Raise the bound until no cut is found or the seconds are used up."""
        ends = self.run.left - seconds
        while not self.is_done and self.run.left > max(ends, 0) and not self.run.is_proven:
            values = self._solve(max(0.05, self.run.left - max(ends, 0)))
            if values is None or self.run.is_proven:
                return
            used = np.nonzero(values > _USED)[0]
            network = Network(
                self.problem.n,
                ((int(self._tails[k]), int(self._heads[k]), float(values[k])) for k in used),
            )
            self._throw_out()
            found = self._broken(network, ends)
            self.is_done = not found and self.run.left > max(ends, 0)
            self._add_cuts(found)

    def _solve(self, seconds: float) -> NDArray[np.float64] | None:
        """The values of the arcs in the relaxation with all arcs that matter; None if stopped."""
        ends = self.run.left - seconds
        while True:
            self._highs.setOptionValue(
                "time_limit", self._highs.getRunTime() + max(0.01, self.run.left - ends)
            )
            self._highs.run()
            solution = self._highs.getSolution()
            if self._highs.modelStatusToString(self._highs.getModelStatus()) != "Optimal":
                return None
            missed = self._priced(np.array(solution.row_dual))
            if not len(missed) or self.run.is_proven:
                return np.array(solution.col_value)
            self._add_arcs(missed)
            if self.run.left <= ends:
                return None

    def _priced(self, prices: NDArray[np.float64]) -> Ints:
        """Take what the prices prove; the arcs that would be cheaper than nothing at them."""
        n = self.problem.n
        raw = self._cost - prices[: n + 1, None] - prices[None, n + 1 : 2 * n + 2]
        constant = float(prices[: 2 * n + 2].sum())
        for (_, tails, heads), price in zip(self.cuts, prices[2 * n + 2 :], strict=True):
            if price > 0:
                raw[np.ix_(tails, heads)] -= price
                constant += float(price)
        more, reduced = without_waste(raw)
        if constant + more > self.guide.constant + 1e-9:
            self.guide = Guide(self.problem, constant + more, reduced)
            self.run.raise_bound(constant + more - 1e-9 * (1 + abs(constant)))
        usable = (raw < -1e-7) & ~self._known & np.isfinite(self.problem.cost)
        missed = np.flatnonzero(usable)
        if len(missed) > _NEW_ARCS:
            missed = missed[np.argsort(raw.ravel()[missed], kind="stable")[:_NEW_ARCS]]
        return missed

    def _first_arcs(self, reduced: Matrix) -> Ints:
        """The nearest to and from every task, and those of the best order."""
        n = self.problem.n
        wanted = np.zeros((n + 1, n + 1), dtype=bool)
        near = min(_NEAREST, n)
        rows = np.argsort(reduced, axis=1, kind="stable")[:, :near]
        columns = np.argsort(reduced, axis=0, kind="stable")[:near]
        np.put_along_axis(wanted, rows, True, axis=1)
        np.put_along_axis(wanted, columns, True, axis=0)
        path = np.array((n, *self.run.sequence, n))
        wanted[path[:-1], path[1:]] = True
        return np.flatnonzero(wanted & np.isfinite(self.problem.cost))

    def _add_arcs(self, arcs: Ints) -> None:
        n = self.problem.n
        tails, heads = np.divmod(arcs, n + 1)
        self._known[tails, heads] = True
        self._tails = np.concatenate((self._tails, tails))
        self._heads = np.concatenate((self._heads, heads))
        crossed = np.array([at[tails] & to[heads] for _, at, to in self.cuts], dtype=bool)
        crossed = crossed.reshape(len(self.cuts), len(arcs))
        starts: list[int] = []
        rows: list[NDArray[np.int32]] = []
        for k, (tail, head) in enumerate(zip(tails, heads, strict=True)):
            starts.append(sum(len(row) for row in rows))
            at = np.flatnonzero(crossed[:, k]) + 2 * n + 2
            rows.append(np.concatenate(([tail, n + 1 + head], at)).astype(np.int32))
        flat = np.concatenate(rows) if rows else np.zeros(0, np.int32)
        self._highs.addCols(
            len(arcs),
            self._cost[tails, heads],
            np.zeros(len(arcs)),
            np.full(len(arcs), np.inf),
            len(flat),
            np.array(starts, dtype=np.int32),
            flat,
            np.ones(len(flat)),
        )

    def _broken(self, network: Network, ends: float) -> list[Cut]:
        """Some cuts that the fractional order breaks, each once."""
        n = self.problem.n
        cutter = self._cutter
        found: dict[Cut, None] = {}
        for task in range(n):
            if self.run.left <= max(ends, 0):
                break
            for cut in (cutter.ahead_cut(network, task), cutter.after_cut(network, task)):
                if cut:
                    found[cut] = None
        for k in self._rng.permutation(len(cutter.pairs)):
            if len(found) >= _NEW_CUTS or self.run.left <= max(ends, 0):
                break
            cut = cutter.between_cut(network, *cutter.pairs[k])
            if cut:
                found[cut] = None
        return list(found)

    def _add_cuts(self, cuts: list[Cut]) -> None:
        n = self.problem.n
        starts: list[int] = []
        rows: list[NDArray[np.int32]] = []
        for cut in cuts:
            tails = np.array([cut.tails >> k & 1 for k in range(n + 1)], dtype=bool)
            heads = np.array([cut.heads >> k & 1 for k in range(n + 1)], dtype=bool)
            self.cuts.append((cut, tails, heads))
            starts.append(sum(len(row) for row in rows))
            rows.append(np.flatnonzero(tails[self._tails] & heads[self._heads]).astype(np.int32))
        if cuts:
            flat = np.concatenate(rows)
            self._highs.addRows(
                len(cuts),
                np.ones(len(cuts)),
                np.full(len(cuts), np.inf),
                len(flat),
                np.array(starts, dtype=np.int32),
                flat,
                np.ones(len(flat)),
            )

    def _throw_out(self) -> None:
        """Delete the cuts that hold with room to spare, once there are many."""
        n = self.problem.n
        if len(self.cuts) < _MANY_ROWS * n:
            return
        values = np.array(self._highs.getSolution().row_value)[2 * n + 2 :]
        slack = values > 1 + 1e-3
        rows = (np.flatnonzero(slack) + 2 * n + 2).astype(np.int32)
        if len(rows):
            self._highs.deleteRows(len(rows), rows)
            self.cuts = [cut for cut, out in zip(self.cuts, slack, strict=True) if not out]


def _solver() -> Any:
    # The class that Highs is derived from: Highs itself prints a banner when it is made.
    from highspy._core import _Highs  # noqa: PLC0415 - most orders are found without it

    highs = _Highs()
    for option, value in (
        ("output_flag", False),
        ("presolve", "off"),
        ("solver", "simplex"),
        ("parallel", "off"),
        ("threads", 1),
        ("random_seed", 0),
    ):
        highs.setOptionValue(option, value)
    return highs
