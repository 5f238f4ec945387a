"""How a garment is put together: steps, each with the work it takes, as the recipe states them."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Name = Annotated[str, StringConstraints(min_length=1, max_length=80, strip_whitespace=True)]
ShortText = Annotated[str, StringConstraints(max_length=200)]
LongText = Annotated[str, StringConstraints(max_length=4000)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,63}$")]

WorkKind = Literal[
    "draw", "cut", "pin", "machine", "overlock", "hand", "press", "turn", "try on", "other"
]
PartOfWork = Literal["all", "the first", "the rest"]  # the first: what the camera sees
Caution = Literal["blades", "iron", "needles", "cords", "small parts", "flame"]


class EdgeUse(BaseModel):
    """An edge as it is worked on: `Front.hem`, so many times in the whole garment.

    Edges run clockwise around their piece; a seam walks a `backwards` one from its end.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    edge: Annotated[str, StringConstraints(pattern=r"^[^.{}]{1,40}\.[^.{}]{1,40}$")]
    times: int = Field(1, ge=1, le=100)
    backwards: bool = False


class Minutes(BaseModel):
    """A three-point estimate typed by hand."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    low: float = Field(ge=0, le=6000)
    likely: float = Field(ge=0, le=6000)
    high: float = Field(ge=0, le=6000)


class Work(BaseModel):
    """One kind of work inside a step, on pieces, seams or edges of the draft.

    Its time comes from their lengths; `minutes` is for work that has none (`try on`, `other`).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: WorkKind
    pieces: tuple[str, ...] = ()
    seams: tuple[str, ...] = ()
    edges: tuple[EdgeUse, ...] = ()
    tool: Literal["scissors", "rotary cutter"] = "scissors"
    stitch: str = Field("", max_length=40)
    stitch_length_mm: float = Field(2.5, ge=0.5, le=10)
    of_it: PartOfWork = "all"
    minutes: Minutes | None = None


class Step(BaseModel):
    """One act of construction and what it must come after."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Id
    name: Name
    words: LongText = ""
    after: tuple[Id, ...] = ()
    one_way: bool = False
    spare: str = Field("", max_length=200)  # what a one-way step falls back on
    off_camera: bool = False
    rest_hours: float = Field(0.0, ge=0, le=240)  # hangs, lies or dries before what comes after
    cautions: tuple[Caution, ...] = ()
    work: tuple[Work, ...] = ()
