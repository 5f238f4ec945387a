"""Fills in many orders, the shortest told as they are found.

Own working: from the best of some sorted orders one thing is varied at a time, and what comes of
it is the next start unless it is longer than the one so many tries ago (late acceptance: Burke and
Bykov 2017, European Journal of Operational Research 258, 70). The work is counted, not timed, so
that the same pieces give the same fills on any machine.
"""

import math
import random
from collections.abc import Iterator, Sequence
from itertools import count, permutations
from typing import Final

from webapp.cloth.forms import Form
from webapp.cloth.no_fit import Fill, Ground, NoFitColumns, Plan

_ALL_ORDERS: Final = 4  # up to this many copies, every order is tried
_EARLY: Final = (0.0, 0.5)
_OTHER_EARLY: Final = 0.1  # how often another is tried with the change
_MEMORY: Final = 60  # tries after which a longer fill is measured against this one
_STALE: Final = 1_500  # tries without a shorter fill before starting anew
_MANY: Final = 50  # copies among which one is set down half as fast as among a few
_NEAR: Final = 1.01  # times the shortest fill: sliding may close that much
_PARTS: Final = 10  # fills whose lengths round alike to tenths of a millimetre are told once


def promising_fills(
    copies: Sequence[int],
    forms: Sequence[Sequence[Form]],
    areas_mm2: Sequence[float],
    ground: Ground,
    *,
    placings: int,
    seed: int = 0,
) -> Iterator[Fill]:
    """Fills that are shorter than those before, or not much longer and of another length.

    `copies` names each copy's stock in `forms`. The ground's spare columns let a fill hang over
    the far selvedge: pieces that just fit side by side do so only once the gaps of the columns are
    closed. `placings` bounds the work: how many times a piece is set down in all, about 40 µs
    each and more where many are laid; for one fill at least.
    """
    filler = NoFitColumns(copies, forms, ground)
    tries = max(1, int(placings / (len(copies) * (1 + len(copies) / _MANY))))
    begun = _orders([forms[i][0] for i in copies], [areas_mm2[i] for i in copies])
    starts = [Plan(order, early, {}) for order in begun for early in _EARLY]
    shortest, seen = math.inf, set[int]()
    walk = _walk(filler, starts, [len(forms[i]) for i in copies], random.Random(seed))
    for number, fill in enumerate(walk, start=1):
        if fill and fill.length_mm < shortest * _NEAR and _told(fill) not in seen:
            shortest = min(shortest, fill.length_mm)
            seen.add(_told(fill))
            yield fill
        if number >= tries:
            return


def _told(fill: Fill) -> int:
    return round(fill.length_mm * _PARTS)


def _walk(
    filler: NoFitColumns, starts: Sequence[Plan], choices: Sequence[int], dice: random.Random
) -> Iterator[Fill | None]:
    """Every fill that is tried: the starts, then the best of them varied, then others varied.

    None for one that finds no place, or is too long to be told or gone on from.
    """
    begun: list[tuple[Fill, Plan]] = []
    for plan in starts:
        fill = filler.fill(plan)
        yield fill
        if fill:
            begun.append((fill, plan))
    begun.sort(key=lambda pair: pair[0][:2])
    shortest = begun[0][0].length_mm if begun else math.inf
    for number in count() if begun else ():
        now, plan = begun[number % len(begun)]
        best, since, memory = now, 0, [now] * _MEMORY
        for tried in count():
            changed = _varied(plan, choices, dice)
            before = memory[tried % _MEMORY]
            told_mm = (shortest + 1 / _PARTS) * _NEAR
            longest = max(before.length_mm, now.length_mm, told_mm)
            fill = filler.fill(changed, like=(plan, now), longest_mm=longest)
            yield fill
            since += 1
            if fill and (fill[:2] <= before[:2] or fill[:2] <= now[:2]):
                now, plan = fill, changed
            if now[:2] < best[:2]:
                best, since = now, 0
                shortest = min(shortest, best.length_mm)
            memory[tried % _MEMORY] = now
            if since > _STALE:
                break


def _varied(plan: Plan, choices: Sequence[int], dice: random.Random) -> Plan:
    """The plan with two pieces swapped, one moved, or one given a form or let off it."""
    order, early, forced = list(plan.order), plan.early, dict(plan.forced)
    i, j = dice.randrange(len(order)), dice.randrange(len(order))
    act = dice.random()
    if act < 0.45:
        order[i], order[j] = order[j], order[i]
    elif act < 0.7:
        order.insert(j, order.pop(i))
    elif i in forced:
        del forced[i]
    else:
        forced[i] = dice.randrange(choices[i])
    if dice.random() < _OTHER_EARLY:
        early = dice.random()
    return Plan(order, early, forced)


def _orders(forms: Sequence[Form], areas: Sequence[float]) -> list[Sequence[int]]:
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
