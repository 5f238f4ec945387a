"""What the call sheet shows, day by day: plain words, ready to be printed."""

from dataclasses import dataclass
from typing import Annotated, Literal

from webapp.handouts.printing import PaperName
from webapp.units import System


@dataclass(frozen=True)
class Item:
    """Something to tick in a list."""

    what: Annotated[str, "its name"]
    told: Annotated[str, "more about it, lengths in both units; may be empty"] = ""
    missed: Annotated[str, "why it cannot be done in time; empty when it can"] = ""


@dataclass(frozen=True)
class Group:
    """Things to tick that belong together."""

    name: Annotated[str, "what they are, such as Tools"]
    items: Annotated[tuple[Item, ...], "at least one"]


@dataclass(frozen=True)
class Stretch:
    """How long the camera stays in one place."""

    clock: Annotated[str, "when it is set up there"]
    place: Annotated[str, "where that is"]


@dataclass(frozen=True)
class Clock:
    """A clock time as it is printed."""

    time: Annotated[str, "hours and minutes of the day, as 09:30"]
    later: Annotated[str, "the next day, where the day runs so long; else empty"] = ""


@dataclass(frozen=True)
class Between:
    """Something between shots: a new place or clothes, work off camera, a wait or a break; and what
    is done after all of them, in the evening."""

    kind: Annotated[Literal["set up", "work", "wait", "break", "evening"], "what it is"]
    clock: Annotated[Clock, "when it begins; in the evening, by when it is done"]
    words: Annotated[str, "what to do"]
    minutes: Annotated[str, "how long, and how long it rests then; empty where the words say so"]
    by_then: Annotated[str, "the look at the clock that is due then, as 7 of 24; else empty"] = ""


@dataclass(frozen=True)
class Check:
    """Where she looks at the clock: what should be done by then, and room for what was."""

    clock: Annotated[Clock, "when all up to here is planned to be done"]
    shots: Annotated[str, "how many of the day's shots are filmed by then"]
    kind: Annotated[Literal["check"], "tells it from the others"] = "check"


@dataclass(frozen=True)
class ShotEntry:
    """A shot to film, or one that is filmed."""

    clock: Annotated[Clock, "when the camera rolls"]
    number: Annotated[int, "its number in the list of shots"]
    title: Annotated[str, "its title"]
    filmed: Annotated[bool, "True when it is filmed"]
    minutes: Annotated[str, "from rolling to its end"] = ""
    takes: Annotated[str, "how often it is filmed, in words"] = ""
    place: Annotated[str, "where the camera stands"] = ""
    facts: Annotated[tuple[str, ...], "what is worn, pace, quiet, lamps: a word or two each"] = ()
    in_the_dark: Annotated[bool, "True when it needs daylight and likely has none"] = False
    card: Annotated[str, "what the card says; may be empty"] = ""
    says: Annotated[str, "the first words spoken on camera; may be empty"] = ""
    goes_on: Annotated[bool, "True when more is spoken than these first words"] = False
    note: Annotated[str, "her own note, as on lens and height; may be empty"] = ""
    one_way: Annotated[bool, "True when what it shows cannot be taken back"] = False
    spare: Annotated[str, "what there is to fall back on; empty when told for a shot before"] = ""
    too_soon: Annotated[tuple[str, ...], "what has not rested by then, a sentence each"] = ()
    after: Annotated[tuple[Between, ...], "work that goes on from it"] = ()
    kind: Annotated[Literal["shot"], "tells it from the others"] = "shot"


Entry = ShotEntry | Between | Check


@dataclass(frozen=True)
class DaySheet:
    """A shoot day."""

    key: Annotated[str, "its date as 2027-01-15"]
    weekday: Annotated[str, "the day of the week"]
    date: Annotated[str, "the date in words"]
    place: Annotated[str, "which day of the shoot it is, as day 1 of 3; empty for an only day"]
    hours: Annotated[str, "from when to when, and when it goes on"]
    likely: Annotated[str, "when it likely ends; empty when all is filmed"]
    light: Annotated[str, "when there is daylight; may be empty"]
    noise: Annotated[tuple[str, ...], "hours of noise and what is heard"]
    told: Annotated[str, "whether it ends in time and in daylight, in sentences"]
    warnings: Annotated[tuple[str, ...], "what stands in the way of it, a sentence each"]
    stretches: Annotated[tuple[Stretch, ...], "where the camera stands, where a few lines hold it"]
    before: Annotated[tuple[Group, ...], "what is done the night before"]
    at_hand: Annotated[tuple[Group, ...], "what should lie ready"]
    cautions: Annotated[str, "what can hurt in its work and its evening's, in a line; may be empty"]
    entries: Annotated[tuple[Entry, ...], "all of the day, in order"]
    video: Annotated[str, "how much of the video is filmed by its end; may be empty"] = ""


@dataclass(frozen=True)
class CallSheet:
    """The whole sheet."""

    paper: Annotated[PaperName, "the paper it is laid out for"]
    channel: Annotated[str, "who makes the video; may be empty"]
    issue: Annotated[str, "series and number; may be empty"]
    title: Annotated[str, "the episode's title"]
    first_unit: Annotated[System, "the unit that stands first"]
    days: Annotated[tuple[DaySheet, ...], "those that have shots"] = ()

    @property
    def side_mm(self) -> float:
        """The margins that leave 186 mm for the text: ISO 216 A4 and Letter, 8 1/2 in wide."""
        return {"a4": 12.0, "letter": 14.95}[self.paper]
