"""The shopping list: cloths, thread, needles and notions, with the reason for each and its cost."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.costs import cost_of_length, cost_of_pieces, shown, total_of
from webapp.cloth.needles import needle_for
from webapp.cloth.notions import ToBuy
from webapp.cloth.weight import both_weights, read_weight
from webapp.draft.names import listed, name_key
from webapp.draft.recipe import Notion
from webapp.plan.lays import LayPlan
from webapp.plan.results import NotionPlan, Plan
from webapp.plan.thread_use import ThreadPlan, spool_called, thread_use
from webapp.plan.thread_use import shown as thread_shown
from webapp.units import System, both, parse_length

OFF_THE_ROLL: Final = ("elastic", "binding")  # kinds with a price per length


@dataclass(frozen=True, slots=True)
class Line:
    """Something to buy. `key` is what it is ticked by; `place` that of its notion, if it is one."""

    key: str
    what: str
    amount: str  # lengths in both units; empty when it is not known
    why: tuple[str, ...] = ()
    cost: Decimal | None = None
    problem: str = ""  # why the amount is not known
    place: int | None = None
    bought: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """Lines that are bought alike."""

    name: str
    lines: tuple[Line, ...]


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
    def unpriced(self) -> tuple[str, ...]:
        """What has no price."""
        return tuple(line.what for line in self.lines if line.cost is None)

    @property
    def total(self) -> str:
        """What everything with a price comes to; empty when nothing has one."""
        costs = [line.cost for line in self.lines if line.cost is not None]
        return shown(total_of(costs), self.currency) if costs else ""

    @property
    def total_words(self) -> str:
        """The total, and how much of the list it speaks of."""
        count, unpriced = len(self.lines), len(self.unpriced)
        if not self.total:
            return "Nothing on the list has a price yet."
        if not unpriced:
            return f"{self.total} for all of it."
        has = f"{count - unpriced} of {count} lines"
        return f"{self.total} for what has a price: {has}."

    def cost_of(self, line: Line) -> str:
        """What a line costs, with its currency; empty when it has no price."""
        return shown(line.cost, self.currency) if line.cost is not None else ""


def shopping(plan: Plan) -> ShoppingList:
    """What to buy for the plan. Never raises for what a user can type.

    Thread and needles that the maker lists herself are not listed again: what is worked out of
    them stands beneath hers.
    """
    thread, needles = tuple(_thread(plan)), tuple(_needles(plan))
    own = [_notion(plan, place, notion) for place, notion in enumerate(plan.notions)]
    sections = (
        ("Cloth", tuple(_cloths(plan))),
        ("Thread", _told_with([line for line in own if _is_thread(line.what)], thread)),
        ("Needles", _told_with([line for line in own if _is_needle(line.what)], needles)),
        (
            "Notions",
            tuple(one for one in own if not (_is_thread(one.what) or _is_needle(one.what))),
        ),
    )
    bought = set(plan.episode.bought)
    return ShoppingList(
        tuple(Section(name, tuple(_ticked(lines, bought))) for name, lines in sections if lines),
        plan.episode.currency,
    )


def notion_key(name: str, copy: int = 1) -> str:
    """What a notion is ticked by; the copies of one name are counted."""
    return f"notion {name_key(name)}" + (f" {copy}" if copy > 1 else "")


def _ticked(lines: Iterable[Line], bought: set[str]) -> Iterator[Line]:
    return (replace(line, bought=line.key in bought) for line in lines)


# --- Cloth -----------------------------------------------------------------------------------


def _cloths(plan: Plan) -> Iterator[Line]:
    first = plan.episode.first_unit
    for lay in plan.lays:
        cloth, purchase = lay.cloth, lay.purchase
        line = Line(
            f"cloth {name_key(cloth.name)}",
            cloth.name,
            _cloth_amount(lay, first),
            tuple(_cloth_why(lay)),
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
    if cloth.description:
        yield f"{cloth.description.strip().rstrip('.')}."
    pieces = listed([piece.name for piece in lay.pieces])
    yield f"For {pieces}."
    if cloth.shrinks_along:
        yield f"It allows for {cloth.shrinks_along:g} per cent of shrinkage in the first wash."


def weight_of(cloth: EpisodeCloth) -> float | None:
    """The cloth's weight in g/m²; None when none is typed that can be read."""
    try:
        return read_weight(cloth.weight) if cloth.weight else None
    except ValueError:
        return None


