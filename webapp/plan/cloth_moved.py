"""The cloth to buy before and after a change of the draft, where it is told otherwise."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.cloth.yardage import Purchase
from webapp.draft.names import name_key
from webapp.plan.lays import LayPlan


@dataclass(frozen=True, slots=True)
class ClothMoved:
    """A cloth by name with what to buy of it; None where it is not cut or cannot be laid."""

    name: str
    old: Purchase | None
    new: Purchase | None


def cloths_moved(old: Sequence[LayPlan], new: Sequence[LayPlan]) -> tuple[ClothMoved, ...]:
    """The cloths of which another length is to be bought. Lays what is not laid yet."""
    was, now = _by_name(old), _by_name(new)
    found = []
    for key in {**now, **was}:
        before, after = was.get(key), now.get(key)
        there = after or before
        assert there is not None
        one = before.purchase if before else None
        other = after.purchase if after else None
        if _shown(one) != _shown(other):
            found.append(ClothMoved(there.cloth.name, one, other))
    return tuple(found)


def _by_name(lays: Sequence[LayPlan]) -> dict[str, LayPlan]:
    return {name_key(lay.cloth.name): lay for lay in lays}


def _shown(purchase: Purchase | None) -> tuple[str, str] | None:
    return (purchase.metres, purchase.yards) if purchase else None
