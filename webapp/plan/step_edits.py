"""Edits of the build order: steps come, go and change places, and what waits on them follows."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.build.steps import free_places, in_order, moved_along, moved_to, order_problem
from webapp.draft.construction import Step, Work
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError, StepOrderError
from webapp.plan.edits import changed, free_id, with_garment, with_steps_in_order, without
from webapp.plan.episode import Episode

STEP_GONE: Final = "That step is not there any more."


@dataclass(frozen=True, slots=True)
class Refused:
    """A move that cannot be: why, and where the step can stand instead. Places are from 1."""

    step: Step
    place: int
    sentence: str
    nearest: int | None  # as far as it can go that way; None if it stands there already
    beside: str = ""  # where that is: right after this step, or right before it
    side: Literal["after", "before"] = "after"
    carried: tuple[str, ...] = ()  # names of what could be taken along towards the place asked for
    with_them: int = 0  # where it would come to stand then


def steps_of(episode: Episode) -> tuple[Step, ...]:
    """The steps of every garment, as they are listed."""
    return tuple(step for garment in episode.garments for step in garment.steps)


def step_of(episode: Episode, step_id: str) -> Step:
    """The step of that id. NotThereError when there is none."""
    for step in steps_of(episode):
        if step.id == step_id:
            return step
    raise NotThereError(STEP_GONE)


def with_new_step(episode: Episode, garment: str, name: str) -> Episode:
    """The episode with a step more, behind the others of its garment."""
    step = Step(id=free_id(name, {step.id for step in steps_of(episode)}), name=name)
    return with_garment(episode, garment, lambda r: changed(r, steps=(*r.steps, step)))


def without_step(episode: Episode, step_id: str) -> Episode:
    """The step leaves; the steps that waited on it wait on what it waited on.

    With the rest of a step that was shown only at its beginning, that step is done whole again.
    """

    def edit(recipe: Recipe) -> Recipe:
        gone = next((step for step in recipe.steps if step.id == step_id), None)
        if gone is None:
            return recipe
        others = without(recipe.steps, "id", step_id)
        return changed(recipe, steps=tuple(_whole_again(_linked(s, gone), gone) for s in others))

    return changed(episode, garments=tuple(edit(garment) for garment in episode.garments))


def with_step_at(episode: Episode, step_id: str, place: int, *, along: bool = False) -> Episode:
    """The step at a place of the build order, counted from 1 over all garments.

    With `along`, what it cannot be parted from comes along. StepOrderError when it, or another,
    would stand before its time. A step stays among those of its own garment.
    """
    order = _build_order(episode, step_id)
    wanted = (moved_along if along else moved_to)(order, step_id, place - 1)
    problem = order_problem(wanted)
    if problem is not None:
        raise StepOrderError(problem)
    return _listed(episode, wanted)


def next_place(episode: Episode, step_id: str, way: Literal["earlier", "later"]) -> int:
    """The place, from 1, of the next step of its garment that way; its own at the end."""
    order = _build_order(episode, step_id)
    own = {step.id for step in _garment_of(episode, step_id).steps}
    places = [at for at, step in enumerate(order, start=1) if step.id in own]
    now = places.index(_place(order, step_id))
    return places[max(0, now - 1) if way == "earlier" else min(len(places) - 1, now + 1)]


def refused_move(episode: Episode, step_id: str, place: int) -> Refused | None:
    """Why the step cannot stand at that place, and what can be done instead; None when it can."""
    step = step_of(episode, step_id)
    try:
        order = _build_order(episode, step_id)
    except StepOrderError as error:
        return Refused(step, place, error.sentence, None)
    now, place = _place(order, step_id), max(1, min(len(order), place))
    first, last = (at + 1 for at in free_places(order, step_id))
    problem = order_problem(moved_to(order, step_id, place - 1))
    if problem is None:
        there = in_order(steps_of(with_step_at(episode, step_id, place)))
        if _place(there, step_id) == place:
            return None
        first = last = _place(there, step_id)
        problem = (
            f"“{step.name}” is a step of “{_garment_of(episode, step_id).name}”, whose steps stay "
            "together."
        )
    nearest = first if place < now else last
    others = [one for one in order if one.id != step_id]
    after = nearest > 1 and (place < now or nearest > len(others))
    return Refused(
        step,
        place,
        problem,
        nearest if nearest != now else None,
        others[nearest - 2 if after else nearest - 1].name,
        "after" if after else "before",
        _carried(order, step_id, place),
        _place(moved_along(order, step_id, place - 1), step_id),
    )


def _carried(order: Sequence[Step], step_id: str, place: int) -> tuple[str, ...]:
    """The names of what `moved_along` takes along."""
    now = _place(order, step_id)
    before = [step.id for step in order]
    after = [step.id for step in moved_along(order, step_id, place - 1)]
    way = 1 if place > now else -1
    return tuple(
        step.name
        for step in order
        if step.id != step_id and (after.index(step.id) - before.index(step.id)) * way > 0
    )


def with_rest_off_camera(episode: Episode, step_id: str, works: Sequence[Work]) -> Episode:
    """The step with only the beginning of these works, and a step behind it that does the rest
    off camera; what waited on the step waits on both. NotThereError if it has no such work."""
    step = step_of(episode, step_id)
    if not works or not set(works) <= set(step.work):
        raise NotThereError("What was to be done off camera is not there any more.")
    rest = Step(
        id=free_id(f"{step_id} rest", {one.id for one in steps_of(episode)}),
        name=f"{step.name[:70]}, the rest",
        words="Go on in the same way to the end.",
        after=(step_id,),
        off_camera=True,
        rest_hours=step.rest_hours,
        cautions=step.cautions,
        work=tuple(changed(one, of_it="the rest") for one in works),
    )

    def edit(one: Step) -> tuple[Step, ...]:
        if one.id != step_id:
            return (changed(one, after=_renamed(one.after, step_id, rest.id)),)
        shown = tuple(changed(w, of_it="the first") if w in works else w for w in one.work)
        return changed(one, work=shown, rest_hours=0), rest

    garments = tuple(
        changed(garment, steps=tuple(new for one in garment.steps for new in edit(one)))
        for garment in episode.garments
    )
    return changed(episode, garments=garments)


def _renamed(after: tuple[str, ...], old: str, new: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(new if one == old else one for one in after))


def _place(order: Sequence[Step], step_id: str) -> int:
    """Where the step stands, from 1."""
    return 1 + next(at for at, step in enumerate(order) if step.id == step_id)


def _garment_of(episode: Episode, step_id: str) -> Recipe:
    return next(
        garment for garment in episode.garments if any(step.id == step_id for step in garment.steps)
    )


def _build_order(episode: Episode, step_id: str) -> tuple[Step, ...]:
    """All steps in build order. NotThereError when the step is not one of them."""
    step_of(episode, step_id)
    return in_order(steps_of(episode))


def _listed(episode: Episode, order: Sequence[Step]) -> Episode:
    """The episode with each garment's steps in the order of these."""
    place = {step.id: at for at, step in enumerate(order)}

    def edit(recipe: Recipe) -> Recipe:
        return changed(recipe, steps=tuple(sorted(recipe.steps, key=lambda s: place[s.id])))

    ordered = changed(episode, garments=tuple(edit(garment) for garment in episode.garments))
    return with_steps_in_order(ordered)


def _linked(step: Step, gone: Step) -> Step:
    if gone.id not in step.after:
        return step
    linked = [*(other for other in step.after if other != gone.id), *gone.after]
    return changed(step, after=tuple(dict.fromkeys(linked)))


def _whole_again(step: Step, gone: Step) -> Step:
    rests = {changed(work, of_it="all") for work in gone.work if work.of_it == "the rest"}
    if step.id not in gone.after or not rests:
        return step
    works = []
    for work in step.work:
        whole = changed(work, of_it="all")
        works.append(whole if work.of_it == "the first" and whole in rests else work)
    if tuple(works) == step.work:
        return step
    return changed(step, work=tuple(works), rest_hours=max(step.rest_hours, gone.rest_hours))
