"""Tasks that are alike, such as shots from one camera place."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.problem import Flags, Matrix, Problem

Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Groups:
    """`shared` groups: where one of their tasks is done, all that can be done are done at once.

    `single` are all other tasks: those alone, and those of groups that may be worth another
    visit. `of` is the group's number of each task and of the depot; `inner[j]` is what task j
    costs after another of its group, 0 if it is alone.
    """

    shared: tuple[Ints, ...]
    single: Ints
    of: Ints
    inner: Matrix

    @property
    def are_places(self) -> bool:
        """True if there is a group of more than one task."""
        return len(np.unique(self.of)) < len(self.of)


def groups_of(problem: Problem) -> Groups:
    """The groups of tasks that are alike, and those within which none need be left for later.

    They have the same changeovers to and from every other task and one and the same among each
    other, w. In a shared group every task can be pulled forward at no loss: behind another of
    its group a task t costs w more, and where it stood d(a, t) + d(t, b) - d(a, b) are saved,
    so none may save less than w.
    """
    n = problem.n
    candidates = _alike(problem)
    inner = np.zeros(n + 1)
    shared: list[Ints] = []
    of = np.arange(n + 1)
    for members in candidates:
        costs = problem.cost[np.ix_(members, members)]
        known = costs[np.isfinite(costs)]
        if len(known) == 0 or known.max() > known.min():
            continue
        of[members] = min(members)
        inner[members] = known[0]
        if _saves(problem, members, known[0]):
            place = {task: k for k, task in enumerate(problem.topological)}
            shared.append(np.array(sorted(members, key=place.__getitem__)))
    single = np.setdiff1d(np.arange(n), np.concatenate([np.zeros(0, np.int64), *shared]))
    return Groups(tuple(shared), single.astype(np.int64), of, inner)


def _alike(problem: Problem) -> list[list[int]]:
    """Sets of two tasks and more that their changeovers do not tell apart.

    First by all that were given; then, of the tasks still alone, by those that can be used.
    """
    found = _sets(range(problem.n), problem.raw)
    alone = [members[0] for members in found if len(members) == 1]
    found += _sets(alone, problem.cost)
    return [members for members in found if len(members) > 1]


def _sets(tasks: Sequence[int], costs: Matrix) -> list[list[int]]:
    """The tasks in sets, all of a set alike; a task alone is a set of its own."""
    left = np.array(tasks, dtype=np.int64)
    found: list[list[int]] = []
    while len(left):
        first, left = int(left[0]), left[1:]
        members = [first]
        for task in left[_like(costs, first, left)]:
            if all(_equal(costs, one, int(task)) for one in members):
                members.append(int(task))
        left = left[~np.isin(left, members)]
        found.append(members)
    return found


def _like(costs: Matrix, one: int, others: Ints) -> Flags:
    """Which of the others have the changeovers of the one, but for those to each other."""
    differs = np.zeros((len(others), len(costs)), dtype=bool)
    for ours, theirs in ((costs[one], costs[others]), (costs[:, one], costs[:, others].T)):
        differs |= (ours != theirs) & np.isfinite(ours) & np.isfinite(theirs)
    differs[:, one] = False
    differs[np.arange(len(others)), others] = False
    alike: Flags = np.logical_not(differs.any(axis=1))
    return alike


def _equal(cost: Matrix, one: int, other: int) -> bool:
    differs = False
    for ours, theirs in ((cost[one], cost[other]), (cost[:, one], cost[:, other])):
        usable = np.isfinite(ours) & np.isfinite(theirs)
        usable[[one, other]] = False
        differs |= bool((ours[usable] != theirs[usable]).any())
    there, back = cost[one, other], cost[other, one]
    return not differs and (there == back or not np.isfinite([there, back]).all())


def _saves(problem: Problem, members: list[int], inner: float) -> bool:
    """True if taking a task of the group out from behind another always saves `inner`."""
    behind = np.setdiff1d(np.arange(problem.n), members)
    others = np.append(behind, problem.n)
    into = problem.cost[:, members][behind].min(axis=1)
    out_of = problem.cost[members][:, others].min(axis=0)
    between = problem.cost[np.ix_(behind, others)]
    usable = np.isfinite(between)
    saved = into[:, None] + out_of[None, :] - np.where(usable, between, 0.0)
    return bool((saved[usable] >= inner * (1 + 1e-12)).all())
