"""A recipe: how a garment is drafted from a body, and how it is put together.

Lengths are kept as typed (`28 1/2 in`, `bust / 2 + body ease`), so a file reads as the maker wrote
it; they become millimetres when the recipe is drafted.
"""

from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from webapp.draft.construction import EdgeUse, Id, LongText, Name, ShortText, Step
from webapp.draft.expressions import LONGEST_TEXT
from webapp.draft.limits import AtMost
from webapp.draft.moves import Move

# The most there may be of each, many times what a garment has. With as many a plan is still worked
# out in a second or two (tests/plan/test_limits.py); of any number, one could wait for ever.
MOST_PIECES: Final = 60
MOST_MOVES: Final = 200  # of a piece
MOST_MOVES_IN_ALL: Final = 2000
MOST_DRAFTED: Final = 1000  # pieces, each in every size and other cloth
MOST_SEAMS: Final = 300
MOST_STEPS: Final = 300
MOST_CHOICES: Final = 300
MOST_NAMED: Final = 200  # measures, checks, finished measures, notions

Figure = Annotated[str, StringConstraints(max_length=LONGEST_TEXT)]
# Letters and digits in words with single spaces: a name is used inside expressions.
NAME_PATTERN: Final = r"^[^\W\d_]\w*( [^\W\d_]\w*)*$"
Words = Annotated[str, StringConstraints(pattern=NAME_PATTERN, max_length=40)]
# What a figure may hold besides names: a choice cannot be called so.
RESERVED: Final = frozenset(
    ("seam allowance", "min", "max", "abs", "sqrt", "pi", "mm", "cm", "m", "in", "inch", "inches",
     "ft", "yd")
)  # fmt: skip
Price = Annotated[str, StringConstraints(pattern=r"^(\d{1,7}(\.\d{1,4})?)?$")]
NotionKind = Literal["other", "thread", "needles", "elastic", "zip", "buttons", "binding"]
MOST_TILT: Final = 10.0  # degrees
FinishKind = Literal[
    "seam", "single fold hem", "double fold hem", "faced", "bound", "selvedge", "fold", "raw"
]
FINISHES: Final[dict[FinishKind, str]] = {  # as printed sheets say them
    "seam": "plain seam",
    "single fold hem": "hem folded once",
    "double fold hem": "hem folded twice",
    "faced": "faced",
    "bound": "bound, nothing added",
    "selvedge": "selvedge, nothing added",
    "fold": "on the fold, nothing added",
    "raw": "left raw, nothing added",
}


class Frozen(BaseModel):
    """Base of the recipe's parts: values, never changed in place, no unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Body(Frozen):
    """A named set of measurements, each as typed."""

    name: Name
    measures: dict[str, Figure] = Field(default_factory=dict)
    # Measures taken from a garment that fits, not from the body.
    copied: Annotated[tuple[str, ...], AtMost(MOST_NAMED)] = ()


class Way(Frozen):
    """One way to come by a choice's figure, such as from a girth or measured straight."""

    name: Name
    figure: Figure
    how: LongText = ""  # how it is measured or worked out, in a sentence


class Choice(Frozen):
    """A figure the maker decides: its value, the range that makes sense, the reason.

    With several `ways` to come by it, the one whose figure is the value is the one picked.
    """

    name: Words
    value: Figure
    least: Figure = ""
    most: Figure = ""
    reason: LongText = ""
    ways: tuple[Way, ...] = ()

    @property
    def way(self) -> Way | None:
        """The way its value comes by; None for a figure of her own."""
        return next((way for way in self.ways if way.figure == self.value), None)


class Finish(Frozen):
    """How an edge ends and so how much is added outside the seam line.

    A double fold turns `turn_under` in before the hem itself; the other finishes ignore it.
    """

    kind: FinishKind = "seam"
    allowance: Figure = ""  # empty: the recipe's seam allowance, or none where none is needed
    turn_under: Figure = ""


class PieceRecipe(Frozen):
    """One piece: its moves, how many to cut, on the fold or not, from which cloth.

    Of a `pair` every second copy is cut mirrored, a left and a right; on the fold both are one.
    """

    name: Words
    moves: Annotated[tuple[Move, ...], AtMost(MOST_MOVES)] = ()
    cut_count: int = Field(1, ge=1, le=100)
    pair: bool = False
    on_fold: bool = False
    grain: Literal["along", "across", "bias"] = "along"  # how y lies against the cloth's length
    tilt: float = Field(0.0, ge=0, le=MOST_TILT)  # degrees it may lie off the grain, either way
    cloth: Name = "Main cloth"
    finishes: dict[str, Finish] = Field(default_factory=dict)
    note: LongText = ""

    @model_validator(mode="after")
    def _pairs_are_even(self) -> "PieceRecipe":
        if self.pair and self.cut_count % 2:
            raise ValueError(
                f"{self.name} is cut {self.cut_count} times; "
                "a left and a right need an even number."
            )
        return self


