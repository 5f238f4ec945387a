"""A new shot in the place where its step is built."""

from collections.abc import Mapping, Sequence
from typing import Any

from webapp.build.steps import in_order
from webapp.draft.construction import Step
from webapp.errors import StepOrderError
from webapp.filming.filming_time import same_place
from webapp.filming.shots import Shot, usual_place
from webapp.plan.edits import changed, free_id
from webapp.plan.episode import Episode


def with_new_shot(episode: Episode, values: Mapping[str, Any]) -> Episode:
    """The episode with one more shot, of the fields given.

    It comes after the last shot of its step, or of the nearest step before that has one; a shot
    of no step comes last. It is lit and worn as the last of its kind from its place, or of its
    kind; talking needs quiet.
    """
    steps = _in_order(episode)
    of_step = next((step for step in steps if step.id == values.get("step")), None)
    shot = Shot(
        id=free_id(values["title"], {shot.id for shot in episode.shots}),
        kind="step" if of_step else "talking",
        place=_last_place(episode, of_step),
        quiet=of_step is None,
        **values,
    )
    like = _last_like(episode.shots, shot)
    if like is not None:
        shot = changed(shot, **{"light": like.light, "look": like.look, **values})
    at = _place_for(episode.shots, steps, of_step)
    return changed(episode, shots=(*episode.shots[:at], shot, *episode.shots[at:]))


def _in_order(episode: Episode) -> Sequence[Step]:
    listed = [step for garment in episode.garments for step in garment.steps]
    try:
        return in_order(listed)
    except StepOrderError:
        return listed


def _last_place(episode: Episode, step: Step | None) -> str:
    used = [shot.place for shot in episode.shots if step and shot.step == step.id]
    return used[-1] if used else usual_place(step)


def _last_like(shots: Sequence[Shot], new: Shot) -> Shot | None:
    """The last shot of its kind from its place; without one, the last of its kind."""
    of_kind = [shot for shot in shots if shot.kind == new.kind]
    from_there = [shot for shot in of_kind if same_place(shot, new)]
    return next(reversed(from_there or of_kind), None)


def _place_for(shots: Sequence[Shot], steps: Sequence[Step], step: Step | None) -> int:
    if step is None:
        return len(shots)
    order = {one.id: number for number, one in enumerate(steps)}
    before = [
        place
        for place, shot in enumerate(shots)
        if shot.step in order and order[shot.step] <= order[step.id]
    ]
    if before:
        return before[-1] + 1
    later = [place for place, shot in enumerate(shots) if shot.step in order]
    return later[0] if later else len(shots)
