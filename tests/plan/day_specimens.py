"""Small episodes for shoot days: a garment of few steps, a shot or two of each."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed, Shot
from webapp.plan.day_planning import PlannedDays, planned_days
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

MONDAY = date(2027, 1, 4)
TUESDAY, WEDNESDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)
TABLE, MACHINE, YARD = "Over the table", "At the machine", "In the yard"


def step(name: str, minutes: float, *after: str, **fields: Any) -> Step:
    """A step of exactly so many minutes."""
    time = Minutes(low=minutes, likely=minutes, high=minutes)
    return Step(id=name, name=name, after=after, work=(Work(kind="other", minutes=time),), **fields)


def shot(name: str, of: str = "", place: str = TABLE, **fields: Any) -> Shot:
    """A shot of a minute on screen; of no step it is talking, unless said otherwise."""
    kind = "step" if of else "talking"
    values = {"kind": kind, "screen_seconds": 60, "pace": "sped up", **fields}
    return Shot(id=name, step=of, title=name, place=place, **values)


def episode(
    steps: Sequence[Step], shots: Sequence[Shot], *days: ShootDay, **fields: Any
) -> Episode:
    """An episode of one garment."""
    return Episode(
        id="e",
        title="E",
        garments=(Recipe(id="g", name="G", steps=tuple(steps)),),
        shots=tuple(shots),
        shoot_days=days,
        **fields,
    )


def day(on: date, *shots: str, **fields: Any) -> ShootDay:
    """A shoot day from 9 to 5 unless said otherwise."""
    return ShootDay(day=on, shots=shots, **fields)


def filmed(one: Episode, *names: str, on: date | None = None) -> Episode:
    """The episode with these shots filmed on a day."""
    return changed(
        one,
        shots=tuple(
            changed(each, filmed=Filmed(day=on)) if each.id in names else each for each in one.shots
        ),
    )


STEPS = (step("cut", 60), step("sew", 60, "cut"), step("hem", 60, "sew"), step("bag", 30))
SHOTS = (
    shot("cutting", "cut"),
    shot("sewing", "sew", MACHINE),
    shot("pressed", "sew", TABLE),
    shot("hemming", "hem", MACHINE),
    shot("bag-cut", "bag"),
    shot("bagging", "bag", MACHINE),
    shot("hello", place=YARD),
)


def planned_in(one: Episode, seconds: float = 2, **asked: object) -> PlannedDays:
    """What planning the days of an episode comes to."""
    return planned_days(evaluate(one), seconds=seconds, **asked)  # type: ignore[arg-type]


def shots_by_day(planned: PlannedDays) -> list[tuple[str, ...]]:
    """The ids of the shots on each day."""
    return [one.shots for one in planned.days]


def changing_in(one: Episode) -> float:
    """Likely minutes of changing over on all days as they stand."""
    return sum(each.changing for each in evaluate(one).days)
