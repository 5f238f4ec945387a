"""A shoot day with its clock times, and what is told of it. Times are minutes from midnight."""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from webapp.build.work_time import Estimate, total
from webapp.filming.day_clock import Reason, TakenBreak
from webapp.filming.shoot_days import ShootDay, clock_of, told_clock, told_day
from webapp.plan.results import ShotPlan, StepPlan
from webapp.plan.told_shots import numbers_told

NO_TIME = Estimate()


@dataclass(frozen=True)
class Wait:
    """Minutes in which nothing can go on, and why: no daylight yet, noise, or cloth that rests."""

    minutes: float
    why: Reason

    @property
    def told(self) -> str:
        """In words."""
        why = {
            "light": "for the daylight",
            "noise": "until it is quiet",
            "rest": "for the cloth to rest",
        }
        return f"wait {hours(self.minutes)} {why[self.why]}"


@dataclass(frozen=True)
class TooSoon:
    """A step begun on a day that is over before the step ahead of it has rested."""

    step: StepPlan
    rests: StepPlan
    ready_day: date
    ready_at: float  # minutes from midnight

    @property
    def told(self) -> str:
        """In a sentence."""
        return (
            f"“{self.step.step.name}” comes too soon: “{self.rests.step.name}” rests for "
            f"{self.rests.step.rest_hours:g} hours, likely until {told_day(self.ready_day)}, "
            f"{clock_of(self.ready_at)}."
        )


@dataclass(frozen=True)
class DoneBefore:
    """A step that is done off camera before a day."""

    step: StepPlan
    evening: date | None = None  # None before the first day: there are as many as she needs
    done_by: float | None = None  # minutes from that evening's midnight, as the days are planned
    waits_for: tuple[str, ...] = ()  # names of steps ahead of it that are not done by then
    too_soon: tuple[TooSoon, ...] = ()
    too_long: bool = False  # more work than there is time in the evening

    @property
    def in_time(self) -> bool:
        """True when it can be done then."""
        return not (self.waits_for or self.too_soon or self.too_long)

    @property
    def on_camera(self) -> bool:
        """True when shots show it, so that it should be done on the day."""
        return bool(self.step.shots)


@dataclass(frozen=True)
class TimedShot:
    """A shot in its place on a day. One that is filmed takes no time any more."""

    plan: ShotPlan
    work: Estimate  # minutes of work with the cloth before it, which no shot shows
    worked: tuple[str, ...]  # names of the steps that this work is on
    filming: Estimate  # minutes the filming adds, setting up and all
    begins: Estimate  # when the work before it begins
    starts: Estimate  # when the camera is set up for it
    ends: Estimate  # when it is filmed
    goes_on: Estimate = NO_TIME  # minutes of its own step's work once it is filmed
    free: Estimate = NO_TIME  # when that is done
    set_up: Estimate = NO_TIME  # minutes of the filming: place, clothes, make-up
    rolls: Estimate = NO_TIME  # when the camera can roll
    filmed: bool = False
    camera_stands: bool = False  # filmed on this day: the camera is set up for it
    moves_camera: bool = False  # from another place of the same day
    changes_look: bool = False  # into what is worn, from something else on the same day
    waits: tuple[Wait, ...] = ()
    too_soon: tuple[TooSoon, ...] = ()
    worked_ids: tuple[str, ...] = ()  # of all steps worked from here on, its own too

    @property
    def needs_daylight(self) -> bool:
        """True for a shot still to be filmed that lamps do not light."""
        return not self.filmed and self.plan.shot.light == "daylight"


