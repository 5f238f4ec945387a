"""What the search for an order takes as proven, against orders that are there."""

import itertools
import random

import numpy as np
import pytest

from tests.filming.test_sequence import KINDS, Pairs, Rows, rows_of
from webapp.filming.sequencing.groups import groups_of
from webapp.filming.sequencing.guide import Guide, first_guide
from webapp.filming.sequencing.patterns import patterns_of
from webapp.filming.sequencing.problem import Problem, problem_of, words_of
from webapp.filming.sequencing.relaxation import Relaxation
from webapp.filming.sequencing.run import Run
from webapp.filming.sequencing.shortcuts import with_shortcuts
from webapp.filming.sequencing.states import Sweep


def made(kind: str, n: int, density: float, seed: int) -> tuple[Rows, Pairs]:
    rng = random.Random(seed)
    line = rng.sample(range(n), n)
    pairs = itertools.combinations(line, 2)
    return rows_of(kind, n, rng), [pair for pair in pairs if rng.random() < density]


def any_order(problem: Problem, rng: random.Random) -> list[int]:
    """Some order that keeps every precedence."""
    order: list[int] = []
    done = 0
    while len(order) < problem.n:
        free = [
            task
            for task in range(problem.n)
            if not done >> task & 1 and not problem.ahead[task] & ~done
        ]
        order.append(rng.choice(free))
        done |= 1 << order[-1]
    return order


def begun(problem: Problem) -> Run:
    run = Run(problem, 60, None)
    run.offer(problem.topological)
    return run


def orders(problem: Problem, seed: int) -> list[list[int]]:
    """Many orders: any ones, and the one that a narrow sweep finds."""
    run = begun(problem)
    Sweep(run, groups_of(problem)).go(50, first_guide(problem))
    rng = random.Random(seed)
    return [list(run.sequence), *(any_order(problem, rng) for _ in range(12))]


def assert_guide_holds(problem: Problem, guide: Guide, order: list[int]) -> None:
    """At every task of the order: what was spent by the guide and the rest are no more than all."""
    n, cost = problem.n, problem.cost_of(order)
    noise = 1e-6 * (1 + cost)
    priced, last = guide.constant, n
    for k, task in enumerate(order):
        done = words_of([sum(1 << earlier for earlier in order[:k])], n)
        assert priced + guide.rest(done, np.array([last]))[0] <= cost + noise
        priced += guide.reduced[last, task]
        last = task
    assert priced + guide.reduced[last, n] <= cost + noise


@pytest.mark.parametrize("density", [0.0, 0.1, 0.4])
@pytest.mark.parametrize("kind", KINDS)
def test_the_relaxation_and_its_cuts_hold_for_every_order(kind: str, density: float) -> None:
    rows, before = made(kind, 14, density, seed=2)
    problem = problem_of(rows, before, None, None)
    run = begun(problem)
    relaxation = Relaxation(run, seed=0)
    relaxation.go(20)
    assert relaxation.is_done or run.is_proven
    assert relaxation.guide.constant >= first_guide(problem).constant - 1e-9
    for order in orders(problem, seed=1):
        assert run.bound <= problem.cost_of(order) * (1 + 1e-9)
        assert_guide_holds(problem, relaxation.guide, order)
        assert_guide_holds(problem, first_guide(problem), order)
        path = [problem.n, *order, problem.n]
        for cut, _, _ in relaxation.cuts:
            arcs = itertools.pairwise(path)
            assert any(cut.tails >> i & 1 and cut.heads >> j & 1 for i, j in arcs)


@pytest.mark.parametrize("density", [0.0, 0.15, 0.5])
@pytest.mark.parametrize("seed", range(4))
def test_chains_of_places_cost_no_more_than_any_order(seed: int, density: float) -> None:
    rows, before = made("places", 20, density, seed)
    problem = problem_of(rows, before, None, None)
    patterns = patterns_of(begun(problem), groups_of(problem))
    assert patterns is not None
    for order in orders(problem, seed):
        cost, last = problem.cost_of(order), problem.n
        spent = 0.0
        for k, task in enumerate(order):
            done = words_of([sum(1 << earlier for earlier in order[:k])], problem.n)
            assert spent + patterns.rest(done, np.array([last]))[0] <= cost + 1e-9
            spent += problem.cost[last, task]
            last = task


def test_chains_alone_are_priced_exactly() -> None:
    """Two strands and nothing else: the bound from the start is the cost of the best order."""
    way = [[0, 4, 7], [4, 0, 5], [7, 5, 0]]
    place = [0, 1, 2, 0, 1, 2, 0, 1]
    rows = [[float(way[a][b]) for b in place] for a in place]
    strands = [(0, 1), (1, 2), (2, 3), (4, 5), (5, 6), (6, 7)]
    problem = problem_of(rows, strands, None, None)
    run = begun(problem)
    patterns = patterns_of(run, groups_of(problem))
    assert patterns is not None
    nothing = words_of([0], problem.n)
    least = min(
        problem.cost_of(order) for order in itertools.permutations(range(8)) if problem.keeps(order)
    )
    assert patterns.rest(nothing, np.array([problem.n]))[0] == least


@pytest.mark.parametrize("seed", range(6))
def test_a_narrow_sweep_proves_no_more_than_is_true(seed: int) -> None:
    rows, before = made(KINDS[seed % len(KINDS)], 7, 0.1, seed)
    problem = problem_of(rows, before, None, None)
    every = filter(problem.keeps, itertools.permutations(range(7)))
    least = min(map(problem.cost_of, every))
    for width in (1, 3, 20):
        run = begun(problem)
        bound = Sweep(run, groups_of(problem)).go(width, first_guide(problem))
        assert bound <= least + 1e-6 <= run.cost + 2e-6


@pytest.mark.parametrize("seed", range(20))
def test_with_shortcuts_no_order_costs_more_and_no_task_is_left_for_later(seed: int) -> None:
    """A third place lies between two that are far from each other."""
    rng = random.Random(seed)
    way = [[0, 2, 9, 4], [2, 0, 3, 4], [9, 3, 0, rng.randint(1, 20)], [4, 4, 4, 0]]
    places = [rng.randrange(4) for _ in range(30)]
    rows = [[1.0 if a == b else way[a][b] + 0.5 for b in places] for a in places]
    _, pairs = made("places", 30, 0.1, seed)
    problem = problem_of(rows, pairs, None, None)
    before = groups_of(problem)
    assert len(before.single) > 1
    shorter = with_shortcuts(problem, before)
    assert shorter is not None and len(groups_of(shorter).single) == 0
    for order in orders(problem, seed):
        assert shorter.cost_of(order) <= problem.cost_of(order)
    least = begun(shorter)
    assert Sweep(least, groups_of(shorter)).go(20_000, first_guide(shorter)) == least.cost
    assert least.cost <= min(map(problem.cost_of, orders(problem, seed)))
    assert problem.cost_of(least.sequence) >= least.cost


def test_where_no_way_round_is_shorter_there_are_no_shortcuts() -> None:
    rows = [[1.0 if a % 3 == b % 3 else 5.0 for b in range(12)] for a in range(12)]
    problem = problem_of(rows, [], None, None)
    assert with_shortcuts(problem, groups_of(problem)) is None
