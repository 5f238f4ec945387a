"""Shoot days: which shots are filmed on a day, from when to when, and how long there is light.

Clock times are those of the wall; where the clocks change is for `clock_changes`. They are counted
in minutes from midnight, on past 24 hours where a day runs into the next.
"""

from datetime import date
from typing import Annotated, Final

from pydantic import Field, StringConstraints, model_validator

from webapp.draft.construction import Id, ShortText
from webapp.draft.recipe import Frozen

ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]

_DAY_MINUTES: Final = 24 * 60
_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


class Break(Frozen):
    """A rest of so many minutes, taken at this time or when the shot then going on is done."""

    at: ClockTime
    minutes: int = Field(30, ge=5, le=240)


class Noise(Frozen):
    """Hours in which nothing quiet can be filmed."""

    starts: ClockTime
    ends: ClockTime
    what: ShortText = ""

    @model_validator(mode="after")
    def _goes_forward(self) -> "Noise":
        if self.ends <= self.starts:
            raise ValueError(f"The noise ends at {self.ends}, which is not after {self.starts}.")
        return self


class ShootDay(Frozen):
    """A day of filming as planned: clock times as 09:30, shots in the order they are filmed."""

    day: date
    starts: ClockTime = "09:00"
    ends: ClockTime = "17:00"
    dark_from: ClockTime | None = None  # when daylight goes; None where lamps light the room
    light_from: ClockTime | None = None  # when there is daylight; None: from the start
    breaks: tuple[Break, ...] = Field((), max_length=12)
    noise: tuple[Noise, ...] = Field((), max_length=12)
    beforehand: tuple[Id, ...] = Field((), max_length=400)  # steps done off camera before
    goes_on_at: ClockTime | None = None  # when what is not filmed yet begins
    shots: tuple[Id, ...] = Field((), max_length=400)

    @model_validator(mode="after")
    def _holds_together(self) -> "ShootDay":
        if self.ends <= self.starts:
            raise ValueError(f"The day ends at {self.ends}, which is not after {self.starts}.")
        if len(set(self.shots)) < len(self.shots):
            raise ValueError(f"A shot is on {told_day(self.day)} twice.")
        return self

    @property
    def starts_at(self) -> int:
        """Minutes from midnight to its start."""
        return minutes_of(self.starts)

    @property
    def ends_at(self) -> int:
        """Minutes from midnight to its end."""
        return minutes_of(self.ends)

    @property
    def dark_at(self) -> int | None:
        """Minutes from midnight to the dark; None where lamps light the room."""
        return None if self.dark_from is None else minutes_of(self.dark_from)

    @property
    def light_at(self) -> int:
        """Minutes from midnight to the daylight; midnight where it is there from the start."""
        return 0 if self.light_from is None else minutes_of(self.light_from)

    @property
    def goes_on(self) -> int:
        """Minutes from midnight to the first shot that is not filmed yet."""
        return self.starts_at if self.goes_on_at is None else minutes_of(self.goes_on_at)


class DayAsPlanned(Frozen):
    """The shots of a day, in order, as they were planned."""

    day: date
    shots: tuple[Id, ...] = Field((), max_length=400)


class DaysAsPlanned(Frozen):
    """What planning the days came to, so that a change by hand can be told against it.

    Minutes are those of setting up and changing places, clothes and make-up. No way through these
    shots takes fewer than `bound`, with those of waiting; a plan that takes no more is the best.
    """

    days: tuple[DayAsPlanned, ...] = Field((), max_length=60)
    changes: int = Field(ge=0)  # of the camera place
    minutes: float = Field(ge=0)
    idle: float = Field(0.0, ge=0)  # minutes in which nothing can go on
    bound: float = Field(ge=0)
    changes_in_build_order: int = Field(ge=0)
    minutes_in_build_order: float = Field(ge=0)
    shots_key: Annotated[str, StringConstraints(max_length=16)] = ""  # fingerprints of what it
    steps_key: Annotated[str, StringConstraints(max_length=16)] = ""  # was planned from
    hours_key: Annotated[str, StringConstraints(max_length=16)] = ""
    minutes_key: Annotated[str, StringConstraints(max_length=16)] = ""


def minutes_of(time: str) -> int:
    """Minutes from midnight to a clock time such as 09:30."""
    hours, minutes = time.split(":")
    return 60 * int(hours) + int(minutes)


def clock_of(minutes: float) -> str:
    """Minutes from midnight as a clock time to the nearest minute, hours counted on past 24.

    >>> clock_of(570.4), clock_of(1460)
    ('09:30', '24:20')
    """
    hours, rest = divmod(round(minutes), 60)
    return f"{hours:02}:{rest:02}"


def told_clock(minutes: float) -> str:
    """The same as people say it.

    >>> told_clock(570.4), told_clock(1460)
    ('09:30', '00:20 the next day')
    """
    later, of_the_day = divmod(round(minutes), _DAY_MINUTES)
    after = ("", " the next day")[later] if later < 2 else f" {later} days later"
    return clock_of(of_the_day) + after


def told_day(day: date) -> str:
    """A date in words: 15 January 2027."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
