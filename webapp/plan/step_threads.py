"""Loose threads of the build order and the shots: what waits, what is filmed, when and how long."""

from collections.abc import Iterable

from webapp.build.steps import unknown_waits
from webapp.draft.recipe import Recipe
from webapp.plan.results import LooseThread, Mend, Place, Plan, StepPlan


def step_order(plan: Plan) -> Iterable[LooseThread]:
    """Steps that wait on each other in a circle, or on a step that no garment has."""
    steps = [step for garment in plan.episode.garments for step in garment.steps]
    if plan.order_problem:
        # The circle is told as “A” waits on “B” …: it can be opened at any of its steps.
        named = (step.id for step in steps if f"“{step.name}”" in plan.order_problem)
        yield LooseThread("must", Place("build", item=next(named, "")), plan.order_problem)
    for step, missing in unknown_waits(steps):
        yield LooseThread(
            "must",
            Place("build", item=step.id),
            f"“{step.name}” waits on “{missing}”, which is not a step.",
            (Mend("wait no more", (step.id, missing), f"Do not wait on “{missing}”"),),
        )


def step_times(plan: Plan) -> Iterable[LooseThread]:
    """A step whose time cannot be computed, for a reason of its own."""
    for step in plan.steps:
        if step.problem:
            yield LooseThread("must", Place("build", item=step.step.id), step.problem)


def steps_without_shots(plan: Plan) -> Iterable[LooseThread]:
    """A step that is meant to be seen and has no shot; graver when it cannot be taken back."""
    for plan_step in plan.steps:
        step = plan_step.step
        if plan_step.shots or (step.off_camera and not step.one_way):
            continue
        place = Place("shots", item=step.id, part="new shot")
        film = Mend("new shot", (step.id,), f"Add a shot of “{step.name}”")
        if step.one_way:
            told = f"“{step.name}” cannot be taken back and no shot films it."
            yield LooseThread("must", place, told, (film,))
        else:
            off = Mend("off camera", (step.id,), f"Do “{step.name}” off camera")
            yield LooseThread("should", place, f"“{step.name}” has no shot.", (film, off))


def off_camera_and_filmed(plan: Plan) -> Iterable[LooseThread]:
    """A step that is meant to happen off camera and has a shot all the same."""
    for row in plan.steps:
        if row.step.off_camera and row.shots:
            yield LooseThread(
                "should",
                Place("build", item=row.step.id),
                f"“{row.step.name}” is off camera, but shot {row.shots[0]} films it.",
                (Mend("on camera", (row.step.id,), f"Film “{row.step.name}”"),),
            )


def pieces_without_steps(plan: Plan) -> Iterable[LooseThread]:
    """A piece that is cut from the cloth and that no step works on."""
    for draft in plan.drafts:
        if not draft.recipe.steps:
            continue
        worked = _worked_on(draft.recipe)
        for piece in draft.pieces:
            if piece.name.lower() not in worked:
                yield LooseThread(
                    "should",
                    Place("build", draft.recipe.id, part="new step"),
                    f"{piece.name} is laid on the cloth, but no step works on it.",
                )


def _worked_on(recipe: Recipe) -> frozenset[str]:
    """The pieces, in lower case, that the work of some step names: by piece, seam or edge."""
    seams = {seam.name: (*seam.one, *seam.other) for seam in recipe.seams}
    works = [work for step in recipe.steps for work in step.work]
    uses = [use for work in works for use in work.edges]
    uses += [use for work in works for name in work.seams for use in seams.get(name, ())]
    named = [piece for work in works for piece in work.pieces]
    return frozenset(name.lower() for name in (*named, *(use.edge.split(".")[0] for use in uses)))


def one_way_without_spare(plan: Plan) -> Iterable[LooseThread]:
    """A step that cannot be taken back, with nothing planned for when it goes wrong."""
    for plan_step in plan.steps:
        if plan_step.step.one_way and not plan_step.step.spare:
            yield LooseThread(
                "should",
                Place("build", item=plan_step.step.id),
                f"“{plan_step.step.name}” cannot be taken back: plan a spare.",
            )


def shots_without_steps(plan: Plan) -> Iterable[LooseThread]:
    """A shot of a step that is not in the build order."""
    known = {step.step.id for step in plan.steps}
    for shot in plan.shots:
        if shot.shot.kind == "step" and shot.shot.step not in known:
            place = Place("shots", item=shot.shot.id)
            yield LooseThread("must", place, f"Shot {shot.number} belongs to no step.")


def shots_before_their_time(plan: Plan) -> Iterable[LooseThread]:
    """A shot listed before a shot of a step that its own step must come after."""
    rows = {row.step.id: row for row in plan.steps if row.shots}
    for row in rows.values():
        for before in (rows[wait] for wait in row.step.after if wait in rows):
            if max(before.shots) > min(row.shots):
                yield _too_early(plan, row, before)


def _too_early(plan: Plan, row: StepPlan, before: StepPlan) -> LooseThread:
    last = max(before.shots)
    early = [number for number in row.shots if number < last]
    them = f"shot {early[0]}" if len(early) == 1 else f"{len(early)} shots"
    shot = plan.shots[early[0] - 1].shot
    return LooseThread(
        "must",
        Place("shots", item=shot.id),
        f"Shot {early[0]} films “{row.step.name}” before shot {last}, which it must come after.",
        (Mend("shots in order", (row.step.id, before.step.id), f"Move {them} behind shot {last}"),),
    )


def shots_without_length(plan: Plan) -> Iterable[LooseThread]:
    """Shots of work and of talking that have nothing to tell their length by, in one thread."""
    bare = [
        shot
        for shot in (planned.shot for planned in plan.shots)
        if shot.kind in ("step", "talking")
        and not shot.narration.strip()
        and shot.screen_seconds is None
    ]
    if bare:
        have = "1 shot has" if len(bare) == 1 else f"{len(bare)} shots have"
        yield LooseThread(
            "should",
            Place("shots", item=bare[0].id),
            f"{have} no words and no length yet, so the running time is a guess.",
        )
