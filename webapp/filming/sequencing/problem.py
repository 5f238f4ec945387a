"""What is to be ordered, checked and brought into the form every method works on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from webapp.errors import SeamslateError

Matrix = NDArray[np.float64]
Flags = NDArray[np.bool_]
Words = NDArray[np.uint64]

_MOST: Final = 1e15  # a larger changeover leaves no digits for the others in a float
_LARGEST_EXACT: Final = 2.0**50


class SequenceError(SeamslateError, ValueError):
    """The tasks cannot be ordered as asked. `tasks` are the numbers of those at fault."""

    def __init__(self, sentence: str, tasks: Sequence[int] = ()) -> None:
        super().__init__(sentence)
        self.tasks = tuple(tasks)


@dataclass(frozen=True, eq=False)
class Problem:
    """A sequential ordering problem as a round trip from and to a depot, task number `n`.

    `cost` is (n+1)×(n+1) in units of `unit` minutes, infinite where one task can never follow
    another directly. With `step` 1 every finite cost is a whole number, else `step` is 0.
    `ahead[j]` and `after[i]` are bit sets of all tasks somewhere ahead of j and after i.
    """

    n: int
    raw: Matrix
    cost: Matrix
    unit: float
    step: float
    precedes: Flags
    ahead: tuple[int, ...]
    after: tuple[int, ...]
    topological: tuple[int, ...]

    def cost_of(self, sequence: Sequence[int] | NDArray[np.int64]) -> float:
        """Cost of a sequence in units; infinite where it breaks a precedence at one step."""
        path = np.concatenate(([self.n], sequence, [self.n])).astype(np.int64)
        return float(self.cost[path[:-1], path[1:]].sum())

    def keeps(self, sequence: Sequence[int]) -> bool:
        """True if it holds every task once and keeps every precedence."""
        done = 0
        for task in sequence:
            if self.ahead[task] & ~done or done >> task & 1:
                return False
            done |= 1 << task
        return len(sequence) == self.n


def problem_of(
    changeover: Any, before: Iterable[tuple[int, int]], start: int | None, end: int | None
) -> Problem:
    """The problem behind what was asked. SequenceError with the reason if there is none."""
    raw = _checked(changeover)
    n = len(raw)
    pairs = _checked_pairs(before, n)
    pairs += _fixed_ends(n, start, end)
    topological = _topological(n, pairs)
    ahead, after = _closure(n, pairs, topological)
    precedes = np.array([[mask >> j & 1 for j in range(n)] for mask in after], dtype=bool)
    precedes = precedes.reshape(n, n)
    whole = precedes.astype(np.float32)
    usable = ~precedes.T & ~(whole @ whole > 0.5)
    np.fill_diagonal(usable, False)
    unit, step = _unit(raw[usable], n)
    cost = np.full((n + 1, n + 1), np.inf)
    scaled = raw / unit
    cost[:n, :n] = np.where(usable, np.rint(scaled) if step else scaled, np.inf)
    cost[n, :n] = np.where(precedes.any(axis=0), np.inf, 0.0)
    cost[:n, n] = np.where(precedes.any(axis=1), np.inf, 0.0)
    return Problem(n, raw, cost, unit, step, precedes, ahead, after, topological)


def _checked(changeover: Any) -> Matrix:
    try:
        raw = np.array(changeover, dtype=np.float64)
    except (TypeError, ValueError):
        raise SequenceError(
            "The changeovers need one number from every task to every other task."
        ) from None
    if raw.size == 0 and raw.ndim <= 2 and len(raw) == 0:
        return np.zeros((0, 0))
    if raw.ndim != 2 or raw.shape[0] != raw.shape[1]:
        raise SequenceError("The changeovers need as many columns as rows: one for every task.")
    np.fill_diagonal(raw, 0.0)
    for fault, words in (
        (~np.isfinite(raw), "is not a number of minutes"),
        (raw < 0, "is less than nothing"),
        (raw > _MOST, "is too long to count with"),
    ):
        if fault.any():
            i, j = (int(k) for k in np.argwhere(fault)[0])
            raise SequenceError(f"The changeover from task {i} to task {j} {words}.", (i, j))
    return raw


def _checked_pairs(before: Iterable[tuple[int, int]], n: int) -> list[tuple[int, int]]:
    pairs = [(int(i), int(j)) for i, j in before]
    for pair in pairs:
        for task in pair:
            _in_range(task, n)
    return pairs


def _in_range(task: int, n: int) -> None:
    if not 0 <= task < n:
        there = f"only tasks 0 to {n - 1} are there" if n else "no task is there"
        raise SequenceError(f"There is no task {task}: {there}.", (task,))


def _fixed_ends(n: int, start: int | None, end: int | None) -> list[tuple[int, int]]:
    """The first and last task as precedences; refused by the caller if they close a circle."""
    pairs = []
    for task in (start, end):
        if task is not None:
            _in_range(task, n)
    if start is not None and start == end and n > 1:
        raise SequenceError(f"Task {start} cannot be both the first and the last.", (start,))
    if start is not None:
        pairs += [(start, j) for j in range(n) if j != start]
    if end is not None:
        pairs += [(i, end) for i in range(n) if i not in (start, end)]
    return pairs


def check_ends(before: Iterable[tuple[int, int]], start: int | None, end: int | None) -> None:
    """SequenceError if a task is to be ahead of the first one or behind the last one."""
    for i, j in before:
        if start is not None and j == start and i != start:
            raise SequenceError(f"Task {start} cannot be first: task {i} goes ahead of it.", (i, j))
        if end is not None and i == end and j != end:
            raise SequenceError(f"Task {end} cannot be last: it goes ahead of task {j}.", (i, j))


def _topological(n: int, pairs: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    """The tasks with every one behind those ahead of it; SequenceError names a circle."""
    following: list[set[int]] = [set() for _ in range(n)]
    waits = [0] * n
    for i, j in pairs:
        if j not in following[i]:
            following[i].add(j)
            waits[j] += 1
    order = [task for task in range(n) if not waits[task]]
    for task in order:
        for later in sorted(following[task]):
            waits[later] -= 1
            if not waits[later]:
                order.append(later)
    if len(order) < n:
        circle = _circle({task for task in range(n) if waits[task]}, following)
        if len(circle) == 1:
            raise SequenceError(f"Task {circle[0]} cannot go ahead of itself.", circle)
        named = ", ".join(map(str, circle))
        raise SequenceError(f"These tasks wait on each other in a circle: {named}.", circle)
    return tuple(order)


def _circle(stuck: set[int], following: Sequence[set[int]]) -> tuple[int, ...]:
    """One circle among tasks each of which waits on another of them, in order."""
    waits_on = {
        later: task for task in sorted(stuck, reverse=True) for later in following[task] & stuck
    }
    walked = [min(stuck)]
    while (task := waits_on[walked[-1]]) not in walked:
        walked.append(task)
    circle = walked[walked.index(task) :][::-1]
    least = circle.index(min(circle))
    return tuple(circle[least:] + circle[:least])


def _closure(
    n: int, pairs: Sequence[tuple[int, int]], topological: Sequence[int]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Bit sets of all tasks ahead of each, and of all after each."""
    direct: list[set[int]] = [set() for _ in range(n)]
    for i, j in pairs:
        direct[j].add(i)
    ahead, after = [0] * n, [0] * n
    for task in topological:
        for earlier in direct[task]:
            ahead[task] |= ahead[earlier] | 1 << earlier
    for task in reversed(topological):
        for earlier in direct[task]:
            after[earlier] |= after[task] | 1 << task
    return tuple(ahead), tuple(after)


def _unit(values: Matrix, n: int) -> tuple[float, float]:
    """Minutes such that every value is a whole number of them, and step 1; else 1 and step 0."""
    most = float(values.max(initial=0.0))
    for decimals in (1.0, 10.0, 100.0, 1000.0):
        if most * decimals * (n + 1) > _LARGEST_EXACT:
            break
        whole = np.rint(values * decimals)
        if np.all(np.abs(values * decimals - whole) <= 1e-13 * (1 + np.abs(whole))):
            shared = int(np.gcd.reduce(whole.astype(np.int64))) if len(whole) else 0
            return max(shared, 1) / decimals, 1.0
    return 1.0, 0.0


def word_count(n: int) -> int:
    """64-bit words that hold a bit for every task and one for the depot."""
    return n // 64 + 1


def words_of(masks: Iterable[int], n: int) -> Words:
    """Bit sets as rows of 64-bit words."""
    count = word_count(n)
    rows = [[mask >> 64 * w & 0xFFFFFFFFFFFFFFFF for w in range(count)] for mask in masks]
    return np.array(rows, dtype=np.uint64).reshape(len(rows), count)
