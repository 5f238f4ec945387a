"""The same tasks with shortcuts through places, so that nothing there need be left for later.

Where going from one place to another over a third takes less than going there at once, a task at
the third may be worth keeping for that way; so every choice of them is a state of its own. Let the
way be gone without doing a task, and all that can be done at a place is best done at once. No
order costs more then, so what is proven of these costs is a bound for those that are given.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from webapp.filming.sequencing.groups import Groups
from webapp.filming.sequencing.problem import Matrix, Problem

Ints = NDArray[np.int64]

_MOST_ROUNDS: Final = 10  # of taking shortcuts over shortcuts
_LESS: Final = 1e-10  # of the cost within a place: it outweighs the rounding of sums


def with_shortcuts(problem: Problem, groups: Groups) -> Problem | None:
    """The problem with ways shortened over places where tasks may be worth leaving for later.

    A way over a place costs what going there and away does, less what a task there costs after
    another one. None where there is no such place.
    """
    places = _left_for_later(problem, groups)
    if not places:
        return None
    cost = problem.cost.copy()
    for _ in range(_MOST_ROUNDS):
        before = cost.copy()
        for members in places:
            _shorten(cost, members, float(groups.inner[members[0]]))
        if (cost == before).all():
            break
    for members in [*places, *groups.shared]:
        within = np.ix_(members, members)
        cost[within] *= 1 - _LESS
    return replace(problem, cost=cost, step=0.0)


def _left_for_later(problem: Problem, groups: Groups) -> list[Ints]:
    """The tasks by place of those groups that are not done all at once."""
    single = groups.single[groups.single < problem.n]
    of = groups.of[single]
    found = [single[of == number] for number in np.unique(of)]
    return [members for members in found if len(members) > 1]


def _shorten(cost: Matrix, members: Ints, inner: float) -> None:
    into = cost[:, members].min(axis=1)
    out_of = cost[members].min(axis=0)
    known = np.isfinite(cost)
    over = np.maximum(into[:, None] + out_of[None, :] - inner, 0.0)
    cost[known] = np.minimum(cost, over)[known]
