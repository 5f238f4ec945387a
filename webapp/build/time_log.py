"""The maker's own times: what was done, how long it took, and what had been worked out for it."""

from datetime import date
from typing import Annotated, Final, Literal, get_args

from pydantic import AwareDatetime, Field, StringConstraints, model_validator

from webapp.build.rates import RateKey
from webapp.draft.construction import Id, Name, ShortText, WorkKind
from webapp.draft.recipe import Frozen

TimeKind = WorkKind | Literal["filming", "voice-over", "editing"]
TIME_KINDS: Final[tuple[TimeKind, ...]] = (
    *get_args(WorkKind),
    "filming",
    "voice-over",
    "editing",
)
Timed = Literal["step", "shoot day", "voice-over", "editing"]


class KindShare(Frozen):
    """How much of a time was worked out for one kind of work, and by which rates.

    The share is its likely minutes by the table over those of the whole: as a whole is likely
    longer than its parts (`work_time.total`), shares add up to a little less than 1.
    """

    kind: TimeKind
    share: float = Field(gt=0, le=1)
    rates: Annotated[str, StringConstraints(max_length=16)] = ""  # a fingerprint of those
    by: tuple[RateKey, ...] = Field((), max_length=100)  # their keys; of old: all of the kind


class WorkedOut(Frozen):
    """An estimate as it stood: minutes, as of `build.work_time.Estimate`."""

    low: float = Field(0.0, ge=0, le=1e6)
    likely: float = Field(0.0, ge=0, le=1e6)
    high: float = Field(0.0, ge=0, le=1e6)

    @model_validator(mode="after")
    def _rises(self) -> "WorkedOut":
        if not self.low <= self.likely <= self.high:
            raise ValueError("What was worked out should rise: the least, the likely, the most.")
        return self


class TimeEntry(Frozen):
    """A time that was taken, with the estimates as they stood then: they are never changed."""

    id: Id
    timed: Timed = "step"
    item: str = Field("", max_length=64)  # the step's id, or the shoot day's date
    title: Name  # what it was called then
    kind: TimeKind | None = None  # when only this kind of the step's work was timed
    day: date | None = None
    minutes: float = Field(gt=0, le=60_000)
    table: WorkedOut  # what the rates alone gave
    shown: WorkedOut  # what was shown: the rates moved by the times taken before
    shares: tuple[KindShare, ...] = Field((), max_length=20)
    holds: tuple[Id, ...] = Field((), max_length=200)  # the steps worked on, of a shoot day
    goes_on: bool = False  # a sitting of what is not done yet
    again: bool = False  # what was timed before was done anew: no sitting of that
    all_work: bool = False  # she says that it is right, however far from what was worked out
    episode: ShortText = ""  # of a time that was taken over from another episode
    note: ShortText = ""


class Timer(Frozen):
    """A time being taken: it goes on while the page is closed."""

    timed: Timed = "step"
    item: str = Field("", max_length=64)
    title: Name
    kind: TimeKind | None = None
    started: AwareDatetime | None = None  # UTC; None while it is paused
    seconds_before: float = Field(0.0, ge=0, le=1e7)  # run before it was last started
