"""The quick lay: pieces set down one by one, in many orders, and the shortest few kept.

Own working: from the best of some sorted orders, a plain local search changes one thing at a time
and keeps what does not lengthen the lay. The same pieces always give the same fills.
"""

import random
from collections.abc import Sequence
from itertools import permutations
from typing import Final

from webapp.cloth.forms import Form
from webapp.cloth.terrain import Fill, Plan, Terrain

_LEAST_FILLS: Final = 6
_ALL_ORDERS: Final = 4  # up to this many pieces, every order is tried
_WASTE_WEIGHTS: Final = (0.0, 1.0)


def quick_fills(
    copies: Sequence[int],
    forms: Sequence[Sequence[Form]],
    areas_mm2: Sequence[float],
    width_mm: float,
    *,
    spare_columns: int,
    placings: int,
) -> list[Fill]:
    """Fills of different lengths, shortest first; `copies` names each copy's piece in `forms`.

    `spare_columns` lets a fill hang over the far selvedge by that many columns: pieces that just
    fit side by side do so only once the gaps of the columns are closed. `placings` bounds the
    work: how many times a piece is set down in all (about 20 µs each).
    """
    terrain = Terrain(copies, forms, width_mm, spare_columns)
    tries = max(_LEAST_FILLS, placings // len(copies))
    starts = [
        Plan(order, weight, {})
        for order in _orders(terrain, [areas_mm2[i] for i in copies])
        for weight in _WASTE_WEIGHTS
    ][:tries]
    found = [terrain.fill(plan) for plan in starts]
    best, plan = min(zip(found, starts, strict=True), key=lambda pair: pair[0][:2])
    dice = random.Random(0)
    while len(found) < tries:
        changed = _changed(plan, [len(forms[i]) for i in copies], dice)
        now = terrain.fill(changed)
        found.append(now)
        if now[:2] <= best[:2]:
            best, plan = now, changed
    return sorted({fill.length_mm: fill for fill in found}.values())


def _changed(plan: Plan, choices: Sequence[int], dice: random.Random) -> Plan:
    """The plan with two pieces swapped, one moved, or one given a turn or let off it."""
    order, forced = list(plan.order), dict(plan.forced)
    i, j = dice.randrange(len(order)), dice.randrange(len(order))
    act = dice.random()
    if act < 0.5:
        order[i], order[j] = order[j], order[i]
    elif act < 0.75:
        order.insert(j, order.pop(i))
    elif i in forced:
        del forced[i]
    else:
        forced[i] = dice.randrange(choices[i])
    return Plan(order, plan.waste_weight, forced)


def _orders(terrain: Terrain, areas: Sequence[float]) -> list[Sequence[int]]:
    """Orders to start from: largest first by several measures, or every order of a few."""
    count = len(areas)
    if count <= _ALL_ORDERS:
        return list(permutations(range(count)))
    first = [terrain.profiles[i][0] for i in terrain.copies]
    wide = [len(profile.foot) for profile in first]
    long = [float(profile.head.max()) for profile in first]
    measures = [
        [area * width for area, width in zip(areas, wide, strict=True)],
        areas,
        long,
        wide,
        [width * length for width, length in zip(wide, long, strict=True)],
    ]
    return [sorted(range(count), key=lambda i: (-measure[i], -areas[i], i)) for measure in measures]
