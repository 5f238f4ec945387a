"""What an order must hold, and what is told when there is none."""

import itertools
import math
import random
from collections.abc import Sequence
from typing import Any

import pytest

from webapp.errors import SeamslateError
from webapp.filming.sequence import Order, SequenceError, best_order

Rows = list[list[float]]
Pairs = list[tuple[int, int]]


def rows_of(kind: str, n: int, rng: random.Random) -> Rows:
    """Changeovers of a kind: all lopsided but the last three, with ways around that are shorter."""
    pick = {
        "few values": lambda: float(rng.choice((0, 1, 5, 9))),
        "any float": lambda: rng.random() * 10,
        "no way": lambda: float(rng.choice((1, 3, 7, 1_000_000))),
    }
    if kind in pick:
        return [[pick[kind]() for _ in range(n)] for _ in range(n)]
    if kind == "quarters":
        quarter = [[rng.randint(0, 20) / 4 for _ in range(n)] for _ in range(n)]
        return [[quarter[min(i, j)][max(i, j)] for j in range(n)] for i in range(n)]
    if kind == "points":
        spots = [complex(rng.random(), rng.random()) for _ in range(n)]
        return [[abs(a - b) for b in spots] for a in spots]
    places = [rng.randrange(3) for _ in range(n)]
    way = [[float(rng.randint(1, 9)) for _ in range(3)] for _ in range(3)]
    within = float(rng.choice((0, 0, 1)))
    return [[within if a == b else way[a][b] for b in places] for a in places]


KINDS = ("few values", "any float", "no way", "quarters", "points", "places")


def made(seed: int) -> tuple[Rows, Pairs, int | None, int | None]:
    """A small problem of any kind, with none, few or nearly all precedences."""
    rng = random.Random(seed)
    n = rng.randint(1, 7 if seed % 8 else 8)
    line = rng.sample(range(n), n)
    density = rng.choice((0, 0.1, 0.3, 0.6, 0.9))
    before = [
        (line[a], line[b]) for a in range(n) for b in range(a + 1, n) if rng.random() < density
    ]
    start = line[0] if rng.random() < 0.3 else None
    end = line[-1] if n > 1 and rng.random() < 0.3 else None
    return rows_of(KINDS[seed % len(KINDS)], n, rng), before, start, end


def cost_of(rows: Rows, sequence: Sequence[int]) -> float:
    return sum(rows[i][j] for i, j in itertools.pairwise(sequence))


def keeps(sequence: Sequence[int], before: Pairs, start: int | None, end: int | None) -> bool:
    place = {task: k for k, task in enumerate(sequence)}
    return (
        all(place[i] < place[j] for i, j in before)
        and start in (None, sequence[0])
        and end in (None, sequence[-1])
    )


def least_of_all(rows: Rows, before: Pairs, start: int | None, end: int | None) -> float:
    """The least cost, by trying every permutation."""
    return min(
        cost_of(rows, sequence)
        for sequence in itertools.permutations(range(len(rows)))
        if keeps(sequence, before, start, end)
    )


@pytest.mark.parametrize("seed", range(96))
def test_a_small_problem_is_solved_and_proven(seed: int) -> None:
    rows, before, start, end = made(seed)
    order = best_order(rows, before, start=start, end=end, seconds=30, seed=seed)
    assert sorted(order.sequence) == list(range(len(rows)))
    assert keeps(order.sequence, before, start, end)
    assert order.cost == pytest.approx(cost_of(rows, order.sequence), rel=1e-12)
    least = least_of_all(rows, before, start, end)
    assert order.cost == pytest.approx(least, rel=1e-9, abs=1e-9)
    assert order.is_proven and order.bound == order.cost


def test_nothing_and_one_task_are_in_order() -> None:
    assert best_order([], [], seconds=1) == Order((), 0.0, 0.0)
    assert best_order([[math.nan]], [], start=0, end=0, seconds=1) == Order((0,), 0.0, 0.0)


ROWS = [[0.0, 1, 2], [3, 0, 4], [5, 6, 0]]


