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
