"""What the companion shows of cloth: widths, what to buy in every size, what other cloths change.

The least width that would do where a cloth is too narrow is left out: it follows from what is too
wide for it and from the room there is, which are told.
"""

from collections.abc import Iterator, Mapping

from webapp.cloth.laid import Cloth
from webapp.cloth.weight import both_weights
from webapp.cloth.yardage import Purchase
from webapp.draft.allowances import EdgeAllowance
from webapp.draft.names import name_key
from webapp.filming.figures import quoted
from webapp.plan.conditions import LAID
from webapp.plan.figures import lengths_of
from webapp.plan.kept_ways import table_asked, table_kept
from webapp.plan.lays import LayPlan, cloth_of
from webapp.plan.other_cloths import OtherClothPlan, other_cloth_plans
from webapp.plan.results import Plan, SizePlan
from webapp.plan.shown import (
    Shown,
    Told,
    as_cut,
    for_all,
    for_body,
    for_each,
    in_each,
    parted,
    typed_length,
)
from webapp.plan.too_narrow import opened_out, too_narrow
from webapp.plan.ways import WaysRow, WaysTable
from webapp.units import both, both_called


def cloth_figures(plan: Plan, *, with_lays: bool) -> Iterator[Told]:
    """Every figure of the cloths, then of those that would do in their place.

    Nothing is laid unless `with_lays`.
    """
    for laid in plan.lays:
        try:
            cloth = laid.as_cut or cloth_of(laid.cloth)
        except ValueError:
            pass  # as in a file edited by hand: the sheet tells no width either
        else:
            yield from _as_bought(laid, cloth)
        if with_lays:
            yield from _laid(laid, plan)
            yield from _in_other_widths(laid, plan)
    names = {cloth.name for cloth in plan.episode.cloths}
    for other in other_cloth_plans(plan):
        if other.other.instead_of in names:
            yield from _of_other(other)
            if with_lays:
                yield from _bought_of_other(other, plan)


def added_outside(edge: str, added: EdgeAllowance) -> dict[str, Shown]:
    """What is added outside an edge, by the figures' names."""
    if not added.width_mm:
        return {}
    figures = {f"{edge} allowance": added.width_mm, f"{edge} turn under": added.turn_under_mm}
    return {name: parted(both(mm, "cm", allowance=True)) for name, mm in figures.items() if mm}


def _as_bought(laid: LayPlan, as_laid: Cloth) -> Iterator[Told]:
    cloth, name = laid.cloth, laid.cloth.name
    yield for_all(f"{name}, width", as_cut(as_laid.width_mm))
    yield for_all(f"{name}, left free along each selvedge", as_cut(as_laid.edge_margin_mm))
    if cloth.shrinks_along or cloth.shrinks_across:
        washed = f"{cloth.shrinks_along:g} % of the length, {cloth.shrinks_across:g} % of the width"
        yield for_all(f"{name}, what the first wash takes", Shown(washed))
    width_mm = as_laid.washed_width_mm
    yield for_all(f"{name}, from selvedge to selvedge", parted(both(width_mm, "cm")))
    if as_laid.laid == "folded":
        yield for_all(f"{name}, folded", parted(both(width_mm / 2, "cm")))


def _laid(laid: LayPlan, plan: Plan) -> Iterator[Told]:
    """What to buy in each size, and how long the lay is that is drawn."""
    name = laid.cloth.name
    opened: Mapping[str, LayPlan] = {}
    if laid.problem or plan.episode.sizes:
        opened = opened_out(plan, laid.cloth)
    lays = [laid] if len(plan.sizes) == 1 else [_on(name, size) for size in plan.sizes]
    shown = [
        _to_buy(lay, opened.get(size.body.name)) if lay and _is_whole(size) else None
        for size, lay in zip(plan.sizes, lays, strict=True)
    ]
    yield for_each(f"{name}, to buy", shown, "lay")
    drawn = opened.get(plan.episode.body.name, laid) if laid.problem else laid
    if drawn.lay:
        length = parted(both(drawn.lay.length_mm, "cm"))
        yield for_body(f"{name}, length of the lay", length, "lay")
        if drawn.lay.cloth.laid == "folded across":
            folded = parted(both(drawn.lay.laid_length_mm, "cm"))
            yield for_body(f"{name}, length of the lay, folded", folded, "lay")


def _on(cloth: str, size: SizePlan) -> LayPlan | None:
    return next((lay for lay in size.lays if lay.cloth.name == cloth), None)


def _is_whole(size: SizePlan) -> bool:
    return not any(draft.problems for draft in size.drafts)


def _bought(purchase: Purchase | None) -> Shown | None:
    return Shown(purchase.metres, purchase.yards) if purchase else None