@pytest.mark.parametrize(
    ("rows", "before", "ends", "words", "tasks"),
    [
        ([[0, 1], [1]], [], {}, "one number from every task", ()),
        ([[0, 1, 2], [1, 0, 2]], [], {}, "as many columns as rows", ()),
        ([[0, -1], [1, 0]], [], {}, "from task 0 to task 1 is less than nothing", (0, 1)),
        ([[0, 1], [math.nan, 0]], [], {}, "from task 1 to task 0 is not a number", (1, 0)),
        ([[0, math.inf], [1, 0]], [], {}, "from task 0 to task 1 is not a number", (0, 1)),
        ([[0, "far"], [1, 0]], [], {}, "one number from every task", ()),
        (ROWS, [(0, 3)], {}, "no task 3: only tasks 0 to 2 are there", (3,)),
        (ROWS, [(-1, 0)], {}, "no task -1", (-1,)),
        (ROWS, [], {"start": 3}, "no task 3", (3,)),
        (ROWS, [(0, 1), (1, 2), (2, 0)], {}, "in a circle: 0, 1, 2", (0, 1, 2)),
        (ROWS, [(1, 2), (2, 1)], {}, "in a circle: 1, 2", (1, 2)),
        (ROWS, [(1, 1)], {}, "Task 1 cannot go ahead of itself", (1,)),
        (ROWS, [(2, 0)], {"start": 0}, "Task 0 cannot be first: task 2 goes ahead of it", (2, 0)),
        (ROWS, [(1, 2)], {"end": 1}, "Task 1 cannot be last: it goes ahead of task 2", (1, 2)),
        (ROWS, [], {"start": 1, "end": 1}, "cannot be both the first and the last", (1,)),
    ],
)
def test_what_cannot_be_ordered_is_told(
    rows: Rows, before: Pairs, ends: dict[str, Any], words: str, tasks: tuple[int, ...]
) -> None:
    with pytest.raises(SequenceError, match=words) as told:
        best_order(rows, before, seconds=1, **ends)
    assert told.value.tasks == tasks
    assert isinstance(told.value, SeamslateError) and isinstance(told.value, ValueError)


@pytest.mark.parametrize("seconds", [0, -1, math.nan, math.inf])
def test_a_search_takes_time(seconds: float) -> None:
    with pytest.raises(SequenceError, match="some seconds"):
        best_order(ROWS, [], seconds=seconds)


def random_problem(n: int, density: float, seed: int) -> tuple[Rows, Pairs]:
    """Whole changeovers; about that part of all pairs of tasks given as precedences."""
    rng = random.Random(seed)
    line = rng.sample(range(n), n)
    rows = [[float(rng.randint(1, 99)) for _ in range(n)] for _ in range(n)]
    pairs = itertools.combinations(line, 2)
    return rows, [pair for pair in pairs if rng.random() < density]


def least_by_sets(rows: Rows, before: Pairs) -> float:
    """The least cost after Held & Karp, J. SIAM 10 (1962) 196: by sets of tasks done, in turn."""
    n = len(rows)
    ahead = [sum({1 << i for i, j in before if j == task}) for task in range(n)]
    costs = {(1 << task, task): 0.0 for task in range(n) if not ahead[task]}
    for _ in range(n - 1):
        new: dict[tuple[int, int], float] = {}
        for (done, last), cost in costs.items():
            for task in range(n):
                if not done >> task & 1 and not ahead[task] & ~done:
                    state = (done | 1 << task, task)
                    new[state] = min(new.get(state, math.inf), cost + rows[last][task])
        costs = new
    return min(costs.values())


@pytest.mark.parametrize(("n", "density"), [(12, 0.05), (13, 0.1), (16, 0.25), (22, 0.4)])
def test_larger_problems_are_solved_as_by_sets_of_tasks(n: int, density: float) -> None:
    rows, before = random_problem(n, density, seed=n)
    order = best_order(rows, before, seconds=60)
    assert keeps(order.sequence, before, None, None)
    assert order.cost == order.bound == least_by_sets(rows, before)


