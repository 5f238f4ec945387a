"""Changes of the shoot days: each takes the episode and returns a new one, the days by date."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from webapp.errors import NotThereError
from webapp.filming.shoot_days import ShootDay, told_day
from webapp.plan.edits import changed
from webapp.plan.episode import Episode


def day_faults(episode: Episode, day: date | None, values: Mapping[str, Any]) -> dict[str, str]:
    """What is wrong with these fields of a day, or of a new one, by the field; a sentence each."""
    old = ShootDay(day=date.min) if day is None else _day_of(episode, day)
    new = {**dict(old), **values}
    found = {}
    if new["ends"] <= new["starts"]:
        found["ends"] = f"The day starts at {new['starts']}: write a later time for its end."
    if new["day"] != day and any(one.day == new["day"] for one in episode.shoot_days):
        found["day"] = f"{told_day(new['day'])} is a shoot day already."
    light, dark, goes_on = (new[name] for name in ("light_from", "dark_from", "goes_on_at"))
    if light and dark and dark <= light:
        found["dark_from"] = f"There is light from {light}: write a later time for the dark."
    if light and light >= new["ends"]:
        found["light_from"] = f"The day ends at {new['ends']}: write an earlier time for the light."
    if goes_on and goes_on >= new["ends"]:
        found["goes_on_at"] = (
            f"The day ends at {new['ends']}: write an earlier time, or let it end later."
        )
    for one in new["breaks"]:
        if not new["starts"] <= one.at < new["ends"] and "breaks" not in found:
            found["breaks"] = (
                f"A break at {one.at} is not within the day, {new['starts']} to {new['ends']}."
            )
    return found


def with_new_day(episode: Episode, values: Mapping[str, Any]) -> Episode:
    """The episode with one more shoot day of these fields."""
    return _with_days(episode, (*episode.shoot_days, ShootDay(**values)))


def with_day(episode: Episode, day: date, values: Mapping[str, Any]) -> Episode:
    """The episode with these fields of a day changed; what was planned for it follows its date."""
    edited = _with(episode, day, lambda one: changed(one, **values))
    planned, to = edited.planned_days, values.get("day", day)
    if planned is None or to == day:
        return edited
    days = tuple(changed(one, day=to) if one.day == day else one for one in planned.days)
    return changed(edited, planned_days=changed(planned, days=days))


def without_day(episode: Episode, day: date) -> Episode:
    """The episode without that day; its shots are on no day then."""
    gone = _day_of(episode, day)
    return _with_days(episode, [one for one in episode.shoot_days if one is not gone])


def with_shots_on(episode: Episode, day: date, shots: Sequence[str]) -> Episode:
    """The episode with these shots on the day too, in shooting order after those it has."""
    has = set(_day_of(episode, day).shots)
    new = tuple(s.id for s in episode.shots if s.id in shots and s.id not in has)
    return _with(episode, day, lambda one: changed(one, shots=(*one.shots, *new)))


def with_rest_on(episode: Episode, day: date) -> Episode:
    """The episode with every shot that is not filmed and on no day put on this one."""
    planned = {shot for one in episode.shoot_days for shot in one.shots}
    rest = [s.id for s in episode.shots if s.filmed is None and s.id not in planned]
    return with_shots_on(episode, day, rest)


def with_shot_moved(episode: Episode, day: date, shot: str, by: int) -> Episode:
    """The episode with a shot of a day so many places later in it."""

    def edit(one: ShootDay) -> ShootDay:
        order = _others(one, shot)
        place = max(0, min(len(order), one.shots.index(shot) + by))
        return changed(one, shots=(*order[:place], shot, *order[place:]))

    return _with(episode, day, edit)


def with_shot_put(episode: Episode, shot: str, day: date, place: int) -> Episode:
    """The episode with a shot on this day alone, at a place counted from 0 without it.

    NotThereError when there is no such shot or day any more.
    """
    if all(one.id != shot for one in episode.shots):
        raise NotThereError("That shot is not there any more.")
    target = _day_of(episode, day)

    def edit(one: ShootDay) -> ShootDay:
        others = tuple(other for other in one.shots if other != shot)
        if one is target:
            others = (*others[: max(0, place)], shot, *others[max(0, place) :])
        return one if others == one.shots else changed(one, shots=others)

    return _with_days(episode, [edit(one) for one in episode.shoot_days])


def with_step_beforehand(episode: Episode, day: date, step: str, *, before: bool) -> Episode:
    """The episode with a step done off camera before this day and no other, or before none."""
    if all(one.id != step for garment in episode.garments for one in garment.steps):
        raise NotThereError("That step is not there any more.")
    target = _day_of(episode, day)

    def edit(one: ShootDay) -> ShootDay:
        kept = tuple(other for other in one.beforehand if other != step)
        kept = (*kept, step) if one is target and before else kept
        return one if kept == one.beforehand else changed(one, beforehand=kept)

    return _with_days(episode, [edit(one) for one in episode.shoot_days])


def with_shot_off(episode: Episode, day: date, shot: str) -> Episode:
    """The episode with a shot taken off a day."""
    return _with(episode, day, lambda one: changed(one, shots=_others(one, shot)))


def _others(day: ShootDay, shot: str) -> tuple[str, ...]:
    """The shots of a day without one of them. NotThereError when it is not on it."""
    if shot not in day.shots:
        raise NotThereError(f"That shot is not on {told_day(day.day)} any more.")
    return tuple(one for one in day.shots if one != shot)


def _with(episode: Episode, day: date, edit: Callable[[ShootDay], ShootDay]) -> Episode:
    old = _day_of(episode, day)
    return _with_days(episode, [edit(one) if one is old else one for one in episode.shoot_days])


def _with_days(episode: Episode, days: Sequence[ShootDay]) -> Episode:
    return changed(episode, shoot_days=tuple(sorted(days, key=lambda one: one.day)))


def _day_of(episode: Episode, day: date) -> ShootDay:
    for one in episode.shoot_days:
        if one.day == day:
            return one
    raise NotThereError(f"{told_day(day)} is no shoot day any more.")
