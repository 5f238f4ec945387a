"""The episode document: the whole plan as one value, the way it is stored and shared."""

from datetime import date
from functools import partial
from typing import Annotated, Final, Literal

from pydantic import Field, StringConstraints, ValidationInfo, model_validator

from webapp.build.rates import OwnRate
from webapp.build.time_log import TimeEntry, Timer
from webapp.cloth.cloths import EpisodeCloth, KeptLay, KeptWays, OtherCloth
from webapp.cloth.thread import ThreadChoices
from webapp.draft.construction import Id, LongText, Name, ShortText
from webapp.draft.fittings import FittingChange
from webapp.draft.limits import AtMost, refuse_beyond
from webapp.draft.recipe import (
    MOST_DRAFTED,
    MOST_MOVES_IN_ALL,
    MOST_NAMED,
    MOST_PIECES,
    MOST_SEAMS,
    MOST_STEPS,
    Body,
    Frozen,
    Notion,
    Recipe,
    refuse_twins,
)
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import DaysAsPlanned, ShootDay
from webapp.filming.shots import Shot
from webapp.plan.print_choices import PrintChoices
from webapp.units import System

FILE_VERSION: Final = 1

# As in `draft.recipe`: many times what an episode has.
MOST_GARMENTS: Final = 40
MOST_CLOTHS: Final = 30  # of its own, and others to choose from
MOST_SHOTS: Final = 500
MOST_QUOTED: Final = 10_000  # live figures


Wearer = Literal["under 3", "3 to 6", "7 to 13", "14 and over"]  # years, as the rules count
AfterFilming = Literal["voice-over", "editing"]


class Picture(Frozen):
    """A photo or sketch, kept beside the database under the hash of its content."""

    file: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}\.(jpg|png)$")]
    alt: ShortText = ""  # what it shows, for those who do not see it


class Brief(Frozen):
    """What the episode is to be."""

    audience: ShortText = ""
    promise: LongText = ""  # what a viewer will have made by the end
    target_seconds: int | None = Field(None, ge=30, le=6 * 3600)
    publish_date: date | None = None
    members_extra: LongText = ""
    notes: LongText = ""
    sketch: Picture | None = None
    wearer: Wearer = "14 and over"
    sleepwear: bool = False
    edit_hours_a_day: float = Field(4.0, gt=0, le=24)
    done: tuple[AfterFilming, ...] = Field((), max_length=2)
    evening_minutes: int = Field(60, ge=0, le=600)  # of work off camera between two shoot days
    time_zone: Annotated[str, StringConstraints(max_length=60)] = ""  # as the tz database names it


class Fitting(Frozen):
    """What was found on the body, in the maker's words, and the changes it asks of the draft.

    It is a note until a revision is made of it; one that cannot be drafted stays a note.
    """

    id: Id
    title: Name
    day: date | None = None
    found: LongText = ""
    reason: LongText = ""
    shot: str = Field("", max_length=64)  # the id of the shot that shows it
    photo: Picture | None = None
    changes: tuple[FittingChange, ...] = Field((), max_length=60)


class Revision(Frozen):
    """The draft as it stood: the garments, without their notions, on the body of the time."""

    number: int = Field(ge=0)
    title: Name
    fitting: str = Field("", max_length=64)  # the id of the fitting that made it
    back_to: int | None = Field(None, ge=0)  # the number of the revision it went back to
    body: Body
    garments: tuple[Recipe, ...]


class PrintedFigure(Frozen):
    """A figure as an edition of the companion shows it, in each unit.

    `by` says what it is told for: each of the edition's sizes in turn, empty where one has none;
    the body on camera alone; or all alike.
    """

    what: Annotated[str, StringConstraints(max_length=300)]  # Front.hem, or plain words
    kind: Literal["", "cut", "lay"] = ""  # of a piece as it is cut; only known once it is laid
    by: Literal["all", "body", "size"] = "all"
    cm: tuple[LongText, ...] = Field(max_length=200)
    inch: tuple[LongText, ...] = Field((), max_length=200)  # none for what is told in words


class Edition(Frozen):
    """A companion that viewers have: its number and every figure it shows."""

    number: int = Field(ge=1, le=9999)
    day: date | None = None
    sizes: tuple[Name, ...] = Field((), max_length=200)  # the body on camera first
    lays: ShortText = ""  # a fingerprint of what the lengths of cloth depend on
    figures: tuple[PrintedFigure, ...] = Field((), max_length=10_000)

    @model_validator(mode="after")
    def _in_every_size(self) -> "Edition":
        for figure in self.figures:
            count = len(self.sizes) if figure.by == "size" else 1
            if len(figure.cm) != count or len(figure.inch) not in (0, count):
                raise ValueError(
                    f"Edition {self.number} does not tell “{figure.what}” once for each size."
                )
        return self


