"""A garment of one panel cut many times, side by side, as a skirt of gores or a round hat."""

import math
from typing import Final

import numpy as np
import shapely

from webapp.draft.garment_view_assembly import Assembly, laid_both_ways
from webapp.draft.garment_view_layers import Layer

_MOST: Final = 12  # of them seen from one side


def side_by_side(assembly: Assembly) -> list[Layer]:
    """The layers of those panels that are seen from one side: half of them, upright together.

    The layers as they are where no panel is sewn to the next.
    """
    root, layers = assembly.placed[0], assembly.whole()
    count = min(assembly.root.cut_count // 2, _MOST)
    joins = [
        join
        for join in assembly.garment.sewn_to_itself(assembly.root)
        if join.one.edge != join.other.edge
    ]
    if count < 2 or assembly.by_halves or not joins:
        return layers
    there, here = root.stretch(joins[0].one), root.sewn.stretch(joins[0].other)
    ways = [laid_both_ways(root.sewn, points, there, 0)[0] for points in (here, here[::-1])]
    step = min(ways, key=lambda way: shapely.intersection(way.area, root.area).area)
    found, last = list(layers), layers
    for _ in range(count - 1):
        last = [layer.through(step.turn, step.shift) for layer in last]
        found += last
    lean = -math.atan2(step.turn[1, 0], step.turn[0, 0]) * (count - 1) / 2
    turn = np.array(((math.cos(lean), -math.sin(lean)), (math.sin(lean), math.cos(lean))))
    return [layer.through(turn, np.zeros(2)) for layer in found]
