"""The fields that say what a cloth is, wherever one is described."""

from collections.abc import Callable
from typing import Final, get_args

from webapp.cloth.cloths import Spare
from webapp.cloth.costs import read_price
from webapp.cloth.laid import WayOfLaying
from webapp.cloth.weight import read_weight
from webapp.pages.forms import Field, length, one_of, per_cent, text, ticked
from webapp.units import System

_NARROWEST_MM: Final = 100.0
_WIDEST_MM: Final = 4000.0
_WIDEST_MARGIN_MM: Final = 100.0
_FINEST_REPEAT_MM: Final = 5.0
_LONGEST_REPEAT_MM: Final = 2000.0
_MOST_SQUARING_MM: Final = 500.0
_LONGEST_AT_HAND_MM: Final = 100_000.0


def cloth_fields(unit: System) -> tuple[Field, ...]:
    """Name, width and all else of a cloth; bare lengths are in this unit."""
    repeat = length(unit, _FINEST_REPEAT_MM, _LONGEST_REPEAT_MM)
    return (
        Field("name", text(80, required=True)),
        Field("description", text(200)),
        Field("width", length(unit, _NARROWEST_MM, _WIDEST_MM, required=True)),
        Field("edge_margin", length(unit, 0.0, _WIDEST_MARGIN_MM, required=True)),
        Field("shrinks_along", per_cent(50)),
        Field("shrinks_across", per_cent(50)),
        Field("stretch", per_cent(300)),
        Field("have", length(unit, 0.0, _LONGEST_AT_HAND_MM)),
        Field("weight", _kept_as_typed(read_weight)),
        Field("one_way", ticked),
        Field("laid", one_of(get_args(WayOfLaying))),
        Field("repeat_along", repeat),
        Field("repeat_across", repeat),
        Field("price", read_price),
        Field("price_per", one_of(("m", "yd"))),
        Field("squaring", length(unit, 0.0, _MOST_SQUARING_MM, required=True)),
        Field("spare", one_of(get_args(Spare))),
    )


def _kept_as_typed(read: Callable[[str], object]) -> Callable[[str], str]:
    """A reader that only tells what cannot be read; empty stays empty."""

    def reader(typed: str) -> str:
        if typed:
            read(typed)
        return typed

    return reader
