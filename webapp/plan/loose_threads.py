"""Loose threads: what in the plan does not hold together, one rule a function.

To add a rule: write a function from Plan to loose threads, list it in RULES, test it. Those about
how the cloth lies are in `cloth_threads`.
"""

from collections.abc import Callable, Iterable
from typing import Final

from webapp.build.steps import unknown_waits
from webapp.cloth.needles import seems_to_stretch
from webapp.cloth.two_layers import wrong_hands
from webapp.draft.evaluate import Draft
from webapp.draft.expressions import read
from webapp.draft.recipe import Recipe
from webapp.draft.symmetry import is_symmetrical
from webapp.errors import FigureError
from webapp.filming.figures import near, single_unit_measurements
from webapp.filming.running_time import clock
from webapp.plan.cloth_threads import (
    sizes_the_cloth_does_not_hold,
    spares_that_are_there,
    words_against_the_lay,
)
from webapp.plan.counts import shortages
from webapp.plan.figures import as_written
from webapp.plan.results import LooseThread, PageName, Place, Plan
from webapp.units import both

Rule = Callable[[Plan], Iterable[LooseThread]]


def draft_problems(plan: Plan) -> Iterable[LooseThread]:
    """A measure, choice or piece that cannot be drafted."""
    for draft in plan.drafts:
        for problem in draft.problems:
            page: PageName = "brief" if problem.about == "measure" else "draft"
            yield LooseThread("must", Place(page), problem.sentence)


def seams_that_differ(plan: Plan) -> Iterable[LooseThread]:
    """Edges that are sewn together and differ in length."""
    for draft in plan.drafts:
        for seam in draft.seams:
            if not seam.agrees:
                yield LooseThread("must", Place("draft"), seam.sentence)


def notches_that_do_not_meet(plan: Plan) -> Iterable[LooseThread]:
    """Notches of one name on the two sides of a seam, at different distances."""
    for draft in plan.drafts:
        for seam in draft.seams:
            for sentence in seam.notch_sentences:
                yield LooseThread("should", Place("draft"), sentence)


def pieces_cut_too_few(plan: Plan) -> Iterable[LooseThread]:
    """An edge that is sewn more often than its piece is cut."""
    for draft in plan.drafts:
        for found in shortages(draft):
            yield LooseThread("must" if found.certain else "should", Place("draft"), found.sentence)


def pieces_of_one_hand(plan: Plan) -> Iterable[LooseThread]:
    """A piece with two different sides, cut an even number of times all the same way round."""
    for piece in plan.pieces:
        even = piece.cut_count % 2 == 0
        if even and not piece.pair and not is_symmetrical(piece.whole_cut_points):
            yield LooseThread(
                "should",
                Place("draft"),
                f"{piece.name} is cut {piece.cut_count} times the same way round; say a left and "
                "a right if it needs both hands.",
            )


def checks_on_the_body(plan: Plan) -> Iterable[LooseThread]:
    """A neck smaller than the head, a girth under body and least ease, and the like."""
    for draft in plan.drafts:
        for check in draft.checks:
            if not check.holds:
                yield LooseThread("must", Place("draft"), check.sentence)


def choices_out_of_range(plan: Plan) -> Iterable[LooseThread]:
    """A choice outside the range its recipe gives."""
    for draft in plan.drafts:
        for choice in draft.recipe.choices:
            try:
                value = read(choice.value).quantity(draft.names).value
                low = read(choice.least).quantity(draft.names).value if choice.least else value
                high = read(choice.most).quantity(draft.names).value if choice.most else value
            except FigureError:
                continue  # told by draft_problems
            if not low <= value <= high:
                yield LooseThread(
                    "should",
                    Place("draft"),
                    f"{choice.name} is {_shown(choice.value, draft)}, outside the usual range"
                    f"{_limit(' from', choice.least, draft)}{_limit(' to', choice.most, draft)}.",
                )


def lays_that_fail(plan: Plan) -> Iterable[LooseThread]:
    """A cloth the pieces cannot be laid on."""
    for lay in plan.lays:
        if lay.problem:
            yield LooseThread("must", Place("cloth"), lay.problem)


