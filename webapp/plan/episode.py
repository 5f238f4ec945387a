"""The episode document: the whole plan as one value, the way it is stored and shared."""

from datetime import date
from typing import Final, Literal

from pydantic import Field, model_validator

from webapp.cloth.cloths import EpisodeCloth, KeptLay, KeptWays, OtherCloth
from webapp.cloth.thread import ThreadChoices
from webapp.draft.construction import Id, LongText, Name, ShortText
from webapp.draft.recipe import Body, Frozen, Notion, Recipe, refuse_twins
from webapp.filming.shots import Shot
from webapp.units import System

FILE_VERSION: Final = 1


class Brief(Frozen):
    """What the episode is to be."""

    audience: ShortText = ""
    promise: LongText = ""  # what a viewer will have made by the end
    target_seconds: int | None = Field(None, ge=30, le=6 * 3600)
    publish_date: date | None = None
    members_extra: LongText = ""
    notes: LongText = ""


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
    sizes: tuple[Body, ...] = ()  # further bodies for the companion's size table
    garments: tuple[Recipe, ...] = ()  # the first is the episode's garment, the rest are extras
    cloths: tuple[EpisodeCloth, ...] = (EpisodeCloth(),)
    other_cloths: tuple[OtherCloth, ...] = ()
    notions: tuple[Notion, ...] = ()
    thread: ThreadChoices = ThreadChoices()
    currency: str = Field("EUR", pattern=r"^[A-Z]{3}$")  # ISO 4217
    bought: tuple[ShortText, ...] = ()  # ticked on the shopping list, by what it is there for
    shots: tuple[Shot, ...] = ()
    kept_lays: tuple[KeptLay, ...] = ()
    kept_ways: tuple[KeptWays, ...] = ()

    @model_validator(mode="after")
    def _names_differ(self) -> "Episode":
        pieces = [piece.name for garment in self.garments for piece in garment.pieces]
        steps = [step.id for garment in self.garments for step in garment.steps]
        refuse_twins("piece", pieces)
        refuse_twins("step", steps)
        refuse_twins("garment", [garment.id for garment in self.garments])
        refuse_twins("shot", [shot.id for shot in self.shots])
        cloths = (*self.cloths, *self.other_cloths)
        refuse_twins("cloth", [cloth.name for cloth in cloths])
        refuse_twins("size", [body.name for body in (self.body, *self.sizes)])
        return self