class SeamNotch(Frozen):
    """A pair of notches that meet when the seam is pinned, so far along its first side."""

    at: Figure
    double: bool = False


class Seam(Frozen):
    """Edges sewn together. Their lengths agree, unless some is eased, gathered or lapped in.

    Both sides are walked together, each edge clockwise as it is drawn unless it is `backwards`.
    `turned` when the start of the first side meets the end of the other, which is then walked
    from there: in reverse, every edge the other way.

    Right sides together one piece is flipped over. Two pieces that are cut as they are drawn so
    meet start to end: turned. Where one of them is the mirror image of its drawing, the other of
    a pair or the other half on the fold, the two flips cancel out and start meets start: not
    turned, the default, as in most seams of a garment that is drafted by halves.
    """

    name: Name
    one: tuple[EdgeUse, ...]
    other: tuple[EdgeUse, ...]
    eased_in: Figure = ""  # how much longer `one` is on purpose: eased, gathered or lapped in
    sewn: int = Field(1, ge=1, le=20)  # how many of this seam the garment has
    stitch: str = Field("301", max_length=40)  # ISO 4915 stitch type
    turned: bool = False
    notches: tuple[SeamNotch, ...] = ()


class BodyCheck(Frozen):
    """A finished measurement that must reach a least figure on the body."""

    name: Name
    garment: Figure
    at_least: Figure
    why: LongText = ""


class FinishedMeasure(Frozen):
    """A measurement of the finished garment, for the size table."""

    name: Name
    figure: Figure


class Notion(Frozen):
    """Something to have at hand besides cloth; `amount` and `why` may hold live figures.

    What to buy of a kind is worked out from its figures: `length` is that of the elastic once
    sewn in, of the zip's opening, of the edge to bind, or what a button is across; `width` that of
    elastic or binding as cut, or a button's thickness. Thread and needles go by what is sewn.
    The price is of one of the count, or of a spool; of elastic and binding, of a metre or yard.
    """

    name: Name
    amount: ShortText = ""
    why: LongText = ""
    kind: NotionKind = "other"
    length: Figure = ""
    width: Figure = ""
    ends: Figure = ""  # added for joining or turning in, in all; empty: as is usual
    count: int = Field(1, ge=1, le=100)
    price: Price = ""
    price_per: Literal["m", "yd"] = "m"


class Recipe(Frozen):
    """A whole garment."""

    id: Id
    name: Name
    summary: LongText = ""
    measures: Annotated[tuple[str, ...], AtMost(MOST_NAMED)] = ()
    choices: Annotated[tuple[Choice, ...], AtMost(MOST_CHOICES)] = ()
    seam_allowance: Figure = "1.5 cm"
    pieces: Annotated[tuple[PieceRecipe, ...], AtMost(MOST_PIECES)] = ()
    seams: Annotated[tuple[Seam, ...], AtMost(MOST_SEAMS)] = ()
    checks: Annotated[tuple[BodyCheck, ...], AtMost(MOST_NAMED)] = ()
    finished: Annotated[tuple[FinishedMeasure, ...], AtMost(MOST_NAMED)] = ()
    steps: Annotated[tuple[Step, ...], AtMost(MOST_STEPS)] = ()
    # Copied to an episode that is made of the recipe.
    notions: Annotated[tuple[Notion, ...], AtMost(MOST_NAMED)] = ()

    @model_validator(mode="after")
    def _names_differ(self) -> "Recipe":
        refuse_twins("piece", [piece.name for piece in self.pieces])
        refuse_twins("figure", [*self.measures, *(choice.name for choice in self.choices)])
        for choice in self.choices:
            if choice.name.lower() in RESERVED:
                raise ValueError(f"“{choice.name}” has a meaning of its own; choose another name.")
        refuse_twins("seam", [seam.name for seam in self.seams])
        refuse_twins("finished measure", [one.name for one in self.finished])
        refuse_twins("step", [step.id for step in self.steps])
        refuse_twins("notion", [notion.name for notion in self.notions])
        return self


def refuse_twins(what: str, names: list[str]) -> None:
    """ValueError when two of these have the same name, whatever its capitals."""
    seen: set[str] = set()
    for name in names:
        if name.lower() in seen:
            raise ValueError(f"Two {what}s are called “{name}”; give one another name.")
        seen.add(name.lower())
