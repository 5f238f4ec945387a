"""How much of every notion each size takes: sizes that buy the same together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from webapp.plan.figures import lengths_of
from webapp.plan.notions import notion_plans
from webapp.plan.results import NotionPlan, Plan


@dataclass(frozen=True, slots=True)
class AmountInSizes:
    """An amount in both units, and the sizes that take it."""

    sizes: tuple[str, ...]
    amount: str


def notion_amounts(plan: Plan) -> tuple[dict[str, str], ...]:
    """Every notion's amount by size, the body first; of its own body alone without sizes.

    Worked out once for a plan; nothing is laid for it.
    """
    known = vars(plan).setdefault("_notion_amounts", ())  # a plan is never altered
    if not known:
        known = vars(plan)["_notion_amounts"] = tuple(_amounts(plan))
    found: tuple[dict[str, str], ...] = known
    return found


def amounts_together(plan: Plan, place: int, sizes: Sequence[str]) -> tuple[AmountInSizes, ...]:
    """The notion at that place: each amount once with its sizes, in the order given.

    Thread that fills as many spools is the same to buy: it is told for the size of the plan, or
    for the last of the sizes where that takes another number.
    """
    own = plan.episode.body.name
    alike: dict[str, list[str]] = {}
    planned, amounts = plan.notions[place], notion_amounts(plan)[place]
    for size in sizes:
        alike.setdefault(_as_bought(planned, amounts[size]), []).append(size)
    return tuple(
        AmountInSizes(tuple(named), amounts[own if own in named else named[-1]])
        for named in alike.values()
    )


def _amounts(plan: Plan) -> list[dict[str, str]]:
    own = plan.episode.body.name
    found = [{own: each.amount.plain} for each in plan.notions]
    for size in plan.sizes[1:]:
        # All that notions go by; the steps are the same in every size.
        other = replace(
            plan, drafts=size.drafts, figures_mm=lengths_of(size.drafts), lays=size.lays
        )
        for amounts, each in zip(found, notion_plans(other), strict=True):
            amounts[size.body.name] = each.amount.plain
    return found


def _as_bought(planned: NotionPlan, amount: str) -> str:
    """The amount without the length of thread that its spools are sewn off."""
    if planned.notion.kind != "thread" or planned.notion.amount:
        return amount
    return "; ".join(part.rpartition(" for the ")[0] for part in amount.split("; "))
