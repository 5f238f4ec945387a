"""Loose threads of cloth and notions: what it does not hold, words that say otherwise."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from webapp.cloth.laid import WayOfLaying
from webapp.cloth.needles import seems_to_stretch
from webapp.cloth.two_layers import wrong_hands
from webapp.draft.construction import Step
from webapp.draft.names import listed, name_key
from webapp.plan.conditions import LAID
from webapp.plan.draft_threads import left_and_right
from webapp.plan.kept_ways import lacking_ways
from webapp.plan.lays import LayPlan
from webapp.plan.results import LongWork, LooseThread, Mend, Place, Plan
from webapp.plan.too_narrow import too_narrow
from webapp.units import both, in_order

_CLOTH: Final = r"(?:cloth|fabric|linen|cotton|wool|silk|denim|corduroy|velvet|flannel|jersey)"
_ONE_LAYER: Final = re.compile(r"\b(?:one|single) layer\b", re.IGNORECASE)
_FOLDED: Final = re.compile(
    rf"\bfold (?:the|your|this) (?:\w+ )?{_CLOTH}\b|\b(?:on|from|through) the folded {_CLOTH}\b"
    rf"|\bfolded {_CLOTH}\b|\b{_CLOTH} (?:is )?folded\b",
    re.IGNORECASE,
)
_LAYING: Final = ("draw", "cut")  # the work that is done on the cloth as it is laid
_OFFERED: Final = 3  # cloths to cut a piece from; with more to choose from, the page is better
_HOLDS_NO: Final = re.compile(r"\b(?:hold|leave|give)s? no (?:second|other|spare)\b", re.IGNORECASE)


def lays_that_fail(plan: Plan) -> Iterable[LooseThread]:
    """A cloth the pieces cannot be laid on."""
    for lay in plan.lays:
        if lay.problem:
            told = in_order(lay.problem, plan.episode.first_unit)
            yield LooseThread("must", Place("cloth", item=lay.cloth.name, part="lay"), told)


def hands_that_two_layers_mix(plan: Plan) -> Iterable[LooseThread]:
    """A piece wanted alike each time, on cloth whose two layers give a left and a right."""
    draft_of = {piece.name: draft for draft in plan.drafts for piece in draft.pieces}
    for lay in plan.lays:
        for name in wrong_hands(lay.pieces, lay.as_cut) if lay.as_cut else ():
            yield LooseThread(
                "must",
                Place("cloth", item=lay.cloth.name, part="lay"),
                f"{name} is wanted alike each time, and {lay.cloth.name}, laid in two layers, "
                "gives a left and a right of it. Lay the cloth open, or cut them as a pair.",
                (_lay_open(lay.cloth.name), left_and_right(draft_of[name], name)),
            )


def _lay_open(cloth: str) -> Mend:
    return Mend("lay open", (cloth,), f"Lay {cloth} opened out")


def pieces_without_cloth(plan: Plan) -> Iterable[LooseThread]:
    """A piece to be cut from a cloth that the episode does not have."""
    cloths = [cloth.name for cloth in plan.episode.cloths]
    for draft in plan.drafts:
        for piece in draft.pieces:
            if piece.cloth not in cloths:
                args = (draft.recipe.id, piece.name)
                mends = [
                    Mend("cut from", (*args, name), f"Cut {piece.name} from {name}")
                    for name in cloths
                ]
                yield LooseThread(
                    "must",
                    Place("draft", *args, part="cut"),
                    f"{piece.name} is cut from “{piece.cloth}”, which is not listed.",
                    tuple(mends) if len(mends) <= _OFFERED else (),
                )


def notions_not_worked_out(plan: Plan) -> Iterable[LooseThread]:
    """An amount that cannot be worked out from the figures of its notion."""
    for one in plan.notions:
        if one.problem and not one.waits:
            place = Place("shopping", item=one.notion.name)
            yield LooseThread("should", place, f"{one.notion.name}: {one.problem}")


def cloths_that_seem_to_stretch(plan: Plan) -> Iterable[LooseThread]:
    """A cloth whose name or description says that it stretches, and whose card says nothing."""
    tenth = "4 in (10 cm)" if plan.episode.first_unit == "in" else "10 cm (4 in)"
    for cloth in plan.episode.cloths:
        word = seems_to_stretch(f"{cloth.name} {cloth.description}") if not cloth.stretch else ""
        if word:
            yield LooseThread(
                "should",
                Place("cloth", item=cloth.name),
                f"{cloth.name} is called “{word}”, which probably stretches, and its stretch is "
                f"0 %: give by how much {tenth} can be pulled longer by hand.",
            )


def sizes_the_cloth_does_not_hold(plan: Plan) -> Iterable[LooseThread]:
    """Further sizes of the companion that cannot be cut from a cloth as it is laid."""
    if not plan.episode.sizes:
        return
    for cloth in plan.episode.cloths:
        lays = [
            (size.body.name, lay)
            for size in plan.sizes[1:]
            for lay in size.lays
            if lay.cloth.name == cloth.name and lay.problem
        ]
        if lays:
            names = listed([name for name, _ in lays])
            one = len(lays) == 1
            why, opened = _why([lay for _, lay in lays])
            why = in_order(why, plan.episode.first_unit)
            yield LooseThread(
                "should",
                Place("cloth", item=cloth.name, part="lay"),
                f"{'Size' if one else 'Sizes'} {names} cannot be cut from {cloth.name} as it is "
                f"laid, {LAID[cloth.laid]}: {why}",
                (_lay_open(cloth.name),) if opened else (),
            )


def _why(lays: Sequence[LayPlan]) -> tuple[str, bool]:
    """The reason in the last of the sizes, and whether opened out it would do for all of them."""
    last = lays[-1]
    narrow = too_narrow(last)
    if narrow is None:
        return last.problem.removeprefix(f"{last.cloth.name}: "), False
    opened = last.cloth.laid != "open" and not any(too_narrow(lay, "open") for lay in lays)
    mend = "Lay it opened out, or choose a wider cloth." if opened else "Choose a wider cloth."
    return f"{narrow.piece} is too wide. {mend}", opened


def ways_of_laying_not_worked_out(plan: Plan) -> Iterable[LooseThread]:
    """A table of ways of laying of an older draft, or without a width that was added to it."""
    for cloth, lacking in lacking_ways(plan):
        first = plan.episode.first_unit
        widths = listed([both(one.mm, first) for one in lacking])
        told, act = f"What to buy of {cloth} {widths} wide is not worked out yet.", "Work it out"
        if not lacking:
            told = (
                f"The ways of laying {cloth} are of an older draft; the companion has none of them."
            )
            act = "Work them out again"
        place = Place("cloth", item=cloth, part="ways")
        yield LooseThread("should", place, told, work=LongWork("ways", cloth, act))


def words_against_the_lay(plan: Plan) -> Iterable[LooseThread]:
    """A step that says how the cloth lies, where the cloth of all its pieces is laid otherwise."""
    for planned in plan.steps:
        step = planned.step
        ways = {lay.cloth.laid for lay in _lays_of(plan, step)}
        if not ways:
            continue
        text = planned.words.plain
        if (found := _ONE_LAYER.search(text)) and "open" not in ways:
            yield _against(step, found[0], ways)
        if (found := _FOLDED.search(text)) and ways == {"open"}:
            yield _against(step, found[0], ways)


def _against(step: Step, said: str, ways: Iterable[WayOfLaying]) -> LooseThread:
    laid = listed([LAID[way] for way in sorted(ways)])
    return LooseThread(
        "should",
        Place("build", item=step.id),
        f"“{step.name}” says “{said}”, but the cloth of its pieces is laid {laid}.",
    )


def _lays_of(plan: Plan, step: Step) -> Iterator[LayPlan]:
    """The lays of the pieces that a step draws on the cloth or cuts."""
    names = {name_key(n) for work in step.work if work.kind in _LAYING for n in work.pieces}
    for lay in plan.lays:
        if any(name_key(piece.name) in names for piece in lay.pieces):
            yield lay


def spares_that_are_there(plan: Plan) -> Iterable[LooseThread]:
    """A step that says the cloth holds no second piece, on cloth of which more is bought."""
    for planned in plan.steps:
        step = planned.step
        found = _HOLDS_NO.search(step.spare) if step.one_way else None
        if found is None:
            continue
        for lay in _lays_of(plan, step):
            spare = [name for name in lay.spare_pieces if name.lower() in step.spare.lower()]
            if spare:
                yield LooseThread(
                    "should",
                    Place("build", item=step.id),
                    f"“{step.name}” says “{found[0]}”, but {lay.cloth.name} is bought long enough "
                    f"to cut {listed(spare)} once more.",
                )
