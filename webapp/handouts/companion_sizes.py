"""The companion's figures by size: bodies, finished garments, cloth to buy."""

from collections.abc import Iterator, Mapping, Sequence

from markupsafe import Markup

from webapp.cloth.drawing import draw_lay
from webapp.cloth.yardage import Purchase
from webapp.draft.measures import MEASURES
from webapp.draft.recipe import Body
from webapp.filming.figures import render
from webapp.handouts.companion_view import ClothToBuy, MeasureToTake, SizeTable
from webapp.handouts.companion_widths import other_widths
from webapp.handouts.drawings import INK, sized
from webapp.plan.lays import LayPlan
from webapp.plan.results import Plan
from webapp.units import parse_length

_ONE_LAY_MM = (174.0, 150.0)
_LAYS_MM = (174.0, 108.0)  # two on a page


def size_tables(plan: Plan) -> Iterator[SizeTable]:
    """Body measures by size when there are sizes, then each garment's finished measures."""
    bodies = [size.body for size in plan.sizes]
    wanted = _measure_names(plan)
    if wanted and plan.episode.sizes:
        yield _table("Choose a size by your body", wanted, bodies, [_body_mm(b) for b in bodies])
    for draft in plan.drafts:
        names = tuple(m.name for m in draft.recipe.finished if m.name in draft.finished_mm)
        if names:
            several = len(plan.drafts) > 1
            title = f"Finished: {draft.recipe.name}" if several else "The finished garment"
            yield _table(title, names, bodies, [size.finished_mm for size in plan.sizes])


def _table(
    title: str,
    columns: tuple[str, ...],
    bodies: Sequence[Body],
    figures: Sequence[Mapping[str, float]],
) -> SizeTable:
    rows = tuple(
        (body.name, tuple(row.get(column) for column in columns))
        for body, row in zip(bodies, figures, strict=True)
    )
    return SizeTable(title, columns, rows)


def measures(plan: Plan) -> Iterator[MeasureToTake]:
    """Every measure a garment is drafted from, in the order it is first asked for."""
    ours = _body_mm(plan.episode.body)
    for name in _measure_names(plan):
        how = MEASURES[name].how if name in MEASURES else ""
        yield MeasureToTake(name, how, ours.get(name))


def _measure_names(plan: Plan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for draft in plan.drafts for name in draft.recipe.measures))


def _body_mm(body: Body) -> dict[str, float]:
    found = {}
    for name, text in body.measures.items():
        try:
            found[name] = parse_length(text, None).mm
        except ValueError:
            continue  # the plan's loose threads tell it
    return found


def cloth_to_buy(laid: LayPlan, plan: Plan) -> ClothToBuy:
    """A cloth, how much of it each size takes, and the lay as drawn for the episode's body."""
    cloth, lay, first = laid.cloth, laid.lay, plan.episode.first_unit
    drawing = Markup()
    if lay:
        room = _ONE_LAY_MM if len(plan.lays) == 1 else _LAYS_MM
        drawing = sized(draw_lay(lay, first, f"The lay on {cloth.name}", ink=INK), *room)
    return ClothToBuy(
        name=cloth.name,
        description=render(cloth.description, plan.figures_mm, first).plain,
        width_mm=lay.cloth.width_mm if lay else None,
        margin_mm=lay.cloth.edge_margin_mm if lay else 0.0,
        shrinks_along=cloth.shrinks_along,
        shrinks_across=cloth.shrinks_across,
        one_way=cloth.one_way,
        purchases=tuple(_purchases(laid, plan)),
        other_widths=other_widths(laid, plan),
        size=plan.episode.body.name,
        drawing=drawing,
    )


def _purchases(laid: LayPlan, plan: Plan) -> Iterator[tuple[str, Purchase]]:
    """Sizes that buy the same length together."""
    if not plan.episode.sizes:  # the size table would lay the pieces once more
        if laid.purchase:
            yield plan.episode.body.name, laid.purchase
        return
    groups: dict[tuple[str, str], tuple[list[str], Purchase]] = {}
    for size in plan.sizes:
        if purchase := size.purchases.get(laid.cloth.name):
            names, _ = groups.setdefault((purchase.metres, purchase.yards), ([], purchase))
            names.append(size.body.name)
    for names, purchase in groups.values():
        yield ", ".join(names), purchase
