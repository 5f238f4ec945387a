"""The companion's other cloths: what changes with each, how much to buy and the needle."""

from collections.abc import Iterator, Sequence

from webapp.cloth.needles import needle_for
from webapp.cloth.weight import both_weights
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.recipe import FINISHES, FinishKind
from webapp.handouts.companion_cloth import together, why_not
from webapp.handouts.companion_sizes import places_of
from webapp.handouts.companion_view import EdgeFinish, FigureChange, OtherClothSheet, SizesToBuy
from webapp.plan.other_cloths import OtherClothPlan, SizeRow, other_cloth_plans
from webapp.plan.results import Plan
from webapp.units import System, parse_length


def other_cloths(plan: Plan) -> Iterator[OtherClothSheet]:
    """The cloths that would do in place of one the episode has."""
    names = {cloth.name for cloth in plan.episode.cloths}
    for each in other_cloth_plans(plan):
        if each.other.instead_of in names:
            yield _sheet(each)


def _sheet(plan: OtherClothPlan) -> OtherClothSheet:
    cloth, first = plan.other, plan.plan.episode.first_unit
    lengths = ((cloth.name, plan.rows), *plan.beside)
    return OtherClothSheet(
        name=cloth.name,
        instead_of=cloth.instead_of,
        description=plan.description.plain,
        effect=plan.effect.plain,
        width_mm=_width_mm(cloth.width),
        weight=both_weights(plan.g_per_m2, first) if plan.g_per_m2 else "",
        stretch=cloth.stretch,
        figures=tuple(_figures(plan)),
        hems=tuple(
            (_finish(names, one.old_kind, one.old), _finish(names, one.new_kind, one.new))
            for names, one in plan.edge_groups
        ),
        hem_why=tuple(why for why, _ in plan.hem_reasons) if cloth.hems == "as advised" else (),
        purchases=tuple(
            (name, found) for name, rows in lengths if (found := _by_length(plan.plan, rows))
        ),
        held_under=plan.held_under,
        needle=plan.needle.words,
        needle_why=needle_for(plan.g_per_m2, cloth.stretch).why,
    )


def _width_mm(typed: str) -> float | None:
    try:
        return parse_length(typed, None).mm
    except ValueError:
        return None


def _figures(plan: OtherClothPlan) -> Iterator[FigureChange]:
    several = len(plan.garments) > 1
    for one in plan.choices:
        name = one.choice.capitalize()
        what = f"{name}, {one.garment}" if several else name
        yield FigureChange(what, one.old_mm, one.new_mm, one.old, one.new)
    for change in plan.measures:
        what = f"{change.name}, {change.garment}" if several else change.name
        yield FigureChange(f"{what}, finished", change.old_mm, change.new_mm, "", "")


def _finish(edges: str, kind: FinishKind, added: EdgeAllowance) -> EdgeFinish:
    return EdgeFinish(edges, FINISHES[kind], added.width_mm, added.turn_under_mm)


def _by_length(plan: Plan, rows: Sequence[SizeRow]) -> tuple[SizesToBuy, ...]:
    """Every size printed, those that buy the same length together; one not known says why."""
    first = plan.episode.first_unit
    places = places_of(plan)
    shown = sorted((row for row in rows if row.size in places), key=lambda row: places[row.size])
    return together([(row.size, row.purchase, _why(row, first)) for row in shown])


def _why(row: SizeRow, first: System) -> str:
    if row.purchase:
        return ""
    if row.laid and row.laid.problem:
        return why_not(row.laid, first)
    return row.problem or "Still to come."
