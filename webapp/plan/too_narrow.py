"""Sizes that a cloth is too narrow for as it is laid: by how much, and what would do instead."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.laid import Cloth, LayPiece, WayOfLaying
from webapp.cloth.lay import lay_pieces
from webapp.cloth.lay_checks import TOO_WIDE_MM, least_width_mm
from webapp.errors import LayError
from webapp.plan.lays import LayPlan, cloth_of, lays_on, risked_pieces
from webapp.plan.results import Plan


@dataclass(frozen=True)
class TooNarrow:
    """The widest piece on a cloth, in its narrowest lie, and the room there is as it is laid, mm.

    `width_mm` is the least width, as bought, on which all pieces could be laid so.
    """

    piece: str
    wide_mm: float
    room_mm: float
    from_fold: bool
    width_mm: float


def too_narrow(laid: LayPlan, way: WayOfLaying | None = None) -> TooNarrow | None:
    """What is too wide for the cloth of a lay, as it is laid or another way; None if nothing is."""
    try:
        cloth = cloth_of(laid.cloth.model_copy(update={"laid": way or laid.cloth.laid}))
        widest = max(laid.pieces, key=lambda piece: least_width_mm(piece, cloth))
        wide_mm = least_width_mm(widest, cloth)
    except (ValueError, LayError):
        return None  # the cloth or a piece cannot be read, as in a file edited by hand
    if wide_mm <= cloth.laid_width_mm + TOO_WIDE_MM:
        return None
    needed_mm = wide_mm * (2 if cloth.laid == "folded" else 1)
    return TooNarrow(
        widest.name,
        wide_mm,
        cloth.laid_width_mm,
        cloth.on_fold(widest),
        _as_bought_mm(needed_mm, cloth),
    )


def _as_bought_mm(usable_mm: float, cloth: Cloth) -> float:
    """The width before the first wash that leaves so much between the margins."""
    return (usable_mm + 2 * cloth.edge_margin_mm) / (1 - cloth.shrink_width)


def opened_out(plan: Plan, cloth: EpisodeCloth) -> dict[str, LayPlan]:
    """By size, the lay in one layer of those that cannot be laid on the cloth as it is folded."""
    failing: list[tuple[str, tuple[LayPiece, ...]]] = []
    for size in plan.sizes if cloth.laid != "open" else ():
        if any(lay.problem for lay in size.lays if lay.cloth.name == cloth.name):
            pieces = (p for draft in size.drafts for p in draft.pieces if p.cloth == cloth.name)
            failing.append((size.body.name, lay_pieces(pieces)))
    opened = cloth.model_copy(update={"laid": "open"})
    lays = _lays(opened, failing, plan)
    return {lay.size: lay for lay in lays if not lay.problem}


def _lays(
    cloth: EpisodeCloth, sizes: Sequence[tuple[str, tuple[LayPiece, ...]]], plan: Plan
) -> list[LayPlan]:
    steps = (step for garment in plan.episode.garments for step in garment.steps)
    return lays_on(cloth, sizes, plan.episode.kept_lays, risked_pieces(steps))
