"""The companion's other cloths: what changes with each, how much to buy and the needle."""

from collections.abc import Iterator, Sequence

from webapp.cloth.weight import both_weights
from webapp.cloth.yardage import Purchase
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.recipe import FinishKind
from webapp.handouts.companion_pieces import FINISHES
from webapp.handouts.companion_view import EdgeFinish, FigureChange, OtherClothSheet
from webapp.plan.other_cloths import OtherClothPlan, SizeRow, other_cloth_plans
from webapp.plan.results import Plan
from webapp.units import parse_length


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
        purchases=tuple((name, found) for name, rows in lengths if (found := _by_length(rows))),
        needle=plan.needle.words,
        needle_why=plan.needle.why,
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


def _by_length(rows: Sequence[SizeRow]) -> tuple[tuple[str, Purchase], ...]:
    """Sizes that buy the same length together, unnamed when all do; one not known is left out."""
    groups: dict[tuple[str, str], tuple[list[str], Purchase]] = {}
    for row in rows:
        if bought := row.purchase:
            names, _ = groups.setdefault((bought.metres, bought.yards), ([], bought))
            names.append(row.size)
    return tuple(
        ("" if len(names) == len(rows) else ", ".join(names), bought)
        for names, bought in groups.values()
    )