class Episode(Frozen):
    """One video and its extras as a linked plan."""

    version: Literal[1] = 1
    id: Id
    title: Name
    channel: ShortText = ""
    series: ShortText = ""
    number: int | None = Field(None, ge=0, le=9999)
    first_unit: System = "cm"
    brief: Brief = Brief()
    body: Body = Body(name="As filmed")
    # Further bodies, for the companion's size table.
    sizes: Annotated[tuple[Body, ...], AtMost(MOST_NAMED)] = ()
    # The first is the episode's garment, the rest are extras.
    garments: Annotated[tuple[Recipe, ...], AtMost(MOST_GARMENTS)] = ()
    cloths: Annotated[tuple[EpisodeCloth, ...], AtMost(MOST_CLOTHS)] = (EpisodeCloth(),)
    other_cloths: Annotated[tuple[OtherCloth, ...], AtMost(MOST_CLOTHS)] = ()
    notions: Annotated[tuple[Notion, ...], AtMost(MOST_NAMED)] = ()
    thread: ThreadChoices = ThreadChoices()
    currency: str = Field("EUR", pattern=r"^[A-Z]{3}$")  # ISO 4217
    # Ticked on the shopping list, by what it is there for.
    bought: Annotated[tuple[ShortText, ...], AtMost(2000)] = ()
    shots: Annotated[tuple[Shot, ...], AtMost(MOST_SHOTS)] = ()
    looks: tuple[Look, ...] = Field((), max_length=40)
    place_changes: tuple[PlaceChange, ...] = Field((), max_length=400)
    shoot_days: tuple[ShootDay, ...] = Field((), max_length=60)
    planned_days: DaysAsPlanned | None = None  # as they were last planned
    rates: tuple[OwnRate, ...] = Field((), max_length=200)
    time_log: tuple[TimeEntry, ...] = Field((), max_length=2000)
    earlier_times: tuple[TimeEntry, ...] = Field((), max_length=5000)  # of other episodes
    timer: Timer | None = None
    fittings: tuple[Fitting, ...] = Field((), max_length=200)
    revisions: tuple[Revision, ...] = ()
    editions: tuple[Edition, ...] = ()
    print_choices: PrintChoices = PrintChoices()
    kept_lays: tuple[KeptLay, ...] = ()
    kept_ways: tuple[KeptWays, ...] = ()

    @model_validator(mode="after")
    def _is_within_limits(self, info: ValidationInfo) -> "Episode":
        pieces = [piece for garment in self.garments for piece in garment.pieces]
        steps = [step for garment in self.garments for step in garment.steps]
        drafts = 1 + len(self.sizes) + len(self.other_cloths)
        texts = [text for shot in self.shots for text in (shot.narration, shot.card, shot.note)]
        texts += [step.words for step in steps]
        for what, count, most in (
            ("pieces in all", len(pieces), MOST_PIECES),
            ("steps in all", len(steps), MOST_STEPS),
            ("moves in all", sum(len(piece.moves) for piece in pieces), MOST_MOVES_IN_ALL),
            ("seams in all", sum(len(one.seams) for one in self.garments), MOST_SEAMS),
            ("pieces in all sizes and cloths", len(pieces) * drafts, MOST_DRAFTED),
            ("live figures in its texts", sum(text.count("{") for text in texts), MOST_QUOTED),
        ):
            told = f"The episode has {count:,} {what}; {most:,} is the most."
            refuse_beyond(info, what, count, most, partial(ValueError, told))
        return self

    @model_validator(mode="after")
    def _names_differ(self) -> "Episode":
        pieces = [piece.name for garment in self.garments for piece in garment.pieces]
        steps = [step.id for garment in self.garments for step in garment.steps]
        refuse_twins("piece", pieces)
        refuse_twins("step", steps)
        refuse_twins("garment", [garment.id for garment in self.garments])
        refuse_twins("shot", [shot.id for shot in self.shots])
        refuse_twins("fitting", [fitting.id for fitting in self.fittings])
        cloths = (*self.cloths, *self.other_cloths)
        refuse_twins("cloth", [cloth.name for cloth in cloths])
        refuse_twins("size", [body.name for body in (self.body, *self.sizes)])
        refuse_twins("shoot day", [str(day.day) for day in self.shoot_days])
        refuse_twins("look", [look.id for look in self.looks])
        refuse_twins("rate", [rate.key for rate in self.rates])
        refuse_twins("time", [entry.id for entry in self.time_log])
        refuse_twins("edition", [str(edition.number) for edition in self.editions])
        refuse_twins("revision", [str(revision.number) for revision in self.revisions])
        return self