def hands_that_two_layers_mix(plan: Plan) -> Iterable[LooseThread]:
    """A piece wanted alike each time, on cloth whose two layers give a left and a right."""
    for lay in plan.lays:
        for name in wrong_hands(lay.pieces, lay.as_cut) if lay.as_cut else ():
            yield LooseThread(
                "must",
                Place("cloth"),
                f"{name} is wanted alike each time, and {lay.cloth.name}, laid in two layers, "
                "gives a left and a right of it. Lay the cloth open, or cut them as a pair.",
            )


def pieces_without_cloth(plan: Plan) -> Iterable[LooseThread]:
    """A piece to be cut from a cloth that the episode does not have."""
    cloths = {cloth.name for cloth in plan.episode.cloths}
    for piece in plan.pieces:
        if piece.cloth not in cloths:
            yield LooseThread(
                "must",
                Place("cloth"),
                f"{piece.name} is cut from “{piece.cloth}”, which is not listed.",
            )


def step_order(plan: Plan) -> Iterable[LooseThread]:
    """Steps that wait on each other in a circle, or on a step that no garment has."""
    if plan.order_problem:
        yield LooseThread("must", Place("build"), plan.order_problem)
    steps = [step for garment in plan.episode.garments for step in garment.steps]
    for step, missing in unknown_waits(steps):
        yield LooseThread(
            "must", Place("build"), f"“{step.name}” waits on “{missing}”, which is not a step."
        )


def step_times(plan: Plan) -> Iterable[LooseThread]:
    """A step whose time cannot be computed, for a reason of its own."""
    for step in plan.steps:
        if step.problem:
            yield LooseThread("must", Place("build"), step.problem)


def steps_without_shots(plan: Plan) -> Iterable[LooseThread]:
    """A step that is meant to be seen and has no shot; graver when it cannot be taken back."""
    for plan_step in plan.steps:
        step = plan_step.step
        if plan_step.shots or (step.off_camera and not step.one_way):
            continue
        if step.one_way:
            yield LooseThread(
                "must", Place("shots"), f"“{step.name}” cannot be taken back and no shot films it."
            )
        else:
            yield LooseThread("should", Place("shots"), f"“{step.name}” has no shot.")


def off_camera_and_filmed(plan: Plan) -> Iterable[LooseThread]:
    """A step that is meant to happen off camera and has a shot all the same."""
    for row in plan.steps:
        if row.step.off_camera and row.shots:
            yield LooseThread(
                "should",
                Place("shots"),
                f"“{row.step.name}” is off camera, but shot {row.shots[0]} films it.",
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
                    Place("build"),
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
                Place("build"),
                f"“{plan_step.step.name}” cannot be taken back: plan a spare.",
            )


def shots_without_steps(plan: Plan) -> Iterable[LooseThread]:
    """A shot of a step that is not in the build order."""
    known = {step.step.id for step in plan.steps}
    for shot in plan.shots:
        if shot.shot.kind == "step" and shot.shot.step not in known:
            yield LooseThread("must", Place("shots"), f"Shot {shot.number} belongs to no step.")


def shots_before_their_time(plan: Plan) -> Iterable[LooseThread]:
    """A shot listed before a shot of a step that its own step must come after."""
    first_shot = {step.step.id: min(step.shots) for step in plan.steps if step.shots}
    last_shot = {step.step.id: max(step.shots) for step in plan.steps if step.shots}
    for step in plan.steps:
        for before in step.step.after:
            if step.step.id in first_shot and last_shot.get(before, 0) > first_shot[step.step.id]:
                yield LooseThread(
                    "must",
                    Place("shots"),
                    f"Shot {first_shot[step.step.id]} films “{step.step.name}” before shot "
                    f"{last_shot[before]}, which it must come after.",
                )


def missing_figures(plan: Plan) -> Iterable[LooseThread]:
    """A live figure that does not exist, and would not if the draft's problems were mended."""
    for text in plan.texts:
        for name in text.live.missing:
            if not plan.lacks(name):
                meant = near(name, as_written(plan.drafts))
                hint = f" Did you mean {{{meant}}}?" if meant else ""
                told = f"{text.where} quotes {{{name}}}, which does not exist.{hint}"
                yield LooseThread("must", text.place, told)