@pytest.mark.parametrize("n", [11, 14])
def test_the_numbers_of_the_tasks_do_not_matter(n: int) -> None:
    rows, before = random_problem(n, 0.1, seed=n)
    new = random.Random(n).sample(range(n), n)
    old = sorted(range(n), key=new.__getitem__)
    other_rows = [[rows[i][j] for j in old] for i in old]
    other_before = [(new[i], new[j]) for i, j in before]
    order, other = (
        best_order(rows, before, seconds=60),
        best_order(other_rows, other_before, seconds=60),
    )
    assert order.is_proven and other.is_proven
    assert order.cost == other.cost


@pytest.mark.parametrize("seconds", [1e-9, 0.01, 0.1, 0.4])
@pytest.mark.parametrize("density", [0.0, 0.1])
def test_a_search_cut_short_claims_no_more_than_is_true(density: float, seconds: float) -> None:
    rows, before = random_problem(13, density, seed=5)
    order = best_order(rows, before, seconds=seconds)
    assert keeps(order.sequence, before, None, None)
    assert order.bound <= least_by_sets(rows, before) <= order.cost
    assert order.is_proven == (order.bound == order.cost)


def shoot(steps: int, strands: int, seed: int, within: float = 0.0) -> tuple[Rows, Pairs]:
    """Two shots a step in a chain, the steps in strands; moves between five places by room."""
    rng = random.Random(seed)
    spots = [(rng.randint(0, 9), rng.randint(0, 9)) for _ in range(5)]
    place = [rng.randrange(5) for _ in range(2 * steps)]
    way = [[within + 1 + abs(a - c) + abs(b - d) for c, d in spots] for a, b in spots]
    rows = [[within if a == b else float(way[a][b]) for b in place] for a in place]
    chains = [(2 * step, 2 * step + 1) for step in range(steps)]
    strand = [(2 * step + 1, 2 * (step + strands)) for step in range(steps - strands)]
    return rows, chains + strand


@pytest.mark.parametrize(("strands", "within"), [(1, 0), (2, 0), (2, 0.5), (3, 0), (3, 0.25)])
def test_shots_by_place_are_solved_as_by_sets_of_tasks(strands: int, within: float) -> None:
    rows, before = shoot(9, strands, seed=strands, within=within)
    order = best_order(rows, before, seconds=60)
    assert keeps(order.sequence, before, None, None)
    assert order.is_proven
    assert order.cost == pytest.approx(least_by_sets(rows, before), rel=1e-12)


def test_a_days_shots_in_four_strands_are_proven() -> None:
    rows, before = shoot(32, 4, seed=7)
    order = best_order(rows, before, seconds=60)
    assert order.is_proven and keeps(order.sequence, before, None, None)
    taken_away = best_order(rows, before[:-9], seconds=60)
    assert taken_away.is_proven and taken_away.cost <= order.cost


def test_progress_tells_each_better_order_and_bound() -> None:
    rows, before = random_problem(18, 0.15, seed=3)
    told: list[Order] = []
    order = best_order(rows, before, seconds=60, progress=told.append)
    assert told[-1] == order
    assert all(keeps(one.sequence, before, None, None) for one in told)
    for one, other in itertools.pairwise(told):
        assert other.cost <= one.cost and other.bound >= one.bound
        assert other.cost < one.cost or other.bound > one.bound


def test_the_same_seed_gives_the_same_order() -> None:
    rows, before = random_problem(15, 0.1, seed=8)
    one, other = (best_order(rows, before, seconds=60, seed=4) for _ in range(2))
    assert one == other


def test_many_tasks_are_ordered_in_time_with_a_bound() -> None:
    rows, before = random_problem(120, 0.02, seed=1)
    order = best_order(rows, before, seconds=1.0)
    assert sorted(order.sequence) == list(range(120))
    assert keeps(order.sequence, before, None, None)
    assert 0 < order.bound <= order.cost == cost_of(rows, order.sequence)
