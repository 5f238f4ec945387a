"""The notions of an episode: their live texts, and what is worked out from their figures."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from functools import partial
from typing import Final

from webapp.cloth import notions as to_buy
from webapp.cloth.notions import ToBuy
from webapp.draft.expressions import read
from webapp.draft.names import Figures, Quantity, name_key
from webapp.draft.recipe import Notion
from webapp.draft.results import Draft
from webapp.errors import FigureError, WaitingError
from webapp.filming.figures import LiveText, Part, render
from webapp.plan.episode import Episode
from webapp.plan.results import NotionPlan, Plan
from webapp.plan.thread_and_needles import needles_to_buy, thread_to_buy
from webapp.remembered import Remembered
from webapp.units import parse_length

# What a kind cannot do without, and what that is called.
_NEEDED: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "elastic": (("length", "how long it is once it is sewn in"),),
    "zip": (("length", "how long the opening is"),),
    "buttons": (("length", "how far one is across"),),
    "binding": (("length", "how long the edge is"), ("width", "how wide it is cut")),
}


_plans: Final[Remembered[Hashable, tuple[NotionPlan, ...]]] = Remembered(50)


def notion_plans(plan: Plan) -> tuple[NotionPlan, ...]:
    """Every notion of a plan that is else complete, with its figures filled in. Remembered: no
    shot changes them."""
    return _plans.get(plan.but_shots, lambda: _notion_plans(plan))


def _notion_plans(plan: Plan) -> tuple[NotionPlan, ...]:
    figures_mm, first = plan.figures_mm, plan.episode.first_unit
    names = notion_names(plan.drafts, figures_mm)
    cloths = tuple(_cloth_widths(plan.episode))
    return tuple(
        _planned(
            notion,
            render(notion.amount, figures_mm, first),
            render(notion.why, figures_mm, first),
            partial(_worked_out, plan, notion, names, cloths),
        )
        for notion in plan.episode.notions
    )


def notion_names(drafts: Sequence[Draft], figures_mm: Mapping[str, float]) -> Figures:
    """What a notion's figures may quote: what its texts may, and bare numbers; what is lacking."""
    names = Figures({name: Quantity(mm) for name, mm in figures_mm.items()})
    for draft in drafts:
        names.lacking |= draft.names.lacking
        for name, quantity in draft.names.items():
            names.setdefault(name_key(name), quantity)
    return names


def _planned(
    notion: Notion, amount: LiveText, why: LiveText, work_out: "partial[ToBuy | None]"
) -> NotionPlan:
    try:
        buy = work_out()
    except WaitingError as error:
        return NotionPlan(notion, amount, why, problem=error.sentence, waits=True)
    except FigureError as error:
        return NotionPlan(notion, amount, why, problem=error.sentence)
    except ValueError as error:
        return NotionPlan(notion, amount, why, problem=str(error))
    if buy and not notion.amount:
        amount = LiveText((Part(buy.amount, "figure"),))
    return NotionPlan(notion, amount, why, buy)


def _worked_out(
    plan: Plan, notion: Notion, names: Figures, cloths: Sequence[tuple[str, float]]
) -> ToBuy | None:
    """What to buy of it; None for what nothing is worked out of."""
    if notion.kind in ("thread", "needles"):
        return _by_what_is_sewn(plan, notion)
    for field, what in _NEEDED.get(notion.kind, ()):
        if not getattr(notion, field):
            raise FigureError(f"Say {what}, and how much to buy is worked out.")

    def mm(text: str) -> float:
        return read(text).length_mm(names) if text else 0.0

    ends = mm(notion.ends) if notion.ends else None
    length, width, count = mm(notion.length), mm(notion.width), notion.count
    first = plan.episode.first_unit
    if notion.kind == "elastic":
        return to_buy.elastic(length, width, ends, count, first)
    if notion.kind == "zip":
        return to_buy.zip_fastener(length, count, first)
    if notion.kind == "buttons":
        return to_buy.buttons(length, width, count, first)
    if notion.kind == "binding":
        return to_buy.binding(length, width, ends, count, cloths, first)
    return None


def _by_what_is_sewn(plan: Plan, notion: Notion) -> ToBuy | None:
    """Thread or needles; None while there is nothing to go by and the maker wrote how much."""
    thread = notion.kind == "thread"
    buy = thread_to_buy(plan) if thread else needles_to_buy(plan, notion.count)
    if buy or notion.amount:
        return buy
    if any(step.waits for step in plan.steps):
        raise WaitingError("It follows what is sewn, which waits for the draft.")
    if not thread:
        raise FigureError("List a cloth, and the needle for it is worked out.")
    raise FigureError("Say which seams and edges the steps sew, and how much to buy is worked out.")


def _cloth_widths(episode: Episode) -> Iterator[tuple[str, float]]:
    """The episode's cloths with the width between their margins, mm, where that can be read."""
    for cloth in episode.cloths:
        try:
            width = (
                parse_length(cloth.width, None).mm - 2 * parse_length(cloth.edge_margin, None).mm
            )
        except ValueError:
            continue
        if width > 0:
            yield cloth.name, width
