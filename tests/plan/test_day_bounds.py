"""The least that days can take, unclipped, against every division of the shots that fits."""

from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from itertools import combinations, pairwise, permutations
from random import Random

import pytest

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    TABLE,
    TUESDAY,
    WEDNESDAY,
    YARD,
    day,
    episode,
    filmed,
    shot,
    step,
)
from webapp.draft.construction import Minutes
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import Break, Noise, ShootDay
from webapp.plan.day_bounds import DayBounds
from webapp.plan.day_planning import planned_days
from webapp.plan.day_search import Days, Division
from webapp.plan.day_task import DayTask
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

LOOKS = (Look(id="apron", name="Apron"), Look(id="best", name="Best", made_up=True))
FAR = PlaceChange(one=YARD, other=TABLE, minutes=Minutes(low=20, likely=30, high=45))
BEFORE = MONDAY - timedelta(days=1)


def _task(one: Episode) -> DayTask:
    return DayTask(evaluate(one), None, False)


def _bounds(task: DayTask) -> DayBounds:
    bounds = DayBounds(task.trial, task.listed, task.before, 0)
    list(bounds.first(0.3))
    return bounds


def _divisions(task: DayTask) -> Iterator[Days]:
    """Every way to put the shots on the days in an order that can be built."""
    names = task.listed
    for order in permutations(names):
        if any(order.index(a) > order.index(b) for a, b in task.before):
            continue
        for cuts in combinations(range(len(names) + len(task.open) - 1), len(task.open) - 1):
            marks = [0, *(cut - at for at, cut in enumerate(cuts)), len(names)]
            yield tuple(order[a:b] for a, b in pairwise(marks))


def _best(task: DayTask) -> Division | None:
    trial = task.trial
    all_that_fit = (trial.division(days, ()) for days in _divisions(task) if trial.fits(days))
    return min(all_that_fit, key=lambda one: one.lost, default=None)


@cache
def _best_of(seed: int) -> Division | None:
    return _best(_task(_made_up(seed)))


def _some_day(random: Random, ends: str, *shots: str) -> ShootDay:
    return day(
        MONDAY,
        *shots,
        ends=random.choice((ends, "17:00")),
        breaks=(Break(at="10:30", minutes=30),) if random.random() < 0.5 else (),
        noise=(Noise(starts="09:00", ends="10:00"),) if random.random() < 0.5 else (),
        light_from="09:30" if random.random() < 0.3 else None,
    )


def _made_up(seed: int) -> Episode:
    """Four steps, some resting, some off camera, some begun; five shots; two days, one going on."""
    random = Random(seed)
    steps = []
    for n in range(4):
        after = [f"s{random.randrange(n)}"] if n and random.random() < 0.8 else []
        rests = random.choice((0, 0, 1, 9, 14))
        steps.append(step(f"s{n}", random.choice((10, 40, 60)), *after, rest_hours=rests))
    shots = [
        shot(
            f"x{n}",
            random.choice(("s0", "s0", "s1", "s2", "s3", "")),
            random.choice((TABLE, MACHINE, YARD)),
            look=random.choice(("", "apron", "best")),
            quiet=random.random() < 0.3,
            light=random.choice(("daylight", "lamps")),
        )
        for n in range(5)
    ]
    days = [
        _some_day(random, "11:30"),
        changed(_some_day(random, "12:30"), day=TUESDAY),
    ]
    changes = (FAR,) if random.random() < 0.5 else ()
    begun = random.choice(("", "before", "goes on"))
    if begun == "before":
        days.insert(0, day(BEFORE, "x0"))
    elif begun == "goes on":
        days[0] = changed(days[0], shots=("x0",), goes_on_at="09:40")
    if random.random() < 0.3:
        days[-1] = changed(days[-1], beforehand=(f"s{random.randrange(4)}",))
    one = episode(steps, shots, *days, looks=LOOKS, place_changes=changes)
    return filmed(one, "x0", on=days[0].day) if begun else one


@pytest.mark.parametrize("seed", range(40))
def test_no_division_that_fits_takes_less_than_the_bound(seed: int) -> None:
    best = _best_of(seed)
    if best is not None:
        assert _bounds(_task(_made_up(seed))).least <= best.lost + 1e-6


def test_divisions_to_try_are_many_and_most_specimens_have_one_that_fits() -> None:
    found = [_best_of(seed) for seed in range(40)]
    assert sum(one is not None for one in found) >= 20


@pytest.mark.parametrize("seed", range(8))
def test_a_step_begun_and_resting_makes_no_night_between_what_is_left(seed: int) -> None:
    """Its other shots may be filmed while it rests, whether the first is filmed or not."""
    random = Random(seed)
    places = [random.choice((TABLE, MACHINE, YARD)) for _ in range(6)]
    steps = [step("a", 20, rest_hours=random.choice((9, 12, 14))), step("b", 20, "a")]
    names = (("a1", "a"), ("a2", "a"), ("b1", "b"), ("t1", ""), ("t2", ""))
    shots = [shot(name, of, place) for (name, of), place in zip(names, places, strict=False)]
    one = episode(steps, shots, day(MONDAY, "a1"), day(TUESDAY), day(WEDNESDAY))
    for each in (one, filmed(one, "a1", on=MONDAY)):
        task = _task(each)
        best = _best(task)
        assert best is not None
        assert _bounds(task).least <= best.lost + 1e-6


def test_what_waits_over_night_waits_for_the_last_shot_of_the_step() -> None:
    """Its work goes on from each shot: it rests from the last on."""
    steps = [step("a", 20, rest_hours=12), step("b", 20, "a")]
    shots = (shot("a1", "a", MACHINE), shot("a2", "a"), shot("b1", "b"))
    one = episode(steps, shots, day(MONDAY), day(TUESDAY))
    task = _task(one)
    assert not task.trial.fits((("a1",), ("a2", "b1")))
    together = task.trial.division((("a1", "a2"), ("b1",)), ())
    assert task.trial.fits(together.days)
    assert _bounds(task).least <= together.lost + 1e-6
    planned = planned_days(evaluate(one), seconds=1)
    assert [each.shots for each in planned.days] == [("a1", "a2"), ("b1",)]


def test_make_up_beside_a_camera_that_stands_costs_no_more_than_it_does() -> None:
    """Another look from the standing place takes only the change: no more is to be proven."""
    shots = (
        shot("done", place=YARD, look="apron"),
        shot("best", place=YARD, look="best"),
        shot("last", place=TABLE),
    )
    one = episode((), shots, day(MONDAY, "done", goes_on_at="10:00"), looks=LOOKS)
    task = _task(filmed(one, "done", on=MONDAY))
    best = _best(task)
    assert best is not None
    assert _bounds(task).least <= best.lost + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_what_is_told_as_best_is_best(seed: int) -> None:
    one = _made_up(100 + seed)
    planned = planned_days(evaluate(one), seconds=0.5)
    best = _best(_task(one))
    if best is not None and not planned.faults:
        assert planned.bound <= best.lost + 1e-6
        if planned.is_proven:
            assert planned.minutes + planned.idle <= best.lost + 0.06
