"""The companion's notions: how much of each, by size where the sizes differ."""

from collections.abc import Iterator
from typing import Final

from webapp.handouts.companion_sizes import sizes_printed
from webapp.handouts.companion_view import NotionToHave
from webapp.plan.notions_by_size import amounts_together
from webapp.plan.results import Plan

_LACKING: Final = "still to come"


def notions_to_have(plan: Plan) -> Iterator[NotionToHave]:
    """Every notion; its amount once where all sizes printed take the same."""
    sizes = [size.body.name for size in sizes_printed(plan)] if plan.episode.sizes else []
    for place, each in enumerate(plan.notions):
        name, why = each.notion.name, each.why.plain
        found = amounts_together(plan, place, sizes) if len(sizes) > 1 else ()
        if len(found) > 1:
            rows = tuple((", ".join(one.sizes), one.amount or _LACKING) for one in found)
            yield NotionToHave(name, "", why, rows)
        else:
            yield NotionToHave(name, found[0].amount if found else each.amount.plain, why)
