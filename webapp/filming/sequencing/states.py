"""A sweep over states: which tasks are done, and which one came last.

Dynamic programming after Held & Karp (1962) over the sets that precedence allows, layer by
layer in numpy, with states dropped that bounds rule out. Kept narrow it is a beam search whose
dropped states still give a proven bound; wide enough it is exact (a "complete anytime beam
search", after Zhang 1998; from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.groups import Groups
from webapp.filming.sequencing.guide import Guide
from webapp.filming.sequencing.patterns import Patterns
from webapp.filming.sequencing.problem import Flags, Matrix, Problem, Words, words_of
from webapp.filming.sequencing.run import Run

Ints = NDArray[np.int64]

_CHUNK: Final = 4096
_SHORTLIST: Final = 12  # times the width, of which more is worked out
_SHORTEST_LIST: Final = 6  # the same with more tasks than are a few
_SMALL: Final = 100
_SORTING_S: Final = 4e-7  # a state
_WIDEST: Final = 200_000
_MOST_KEPT: Final = 300_000_000  # bytes
_NO_BOUND: Final = float("-inf")


@dataclass(frozen=True)
class _States:
    """`spent` so far, `priced` the same in the guide's reduced costs; parents are numbers."""

    done: Words
    last: Ints
    spent: Matrix
    priced: Matrix
    parent: Ints

    def __getitem__(self, chosen: Ints | Flags | slice) -> "_States":
        return _States(
            self.done[chosen],
            self.last[chosen],
            self.spent[chosen],
            self.priced[chosen],
            self.parent[chosen],
        )

    def __len__(self) -> int:
        return len(self.last)


def _joined(parts: list[_States]) -> _States:
    return _States(
        np.concatenate([part.done for part in parts]),
        np.concatenate([part.last for part in parts]),
        np.concatenate([part.spent for part in parts]),
        np.concatenate([part.priced for part in parts]),
        np.concatenate([part.parent for part in parts]),
    )


