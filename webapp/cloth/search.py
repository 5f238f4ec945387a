"""The long search for a short lay, by the library spyrrow.

spyrrow packs a strip of fixed height and least width. Our cloth lies in it turned by a right
angle, never mirrored: its length along the strip's width, its width up the strip's height.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from webapp.cloth.forms import turned
from webapp.draft.outline import Point, bounds

if TYPE_CHECKING:
    from spyrrow import (
        PlacedItem,
        StripPackingConfig,
        StripPackingInstance,
        StripPackingSolution,
    )

_WORKERS: Final = 2  # on two cores about half a per cent shorter than 1 worker; measured
_LOOK_EVERY_S: Final = 0.7
# spyrrow counts in 32-bit floats and finds no room for what just fits the width. Such pieces are
# searched for this much smaller; `settle` pushes apart what then overlaps.
PLAY: Final = 1e-4
_FEW: Final = 5  # up to this many that just fit side by side are looked for


class Wanted(NamedTuple):
    """An outline, how many of it, and the turns it may take."""

    outline: Sequence[Point]
    copies: int
    turns: Sequence[float]


class Spotted(NamedTuple):
    """A copy of the piece at this place in the list, turned and then shifted, mm."""

    piece: int
    turn: float
    x_mm: float
    y_mm: float


def search(
    wanted: Sequence[Wanted],
    width_mm: float,
    *,
    seconds: int,
    seed: int,
    on_the_way: bool = False,
) -> Iterator[list[Spotted]]:
    """The best places found in that many seconds; none if the library gave up.

    With `on_the_way` also the best so far, seldom enough that looking does not slow the search.
    """
    import spyrrow  # noqa: PLC0415 - a compiled library most pages never need

    items = [
        spyrrow.Item(str(i), _in_strip(item.outline, scale), item.copies, list(item.turns))
        for i, (item, scale) in enumerate(zip(wanted, _scales(wanted, width_mm), strict=True))
    ]
    instance = spyrrow.StripPackingInstance("lay", width_mm, items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=seconds, num_workers=_WORKERS, seed=seed
    )
    solved = _watched(instance, config) if on_the_way else (instance.solve(config) for _ in "1")
    try:
        for solution in solved:
            placed = solution.placed_items
            yield [_spotted(item, wanted[int(item.id)], width_mm) for item in placed]
    except BaseException as error:
        if type(error).__name__ != "PanicException":  # how the compiled library gives up
            raise


def _watched(
    instance: "StripPackingInstance", config: "StripPackingConfig"
) -> Iterator["StripPackingSolution"]:
    """The valid solutions of a search as they are found, looked for now and then; then its end."""
    import spyrrow  # noqa: PLC0415

    valid = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)
    queue = spyrrow.ProgressQueue()
    with ThreadPoolExecutor(1) as pool:
        solving = pool.submit(instance.solve, config, queue)
        while wait([solving], _LOOK_EVERY_S).not_done:
            found = [solution for kind, solution in queue.drain() if kind in valid]
            if found:
                yield min(found, key=lambda solution: solution.width)
        yield solving.result()


def _scales(wanted: Sequence[Wanted], width_mm: float) -> list[float]:
    """How much smaller each outline has to be searched for."""
    least, smaller = width_mm * (1 - PLAY), 1 - PLAY
    widths = [
        {round(float(np.ptp(turned(item.outline, turn)[:, 0])), 3) for turn in item.turns}
        for item in wanted
    ]
    rows = {0.0}
    for item, choices in zip(wanted, widths, strict=True):
        wide = {width for width in choices if width * _FEW >= width_mm}
        for _ in range(min(item.copies, _FEW)):
            rows |= {row + width for row in rows for width in wide}
            rows = {row for row in rows if row <= width_mm + 0.01}
    if max(rows) > least:
        return [smaller] * len(wanted)
    return [smaller if max(choices) > least else 1.0 for choices in widths]


def _in_strip(outline: Sequence[Point], scale: float) -> list[Point]:
    """The outline about its middle, a quarter turn back."""
    middle_x, middle_y = _middle(outline)
    return [((y - middle_y) * scale, (middle_x - x) * scale) for x, y in outline]


def _spotted(item: "PlacedItem", wanted: Wanted, width_mm: float) -> Spotted:
    """Undo the quarter turn, and take the exact turn for its 32-bit echo."""
    turn = min(wanted.turns, key=lambda turn: abs((turn - item.rotation + 180) % 360 - 180))
    shape = turned(wanted.outline, turn)
    (middle,) = turned([_middle(wanted.outline)], turn)
    along, up = item.translation
    x, y = width_mm - up - middle[0], along - middle[1]
    x = min(max(x, -shape[:, 0].min()), width_mm - shape[:, 0].max())
    return Spotted(int(item.id), turn, float(x), float(y))


def _middle(points: Sequence[Point]) -> Point:
    left, top, right, bottom = bounds(list(points))
    return (left + right) / 2, (top + bottom) / 2
