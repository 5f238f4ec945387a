"""The cloths of an episode, as the maker describes them, and the lays and tables kept for them."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from webapp.cloth.laid import WayOfLaying
from webapp.draft.construction import Id, Name, ShortText
from webapp.draft.recipe import Figure, Frozen, Price, Words

Spare = Literal["none", "smallest", "all"]
MOST_WIDTHS: Final = 3  # a sheet of the companion holds no more beside the usual ones
Fingerprint = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16,64}$")]


class EpisodeCloth(Frozen):
    """A cloth as bought: lengths, weight and price as typed, shrinkage and stretch in per cent.

    What is not known is empty, or zero: no weight, no price, no repeat to match.
    """

    name: Name = "Main cloth"
    description: ShortText = ""
    width: Figure = "140 cm"
    edge_margin: Figure = "1 cm"  # left free at each selvedge
    shrinks_along: float = Field(0.0, ge=0, lt=50)  # per cent of the length, in the first wash
    shrinks_across: float = Field(0.0, ge=0, lt=50)
    one_way: bool = False  # nap, pile or print that must run one way
    laid: WayOfLaying = "open"
    weight: Figure = ""  # of an area, as 185 g/m2 or 5.5 oz/yd2
    stretch: float = Field(0.0, ge=0, le=300)  # per cent across, stretched by hand
    repeat_along: Figure = ""  # of stripes or checks that are to meet at the seams
    repeat_across: Figure = ""
    price: Price = ""
    price_per: Literal["m", "yd"] = "m"
    squaring: Figure = "2 cm"  # cut off to bring the ends square; common practice, no source
    spare: Spare = "none"  # which of the pieces could be cut once more
    have: Figure = ""  # the length that is at hand
    # Widths to compare beside those that cloth is sold in, such as a viewer's.
    more_widths: tuple[Figure, ...] = Field((), max_length=MOST_WIDTHS)


class ChoiceOnCloth(Frozen):
    """A choice of a garment that takes another value on another cloth."""

    garment: Id
    choice: Words
    value: Figure


class OtherCloth(EpisodeCloth):
    """A cloth that would do in place of one of the episode's, and what changes with it."""

    instead_of: Name
    effect: ShortText = ""  # what becomes of the garment: less volume, more drape
    choices: tuple[ChoiceOnCloth, ...] = ()
    hems: Literal["as advised", "as drafted"] = "as advised"  # by how heavy this cloth is


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
    key: Fingerprint
    placements: tuple[KeptPlacement, ...]


class KeptWay(Frozen):
    """What to buy for one size, laid one way on one width; or a sentence why it cannot be laid."""

    metres: str = Field("", pattern=r"^(\d{1,4}(\.\d)? m)?$")  # as bought, up to the next 0.1 m
    yards: str = Field("", pattern=r"^((\d{1,4}|\d{1,4} \d/\d|\d/\d) yd)?$")  # to the next 1/8 yd
    problem: str = ""
    best: bool = False  # the shortest of the cloth's ways in this width
    why_more: tuple[str, ...] = ()  # sentences, where folding costs more than opening out

    @model_validator(mode="after")
    def _is_known(self) -> Self:
        if not (self.metres and self.yards) and (not self.problem or self.best):
            raise ValueError("A way of laying has its length in metres and yards, or a problem.")
        return self


class KeptWidth(Frozen):
    """One width, in both units as the trade calls it, and for each size a way of each kind."""

    cm: Name
    inch: Name
    mm: float = Field(gt=0, lt=100_000)  # what was laid on
    sizes: tuple[tuple[KeptWay, ...], ...]


class KeptWays(Frozen):
    """What to buy by width, way of laying and size, for the draft whose fingerprint is `key`.

    It is used only while the key still fits.
    """

    cloth: Name
    key: Fingerprint
    sizes: tuple[Name, ...] = Field(min_length=1)
    # How it is laid, and whether all pieces lie one way.
    ways: tuple[tuple[WayOfLaying, bool], ...] = Field(min_length=1)
    widths: tuple[KeptWidth, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        for width in self.widths:
            if [len(cells) for cells in width.sizes] != [len(self.ways)] * len(self.sizes):
                raise ValueError("A table of widths has for every size each way of laying once.")
        return self
