"""The order of construction: what waits on what, and the order that follows from it."""

from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter
from heapq import heappop, heappush

from webapp.draft.construction import Step
from webapp.errors import StepOrderError


def in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps in an order that can be built: always the first listed one that need not wait.

    A list that can already be built stays as it is. `after` ids that name no step are left out of
    account (see `unknown_waits`). StepOrderError when steps wait on each other in a circle.
    """
    place = {step.id: number for number, step in enumerate(steps)}
    sorter = TopologicalSorter({step.id: _known_waits(step, place) for step in steps})
    try:
        sorter.prepare()
    except CycleError as error:
        raise StepOrderError(_circle(error.args[1], steps, place)) from None
    ready: list[int] = []
    ordered: list[Step] = []
    while sorter.is_active():
        for step_id in sorter.get_ready():
            heappush(ready, place[step_id])
        step = steps[heappop(ready)]
        ordered.append(step)
        sorter.done(step.id)
    return tuple(ordered)


def order_problem(steps: Sequence[Step]) -> str | None:
    """Why the steps cannot be built in the order listed; None when they can."""
    try:
        in_order(steps)
    except StepOrderError as error:
        return error.sentence
    place = {step.id: number for number, step in enumerate(steps)}
    for number, step in enumerate(steps):
        for wait in _known_waits(step, place):
            if place[wait] > number:
                later = steps[place[wait]].name
                return f"“{step.name}” stands before “{later}”, which it waits on."
    return None


def free_places(steps: Sequence[Step], step_id: str) -> tuple[int, int]:
    """The first and the last place, from 0, where the step can stand among the others.

    The others keep their order, which must be one that can be built.
    """
    others = [step for step in steps if step.id != step_id]
    own = next(step for step in steps if step.id == step_id)
    first, last = 0, len(others)
    for number, other in enumerate(others):
        if other.id in own.after:
            first = number + 1
        if step_id in other.after:
            last = min(last, number)
    return first, last


def moved_to(steps: Sequence[Step], step_id: str, place: int) -> tuple[Step, ...]:
    """The steps with that one at a place, from 0 and no further than the ends. It may stand
    before its time there: see `order_problem`."""
    others = [step for step in steps if step.id != step_id]
    own = next(step for step in steps if step.id == step_id)
    at = max(0, min(len(others), place))
    return (*others[:at], own, *others[at:])


def moved_along(steps: Sequence[Step], step_id: str, place: int) -> tuple[Step, ...]:
    """The steps with that one at a place, and with it all between that it must not be parted
    from: what it waits on goes before it, what waits on it behind. The others keep their order,
    which must be one that can be built.
    """
    now = next(number for number, step in enumerate(steps) if step.id == step_id)
    at = max(0, min(len(steps) - 1, place))
    if at < now:
        before = _before(steps[: now + 1])
        carried = [step for step in steps[at:now] if step.id in before]
        left = [step for step in steps[at:now] if step.id not in before]
        return (*steps[:at], *carried, steps[now], *left, *steps[now + 1 :])
    behind = _behind(steps[now : at + 1])
    carried = [step for step in steps[now + 1 : at + 1] if step.id in behind]
    left = [step for step in steps[now + 1 : at + 1] if step.id not in behind]
    return (*steps[:now], *left, steps[now], *carried, *steps[at + 1 :])


def _before(steps: Sequence[Step]) -> set[str]:
    """All that the last of these waits on, directly or through others."""
    found = set(steps[-1].after)
    for step in reversed(steps[:-1]):
        if step.id in found:
            found |= set(step.after)
    return found


def _behind(steps: Sequence[Step]) -> set[str]:
    """All of these that wait on the first, directly or through others."""
    found = {steps[0].id}
    for step in steps[1:]:
        if found & set(step.after):
            found.add(step.id)
    return found


def unknown_waits(steps: Sequence[Step]) -> tuple[tuple[Step, str], ...]:
    """Each step that waits on something not listed, with that id."""
    known = {step.id for step in steps}
    return tuple((step, wait) for step in steps for wait in step.after if wait not in known)


def _known_waits(step: Step, place: dict[str, int]) -> list[str]:
    return [wait for wait in step.after if wait in place]


def _circle(found: Sequence[str], steps: Sequence[Step], place: dict[str, int]) -> str:
    """The circle in words; in `found` each id is waited on by the next, the last is the first."""
    waiting = [place[step_id] for step_id in reversed(found[1:])]
    start = waiting.index(min(waiting))
    first, *others = (f"“{steps[at].name}”" for at in waiting[start:] + waiting[:start])
    if not others:
        return f"{first} waits on itself."
    return f"{first} waits on {', which waits on '.join([*others, first])}."
