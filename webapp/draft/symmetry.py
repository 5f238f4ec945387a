"""Whether a piece is its own mirror image, so that a left and a right are one."""

from collections.abc import Sequence
from typing import Final

import shapely

from webapp.draft.outline import Point, bounds

SYMMETRY_MM: Final = 0.5  # half a chalk line


def is_symmetrical(points: Sequence[Point]) -> bool:
    """True when the outline and its mirror image about an upright axis are nowhere 0.5 mm apart."""
    left, _, right, _ = bounds(list(points))
    mirrored = [(left + right - x, y) for x, y in points]
    apart = shapely.hausdorff_distance(shapely.LinearRing(points), shapely.LinearRing(mirrored))
    return float(apart) <= SYMMETRY_MM
