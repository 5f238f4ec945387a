"""What is worked out for something to time."""

import pytest

from tests.plan.day_specimens import MONDAY, day, shot, step
from webapp.draft.recipe import Recipe
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.to_time import to_time


def test_two_steps_of_one_name_are_each_worked_out_on_their_day() -> None:
    """The apron's hem takes 100 minutes, the bag's 10: 110 of work, whatever they are called."""
    hems = [
        step(name, minutes).model_copy(update={"name": "Hem"})
        for name, minutes in (("hem", 100), ("hem2", 10))
    ]
    apron, bag = (Recipe(id=one.id, name="G", steps=(one,)) for one in hems)
    plan = evaluate(
        Episode(
            id="e", title="E", garments=(apron, bag),
            shots=(shot("a", "hem"), shot("b", "hem2")), shoot_days=(day(MONDAY, "a", "b"),),
        )
    )  # fmt: skip
    what = to_time(plan, "shoot day", MONDAY.isoformat())
    filming = sum(one.filming.likely for one in plan.days[0].shots)
    assert what.table.likely == pytest.approx(110 + filming, abs=2)
