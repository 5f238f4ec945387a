"""The shopping list: cloths, thread, needles and notions, with the reason for each and its cost."""

import re
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from webapp.cloth.costs import cost_of_length, cost_of_pieces, shown, total_of
from webapp.cloth.notions import ToBuy
from webapp.cloth.weight import both_weights
from webapp.draft.names import listed, name_key
from webapp.draft.recipe import Notion, NotionKind
from webapp.filming.figures import render
from webapp.plan.lays import LayPlan
from webapp.plan.results import NotionPlan, Plan
from webapp.plan.thread_and_needles import needles_to_buy, thread_to_buy, weight_of
from webapp.remembered import Remembered
from webapp.units import System, both, parse_length

# What a sewing room has anyway; with a price, it is bought for this garment.
_AT_HAND: Final = frozenset(
    {"awl", "bobbin", "bobbins", "chalk", "hanger", "iron", "needle", "needles", "pin", "pins"}
    | {"ruler", "scissors", "shears", "thimble", "tweezers", "unpicker"}
)
_TOLD_MORE: Final = re.compile(r" (?:for|with|to|in|of)\b|[(:;]")
_TOGETHER: Final = re.compile(r",? (?:and|or) |, ")
_MADE: Final = "Cut from your cloth"
_THERE: Final = "Have at hand"
OFF_THE_ROLL: Final = ("elastic", "binding")  # kinds with a price per length


@dataclass(frozen=True, slots=True)
class Line:
    """Something to buy. `key` is what it is ticked by; `place` that of its notion, if it is one."""

    key: str
    what: str
    amount: str  # lengths in both units; empty when it is not known
    description: str = ""  # of a cloth: what it is
    worked_out: str = ""  # beside an amount that the maker wrote herself
    why: tuple[str, ...] = ()
    cost: Decimal | None = None
    problem: str = ""  # why the amount is not known
    place: int | None = None
    bought: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """Lines that are bought alike, or, if not `to_buy`, that are there without buying."""

    name: str
    lines: tuple[Line, ...]
    to_buy: bool = True


@dataclass(frozen=True)
class ShoppingList:
    """Everything to buy, with what it costs as far as prices are known."""

    sections: tuple[Section, ...]
    currency: str

    @property
    def lines(self) -> tuple[Line, ...]:
        """All its lines, in order."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def to_buy(self) -> tuple[Line, ...]:
        """The lines of what is bought for this garment."""
        return tuple(line for one in self.sections if one.to_buy for line in one.lines)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What is to be bought and has no price."""
        return tuple(line.what for line in self.to_buy if line.cost is None)

    @property
    def total(self) -> str:
        """What everything with a price comes to; empty when nothing has one."""
        costs = [line.cost for line in self.to_buy if line.cost is not None]
        return shown(total_of(costs), self.currency) if costs else ""

    @property
    def total_words(self) -> str:
        """The total, and how much of the list it speaks of."""
        count, unpriced = len(self.to_buy), len(self.unpriced)
        if not self.total:
            return "Nothing on the list has a price yet."
        if not unpriced:
            return f"{self.total} for all of it."
        has = f"{count - unpriced} of {count} lines"
        return f"{self.total} for what has a price: {has}."

    def cost_of(self, line: Line) -> str:
        """What a line costs, with its currency; empty when it has no price."""
        return shown(line.cost, self.currency) if line.cost is not None else ""


_to_buy: Final[Remembered[Hashable, tuple[Line, ...]]] = Remembered(50)


def shopping(plan: Plan) -> ShoppingList:
    """What to buy for the plan. Never raises for what a user can type.

    Thread and needles that the maker lists herself are not listed again.
    """
    return _listed(plan, _cloths(plan))


def not_bought(plan: Plan) -> tuple[Line, ...]:
    """The lines that are not ticked yet, the cloths without their amounts: nothing is laid."""
    return _to_buy.get(plan.but_shots, lambda: _not_bought(plan))


def _not_bought(plan: Plan) -> tuple[Line, ...]:
    cloths = (Line(_cloth_key(lay), lay.cloth.name, "") for lay in plan.lays)
    return tuple(line for line in _listed(plan, cloths).to_buy if not line.bought)


def _listed(plan: Plan, cloths: Iterable[Line]) -> ShoppingList:
    threads: list[Line] = []
    needles: list[Line] = []
    others: list[Line] = []
    made: list[Line] = []
    at_hand: list[Line] = []
    for place, one in enumerate(plan.notions):
        thread, needle = _is_thread(one.notion), _is_needle(one.notion)
        line = _notion(plan, place, one)
        if cloth := _cut_from(plan, one.notion):
            made.append(_made_of(cloth, line, one))
            continue
        rest = at_hand if _is_at_hand(one.notion) else others
        own = threads if thread else needles if needle else rest
        own.append(line)
    sections = (
        ("Cloth", tuple(cloths)),
        ("Thread", _sewn_with(threads, "thread", "Sewing thread", plan)),
        ("Needles", _sewn_with(needles, "needles", "Machine needles", plan)),
        ("Notions", tuple(others)),
        (_MADE, tuple(made)),
        (_THERE, tuple(at_hand)),
    )
    bought = set(plan.episode.bought)
    return ShoppingList(
        tuple(
            Section(name, tuple(_ticked(lines, bought)), name not in (_MADE, _THERE))
            for name, lines in sections
            if lines
        ),
        plan.episode.currency,
    )


def notion_key(name: str, copy: int = 1) -> str:
    """What a notion is ticked by; the copies of one name are counted."""
    return f"notion {name_key(name)}" + (f" {copy}" if copy > 1 else "")