def _to_buy(lay: LayPlan, opened: LayPlan | None) -> Shown | None:
    """What to buy; where the cloth is too narrow as it is laid, also by how much."""
    if not lay.problem:
        return _bought(lay.purchase)
    bought = _bought(opened.purchase) if opened else None
    narrow = too_narrow(lay) if opened else too_narrow(lay, "open")
    why = in_each(lay.problem)
    if narrow:
        wide, room = (both(mm, "cm") for mm in (narrow.wide_mm, narrow.room_mm))
        why = in_each(f"a piece is {wide} wide, and there are {room} for it")
    if bought is None:
        return Shown(f"too narrow: {why.cm}", why.inch and f"too narrow: {why.inch}")
    inch = f"{bought.inch} opened out, as {why.inch or why.cm}"
    return Shown(f"{bought.cm} opened out, as {why.cm}", inch)


def _in_other_widths(laid: LayPlan, plan: Plan) -> Iterator[Told]:
    """The kept table of other widths, where it is of the draft as it stands."""
    if not plan.episode.kept_ways:
        return
    table, name = table_kept(plan.episode, table_asked(plan, laid.cloth)), laid.cloth.name
    if table is None:
        return
    for row in table.rows:
        shown = [
            _best(table, row, at) if _is_whole(size) else None for at, size in enumerate(plan.sizes)
        ]
        what = f"{name}, to buy {row.width.cm} ({row.width.inch}) wide"
        yield for_each(what, shown, "lay")
    repeat_mm = laid.as_cut.repeat_length_mm if laid.as_cut else 0.0
    held = {"to square the ends": laid.squaring_mm - repeat_mm, "for the stripe": repeat_mm}
    for what, mm in held.items():
        if mm > 0:
            length = parted(both(mm, "cm"))
            yield for_all(f"{name}, held in each length {what}", length, "lay")


def _best(table: WaysTable, row: WaysRow, size: int) -> Shown | None:
    for way, cell in zip(table.ways, row.cells[size], strict=True):
        if cell.best and cell.purchase:
            how = LAID[way.laid]
            return Shown(f"{cell.purchase.metres}, {how}", f"{cell.purchase.yards}, {how}")
    return None


# --- Other cloths ----------------------------------------------------------------------------


def _of_other(plan: OtherClothPlan) -> Iterator[Told]:
    cloth, name = plan.other, plan.other.name
    width = typed_length(cloth.width)
    if width:
        yield for_all(f"{name}, width", width)
        if plan.g_per_m2:
            yield for_all(f"{name}, weight", in_each(both_weights(plan.g_per_m2, "cm")))
        if cloth.stretch:
            yield for_all(f"{name}, stretch across", Shown(f"{cloth.stretch:g} %"))
    yield for_all(f"{name}, needle", Shown(plan.needle.words))
    figures = lengths_of(plan.drafts)
    for figure in (*quoted(cloth.description), *quoted(cloth.effect)):
        mm = figures.get(name_key(figure))
        if mm is not None:
            shown = parted(both_called(name_key(figure), mm, "cm"))
            yield for_body(f"{figure} on {name}", shown)
    for what, shown in _changes_on(plan):
        yield for_body(what, shown)


def _changes_on(plan: OtherClothPlan) -> Iterator[tuple[str, Shown]]:
    """What another cloth changes; the edges as drafted are told with their pieces."""
    several = len(plan.garments) > 1
    for choice in plan.choices:
        what = f"{choice.choice}, {choice.garment}," if several else choice.choice
        yield what.rstrip(",") + ", as drafted", _length(choice.old_mm, choice.old)
        yield f"{what} on {plan.other.name}", _length(choice.new_mm, choice.new)
    for change in plan.measures:
        what = f"{change.name}, {change.garment}," if several else change.name
        yield f"{what} finished, on {plan.other.name}", _length(change.new_mm, "not yet")
    for one in plan.edges:
        new = added_outside(one.edge, one.new)
        for figure, shown in (new or {f"{one.edge} allowance": Shown("none")}).items():
            yield f"{one.piece}.{figure} on {plan.other.name}", shown


def _length(mm: float | None, typed: str) -> Shown:
    return Shown(typed or "not yet") if mm is None else as_cut(mm)


def _bought_of_other(other: OtherClothPlan, plan: Plan) -> Iterator[Told]:
    name = other.other.name
    for cloth, rows in ((name, other.rows), *other.beside):
        by_size = {row.size: row.purchase for row in rows}
        shown = [_bought(by_size.get(size.body.name)) for size in plan.sizes]
        yield for_each(f"{cloth}, to buy{'' if cloth == name else f' beside {name}'}", shown, "lay")
