"""The cloths of an episode, as the maker describes them, and the lays kept for them."""

from pydantic import Field

from webapp.draft.construction import Name, ShortText
from webapp.draft.recipe import Figure, Frozen


class EpisodeCloth(Frozen):
    """A cloth as bought: width and edge margin as typed, shrinkage in per cent."""

    name: Name = "Main cloth"
    description: ShortText = ""
    width: Figure = "140 cm"
    edge_margin: Figure = "1 cm"  # left free at each selvedge
    shrinks_along: float = Field(0.0, ge=0, lt=50)  # per cent of the length, in the first wash
    shrinks_across: float = Field(0.0, ge=0, lt=50)
    one_way: bool = False  # nap, pile or print that must run one way


class KeptPlacement(Frozen):
    """Where one copy of a piece lies (see `Placement`), mm."""

    name: Name
    copy_number: int = Field(ge=0)
    turn_degrees: float
    flipped: bool
    x_mm: float
    y_mm: float


class KeptLay(Frozen):
    """A lay that was found by searching, for the pieces and cloth whose fingerprint is `key`.

    It is used only while the key still fits: a changed draft falls back on a fresh first lay.
    """

    cloth: Name
    key: str = Field(pattern=r"^[0-9a-f]{16,64}$")
    placements: tuple[KeptPlacement, ...]
