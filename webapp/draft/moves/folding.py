"""How an edge takes up cloth that is let in: the ways to fold it away, and what marks them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from typing import Final, Literal

from webapp.draft.markings import LineKind, MarkedLine, Marking, Notch
from webapp.draft.outline import Edge, Line

How = Literal["gathers", "knife pleats", "box pleats", "tucks"]


@dataclass(frozen=True)
class Fold:
    """A way to fold cloth away; `one` is what one of them is called."""

    one: str
    kind: LineKind
    depths: int  # how many times its depth it takes up
    lines: tuple[float, ...]  # where its lines stand on the cloth let in, as shares of it
    between: str = "and its middle"  # which of them are not at its sides


# Of pleats: NIMI, Dress Making Trade Practical volume 2, page 204. Of tucks: common practice.
FOLDS: Final = {
    "knife pleats": Fold("knife pleat", "pleat", 2, (0, 1 / 2, 1)),
    "box pleats": Fold(
        "box pleat", "pleat", 4, (0, 1 / 4, 3 / 4, 1), "and a quarter of its width in from each"
    ),
    "tucks": Fold("tuck", "tuck", 2, (0, 1 / 2, 1)),
}


def fold_lines(
    fold: Fold, strip: Line, depth_mm: float, markings: Sequence[Marking]
) -> tuple[MarkedLine, ...]:
    """The lines to fold on, so deep into the piece, across a strip that was let in.

    `strip` is its end on the edge, clockwise; `markings` hold the names that are taken.
    """
    ux, uy = strip.heading(0)
    taken = {mark.name for mark in markings}
    names = (name for name in (f"{fold.one} {n}" for n in count(1)) if name not in taken)
    points = [strip.point(share) for share in fold.lines]
    return tuple(
        MarkedLine(next(names), fold.kind, ((x, y), (x - depth_mm * uy, y + depth_mm * ux)))
        for x, y in points
    )


def gather_notches(
    edge: Edge, low_mm: float, high_mm: float, markings: Sequence[Marking]
) -> tuple[Notch, Notch]:
    """Where gathering starts and ends, from the edge's start as drawn.

    `webapp.draft.sewn` pairs the two by these names.
    """
    taken = {mark.name for mark in markings}
    names = (edge.name, *(f"{edge.name} {n}" for n in range(2, len(taken) + 3)))
    name = next(name for name in names if f"{name} gathers from" not in taken)
    return (
        Notch(f"{name} gathers from", edge.name, edge.at(low_mm)[0]),
        Notch(f"{name} gathers to", edge.name, edge.at(high_mm)[0]),
    )
