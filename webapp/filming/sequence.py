"""Tasks in the order that costs least to change over in, with what must come first kept.

The sequential ordering problem (Escudero 1988). A search over states finds a first order and,
where there are few states, the best one; a local search makes it better; a linear relaxation
proves how much better it could be.
"""

import math
from collections.abc import Callable, Iterable
from typing import Any, Final

from webapp.filming.sequencing.groups import groups_of
from webapp.filming.sequencing.guide import plain_guide
from webapp.filming.sequencing.local import LocalSearch
from webapp.filming.sequencing.problem import SequenceError, check_ends, problem_of
from webapp.filming.sequencing.run import Order, Run
from webapp.filming.sequencing.states import Sweep

__all__ = ["Order", "SequenceError", "best_order"]

_FIRST_WIDTH: Final = 30
_WIDER: Final = 4


def best_order(
    changeover: Any,
    before: Iterable[tuple[int, int]],
    *,
    start: int | None = None,
    end: int | None = None,
    seconds: float,
    seed: int = 0,
    progress: Callable[[Order], None] | None = None,
) -> Order:
    """The cheapest order found within `seconds`, and how cheap one could be at most.

    `changeover[i][j]` are the minutes from task i to task j, a square of numbers of any kind;
    its diagonal does not count. In every pair (i, j) of `before` i comes somewhere ahead of j.
    `start` and `end` are the tasks that must come first and last. The same seed gives the same
    order as far as the time allows. `progress` gets each better order and each better bound.
    SequenceError, which is a ValueError, if no order can be as asked.
    """
    pairs = [(int(i), int(j)) for i, j in before]
    if not (math.isfinite(seconds) and seconds > 0):
        raise SequenceError("A search takes some seconds: more than none.")
    check_ends(pairs, start, end)
    problem = problem_of(changeover, pairs, start, end)
    if problem.n < 2:
        return Order(tuple(range(problem.n)), 0.0, 0.0)
    run = Run(problem, seconds, progress)
    run.offer(problem.topological)
    sweep = Sweep(run, groups_of(problem))
    guide = plain_guide(problem)
    width = _FIRST_WIDTH
    run.raise_bound(sweep.go(width, guide))
    local = LocalSearch(run, seed)
    while not run.is_over:
        local.go(min(1.0, run.left / 2), 200)
        width *= _WIDER
        run.raise_bound(sweep.go(width, guide))
    return run.order()
