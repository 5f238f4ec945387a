"""The long search for a short lay where the library cannot help: on a fold, or over a repeat.

Own working: fills are varied one thing at a time, and a longer one is taken as the next start if
it is no longer than the one so many tries ago (late acceptance: Burke and Bykov 2017, European
Journal of Operational Research 258, 70). The work is counted, not timed, so that the same pieces
give the same lay on any machine that keeps up.
"""

import random
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import count
from typing import Final

from webapp.cloth.first_lay import orders, varied
from webapp.cloth.forms import Form
from webapp.cloth.no_fit import NoFitColumns
from webapp.cloth.terrain import Fill, Ground, Plan, Terrain

_PLACINGS_A_SECOND: Final = 9_000  # on a slow machine of today
_LATEST: Final = 1.5  # times the seconds asked for; then the clock ends it
_MEMORY: Final = 60  # tries after which a longer fill is measured against this one
_OTHER_WEIGHT: Final = 0.1  # how often another waste weight is tried with the change
_STALE: Final = 1_500  # tries without a shorter fill before starting anew
_WORTH_SETTLING: Final = 1.01  # times the shortest fill: sliding may close that much


def improved_fills(
    copies: Sequence[int],
    forms: Sequence[Sequence[Form]],
    areas_mm2: Sequence[float],
    ground: Ground,
    *,
    seconds: float,
    seed: int,
) -> Iterator[Fill]:
    """Fills that may settle into a shorter lay than those before, for about so many seconds."""
    repeats = bool(ground.repeat_width_mm or ground.repeat_length_mm)
    filler = (Terrain if repeats else NoFitColumns)(copies, forms, ground)
    ends_at = time.monotonic() + _LATEST * seconds
    tries = max(1, int(seconds * _PLACINGS_A_SECOND) // len(copies))
    choices = [len(forms[i]) for i in copies]
    begun = orders([forms[i][0] for i in copies], [areas_mm2[i] for i in copies])
    dice = random.Random(seed)
    shortest = float("inf")
    for number, (fill, _) in enumerate(_walk(filler.fill, begun, choices, dice)):
        if fill and fill.length_mm < shortest * _WORTH_SETTLING:
            shortest = min(shortest, fill.length_mm)
            yield fill
        if number >= tries or time.monotonic() > ends_at:
            return


def _walk(
    fill_by: Callable[[Plan], Fill | None],
    begun: Sequence[Sequence[int]],
    choices: Sequence[int],
    dice: random.Random,
) -> Iterator[tuple[Fill | None, Plan]]:
    """Every fill that is tried: from an order to begin with, then varied until that is stale."""
    for start in count():
        order = begun[start % len(begun)]
        plan = Plan(order, dice.choice((0.0, 0.3, 1.0)), {})
        now = fill_by(plan)
        yield now, plan
        if now is None:
            if start >= len(begun):
                return  # no order to begin with finds room
            continue
        memory = [now] * _MEMORY
        best, since = now, 0
        for tried in count():
            changed = varied(plan, choices, dice)
            if dice.random() < _OTHER_WEIGHT:
                changed = changed._replace(waste_weight=dice.random())
            fill = fill_by(changed)
            yield fill, changed
            since += 1
            late = memory[tried % _MEMORY]
            if fill and (fill[:2] <= late[:2] or fill[:2] <= now[:2]):
                now, plan = fill, changed
                if now[:2] < best[:2]:
                    best, since = now, 0
            memory[tried % _MEMORY] = now
            if since > _STALE:
                break
