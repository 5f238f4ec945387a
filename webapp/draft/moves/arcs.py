"""Circle arcs as cubic Bézier curves."""

import math
from typing import Final

from webapp.draft.outline import Cubic, Point

# With at most 22.5° a curve, a cubic leaves the true circle by less than 1e-8 of its radius
# (the error falls with the sixth power of the angle; it is 2.7e-4 at 90°).
_LARGEST_TURN: Final = math.pi / 8


def arc(centre: Point, radius_mm: float, start: float, turn: float) -> tuple[Cubic, ...]:
    """The arc from angle `start` through `turn` (radians; 0 is +x, growing towards +y)."""
    count = max(1, math.ceil(abs(turn) / _LARGEST_TURN - 1e-9))
    step = turn / count
    reach = radius_mm * 4 / 3 * math.tan(step / 4)
    return tuple(_piece(centre, radius_mm, start + i * step, step, reach) for i in range(count))


def _piece(centre: Point, radius: float, start: float, step: float, reach: float) -> Cubic:
    (c0, s0), (c1, s1) = (
        (math.cos(start), math.sin(start)),
        (math.cos(start + step), math.sin(start + step)),
    )
    p0 = (centre[0] + radius * c0, centre[1] + radius * s0)
    p3 = (centre[0] + radius * c1, centre[1] + radius * s1)
    return Cubic(
        p0, (p0[0] - reach * s0, p0[1] + reach * c0), (p3[0] + reach * s1, p3[1] - reach * c1), p3
    )
