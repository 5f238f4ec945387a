"""The cloth that is at hand, held against its lay and what should be bought for it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Final

from webapp.plan.lays import LayPlan
from webapp.plan.other_cloths import other_cloth_plans
from webapp.plan.results import LooseThread, PageName, Place, Plan
from webapp.units import both, parse_length

_NOTHING_MM: Final = 0.5  # no cloth is measured finer


@dataclass(frozen=True)
class AtHand:
    """A length at hand and what is wanted of it, mm, all before the first wash."""

    have_mm: float
    lay_mm: float  # the bare lay
    total_mm: float  # with the spare and what squares the ends

    @property
    def holds_the_lay(self) -> bool:
        """Whether the pieces can be cut from it at all."""
        return self.have_mm > self.lay_mm - _NOTHING_MM

    @property
    def is_enough(self) -> bool:
        """Whether the spare and the squaring-up are there as well."""
        return self.have_mm > self.total_mm - _NOTHING_MM


def at_hand(lay: LayPlan) -> AtHand | None:
    """What is at hand of its cloth; None when that is not known. Nothing is laid for that."""
    try:
        have_mm = parse_length(lay.cloth.have, None).mm if lay.cloth.have else None
    except ValueError:
        return None  # a file may hold what no form takes
    if have_mm is None or lay.purchase is None or lay.lay is None:
        return None
    lay_mm = lay.purchase.lay_mm / (1 - lay.lay.cloth.shrink_length)
    return AtHand(have_mm, lay_mm, lay.purchase.total_mm)


def cloth_shorter_than_the_lay(plan: Plan) -> Iterable[LooseThread]:
    """A cloth of which less is at hand than is wanted, with its shrinkage in the first wash.

    It must be mended when the pieces themselves do not fit on it, and is worth a look when only
    the spare or the squaring-up does not.
    """
    for lay, page in _lays_at_hand(plan):
        found = at_hand(lay)
        if found is None or found.is_enough:
            continue
        place, name = Place(page, item=lay.cloth.name), lay.cloth.name
        shown = partial(both, first=plan.episode.first_unit, fine=True)
        have = shown(found.have_mm)
        washed = ", before the first wash" if lay.cloth.shrinks_along else ""
        short = f"{shown(found.total_mm - found.have_mm)} short"
        if found.holds_the_lay:
            yield LooseThread(
                "should",
                place,
                f"{name}: you have {have}, which holds the lay of {shown(found.lay_mm)}"
                f"{washed}, but not all that should be bought, {shown(found.total_mm)} with "
                f"the spare and what squares the ends: {short}.",
            )
        else:
            yield LooseThread(
                "must",
                place,
                f"{name}: you have {have}, and the lay alone takes {shown(found.lay_mm)}"
                f"{washed}; {shown(found.total_mm)} with all that should be bought: {short}.",
            )


def _lays_at_hand(plan: Plan) -> Iterator[tuple[LayPlan, PageName]]:
    """The lays of the body on camera on cloths of which a length is at hand."""
    for lay in plan.lays:
        if lay.cloth.have:
            yield lay, "cloth"
    if any(other.have for other in plan.episode.other_cloths):
        for other in other_cloth_plans(plan):
            laid = other.rows[0].laid if other.other.have and other.rows else None
            if laid:
                yield laid, "other-cloths"
