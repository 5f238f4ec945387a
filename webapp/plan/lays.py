"""The lays of an episode: kept ones while they still fit the draft, fresh first lays otherwise."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from webapp.cloth.cloths import EpisodeCloth, KeptLay
from webapp.cloth.lay import (
    Cloth,
    Lay,
    LayPiece,
    Placement,
    fingerprint,
    first_lay,
    lay_from,
    lay_pieces,
)
from webapp.cloth.lay_checks import check
from webapp.cloth.yardage import Purchase, to_buy
from webapp.draft.evaluate import Piece
from webapp.errors import LayError
from webapp.units import parse_length


@dataclass(frozen=True)
class LayPlan:
    """The pieces cut from one cloth, laid on it when the lay is first asked for.

    `problem` says why there can be no lay; it is known without laying.
    """

    cloth: EpisodeCloth
    pieces: tuple[LayPiece, ...]
    as_cut: Cloth | None
    key: str = ""
    found: Lay | None = None  # a lay found by searching that still fits the draft
    problem: str = ""

    @property
    def kept(self) -> bool:
        """True when the lay was found by searching and kept."""
        return self.found is not None

    @cached_property
    def lay(self) -> Lay | None:
        """The lay; None when there is a problem."""
        if self.problem or self.as_cut is None:
            return None
        return self.found or _first(self.pieces, self.as_cut)

    @cached_property
    def saved_mm(self) -> float:
        """How much shorter the kept lay is than the quick one; zero without a kept lay."""
        if self.found is None or self.as_cut is None:
            return 0.0
        return _first(self.pieces, self.as_cut).length_mm - self.found.length_mm

    @cached_property
    def purchase(self) -> Purchase | None:
        """What to buy for it; None when there is a problem."""
        return to_buy(self.lay) if self.lay is not None else None


def lay_plans(
    pieces: Iterable[Piece], cloths: tuple[EpisodeCloth, ...], kept: tuple[KeptLay, ...] = ()
) -> tuple[LayPlan, ...]:
    """One lay for each cloth that has pieces cut from it."""
    pieces = tuple(pieces)
    return tuple(
        lay_plan(cloth, lay_pieces(p for p in pieces if p.cloth == cloth.name), kept)
        for cloth in cloths
        if any(piece.cloth == cloth.name for piece in pieces)
    )


def lay_plan(
    cloth: EpisodeCloth, pieces: tuple[LayPiece, ...], kept: tuple[KeptLay, ...]
) -> LayPlan:
    """The lay of these pieces on one cloth, or why there is none."""
    try:
        as_cut = cloth_of(cloth)
        check(pieces, as_cut)
    except ValueError as error:
        return LayPlan(cloth, pieces, None, problem=f"{cloth.name}: {error}")
    except LayError as error:
        return LayPlan(cloth, pieces, None, problem=f"{cloth.name}: {error.sentence}")
    key = fingerprint(pieces, as_cut)
    fitting = next((k for k in kept if k.cloth == cloth.name and k.key == key), None)
    return LayPlan(cloth, pieces, as_cut, key, _kept(pieces, as_cut, fitting))


def cloth_of(cloth: EpisodeCloth) -> Cloth:
    """The cloth in millimetres. ValueError when its width or margin cannot be read."""
    return Cloth(
        width_mm=parse_length(cloth.width, None).mm,
        one_way=cloth.one_way,
        shrink_length=cloth.shrinks_along / 100,
        shrink_width=cloth.shrinks_across / 100,
        edge_margin_mm=parse_length(cloth.edge_margin, None).mm,
    )


def _kept(pieces: tuple[LayPiece, ...], cloth: Cloth, kept: KeptLay | None) -> Lay | None:
    """The kept lay; None when there is none or it does not hold, as in a file edited by hand."""
    if kept is None:
        return None
    placements = tuple(
        Placement(p.name, p.copy_number, p.turn_degrees, p.flipped, p.x_mm, p.y_mm)
        for p in kept.placements
    )
    try:
        return lay_from(pieces, cloth, placements)
    except LayError:
        return None


@lru_cache(maxsize=256)
def _first(pieces: tuple[LayPiece, ...], cloth: Cloth) -> Lay:
    return first_lay(pieces, cloth)
