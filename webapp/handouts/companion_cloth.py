"""The companion's cloth: what every size buys, or why this cloth will not do and what would."""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from markupsafe import Markup

from webapp.cloth.drawing import draw_lay
from webapp.cloth.yardage import Purchase
from webapp.filming.figures import render
from webapp.handouts.companion_care import care_of
from webapp.handouts.companion_sizes import sizes_printed
from webapp.handouts.companion_view import ClothToBuy, SizesToBuy
from webapp.handouts.companion_widths import other_widths
from webapp.handouts.drawings import INK, sized
from webapp.plan.conditions import LAID
from webapp.plan.lays import LayPlan, cloth_of
from webapp.plan.results import Plan, SizePlan
from webapp.plan.too_narrow import TooNarrow, opened_out, too_narrow
from webapp.units import System, both, centimetres, inches

_ONE_LAY_MM: Final = (174.0, 108.0)
_LAYS_MM: Final = (174.0, 100.0)  # two below each other on a page, or beside each other
_TEXT: Final = 1 / 32  # of the cloth's longer side: on so small a lay less is under 5 pt
_STEP_MM: Final = {"cm": 5.0, "in": 25.4 / 8}
_UNDRAWN: Final = "Still to come: not every piece can be drawn in this size yet."


def cloth_to_buy(laid: LayPlan, plan: Plan) -> ClothToBuy:
    """A cloth, how much of it each size takes, and the lay as drawn for the episode's body.

    A size that cannot be laid on the cloth as it is folded is told what it buys opened out.
    """
    cloth, first = laid.cloth, plan.episode.first_unit
    opened: Mapping[str, LayPlan] = {}
    if laid.problem or plan.episode.sizes:  # the sizes would lay the pieces once more
        opened = opened_out(plan, cloth)
    body = plan.episode.body.name
    shown = opened.get(body, laid) if laid.problem else laid
    width_mm, margin_mm = _width_and_margin_mm(laid)
    drawing = Markup()
    if shown.lay:
        room = _ONE_LAY_MM if len(plan.lays) == 1 else _LAYS_MM
        title = f"The lay on {cloth.name}"
        drawing = sized(draw_lay(shown.lay, first, title, ink=INK, lettering=_TEXT), *room)
    return ClothToBuy(
        name=cloth.name,
        description=render(cloth.description, plan.figures_mm, first).plain,
        width_mm=width_mm,
        margin_mm=margin_mm,
        shrinks_along=cloth.shrinks_along,
        shrinks_across=cloth.shrinks_across,
        one_way=cloth.one_way,
        purchases=_purchases(laid, plan, opened),
        other_widths=other_widths(laid, plan),
        size=body if plan.episode.sizes else "",
        drawing=drawing,
        laid=shown.cloth.laid,
        otherwise=LAID[shown.cloth.laid] if shown.cloth.laid != cloth.laid else "",
        care=care_of(cloth),
    )


def _width_and_margin_mm(laid: LayPlan) -> tuple[float | None, float]:
    try:
        cloth = laid.as_cut or cloth_of(laid.cloth)
    except ValueError:
        return None, 0.0  # as in a file edited by hand
    return cloth.width_mm, cloth.edge_margin_mm


def _purchases(laid: LayPlan, plan: Plan, opened: Mapping[str, LayPlan]) -> tuple[SizesToBuy, ...]:
    """Every size once, those that buy the same or fail alike together."""
    first = plan.episode.first_unit
    if not plan.episode.sizes and not laid.problem:
        undrawn = any(draft.problems for draft in plan.drafts)
        bought = (None, _UNDRAWN) if undrawn else (laid.purchase, "")
        return together([(plan.episode.body.name, *bought)])
    return together(
        [
            (size.body.name, *_bought(size, laid.cloth.name, opened, first))
            for size in sizes_printed(plan)
        ]
    )


def _bought(
    size: SizePlan, cloth: str, opened: Mapping[str, LayPlan], first: System
) -> tuple[Purchase | None, str]:
    """What a size buys, and why it buys none, or none for the cloth as it is laid."""
    if any(draft.problems for draft in size.drafts):
        return None, _UNDRAWN
    lay = next((lay for lay in size.lays if lay.cloth.name == cloth), None)
    if lay is None:
        return None, "Nothing is cut from it in this size."
    if not lay.problem:
        return lay.purchase, ""
    other = opened.get(size.body.name)
    if other:
        return other.purchase, f"Opened out in one layer. {_why_not_so(lay, first)}"
    return None, _why_not_at_all(lay, first)


def why_not(lay: LayPlan, first: System) -> str:
    """Why a size cannot be laid on a cloth as it is laid, and what would do."""
    if lay.cloth.laid == "open" or too_narrow(lay, "open"):
        return _why_not_at_all(lay, first)
    return f"{_why_not_so(lay, first)} Opened out, it would do."


def _why_not_so(lay: LayPlan, first: System) -> str:
    """Why a size that can be laid opened out cannot be laid as the others are."""
    narrow = too_narrow(lay)
    if narrow is None:
        return lay.problem.removeprefix(f"{lay.cloth.name}: ")
    least = rounded_up(narrow.width_mm, first)
    so = LAID[lay.cloth.laid].capitalize()
    return f"{so}, {_room(narrow, first)}: that takes a cloth at least {least} wide."


def _why_not_at_all(lay: LayPlan, first: System) -> str:
    """Why a size can be laid on this cloth neither as the others are nor opened out."""
    narrow = too_narrow(lay, "open")
    if narrow is None:
        return lay.problem.removeprefix(f"{lay.cloth.name}: ")
    least = rounded_up(narrow.width_mm, first)
    so, how = ("", "") if lay.cloth.laid == "open" else (" even opened out", ", opened out")
    return (
        f"This cloth is too narrow{so}: {_room(narrow, first)}. "
        f"A cloth at least {least} wide would do{how}."
    )


def _room(narrow: TooNarrow, first: System) -> str:
    wide = f"{both(narrow.wide_mm, first)} wide{' from the fold' if narrow.from_fold else ''}"
    return f"{narrow.piece} is {wide}, and there are {both(narrow.room_mm, first)} for it"


def rounded_up(mm: float, first: System) -> str:
    """A width that is enough, up to 0.5 cm and to 1/8 in, each from the exact length."""
    cm, inch = (step * math.ceil(mm / step - 1e-9) for step in (_STEP_MM["cm"], _STEP_MM["in"]))
    pair = (centimetres(cm), inches(inch))
    one, other = pair if first == "cm" else pair[::-1]
    return f"{one} ({other})"


def together(rows: list[tuple[str, Purchase | None, str]]) -> tuple[SizesToBuy, ...]:
    groups: dict[tuple[str, str, str], tuple[list[str], Purchase | None]] = {}
    for size, bought, why in rows:
        key = (bought.metres, bought.yards, why) if bought else ("", "", why)
        groups.setdefault(key, ([], bought))[0].append(size)
    return tuple(
        SizesToBuy(tuple(names), bought, why) for (_, _, why), (names, bought) in groups.items()
    )


def without_lay(cloths: tuple[ClothToBuy, ...]) -> Iterator[str]:
    """What the sheet cannot say yet of the cloths, for the size it is made for."""
    for cloth in cloths:
        own = next(
            (row for row in cloth.purchases if not cloth.size or cloth.size in row.sizes), None
        )
        if own is None or own.buy is None:
            size = f" for {cloth.size}" if cloth.size else ""
            yield f"How much {cloth.name} to buy{size}"