def stray_braces(plan: Plan) -> Iterable[LooseThread]:
    """A live figure begun and not ended, or without a name."""
    for text in plan.texts:
        for stray in text.live.stray:
            told = f"{text.where} says “{stray}”: a live figure is a name between two braces."
            yield LooseThread("must", text.place, told)


def single_units(plan: Plan) -> Iterable[LooseThread]:
    """A measurement typed in one unit only, where a viewer may use the other."""
    for text in plan.texts:
        for measurement in single_unit_measurements(text.live.plain):
            told = f"{text.where} says “{measurement}” in one unit only."
            yield LooseThread("should", text.place, told)


def running_time_over_target(plan: Plan) -> Iterable[LooseThread]:
    """A video longer than its target."""
    target = plan.episode.brief.target_seconds
    if target is not None and plan.running_time_s > target:
        over = plan.running_time_s - target
        yield LooseThread(
            "should",
            Place("shots"),
            f"The video runs {clock(plan.running_time_s)}, {clock(over)} over its target of "
            f"{clock(target)}.",
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
            Place("shots"),
            f"{have} no words and no length yet, so the running time is a guess.",
        )


def sizes_that_fail(plan: Plan) -> Iterable[LooseThread]:
    """A further size in which the garment cannot be drafted or does not fit.

    That the cloth does not hold it is told by `sizes_the_cloth_does_not_hold`.
    """
    if not plan.episode.garments:
        return
    for size in plan.sizes[1:]:
        of_lays = {lay.problem for lay in size.lays}
        for problem in (each for each in size.problems if each not in of_lays):
            yield LooseThread("must", Place("sizes"), f"Size {size.body.name}: {problem}")


def _shown(figure: str, draft: Draft) -> str:
    """What a choice's figure comes to, in both units when it is a length."""
    found = read(figure).quantity(draft.names)
    return both(found.value, "cm") if found.dimension == 1 else f"{found.value:g}"


def _limit(word: str, figure: str, draft: Draft) -> str:
    return f"{word} {_shown(figure, draft)}" if figure else ""


def notions_not_worked_out(plan: Plan) -> Iterable[LooseThread]:
    """An amount that cannot be worked out from the figures of its notion."""
    for one in plan.notions:
        if one.problem and not one.waits:
            yield LooseThread("should", Place("shopping"), f"{one.notion.name}: {one.problem}")


def cloths_that_seem_to_stretch(plan: Plan) -> Iterable[LooseThread]:
    """A cloth whose name or description says that it stretches, and whose card says nothing."""
    for cloth in plan.episode.cloths:
        word = seems_to_stretch(f"{cloth.name} {cloth.description}") if not cloth.stretch else ""
        if word:
            yield LooseThread(
                "should",
                Place("cloth"),
                f"{cloth.name} is called “{word}”, which probably stretches, and its stretch is "
                "0 per cent: give by how much 10 cm (4 in) can be pulled longer by hand.",
            )


RULES: Final[tuple[Rule, ...]] = (
    draft_problems,
    seams_that_differ,
    notches_that_do_not_meet,
    pieces_cut_too_few,
    pieces_of_one_hand,
    checks_on_the_body,
    choices_out_of_range,
    lays_that_fail,
    hands_that_two_layers_mix,
    pieces_without_cloth,
    cloths_that_seem_to_stretch,
    notions_not_worked_out,
    step_order,
    step_times,
    steps_without_shots,
    off_camera_and_filmed,
    pieces_without_steps,
    one_way_without_spare,
    shots_without_steps,
    shots_before_their_time,
    missing_figures,
    stray_braces,
    single_units,
    shots_without_length,
    running_time_over_target,
    sizes_that_fail,
    sizes_the_cloth_does_not_hold,
    words_against_the_lay,
    spares_that_are_there,
)


def find(plan: Plan) -> tuple[LooseThread, ...]:
    """Every loose thread once, those that must be mended first, else in the order of the rules.

    Two garments may ask for the same measure.
    """
    threads = dict.fromkeys(thread for rule in RULES for thread in rule(plan))
    return tuple(sorted(threads, key=lambda thread: thread.severity != "must"))
