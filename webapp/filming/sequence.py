"""Tasks in the order that costs least to change over in, with what must come first kept.

The sequential ordering problem (Escudero 1988; from memory). A search over states finds a first
order and, where there are few states, the best one; a local search makes it better; a linear
relaxation proves how much better it could be.
"""

import math
from collections.abc import Callable, Iterable
from typing import Any, Final

from webapp.filming.sequencing.groups import Groups, groups_of
from webapp.filming.sequencing.guide import Guide, first_guide
from webapp.filming.sequencing.local import LocalSearch
from webapp.filming.sequencing.patterns import patterns_of
from webapp.filming.sequencing.problem import SequenceError, check_ends, problem_of
from webapp.filming.sequencing.relaxation import Relaxation
from webapp.filming.sequencing.run import Order, Run
from webapp.filming.sequencing.shortcuts import with_shortcuts
from webapp.filming.sequencing.states import Sweep

__all__ = ["Order", "SequenceError", "best_order"]

_FIRST_WIDTH: Final = 30  # states a layer, of up to 100 tasks
_LEAST_WIDTH: Final = 5
_WIDER: Final = 4.0
_WORTH_IT: Final = 1.3
_MOST_OF_IT: Final = 0.8  # of the time that is left, since a wider sweep may take longer
_FIRST_ROUNDS: Final = 400
_FIRST_LOCAL_S: Final = 1.0
_ROUNDS: Final = 20_000
_LEAST_LOCAL_S: Final = 0.1
_LOCAL_SHARE: Final = (1.2, 0.2)  # of the time of a sweep, without and with patterns
_LITTLE_LOCAL: Final = 0.2
_CLOSING: Final = 0.8  # of the gap, or less, left by a sweep
_RELAXING: Final = 0.2  # of the time that is left
_SHORTCUTS: Final = 0.3  # of it, where places can be passed on the way
_SMALL: Final = 60  # tasks; with no more the relaxation helps where patterns do too


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
    _search(run, seed)
    return run.order()


def _search(run: Run, seed: int) -> None:
    """Sweeps, each wider than the one before, and the local search in turns."""
    groups = groups_of(run.problem)
    guide = first_guide(run.problem)
    run.raise_bound(guide.constant)
    few = max(_LEAST_WIDTH, min(_FIRST_WIDTH, round(_FIRST_WIDTH * (100 / run.problem.n) ** 2)))
    run.raise_bound(Sweep(run, groups).go(few, guide))
    if run.is_over:
        return
    _search_shortcuts(run, groups, few, seed)
    if run.is_over:
        return
    local = LocalSearch(run, seed)
    patterns = patterns_of(run, groups) if groups.are_places else None
    local_share = _LOCAL_SHARE[patterns is not None]
    if patterns is None or run.problem.n <= _SMALL:
        local.go(_FIRST_LOCAL_S, _FIRST_ROUNDS)
        if run.is_over:
            return
        relaxation = Relaxation(run, seed)
        relaxation.go(run.left * _RELAXING)
        guide = relaxation.guide
    _take_turns(run, Sweep(run, groups, patterns), few, guide, local, local_share)


def _search_shortcuts(run: Run, groups: Groups, few: int, seed: int) -> None:
    """Sweep through the same tasks with shortcuts, where there are any: their bound is one too."""
    shorter = with_shortcuts(run.problem, groups)
    if shorter is None:
        return

    def offer(order: Order) -> None:
        run.offer(order.sequence)

    inner = Run(shorter, run.left * _SHORTCUTS, offer)
    inner.offer(run.sequence)
    groups, guide = groups_of(shorter), first_guide(shorter)
    sweep = Sweep(inner, groups, patterns_of(inner, groups))
    _take_turns(inner, sweep, few, guide, LocalSearch(inner, seed), _LITTLE_LOCAL)
    run.raise_bound(inner.bound)


def _take_turns(
    run: Run, sweep: Sweep, few: int, guide: Guide, local: LocalSearch, local_share: float
) -> None:
    """Sweep and search until the time is up; with little local search while sweeps prove much."""
    width, taken, share = float(few), 0.0, local_share
    while not run.is_over:
        began, gap = run.left, run.cost - run.bound
        wider = min(_WIDER, _MOST_OF_IT * began / ((1 + share) * taken + 1e-3))
        if wider >= _WORTH_IT and width < sweep.widest:
            width = min(width * wider, sweep.widest)
            run.raise_bound(sweep.go(round(width), guide))
            taken = began - run.left
            closing = run.cost - run.bound < _CLOSING * gap
            share = min(local_share, _LITTLE_LOCAL) if closing else local_share
        local.go(max(share * taken, _LEAST_LOCAL_S), _ROUNDS)
