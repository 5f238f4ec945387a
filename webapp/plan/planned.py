"""What planning the shoot days came to, and how it is told."""

from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.filming.shoot_days import DaysAsPlanned, ShootDay
from webapp.plan.day_needs import Why
from webapp.plan.day_plan import hours
from webapp.plan.results import ShotPlan
from webapp.plan.told_shots import Told, folded

HAIR: Final = 0.05  # minutes that make no difference


@dataclass(frozen=True)
class Unplaced:
    """A shot that fits on no day, and why."""

    shot: ShotPlan
    why: str
    kind: Why
    waits_on: ShotPlan | None = None  # another that is on no day, when that is all there is to it

    def told(self, verb: str = "is") -> str:
        """In two sentences."""
        return f"Shot {self.shot.number}, “{self.shot.shot.title}”, {verb} on no day. {self.why}"


def told_unplaced(unplaced: Sequence[Unplaced], verb: str = "is") -> tuple[str, ...]:
    """Why these shots are on no day, or as the verb has it; those that only wait on another of
    them with that one."""
    waiting: dict[str, list[int]] = {}
    for one in unplaced:
        if one.waits_on is not None:
            waiting.setdefault(one.waits_on.shot.id, []).append(one.shot.number)
    return tuple(
        folded(
            [
                Told(
                    one.kind,
                    one.shot.number,
                    one.told(verb),
                    tuple(waiting.get(one.shot.shot.id, ())),
                )
                for one in unplaced
                if one.waits_on is None
            ]
        )
    )


@dataclass(frozen=True)
class PlannedDays:
    """The days as planned. `minutes` are those of setting up and changing, likely.

    No division of these shots among the days takes fewer than `bound`, with those of waiting; 0
    where nothing is known of that, as while shots are on no day or a day does not fit.
    """

    days: tuple[ShootDay, ...]  # every day of the episode, by date
    unplaced: tuple[Unplaced, ...]
    changes: int  # of the camera place
    minutes: float
    bound: float
    changes_in_build_order: int
    minutes_in_build_order: float
    idle: float = 0.0  # minutes in which nothing can go on, breaks left out
    kept: bool = False  # the days stay as they were: nothing better was found
    faults: tuple[str, ...] = ()  # why nothing was planned
    keys: tuple[str, ...] = ("", "", "", "")  # of what it was planned from: see `planned_keys`
    stays: tuple[str, ...] = ()  # why the days stay as they were though a plan was found
    instead: "PlannedDays | None" = None  # that plan

    def left_out(self, on_none: Container[str]) -> tuple[Unplaced, ...]:
        """Those left out that are still on no day; when it is not made, all that would be."""
        if self.instead is not None:
            return self.instead.unplaced
        return tuple(one for one in self.unplaced if one.shot.shot.id in on_none)

    @property
    def is_proven(self) -> bool:
        """True when no division of the same shots takes less time for changing."""
        return not self.unplaced and self.minutes + self.idle <= self.bound + HAIR

    @property
    def saved(self) -> float:
        """Minutes less than in build order; below 0 when they are more."""
        return self.minutes_in_build_order - self.minutes

    @property
    def told(self) -> str:
        """What it comes to, in a sentence; why nothing was planned, in others."""
        return " ".join(self.faults or self.stays) or told_planned(self, whole=not self.unplaced)


def told_planned(planned: PlannedDays | DaysAsPlanned, *, whole: bool = True) -> str:
    """Changes of place, minutes saved, and whether they could be fewer; `whole`: all shots fit."""
    if not any(day.shots for day in planned.days):
        return "no shot is on a day."
    places = "1 change of place" if planned.changes == 1 else f"{planned.changes} changes of place"
    told = [f"{places}, {planned.changes_in_build_order} in build order on as many days"]
    saved = planned.minutes_in_build_order - planned.minutes
    if saved >= 0.5:
        told.append(f"{hours(saved)} saved")
    elif saved <= -0.5:
        told.append(f"{hours(-saved)} more than in build order, so that it fits the days")
    else:
        told.append("no time saved")
    if planned.idle >= 0.5:
        told.append(f"{hours(planned.idle)} of waiting")
    off = planned.minutes + planned.idle - planned.bound
    if whole and (planned.bound > 0 or off <= HAIR):
        told.append(
            "proven best" if off <= HAIR else f"no other order could save more than {hours(off)}"
        )
    return f"{'; '.join(told)}."
