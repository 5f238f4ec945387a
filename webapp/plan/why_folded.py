"""Why folding a cloth costs more than opening it out, told from the two lays themselves."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import shapely

from webapp.cloth.laid import Lay, LayPiece
from webapp.units import System, both

_WORTH_TELLING: Final = 0.1  # part of the length that folding costs
_EMPTY: Final = 0.85  # of a strip beside a piece on the fold, at least


class _Reason(NamedTuple):
    length_mm: float  # of the whole cloth, that would hold what is wasted
    sentence: str


def why_folding_costs(folded: Lay, opened: Lay, first: System) -> tuple[str, ...]:
    """Sentences, the weightiest reason first; empty when folding takes no more cloth.

    Lengths are told in both units, `first` leading.
    """
    extra_mm = folded.length_mm - opened.length_mm
    if extra_mm <= 0:
        return ()
    reasons = sorted(
        (*_cut_for_nothing(folded, first), *_beside_the_fold(folded, first)),
        key=lambda r: -r.length_mm,
    )
    weighty = (r.sentence for r in reasons if r.length_mm >= _WORTH_TELLING * extra_mm)
    return (
        *weighty,
        f"Laid {folded.cloth.laid}, the pieces fill {folded.density * 100:.0f} % of the cloth; "
        f"opened out, {opened.density * 100:.0f} %.",
    )


def _cut_for_nothing(lay: Lay, first: System) -> Iterator[_Reason]:
    """Copies that come from the lower layer though no more are needed."""
    idle = [
        piece
        for piece in lay.pieces
        if not lay.cloth.on_fold(piece) and piece.count % lay.cloth.layers
    ]
    if idle:
        area_mm2 = sum(piece.area_mm2 for piece in idle)
        length_mm = area_mm2 / lay.cloth.usable_width_mm
        yield _Reason(
            length_mm,
            f"Two layers are cut at once, so {_listed(idle)} {_comes(len(idle))} out once more "
            f"than needed: as much as {both(length_mm, first)} of the cloth's length.",
        )


def _beside_the_fold(lay: Lay, first: System) -> Iterator[_Reason]:
    """Strips between the pieces on the fold and the selvedges where little else fits."""
    if lay.cloth.laid != "folded":
        return
    shapes = [shapely.Polygon(lay.placed_points(place)) for place in lay.placements]
    cut = shapely.union_all(shapes)
    known = {piece.name: piece for piece in lay.pieces}
    width, pieces, empty_mm2, strips_mm = lay.cloth.laid_width_mm, [], 0.0, []
    for place, shape in zip(lay.placements, shapes, strict=True):
        if not lay.cloth.on_fold(known[place.name]):
            continue
        _, top, right, bottom = shape.bounds
        strip = shapely.box(right, top, width, bottom)
        free = strip.difference(cut).area
        if strip.area and free >= _EMPTY * strip.area:
            pieces.append(known[place.name])
            empty_mm2 += free * lay.cloth.layers
            strips_mm.append(width - right)
    if pieces:
        names = list(dict.fromkeys(pieces))
        widest = max(strips_mm)
        yield _Reason(
            empty_mm2 / lay.cloth.usable_width_mm,
            f"Beside {_listed(names)}, on the fold, {'up to ' if len(strips_mm) > 1 else ''}"
            f"{both(widest, first)} of the folded width stays all but empty.",
        )


def _listed(pieces: Sequence[LayPiece]) -> str:
    *first, last = [piece.name for piece in pieces]
    return f"{', '.join(first)} and {last}" if first else last


def _comes(count: int) -> str:
    return "comes" if count == 1 else "come"
