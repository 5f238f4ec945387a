"""Shots: what to film, from which camera place, what is said and shown."""

from datetime import date
from typing import Annotated, Final, Literal

from pydantic import Field, StringConstraints

from webapp.draft.construction import Id, LongText, Name, ShortText, Step
from webapp.draft.recipe import Frozen

ShotKind = Literal["step", "talking", "styling", "cutaway"]
Pace = Literal["real time", "sped up", "talked over"]
Light = Literal["daylight", "lamps"]

# As each kind is called, wherever it is told.
KINDS: Final[dict[ShotKind, str]] = {
    "step": "A step of the build",
    "talking": "Talking to the camera",
    "styling": "The finished piece, styled",
    "cutaway": "A cutaway",
}

# Offered when a place is typed; any other name is as good.
USUAL_PLACES: Final = (
    "Over the table",
    "At the machine",
    "At the ironing board",
    "Facing the window",
    "On the dress form",
)


_PLACE_OF_WORK: Final[dict[str, str]] = {
    "machine": "At the machine",
    "overlock": "At the machine",
    "press": "At the ironing board",
    "try on": "Facing the window",
    "hand": "Facing the window",
}


def usual_place(step: Step | None) -> str:
    """Where a step is usually filmed from, by its first kind of work."""
    kind = step.work[0].kind if step is not None and step.work else ""
    return _PLACE_OF_WORK.get(kind, USUAL_PLACES[0])


class SaidFigure(Frozen):
    """A live figure as it was spoken or shown: its name, and its length in each unit."""

    name: Annotated[str, StringConstraints(max_length=100)]
    cm: ShortText
    inch: ShortText


class AcceptedFigure(SaidFigure):
    """What a spoken figure has become, accepted for the reason in the note.

    Its lengths are empty when the figure was no more.
    """

    note: ShortText = ""


class Filmed(Frozen):
    """What was said and shown when the shot was filmed, and what was decided about it since."""

    day: date | None = None
    narration: Annotated[str, StringConstraints(max_length=20_000)] = ""  # figures filled in
    card: Annotated[str, StringConstraints(max_length=4_000)] = ""
    said: tuple[SaidFigure, ...] = ()
    corrected: tuple[Annotated[str, StringConstraints(max_length=100)], ...] = ()  # by a card
    accepted: tuple[AcceptedFigure, ...] = ()


class Shot(Frozen):
    """One thing to film. Narration and card may hold live figures such as `{Front.hem}`."""

    id: Id
    kind: ShotKind = "step"
    step: str = Field("", max_length=64)  # the id of the step it shows; empty for the others
    title: Name
    place: Name = "Over the table"
    takes: int = Field(1, ge=1, le=50)
    narration: LongText = ""
    card: ShortText = ""
    pace: Pace = "real time"
    screen_seconds: int | None = Field(None, ge=1, le=3600)  # empty: from the narration
    note: LongText = ""
    light: Light = "daylight"  # daylight: not after the dark of its day
    quiet: bool = False  # its sound is used: not while it is noisy
    look: str = Field("", max_length=64)  # the id of what is worn
    chapter: ShortText = ""  # the name of the chapter that it opens
    filmed: Filmed | None = None
    earlier: Filmed | None = None  # the take before, while the shot is to be filmed again