class Sweep:
    """Sweeps over one problem, each with its width and guide."""

    def __init__(self, run: Run, groups: Groups, patterns: Patterns | None = None) -> None:
        self.run = run
        self.problem = run.problem
        self.groups = groups
        self.patterns = patterns
        self._place, self._further = _further(run.problem, groups)
        n = self.problem.n
        self._bits = words_of([1 << task for task in range(n)], n)
        self._ahead = words_of(self.problem.ahead, n)
        self._watched = self._ahead | self._bits
        rng = np.random.default_rng(0)
        self._mixers = rng.integers(1, 2**63, self._bits.shape[1] + 2).astype(np.uint64) | 1

    @property
    def widest(self) -> int:
        """States a layer beyond which what is kept of all layers would take too much memory."""
        bytes_a_state = 8 * int(self._bits.shape[1]) + 4
        return min(_WIDEST, _MOST_KEPT // (bytes_a_state * self.problem.n))

    def go(self, width: int, guide: Guide) -> float:
        """Look through at most `width` states a layer; the bound proven by it, in units.

        What is found is offered to the run. Without a bound (-inf) if the time was up before.
        """
        n = self.problem.n
        layers: list[list[_States]] = [[] for _ in range(n + 1)]
        layers[0].append(self._first(guide))
        kept: list[tuple[Words, NDArray[np.int32]]] = []
        count, dropped = 0, float("inf")
        for done in range(n):
            if not layers[done]:
                continue
            if self.run.left < _SORTING_S * sum(map(len, layers[done])):
                return _NO_BOUND
            states = self._without_doubles(_joined(layers[done]))
            if self.groups.are_places:
                states = self._without_detours(states)
            layers[done] = []
            states, left_out = self._promising(states, guide, width)
            dropped = min(dropped, left_out)
            kept.append((states.done, states.parent.astype(np.int32)))
            for k in range(0, len(states), _CHUNK):
                if self.run.left <= 0:
                    return _NO_BOUND
                numbers = np.arange(count + k, count + min(k + _CHUNK, len(states)))
                self._expand(states[k : k + _CHUNK], numbers, guide, layers)
            count += len(states)
        if layers[n]:
            self._offer(_joined(layers[n]), kept)
        return min(dropped, self.run.cost)

    def _first(self, guide: Guide) -> _States:
        return _States(
            np.zeros((1, self._bits.shape[1]), dtype=np.uint64),
            np.array([self.problem.n]),
            np.zeros(1),
            np.array([guide.constant]),
            np.array([-1]),
        )

    def _expand(
        self, states: _States, numbers: Ints, guide: Guide, layers: list[list[_States]]
    ) -> None:
        """Put every state that follows on one of these into its layer."""
        cost, reduced = self.problem.cost, guide.reduced
        open_ = self._open(states.done)
        rows, tasks = np.nonzero(open_[:, self.groups.single])
        tasks = self.groups.single[tasks]
        came = states.last[rows]
        spent = states.spent[rows] + cost[came, tasks]
        priced = states.priced[rows] + reduced[came, tasks]
        good = np.nonzero((spent <= self.run.cutoff) & (priced <= self.run.cutoff))[0]
        if len(good):
            rows, tasks = rows[good], tasks[good]
            after = _States(
                states.done[rows] | self._bits[tasks],
                tasks,
                spent[good],
                priced[good],
                numbers[rows],
            )
            self._put(after, layers)
        for members in self.groups.shared:
            rows = np.nonzero(open_[:, members].any(axis=1))[0]
            if len(rows):
                self._put(self._all_open(states[rows], numbers[rows], members, guide), layers)

    def _open(self, done: Words) -> Flags:
        """For each set a row that tells which tasks can be done next."""
        found: Flags = (done[:, None, 0] & self._watched[:, 0]) == self._ahead[:, 0]
        for word in range(1, done.shape[1]):
            found &= (done[:, None, word] & self._watched[:, word]) == self._ahead[:, word]
        return found

    def _all_open(self, states: _States, numbers: Ints, members: Ints, guide: Guide) -> _States:
        """Every task of the group that can be done now, one after another."""
        cost, reduced = self.problem.cost, guide.reduced
        done, last = states.done.copy(), states.last.copy()
        spent, priced = states.spent.copy(), states.priced.copy()
        for task in members:
            rows = np.nonzero(((done & self._watched[task]) == self._ahead[task]).all(axis=1))[0]
            if not len(rows):
                continue
            came = last[rows]
            spent[rows] += cost[came, task]
            priced[rows] += reduced[came, task]
            done[rows] |= self._bits[task]
            last[rows] = task
        good = (spent <= self.run.cutoff) & (priced <= self.run.cutoff)
        return _States(done, last, spent, priced, numbers)[good]

    def _put(self, states: _States, layers: list[list[_States]]) -> None:
        if not self.groups.shared:
            if len(states):
                layers[int(np.bitwise_count(states.done[0]).sum())].append(states)
            return
        counts = np.bitwise_count(states.done).sum(axis=1)
        for count in np.unique(counts):
            layers[int(count)].append(states[counts == count])

    def _without_doubles(self, states: _States) -> _States:
        """Each state once, at its least cost.

        The reduced costs of any way to a state bound what lies behind it, so the highest counts,
        put on the least cost.
        """
        group = self.groups.of[states.last].astype(np.uint64)
        mixed = self._mixed(states.done) + group * self._mixers[-1]
        mixed = (mixed ^ (mixed >> np.uint64(31))) * self._mixers[0]
        order = np.argsort(mixed)
        states, group = states[order], group[order]
        new = np.ones(len(states), dtype=bool)
        new[1:] = (group[1:] != group[:-1]) | (states.done[1:] != states.done[:-1]).any(axis=1)
        starts = np.nonzero(new)[0]
        if len(starts) == len(states):
            return states
        least = np.minimum.reduceat(states.spent, starts)
        ahead = np.maximum.reduceat(states.priced - states.spent, starts)
        number = np.cumsum(new) - 1
        is_least = np.nonzero(states.spent == least[number])[0]
        _, first = np.unique(number[is_least], return_index=True)
        chosen = states[is_least[first]]
        return _States(chosen.done, chosen.last, least, least + ahead, chosen.parent)

    def _without_detours(self, states: _States) -> _States:
        """Without states from whose place all costs more than from another with the same done."""
        mixed = self._mixed(states.done)
        order = np.argsort(mixed, kind="stable")
        states, mixed = states[order], mixed[order]
        place = self._place[states.last]
        keep = np.ones(len(states), dtype=bool)
        for lag in range(1, len(self._further)):
            near = np.nonzero(mixed[lag:] == mixed[:-lag])[0]
            if not len(near):
                break
            near = near[(states.done[near] == states.done[near + lag]).all(axis=1)]
            one, other = near, near + lag
            there = states.spent[one] + self._further[place[one], place[other]]
            keep[other[there <= states.spent[other]]] = False
            back = states.spent[other] + self._further[place[other], place[one]]
            keep[one[back < states.spent[one]]] = False
        return states[keep]

    def _mixed(self, done: Words) -> Words:
        """A number for every set, seldom the same for two of them."""
        mixed = np.zeros(len(done), dtype=np.uint64)
        for word in range(done.shape[1]):
            mixed = (mixed ^ (mixed >> np.uint64(29))) * self._mixers[0]
            mixed = mixed + done[:, word] * self._mixers[1 + word]
        return mixed ^ (mixed >> np.uint64(32))

    def _promising(self, states: _States, guide: Guide, width: int) -> tuple[_States, float]:
        """The states that may still lead to something cheaper, at most `width` of them.

        Also the least bound among those left out for want of room.
        """
        cutoff, left_out = self.run.cutoff, float("inf")
        bound = states.priced
        if self.patterns:
            bound = np.maximum(bound, states.spent + self.patterns.rest(states.done, states.last))
        good = bound <= cutoff
        states, bound = states[good], bound[good]
        if not self.patterns or not guide.is_first:
            shortlist = width * (_SHORTLIST if self.problem.n <= _SMALL else _SHORTEST_LIST)
            states, bound, left_out = _least(states, bound, shortlist)
            bound = np.maximum(bound, states.priced + guide.rest(states.done, states.last))
            good = bound <= cutoff
            states, bound = states[good], bound[good]
        states, _, also_left_out = _least(states, bound, width)
        return states, min(left_out, also_left_out)

    def _offer(self, ends: _States, kept: list[tuple[Words, NDArray[np.int32]]]) -> None:
        total = ends.spent + self.problem.cost[ends.last, self.problem.n]
        best = int(np.argmin(total))
        firsts = np.cumsum([0] + [len(parent) for _, parent in kept])
        sets = [self._set(ends.done[best])]
        number = int(ends.parent[best])
        while number >= 0:
            layer = int(np.searchsorted(firsts, number, side="right")) - 1
            done, parent = kept[layer]
            sets.append(self._set(done[number - firsts[layer]]))
            number = int(parent[number - firsts[layer]])
        sequence: list[int] = []
        for later, earlier in zip(sets[-2::-1], sets[:0:-1], strict=True):
            new = later & ~earlier
            sequence += [task for task in self.problem.topological if new >> task & 1]
        self.run.offer(sequence)

    @staticmethod
    def _set(words: Words) -> int:
        return sum(int(word) << 64 * k for k, word in enumerate(words))


def _least(states: _States, bound: Matrix, count: int) -> tuple[_States, Matrix, float]:
    """The states with the least bounds, their bounds, and the least of those left out."""
    if len(states) <= count:
        return states, bound, float("inf")
    order = np.argsort(bound, kind="stable")
    return states[order[:count]], bound[order[:count]], float(bound[order[count]])


def _further(problem: Problem, groups: Groups) -> tuple[Ints, Matrix]:
    """Each task's place, and by two places: what going on from the first may cost more."""
    of, place = np.unique(groups.of, return_inverse=True)
    ways = np.full((len(of), problem.n + 1), -np.inf)
    for task in range(problem.n + 1):
        row = problem.cost[task]
        known = np.isfinite(row)
        ways[place[task], known] = row[known]
    usable = np.isfinite(ways)
    further = np.full((len(of), len(of)), np.inf)
    if groups.are_places:
        for k in range(len(of)):
            both = usable & usable[k]
            # Where only the second place can go on, nothing is known of the first.
            blind = (usable & ~usable[k]).any(axis=1)
            more = np.where(both, ways[k] - np.where(usable, ways, 0.0), -np.inf).max(axis=1)
            further[k] = np.where(blind, np.inf, more)
    return place, further
