"""Shoot days: which shots are filmed on a day, from when to when, and how long there is light."""

from datetime import date
from typing import Annotated

from pydantic import Field, StringConstraints

from webapp.draft.construction import Id
from webapp.draft.recipe import Frozen

ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]


class ShootDay(Frozen):
    """A day of filming as planned: clock times as 09:30, shots in the order they are filmed."""

    day: date
    starts: ClockTime = "09:00"
    ends: ClockTime = "17:00"
    dark_from: ClockTime | None = None  # when daylight goes; None where lamps light the room
    shots: tuple[Id, ...] = Field((), max_length=400)
