"""The quick lay: pieces set down one by one, in many orders, and the shortest few kept.

Own working: from the best of some sorted orders, a plain local search changes one thing at a time
and keeps what does not lengthen the lay. The same pieces always give the same fills.
"""

import random
from collections.abc import Sequence
from itertools import permutations
from typing import Final

from webapp.cloth.forms import Form
from webapp.cloth.terrain import Fill, Ground, Plan, Terrain

_LEAST_FILLS: Final = 6
_ALL_ORDERS: Final = 4  # up to this many pieces, every order is tried
_WASTE_WEIGHTS: Final = (0.0, 1.0)


def quick_fills(
    copies: Sequence[int],
    forms: Sequence[Sequence[Form]],
    areas_mm2: Sequence[float],
    ground: Ground,
    *,
    placings: int,
) -> list[Fill]:
    """Fills of different lengths, shortest first; `copies` names each copy's piece in `forms`.

    The ground's spare columns let a fill hang over the far selvedge: pieces that just fit side by
    side do so only once the gaps of the columns are closed. `placings` bounds the work: how many
    times a piece is set down in all (about 20 µs each).
    """
    terrain = Terrain(copies, forms, ground)
    tries = max(_LEAST_FILLS, placings // len(copies))
    starts = [
        Plan(order, weight, {})
        for order in orders([forms[i][0] for i in copies], [areas_mm2[i] for i in copies])
        for weight in _WASTE_WEIGHTS
    ][:tries]
    found = [(fill, plan) for plan in starts if (fill := terrain.fill(plan))]
    if not found:
        return []
    best, plan = min(found, key=lambda pair: pair[0][:2])
    lengths = {fill.length_mm: fill for fill, _ in found}
    dice = random.Random(0)
    for _ in range(tries - len(starts)):
        changed = varied(plan, [len(forms[i]) for i in copies], dice)
        now = terrain.fill(changed)
        if now is None:
            continue
        lengths[now.length_mm] = now
        if now[:2] <= best[:2]:
            best, plan = now, changed
    return sorted(lengths.values())


def varied(plan: Plan, choices: Sequence[int], dice: random.Random) -> Plan:
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


def orders(forms: Sequence[Form], areas: Sequence[float]) -> list[Sequence[int]]:
    """Orders to start from: largest first by several measures, or every order of a few.

    A form and an area for each copy.
    """
    count = len(areas)
    if count <= _ALL_ORDERS:
        return list(permutations(range(count)))
    wide, long = zip(*(form.size for form in forms), strict=True)
    measures = [
        [area * width for area, width in zip(areas, wide, strict=True)],
        areas,
        long,
        wide,
        [width * length for width, length in zip(wide, long, strict=True)],
    ]
    held = [form.held != "start" for form in forms]  # on a fold across they find room only first
    return [
        sorted(range(count), key=lambda i: (held[i], -measure[i], -areas[i], i))
        for measure in measures
    ]
