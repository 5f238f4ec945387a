"""Long hand work that the camera need not see: film its beginning, do the rest off camera."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import Final

from webapp.build.extents import SHOWN_MM, Extent, ShownOne, extent, shown_one
from webapp.build.work_time import Estimate, step_parts, total
from webapp.draft.construction import Step, Work
from webapp.errors import FigureError, NotThereError
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, StepPlan
from webapp.plan.step_edits import with_rest_off_camera
from webapp.remembered import Remembered

_SLOW: Final = frozenset({"hand", "press", "pin", "draw"})
LEAST_MINUTES: Final = 5.0  # less is not worth a step of its own; common practice, no source
_TIMES_SHOWN: Final = 3.0  # the length, in what would be shown of it: less is soon done


@dataclass(frozen=True, slots=True)
class Shown:
    """What of a work the camera sees: the first `one`, else SHOWN_MM of the length."""

    one: ShownOne
    length_mm: float  # of the whole


@dataclass(frozen=True, slots=True)
class HandWork:
    """A step whose last works go on long after viewers have understood them."""

    row: StepPlan
    works: tuple[Work, ...]
    shown: tuple[Shown, ...]  # of each of them
    rest: Estimate  # minutes of what need not be seen
    screen_s: float  # that its shots are on screen


_known: Final[Remembered[Hashable, tuple[HandWork, ...]]] = Remembered(50)


def hand_work_off_camera(plan: Plan) -> tuple[HandWork, ...]:
    """The steps of which the rest could be done off camera, the longest rest first.

    A step that can be taken back and is filmed; of its works the last by hand, pressed, pinned
    or drawn, after which nothing is cut or sewn by machine: the rest of these takes LEAST_MINUTES
    or more, and its shots leave as much unseen. Remembered: of the shots only their length counts.
    """
    key = plan.but_shots, tuple(one.screen_seconds for one in plan.shots)
    return _known.get(key, lambda: tuple(sorted(_found(plan), key=_longest_first)))


def _longest_first(one: HandWork) -> tuple[float, int]:
    return -one.rest.likely, one.row.number


def with_rest_done_off_camera(plan: Plan, step_id: str) -> Episode:
    """The episode in which the rest of that step's hand work is a step of its own, off camera.
    NotThereError when it has no such work (any more)."""
    for one in _found(plan):
        if one.row.step.id == step_id:
            return with_rest_off_camera(plan.episode, step_id, one.works)
    raise NotThereError("What was to be done off camera is not there any more.")


def _found(plan: Plan) -> Iterator[HandWork]:
    for row in plan.steps:
        step = row.step
        if step.one_way or step.off_camera or row.problem or row.waits or not row.shots:
            continue
        works = _last_slow(step)
        if not works:
            continue
        screen_s = sum(plan.shots[number - 1].screen_seconds for number in row.shots)
        try:
            shown = tuple(_shown(work, extent(step, work, plan.drafts)) for work in works)
            rest = _rest(plan, step, works)
        except FigureError:  # told beside the step
            continue
        long_enough = any(one.one or one.length_mm > _TIMES_SHOWN * SHOWN_MM for one in shown)
        if long_enough and min(rest.likely, row.unseen.likely) >= LEAST_MINUTES:
            yield HandWork(row, works, shown, rest, screen_s)


def _shown(work: Work, whole: Extent) -> Shown:
    return Shown(shown_one(work, whole), whole.length_mm)


def _last_slow(step: Step) -> tuple[Work, ...]:
    """The works at the end of the step that go slowly along a length and are still whole."""
    found: list[Work] = []
    for work in reversed(step.work):
        if work.kind not in _SLOW or work.minutes is not None or work.of_it != "all":
            break
        found.insert(0, work)
    return tuple(found)


def _rest(plan: Plan, step: Step, works: tuple[Work, ...]) -> Estimate:
    """How long the rest takes, by the rates and as her own times move them."""
    rest = changed(step, work=tuple(changed(work, of_it="the rest") for work in works))
    parts = step_parts(rest, plan.drafts, plan.rates)
    return total([plan.learned[part.kind].moved_part(part).shown for part in parts])
