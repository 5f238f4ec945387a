"""What a shot needs of a day at the least, whatever else is on it, and why no day can hold it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.build.work_time import Estimate, total
from webapp.filming.shoot_days import ShootDay, minutes_of
from webapp.plan.day_parts import DayParts
from webapp.plan.day_plan import NO_TIME, hours
from webapp.plan.results import ShotPlan

Why = Literal["long", "light", "quiet", "rest", "room", "waits"]  # a shot is on no day


@dataclass(frozen=True)
class Lack:
    """Why no day can hold a shot, to be told after what it is called, as “takes 9 h, and …”."""

    kind: Why
    told: str


class DayNeeds:
    """What the shots left need of these days at the least. Minutes are likely ones.

    `left` are the shots still to be filmed; each comes with the part of its step that goes on then.
    """

    def __init__(self, parts: DayParts, left: Sequence[ShotPlan], days: Sequence[ShootDay]) -> None:
        self.parts, self.days = parts, tuple(days)
        self._beforehand = {name for day in days for name in day.beforehand}
        self._stands = {(one.shot.place, one.shot.look): one.shot.id for one in left}.values()
        self._set_ups: dict[tuple[str, str, bool], Estimate] = {}
        self._go_on = {day.day: self._goes_on(day) for day in days}
        self._light = max(map(_light, days), default=0.0)
        self._quiet = max(map(_quiet, days), default=0.0)

    def lack(self, shot: ShotPlan) -> Lack | None:
        """Why none of the days can hold the shot, though nothing else were on it; None if one can.

        That it is too long is looked at first: neither lamps nor quiet would help it.
        """
        return self._too_long(shot) or self._too_little_light_or_quiet(shot)

    def in_all(self, shots: Iterable[ShotPlan]) -> float:
        """Minutes of filming these shots and of the work that goes on from them."""
        return sum(self._work(shot).likely + self.parts.rest(shot.shot.id).likely for shot in shots)

    def _too_long(self, shot: ShotPlan) -> Lack | None:
        if any(self._whole(shot, day) <= _room(day) for day in self.days):
            return None
        longest = max(self.days, key=_room)
        work, films = self._work(shot), self.parts.rest(shot.shot.id)
        mend = "give a day more hours"
        if self._set_up(shot, longest).likely < _room(longest):
            mend += f", or divide the {'step' if work.likely > films.likely else 'shot'}"
        return Lack(
            "long",
            f"takes {hours(self._whole(shot, longest))} with setting up"
            f"{' and its work' if work.likely else ''}, and the longest day has "
            f"{hours(_room(longest))}: {mend}.",
        )

    def _whole(self, shot: ShotPlan, day: ShootDay) -> float:
        """Minutes with setting up on a day, likely in all."""
        parts = (self._set_up(shot, day), self.parts.rest(shot.shot.id), self._work(shot))
        return total(parts).likely

    def _too_little_light_or_quiet(self, shot: ShotPlan) -> Lack | None:
        films = self.parts.rest(shot.shot.id).likely
        light, quiet = self._light, self._quiet
        if shot.shot.light == "daylight" and films > light:
            return Lack(
                "light",
                f"needs {hours(films)} of daylight, and no day has "
                f"{f'more than {hours(light)}' if light > 0 else 'any'}: film it with lamps, or "
                "give a day hours in daylight.",
            )
        if shot.shot.quiet and films > quiet:
            return Lack(
                "quiet",
                f"needs {hours(films)} of quiet, and no day has "
                f"{f'more than {hours(quiet)}' if quiet > 0 else 'any'} on end: give a day hours "
                "without noise.",
            )
        return None

    def _work(self, shot: ShotPlan) -> Estimate:
        """Minutes of its step's work that go on from it, on its day."""
        step = shot.shot.step
        if step not in self.parts.steps or step in self._beforehand:
            return NO_TIME
        return self.parts.share(step)

    def _set_up(self, shot: ShotPlan, day: ShootDay) -> Estimate:
        """Minutes of setting up: for the shot as the first of the day, or for another and then for
        this one; next to none where the camera stands from what was filmed."""
        place, look, goes_on = shot.shot.place, shot.shot.look, self._go_on[day.day]
        known = self._set_ups.get((place, look, goes_on))  # it depends on nothing else of the shot
        if known is None:
            known = self._set_ups[place, look, goes_on] = self._least(shot.shot.id, goes_on)
        return known

    def _least(self, name: str, goes_on: bool) -> Estimate:
        set_up = self.parts.set_up
        if goes_on:
            return set_up(name, name, made_up=True)
        through = (
            total([set_up(None, one), set_up(one, name, made_up=self.parts.is_made_up(one))])
            for one in self._stands
        )
        return min(set_up(None, name), *through, key=lambda one: one.likely)

    def _goes_on(self, day: ShootDay) -> bool:
        shots = (self.parts.shots[name].shot for name in day.shots if name in self.parts.shots)
        return any(shot.filmed is not None for shot in shots)


def _room(day: ShootDay) -> float:
    return float(day.ends_at - day.goes_on)


def _light(day: ShootDay) -> float:
    dark = day.ends_at if day.dark_at is None else min(day.dark_at, day.ends_at)
    return float(dark - max(day.goes_on, day.light_at))


def _quiet(day: ShootDay) -> float:
    """Minutes of the longest stretch without noise."""
    best, since = 0.0, float(day.goes_on)
    for one in sorted(day.noise, key=lambda each: each.starts):
        best = max(best, min(minutes_of(one.starts), day.ends_at) - since)
        since = max(since, minutes_of(one.ends))
    return max(best, day.ends_at - since)