# --- Thread and needles ----------------------------------------------------------------------


def thread_of(plan: Plan) -> ThreadPlan:
    """The thread of the plan, its layers as thick as the cloths are heavy."""
    weights = {cloth.name: weight_of(cloth) for cloth in plan.episode.cloths}
    return thread_use(plan, weights_g_m2={name: w for name, w in weights.items() if w})


def _thread(plan: Plan) -> Iterator[Line]:
    """A line for each machine that thread is put on, with the spools to choose from."""
    first = plan.episode.first_unit
    used = thread_of(plan)
    uses = [row.use for row in used.rows]
    parts = (
        ("needles", [use.needle_mm for use in uses]),
        ("bobbins", [use.bobbin_mm for use in uses]),
        ("loopers", [use.looper_mm for use in uses]),
        ("waste", [use.waste_mm for use in uses]),
    )
    told = [f"{thread_shown(mm, first)} for {what}" for what, mm in parts if sum(mm) > 0]
    for feed in used.feeds:
        why = [f"Spools: {feed.spools} of {spool_called(used.choices.spool_m, first)}."]
        if feed is used.feeds[-1]:
            why.append(f"Of all the thread, {listed(told)}.")
        yield Line(
            f"thread {feed.name}",
            f"Thread for the {feed.name}",
            thread_shown(feed.parts_mm, first),
            tuple(why),
        )


def _needles(plan: Plan) -> Iterator[Line]:
    """The machine needles, one line for each kind, with the cloths it is for."""
    first = plan.episode.first_unit
    cloths: dict[str, list[str]] = {}
    why: dict[str, str] = {}
    for lay in plan.lays:
        weight = weight_of(lay.cloth)
        needle = needle_for(weight, lay.cloth.stretch)
        known = f", {both_weights(weight, first)}" if weight else ""
        cloths.setdefault(needle.words, []).append(f"{lay.cloth.name}{known}")
        why.setdefault(needle.words, needle.why)
    for words, names in cloths.items():
        yield Line(
            f"needles {words}", "Machine needles", words, (f"For {'; '.join(names)}.", why[words])
        )


def _is_thread(name: str) -> bool:
    return "thread" in name.lower().split()


def _is_needle(name: str) -> bool:
    """True for needles of the machine: those for hand sewing go by no cloth's weight."""
    words = name.lower().split()
    return not {"needle", "needles"}.isdisjoint(words) and "hand" not in words


def _told_with(own: Sequence[Line], worked_out: Sequence[Line]) -> tuple[Line, ...]:
    """The maker's own lines, what was worked out beneath the first; without any, that by itself."""
    if not own:
        return tuple(worked_out)
    more = [sentence for line in worked_out for sentence in _beneath(line)]
    why = tuple(dict.fromkeys((*own[0].why, *more)))  # two needles may have one reason
    return (replace(own[0], why=why), *own[1:])


def _beneath(line: Line) -> Iterator[str]:
    yield f"{line.what}: {line.amount}."
    yield from line.why


# --- Notions ---------------------------------------------------------------------------------


def _notion(plan: Plan, place: int, planned: NotionPlan) -> Line:
    notion, buy = planned.notion, planned.buy
    before = [name_key(one.notion.name) for one in plan.notions[:place]]
    copy = before.count(name_key(notion.name)) + 1
    amount = planned.amount.plain
    worked = [f"Worked out: {buy.amount}."] if buy and buy.amount != amount else []
    return Line(
        notion_key(notion.name, copy),
        notion.name,
        amount,
        tuple(text for text in (planned.why.plain, *worked, *(buy.why if buy else ())) if text),
        _notion_cost(notion, buy, plan.episode.currency),
        planned.problem,
        place,
    )


def _notion_cost(notion: Notion, buy: ToBuy | None, currency: str) -> Decimal | None:
    """The price of one times the count, or of what comes off the roll; None when not known."""
    if not notion.price:
        return None
    if notion.kind in OFF_THE_ROLL:
        if buy is None:
            return None
        length = buy.metres if notion.price_per == "m" else buy.yards
        return cost_of_length(notion.price, notion.price_per, length, currency)
    return cost_of_pieces(notion.price, notion.count, currency)
