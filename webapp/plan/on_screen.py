"""A plan as one person looks at it: the same plan, the unit she reads by standing first.

Only what is shown is in her unit. The texts viewers read, the loose threads there are, the lays
and the days are the plan's own: nothing may come or go with the eyes that look at it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Final

from webapp.plan.edits import changed
from webapp.plan.notions import notion_plans
from webapp.plan.results import CuttingTable, LooseThread, NotionPlan, Plan, SizePlan
from webapp.units import System, in_order

if TYPE_CHECKING:
    from webapp.plan.day_plan import DayPlan
    from webapp.plan.days import Clockwork
    from webapp.plan.texts import EpisodeText

_QUOTED: Final = re.compile(r"(“[^”]*”)")


@dataclass(frozen=True)
class PlanOnScreen(Plan):
    """A plan whose episode names her unit; `own` is the plan itself, which edits start from."""

    own: Plan

    @property
    def loose_threads(self) -> tuple[LooseThread, ...]:
        """Those of the plan, their figures in her order; what they quote stays as it is."""
        first = self.episode.first_unit
        return tuple(
            replace(thread, sentence=_outside_quotes(thread.sentence, first))
            for thread in self.own.loose_threads
        )

    @property
    def threads_are_known(self) -> bool:
        """True once the plan's have been looked for."""
        return self.own.threads_are_known

    @property
    def texts(self) -> "tuple[EpisodeText, ...]":
        """As viewers read them."""
        return self.own.texts

    @property
    def days(self) -> "tuple[DayPlan, ...]":
        """The plan's: hours have one unit."""
        return self.own.days

    @property
    def clockwork(self) -> "Clockwork":
        """The plan's, too."""
        return self.own.clockwork

    @property
    def sizes(self) -> tuple[SizePlan, ...]:
        """The plan's: millimetres."""
        return self.own.sizes

    @property
    def cutting(self) -> tuple[CuttingTable, ...]:
        """The plan's: millimetres."""
        return self.own.cutting


def on_screen(plan: Plan, first: System) -> Plan:
    """The plan with `first` standing first; the plan itself where that is its own order."""
    return plan if plan.episode.first_unit == first else plan.in_other_unit


def turned(plan: Plan) -> Plan:
    """The plan with the other unit first than in its episode."""
    first: System = "in" if plan.episode.first_unit == "cm" else "cm"
    parts = {part.name: getattr(plan, part.name) for part in fields(Plan)}
    shown = PlanOnScreen(**{**parts, "episode": changed(plan.episode, first_unit=first)}, own=plan)
    return replace(shown, notions=tuple(_notions(shown)))


def _notions(shown: PlanOnScreen) -> Iterator[NotionPlan]:
    """What to buy in her order; what was written about it, as it reads."""
    for own, hers in zip(shown.own.notions, notion_plans(shown), strict=True):
        yield replace(hers, why=own.why, amount=own.amount if own.notion.amount else hers.amount)


def _outside_quotes(sentence: str, first: System) -> str:
    return "".join(
        part if part.startswith("“") else in_order(part, first) for part in _QUOTED.split(sentence)
    )
