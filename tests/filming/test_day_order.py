"""Shots divided among days: the least minutes of changing over, against every division tried."""

from itertools import combinations, pairwise, permutations
from random import Random

import pytest

from webapp.filming.day_order import DayOrder, as_listed, order_in_days
from webapp.filming.sequence import SequenceError

Table = list[list[float]]


def _cost(
    first: list[float], morning: list[float], table: Table, days: list[tuple[int, ...]]
) -> float:
    starts = first[days[0][0]] + sum(morning[day[0]] for day in days[1:])
    return starts + sum(table[i][j] for day in days for i, j in pairwise(day))


def _least(
    first: list[float], morning: list[float], table: Table, pairs: list[tuple[int, int]], days: int
) -> float:
    """By trying every order and every division of it."""
    least = float("inf")
    count = len(first)
    for order in permutations(range(count)):
        if any(order.index(i) > order.index(j) for i, j in pairs):
            continue
        for cuts in combinations(range(1, count), days - 1):
            marks = (0, *cuts, count)
            parts = [order[a:b] for a, b in pairwise(marks)]
            least = min(least, _cost(first, morning, table, parts))
    return least


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("days", [1, 2, 3])
def test_no_division_is_cheaper(seed: int, days: int) -> None:
    random = Random(seed)
    count = 6
    places = [random.randrange(3) for _ in range(count)]
    table = [[0.5 if places[i] == places[j] else 6.0 for j in range(count)] for i in range(count)]
    morning = [20.0] * count
    first = [2.0 if place == places[0] else 8.0 for place in places]  # the camera stands already
    pairs = [(i, j) for i in range(count) for j in range(i + 1, count) if random.random() < 0.25]
    found = order_in_days(first, morning, table, pairs, days, seconds=5)
    assert len(found.days) == days
    assert all(found.days)
    assert sorted(task for day in found.days for task in day) == list(range(count))
    assert found.cost == pytest.approx(_cost(first, morning, table, list(found.days)))
    assert found.cost == pytest.approx(_least(first, morning, table, pairs, days))
    assert found.bound == pytest.approx(found.cost)


def _day_of(days: tuple[tuple[int, ...], ...], task: int) -> int:
    return next(at for at, day in enumerate(days) if task in day)


@pytest.mark.parametrize("seed", range(6))
def test_nights_that_must_lie_between_are_kept_at_the_least_cost(seed: int) -> None:
    """A rest of a day between tasks 1 and 3: against every division that keeps it."""
    random = Random(seed)
    count, days = 5, 2
    places = [random.randrange(3) for _ in range(count)]
    table = [[0.5 if places[i] == places[j] else 6.0 for j in range(count)] for i in range(count)]
    morning = [20.0] * count
    found = order_in_days(
        morning,
        morning,
        table,
        [(1, 3)],
        days,
        nights_before=[0, 0, 0, 1, 0],
        nights_after=[0, 1, 0, 0, 0],
        seconds=5,
    )
    assert _day_of(found.days, 1) == 0
    assert _day_of(found.days, 3) == 1
    least = min(
        _cost(morning, morning, table, [order[:cut], order[cut:]])
        for order in permutations(range(count))
        for cut in range(1, count)
        if order.index(1) < cut <= order.index(3)
    )
    assert found.cost == pytest.approx(least)


def test_more_nights_than_there_are_is_refused() -> None:
    with pytest.raises(SequenceError):
        order_in_days([1.0, 1.0], [1.0, 1.0], [[0.0, 9.0], [9.0, 0.0]], [], 2,
                      nights_before=[2, 0], seconds=1)  # fmt: skip


def test_nights_that_leave_a_day_empty_are_refused() -> None:
    table = [[0.0, 9.0, 9.0], [9.0, 0.0, 9.0], [9.0, 9.0, 0.0]]
    with pytest.raises(SequenceError, match="leave no task"):
        order_in_days([1.0] * 3, [1.0] * 3, table, [], 2, nights_before=[1, 1, 1], seconds=1)
    with pytest.raises(SequenceError, match="leave no task"):  # 1 and 2 follow 0, a night later
        order_in_days([1.0] * 3, [1.0] * 3, table, [(0, 1), (0, 2)], 2,
                      nights_before=[1, 0, 0], seconds=1)  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_nights_are_refused_where_no_division_keeps_them_and_no_day_is_empty(seed: int) -> None:
    """Against every division of four tasks."""
    random = Random(seed)
    count, days = 4, random.randint(2, 3)
    pairs = [(i, j) for i in range(count) for j in range(i + 1, count) if random.random() < 0.3]
    before = [random.choice((0, 0, 1, days - 1)) for _ in range(count)]
    after = [random.choice((0, 0, 1, days - 1)) for _ in range(count)]
    table = [[float(random.randint(0, 9)) for _ in range(count)] for _ in range(count)]
    setting_up = [5.0] * count
    costs = []
    for order in permutations(range(count)):
        for cuts in combinations(range(1, count), days - 1):
            marks = (0, *cuts, count)
            groups = [order[a:b] for a, b in pairwise(marks)]
            kept = all(order.index(i) < order.index(j) for i, j in pairs) and all(
                before[task] <= at <= days - 1 - after[task]
                for at, group in enumerate(groups)
                for task in group
            )
            if kept:
                costs.append(_cost(setting_up, setting_up, table, groups))

    def ordered() -> DayOrder:
        return order_in_days(
            setting_up, setting_up, table, pairs, days,
            nights_before=before, nights_after=after, seconds=1,
        )  # fmt: skip

    if costs:
        found = ordered()
        assert found.cost == pytest.approx(min(costs))
        assert all(found.days)
    else:
        with pytest.raises(SequenceError):
            ordered()


def test_more_days_than_shots_leave_no_day_empty() -> None:
    found = order_in_days([1.0, 1.0], [1.0, 1.0], [[0.0, 9.0], [9.0, 0.0]], [(1, 0)], 5, seconds=1)
    assert found.days == ((1,), (0,))


def test_nothing_to_film_is_nothing_to_order() -> None:
    assert order_in_days([], [], [], [], 2, seconds=1).days == ((), ())


def test_what_must_wait_is_put_off_and_no_further() -> None:
    assert as_listed(5, [(3, 1)]) == (0, 2, 3, 1, 4)
    assert as_listed(4, []) == (0, 1, 2, 3)


def test_a_circle_is_left_out() -> None:
    assert as_listed(4, [(1, 2), (2, 1)]) == (0, 3)