@dataclass(frozen=True)
class DayPlan:
    """A day and its shots with their times; `unknown` are shots that are not there any more."""

    day: ShootDay
    shots: tuple[TimedShot, ...]
    unknown: tuple[str, ...]
    ends: Estimate
    breaks: tuple[TakenBreak, ...] = ()  # as they likely fall
    beforehand: tuple[DoneBefore, ...] = ()
    evenings: int | None = None  # since the day before; None where there is none before it

    @cached_property
    def to_film(self) -> tuple[TimedShot, ...]:
        """The shots that are not filmed yet."""
        return tuple(shot for shot in self.shots if not shot.filmed)

    @property
    def stands(self) -> tuple[str, ...]:
        """The ids of the shots filmed on this day, for the last of which the camera is set up."""
        return tuple(shot.plan.shot.id for shot in self.shots if shot.camera_stands)

    @property
    def begins(self) -> float:
        """When what is not filmed yet begins."""
        return self.day.goes_on

    @property
    def work_beforehand(self) -> Estimate:
        """Minutes of work off camera before the day."""
        return total([one.step.work for one in self.beforehand])

    @property
    def changes(self) -> int:
        """How often the camera changes its place."""
        return sum(shot.moves_camera for shot in self.shots)

    @property
    def changing(self) -> float:
        """Likely minutes of setting up, of changing the place, the clothes and the make-up."""
        return sum(shot.set_up.likely for shot in self.to_film)

    @property
    def idle(self) -> float:
        """Minutes in which nothing goes on, likely; breaks are not among them."""
        return sum(wait.minutes for shot in self.shots for wait in shot.waits)

    @property
    def without_break(self) -> float:
        """Minutes of the longest stretch, likely, without a break; waiting is none."""
        marks = [self.begins]
        for one in self.breaks:
            marks += [one.begins, one.ends]
        marks.append(self.ends.likely)
        stretches = [marks[at + 1] - marks[at] for at in range(0, len(marks), 2)]
        return max(stretches) if self.to_film else 0.0

    @property
    def chance_in_time(self) -> float:
        """The chance, 0 to 1, that it ends by its end."""
        return self.ends.chance_of_at_most(self.day.ends_at) if self.to_film else 1.0

    @cached_property
    def chance(self) -> float:
        """The chance, 0 to 1, that it ends by its end and what needs daylight by the dark.

        Who is late for the one is late for the other: of these the least likely decides.
        """
        return min((self.chance_in_time, *self._chances_in_light))

    @property
    def goes_by_light(self) -> bool:
        """True when something on it needs daylight, and it says when that goes."""
        return bool(self._chances_in_light)

    @cached_property
    def _chances_in_light(self) -> tuple[float, ...]:
        dark = self.day.dark_at
        if dark is None:
            return ()
        return tuple(
            shot.ends.chance_of_at_most(dark) for shot in self.to_film if shot.needs_daylight
        )

    @property
    def over(self) -> Estimate:
        """Minutes past the day's end; zero where there are none."""
        end = self.day.ends_at if self.to_film else float("inf")
        return Estimate(
            *(max(0.0, t - end) for t in (self.ends.low, self.ends.likely, self.ends.high))
        )

    @cached_property
    def in_the_dark(self) -> tuple[TimedShot, ...]:
        """The shots in need of daylight that likely end, or begin, after it has gone."""
        dark = _dark(self.day)
        return tuple(s for s in self.shots if s.needs_daylight and s.ends.likely > dark)

    @cached_property
    def perhaps_in_the_dark(self) -> tuple[TimedShot, ...]:
        """The shots that end in the daylight fewer than 9 times in 10."""
        dark = _dark(self.day)
        return tuple(s for s in self.shots if s.needs_daylight and s.ends.high > dark)

    @property
    def told(self) -> str:
        """Whether it ends in time and in daylight, in sentences."""
        if not self.shots:
            return "No shot is on this day yet."
        if not self.to_film:
            return "All of it is filmed."
        return f"{self.told_end} {self.told_light}"

    @property
    def told_end(self) -> str:
        """Whether it ends in time, in a sentence."""
        day = f"{told_day(self.day.day)} likely ends at {told_clock(self.ends.likely)}"
        if self.over.likely > 0:
            return f"{day}, {hours(self.over.likely)} after its end at {self.day.ends}."
        if self.over.high > 0:
            return (
                f"{day}, in time for {self.day.ends}, but 9 times in 10 only by "
                f"{told_clock(self.ends.high)}, {hours(self.over.high)} past it."
            )
        return f"{day}, in time for {self.day.ends}; 9 times in 10 by {told_clock(self.ends.high)}."

    @property
    def told_light(self) -> str:
        """Whether it is filmed in daylight, in a sentence."""
        if not any(shot.needs_daylight for shot in self.shots):
            return "Nothing on it needs daylight."
        if self.day.dark_from is None:
            return "When it gets dark is not said."
        if self.in_the_dark:
            shots, how = self.in_the_dark, ("ends", "end", "at")
            ends = [shot.ends.likely for shot in shots]
        elif self.perhaps_in_the_dark:
            shots, how = self.perhaps_in_the_dark, ("may end", "may end", "as late as")
            ends = [shot.ends.high for shot in shots]
        else:
            whole = all(shot.needs_daylight for shot in self.to_film)
            what = "All of it" if whole else "All that needs daylight"
            return f"{what} is filmed before the dark at {self.day.dark_from}."
        one, several, at = how
        dark = f"On {told_day(self.day.day)} it is dark from {self.day.dark_from}, and"
        first, last = (f"{at} {told_clock(time)}" for time in (min(ends), max(ends)))
        if len(shots) == 1:
            only = shots[0].plan
            return f"{dark} shot {only.number}, “{only.shot.title}”, {one} after that, {first}."
        numbers = numbers_told(shot.plan.number for shot in shots)
        return (
            f"{dark} {len(shots)} shots {several} after that: {numbers}, the first {first}, "
            f"the last {last}."
        )


def hours(minutes: float) -> str:
    """A stretch of time to the nearest minute: `25 min`, `1 h 40 min`."""
    whole, rest = divmod(max(1, round(minutes)), 60)
    return " ".join([*([f"{whole} h"] if whole else []), *([f"{rest} min"] if rest else [])])


def _dark(day: ShootDay) -> float:
    return float("inf") if day.dark_at is None else day.dark_at