def _ticked(lines: Iterable[Line], bought: set[str]) -> Iterator[Line]:
    return (replace(line, bought=line.key in bought) for line in lines)


# --- Cloth -----------------------------------------------------------------------------------


def _cloth_key(lay: LayPlan) -> str:
    return f"cloth {name_key(lay.cloth.name)}"


def _cloths(plan: Plan) -> Iterator[Line]:
    first = plan.episode.first_unit
    for lay in plan.lays:
        cloth, purchase = lay.cloth, lay.purchase
        line = Line(
            _cloth_key(lay),
            cloth.name,
            _cloth_amount(lay, first),
            description=render(cloth.description, plan.figures_mm, first).plain.strip().rstrip("."),
            why=tuple(_cloth_why(lay)),
            problem="" if purchase else lay.problem,
        )
        if purchase and cloth.price:
            length = purchase.metres if cloth.price_per == "m" else purchase.yards
            cost = cost_of_length(cloth.price, cloth.price_per, length, plan.episode.currency)
            line = replace(line, cost=cost)
        yield line


def _cloth_amount(lay: LayPlan, first: System) -> str:
    """`1.9 m (2 1/8 yd), 150 cm (59 in) wide, 185 g/m² (5.5 oz/yd²)`."""
    if lay.purchase is None:
        return ""
    pair = (lay.purchase.metres, lay.purchase.yards)
    one, other = pair if first == "cm" else pair[::-1]
    wide = both(parse_length(lay.cloth.width, None).mm, first)
    weight = weight_of(lay.cloth)
    told = [f"{one} ({other})", f"{wide} wide"]
    return ", ".join([*told, both_weights(weight, first)] if weight else told)


def _cloth_why(lay: LayPlan) -> Iterator[str]:
    cloth = lay.cloth
    pieces = listed([piece.name for piece in lay.pieces])
    yield f"For {pieces}."
    if cloth.shrinks_along:
        yield f"It allows for {cloth.shrinks_along:g} % of shrinkage in the first wash."


# --- Thread and needles ----------------------------------------------------------------------


def _sewn_with(own: Sequence[Line], kind: NotionKind, what: str, plan: Plan) -> tuple[Line, ...]:
    """The maker's own lines; without any, one that is worked out.

    Where she lists it as something else, what is worked out stands beside her first line.
    """
    buy = thread_to_buy(plan) if kind == "thread" else needles_to_buy(plan)
    if buy is None or any(one.notion.kind == kind for one in plan.notions):
        return tuple(own)
    if not own and not plan.lays:
        return ()
    if not own:
        return (Line(kind, what, buy.amount, why=buy.why),)
    first = replace(own[0], worked_out=buy.amount, why=(*own[0].why, *buy.why))
    return (first, *own[1:])


def _is_thread(notion: Notion) -> bool:
    named = notion.kind == "other" and "thread" in notion.name.lower().split()
    return named or notion.kind == "thread"


def _is_needle(notion: Notion) -> bool:
    """True for needles of the machine: those for hand sewing go by no cloth's weight."""
    words = notion.name.lower().split()
    named = not {"needle", "needles"}.isdisjoint(words) and "hand" not in words
    return (named and notion.kind == "other") or notion.kind == "needles"


# --- Notions ---------------------------------------------------------------------------------


def _is_at_hand(notion: Notion) -> bool:
    """By what it is, the last word before it is told more of: a hanger loop is no hanger."""
    if notion.kind != "other" or notion.price:
        return False
    what = _TOLD_MORE.split(notion.name.lower())[0]
    words = [one.split() for one in _TOGETHER.split(what)]
    return all(one and one[-1] in _AT_HAND for one in words)


def _made_of(cloth: str, line: Line, planned: NotionPlan) -> Line:
    """A line of what is cut from a cloth that is on the list: nothing of it is bought."""
    own = (planned.why.plain,) if planned.why.plain else ()
    why = (*own, f"It is cut from {cloth}, which is bought above.")
    return replace(line, worked_out="", why=why, cost=None, problem="")


def _cut_from(plan: Plan, notion: Notion) -> str:
    """The cloth of the episode that a binding is cut from as a piece of the draft; else empty.

    It is that piece when both its length and its width are figures of it.
    """
    if notion.kind != "binding":
        return ""
    figures = (notion.length.lower(), notion.width.lower())
    listed_cloths = {lay.cloth.name for lay in plan.lays}
    for piece in plan.pieces:
        own = f"{piece.name.lower()}."
        if piece.cloth in listed_cloths and all(one.startswith(own) for one in figures):
            return piece.cloth
    return ""


def _notion(plan: Plan, place: int, planned: NotionPlan) -> Line:
    notion, buy = planned.notion, planned.buy
    before = [name_key(one.notion.name) for one in plan.notions[:place]]
    copy = before.count(name_key(notion.name)) + 1
    amount = planned.amount.plain
    return Line(
        notion_key(notion.name, copy),
        notion.name,
        amount,
        worked_out=buy.amount if buy and buy.amount != amount else "",
        why=tuple(text for text in (planned.why.plain, *(buy.why if buy else ())) if text),
        cost=_notion_cost(notion, buy, plan.episode.currency),
        problem=planned.problem,
        place=place,
    )


def _notion_cost(notion: Notion, buy: ToBuy | None, currency: str) -> Decimal | None:
    """The price of one times how many, or of what comes off the roll; None when not known."""
    if not notion.price:
        return None
    if notion.kind in OFF_THE_ROLL:
        if buy is None:
            return None
        length = buy.metres if notion.price_per == "m" else buy.yards
        return cost_of_length(notion.price, notion.price_per, length, currency)
    count = buy.count if buy and buy.count and not notion.amount else notion.count
    return cost_of_pieces(notion.price, count, currency)
