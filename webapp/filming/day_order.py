"""Shots divided among shoot days so that least time goes into changing over.

Only what comes before what is kept here; hours, light and noise are for whoever fills the days.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from webapp.filming.sequence import SequenceError, best_order


@dataclass(frozen=True)
class DayOrder:
    """Tasks by day; `bound`: no division into as many days, none of them empty, costs less."""

    days: tuple[tuple[int, ...], ...]
    cost: float
    bound: float


def order_in_days(
    first: Sequence[float],
    morning: Sequence[float],
    changeover: Sequence[Sequence[float]],
    before: Iterable[tuple[int, int]],
    days: int,
    *,
    nights_before: Sequence[int] = (),
    nights_after: Sequence[int] = (),
    seconds: float,
    seed: int = 0,
) -> DayOrder:
    """The cheapest order of all tasks through so many days, each with at least one.

    `first[i]` are the minutes to set up for task i at the very start, `morning[i]` on a later day,
    `changeover[i][j]` from task i to task j on the same day; `nights_before[i]` and
    `nights_after[i]` how many nights must at least lie before and after it. The nights between the
    days are tasks too, to which it takes nothing to change; so the bound that `best_order` proves
    holds for all divisions. SequenceError when the tasks wait on each other in a circle, or on more
    nights than there are, or leave no task for one of the days.
    """
    count = len(first)
    if count == 0:
        return DayOrder(((),) * days, 0.0, 0.0)
    nights = min(days, count) - 1
    size = count + nights + 2  # the start before all, the end after them
    start, end = size - 2, size - 1
    never = 1.0 + (count + nights) * max(
        *first, *morning, *(minutes for row in changeover for minutes in row)
    )
    table = [[never] * size for _ in range(size)]
    for i in range(count):
        table[start][i] = first[i]
        table[i][end] = 0.0
        for j in range(count):
            table[i][j] = changeover[i][j]
        for night in range(count, count + nights):
            table[i][night] = 0.0
            table[night][i] = morning[i]
    before = list(before)
    if not _each_day_has_a_task(count, before, nights, nights_before, nights_after):
        raise SequenceError("The nights that must lie between leave no task for one of the days.")
    pairs = [*before, *((night, night + 1) for night in range(count, count + nights - 1))]
    for i, number in enumerate(nights_before):
        if number:
            pairs.append((count + number - 1 if number <= nights else end, i))
    for i, number in enumerate(nights_after):
        if number:
            pairs.append((i, count + nights - number if number <= nights else start))
    order = best_order(table, pairs, start=start, end=end, seconds=seconds, seed=seed)
    groups: list[list[int]] = [[]]
    for task in order.sequence[1:-1]:
        if task < count:
            groups[-1].append(task)
        else:
            groups.append([])
    filled = tuple(tuple(group) for group in groups)
    return DayOrder(filled, order.cost, order.bound)


def _each_day_has_a_task(
    count: int,
    before: Sequence[tuple[int, int]],
    nights: int,
    nights_before: Sequence[int],
    nights_after: Sequence[int],
) -> bool:
    """True when no day has to stay empty, each filled with what must be on it soonest.

    What comes before what takes nothing away from that: two tasks that would stand the wrong way
    round can change days, once neither may be earlier than what is ahead of it, or later than what
    follows. A circle is left for others to find.
    """
    first = [*nights_before] or [0] * count
    last = [nights - after for after in nights_after or [0] * count]
    order = as_listed(count, before)
    later: dict[int, list[int]] = {}
    for i, j in before:
        later.setdefault(i, []).append(j)
    for i in order:
        for j in later.get(i, ()):
            first[j] = max(first[j], first[i])
    for i in reversed(order):
        last[i] = min([last[i], *(last[j] for j in later.get(i, ()))])
    left = set(range(count))
    for day in range(nights + 1):
        can = [task for task in left if first[task] <= day <= last[task]]
        if not can:
            return False
        left.remove(min(can, key=lambda task: (last[task], task)))
    return True


def as_listed(count: int, before: Iterable[tuple[int, int]]) -> tuple[int, ...]:
    """The tasks as numbered, each put off only until all that come before it are done.

    What waits on each other in a circle is left out.
    """
    later: list[list[int]] = [[] for _ in range(count)]
    waits = [0] * count
    for i, j in set(before):
        later[i].append(j)
        waits[j] += 1
    ready = [task for task in range(count) if not waits[task]]
    heapify(ready)
    order = []
    while ready:
        task = heappop(ready)
        order.append(task)
        for other in later[task]:
            waits[other] -= 1
            if not waits[other]:
                heappush(ready, other)
    return tuple(order)
