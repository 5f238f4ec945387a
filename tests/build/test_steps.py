"""Steps keep the listed order wherever what they wait on allows it."""

import re
from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.build.steps import (
    free_places,
    in_order,
    moved_along,
    moved_to,
    order_problem,
    unknown_waits,
)
from webapp.draft.construction import Step
from webapp.errors import StepOrderError


def step(step_id: str, *after: str) -> Step:
    return Step(id=step_id, name=step_id.capitalize(), after=after)


def ids(steps: tuple[Step, ...]) -> str:
    return " ".join(step.id for step in steps)


def test_a_list_that_can_be_built_stays_as_it_is() -> None:
    steps = [step("cut"), step("pocket", "cut"), step("shoulders", "cut"), step("hem", "shoulders")]
    assert in_order(steps) == tuple(steps)
    assert order_problem(steps) is None
    assert in_order([]) == ()


def test_a_step_listed_too_early_moves_just_behind_what_it_waits_on() -> None:
    steps = [step("bind", "shoulders"), step("cut"), step("shoulders", "cut"), step("hem", "cut")]
    assert ids(in_order(steps)) == "cut shoulders bind hem"
    assert order_problem(steps) == "“Bind” stands before “Shoulders”, which it waits on."


@st.composite
def step_lists(draw: st.DrawFn, *, circles: bool) -> list[Step]:
    """Up to six steps in any listed order, each waiting on some of the others."""
    count = draw(st.integers(0, 6))
    names = [f"s{number}" for number in range(count)]
    steps = []
    for number, name in enumerate(names):
        others = names if circles else names[:number]
        after = draw(st.lists(st.sampled_from(others), max_size=3)) if others else []
        steps.append(step(name, *after))
    return draw(st.permutations(steps))


def can_be_built(steps: tuple[Step, ...]) -> bool:
    place = {step.id: number for number, step in enumerate(steps)}
    return all(place[wait] < place[step.id] for step in steps for wait in step.after)


@given(step_lists(circles=False))
def test_of_all_orders_that_can_be_built_the_nearest_to_the_list_is_taken(
    steps: list[Step],
) -> None:
    """Brute force: the first of the orders, tried from the listed one on, place by place."""
    expected = next(order for order in permutations(steps) if can_be_built(order))
    assert in_order(steps) == expected
    assert in_order(in_order(steps)) == in_order(steps)


@given(step_lists(circles=True))
def test_any_list_is_ordered_or_refused_and_only_a_circle_is_refused(steps: list[Step]) -> None:
    buildable = any(can_be_built(order) for order in permutations(steps))
    if buildable:
        assert can_be_built(in_order(steps))
        assert (order_problem(steps) is None) == can_be_built(tuple(steps))
        return
    with pytest.raises(StepOrderError) as refusal:
        in_order(steps)
    assert order_problem(steps) == refusal.value.sentence
    assert_tells_a_circle(refusal.value.sentence, steps)


def assert_tells_a_circle(sentence: str, steps: list[Step]) -> None:
    """Every “X” waits on “Y” of the sentence is true, and it ends where it began."""
    by_name = {step.name: step for step in steps}
    told = re.findall("“(.+?)”", sentence)
    if len(told) == 1:
        assert sentence == f"“{told[0]}” waits on itself."
        told *= 2
    assert told[0] == told[-1]
    assert len(set(told)) == len(told) - 1
    for waiting, wait in pairwise(told):
        assert by_name[wait].id in by_name[waiting].after


def test_a_circle_is_told_from_its_first_listed_step_on() -> None:
    steps = [
        step("cut"),
        step("bind", "sleeves"),
        step("sleeves", "hem", "cut"),
        step("hem", "bind"),
    ]
    with pytest.raises(StepOrderError) as refusal:
        in_order(steps)
    assert refusal.value.sentence == (
        "“Bind” waits on “Sleeves”, which waits on “Hem”, which waits on “Bind”."
    )
    with pytest.raises(StepOrderError, match=r"^“Hem” waits on itself\.$"):
        in_order([step("hem", "hem")])


def test_a_wait_on_a_step_that_is_not_there_is_reported_and_left_out_of_account() -> None:
    bind = step("bind", "steam", "cut")
    steps = [bind, step("cut")]
    assert ids(in_order(steps)) == "cut bind"
    assert unknown_waits(steps) == ((bind, "steam"),)


def test_a_long_chain_listed_backwards_is_ordered() -> None:
    steps = [step(f"s{n}", f"s{n - 1}") for n in range(2000, 0, -1)]
    assert [step.id for step in in_order(steps)] == [f"s{n}" for n in range(1, 2001)]


# --- Moving one of them ----------------------------------------------------------------------


@given(step_lists(circles=False), st.data())
def test_a_step_can_stand_between_its_free_places_and_nowhere_else(
    steps: list[Step], data: st.DataObject
) -> None:
    """Brute force: every place is tried."""
    if not steps:
        return
    order = in_order(steps)
    own = data.draw(st.sampled_from(order))
    first, last = free_places(order, own.id)
    for place in range(len(order)):
        moved = moved_to(order, own.id, place)
        assert moved[place] == own
        assert [one for one in moved if one != own] == [one for one in order if one != own]
        assert (order_problem(moved) is None) == (first <= place <= last)


@given(step_lists(circles=False), st.data())
def test_what_a_step_cannot_be_parted_from_comes_along_and_nothing_else(
    steps: list[Step], data: st.DataObject
) -> None:
    if not steps:
        return
    order = in_order(steps)
    own = data.draw(st.sampled_from(order))
    place = data.draw(st.integers(0, len(order) - 1))
    moved = moved_along(order, own.id, place)
    assert can_be_built(moved)
    first, last = free_places(order, own.id)
    if first <= place <= last:
        assert moved == moved_to(order, own.id, place)
    # No order that can be built brings it nearer to the place, the rest keeping theirs.
    now, then = order.index(own), moved.index(own)
    assert (then - now) * (place - now) >= 0
    assert abs(then - place) <= abs(now - place)
    if place < now:
        needed = [one for one in moved[place:then] if not reaches(order, one, own)]
    else:
        needed = [one for one in moved[then + 1 : place + 1] if not reaches(order, own, one)]
    assert needed == []


def reaches(steps: tuple[Step, ...], one: Step, other: Step) -> bool:
    """True when the other cannot be done before the one."""
    by_id = {step.id: step for step in steps}
    return one.id in other.after or any(reaches(steps, one, by_id[w]) for w in other.after)
