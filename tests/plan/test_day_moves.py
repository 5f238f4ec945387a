"""Moving shots by hand: what cannot stand there, what it costs."""

import pytest

from tests.plan.day_specimens import (
    MACHINE,
    MONDAY,
    TABLE,
    TUESDAY,
    day,
    episode,
    filmed,
    shot,
    step,
)
from webapp.errors import NotThereError
from webapp.plan.day_moves import (
    out_of_order,
    refusal,
    told_cost,
    told_out_of_order,
    with_shot_at,
)
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

EPISODE = episode(
    (step("cut", 20), step("sew", 30, "cut")),
    (
        shot("cutting", "cut"),
        shot("close", "cut"),
        shot("sewing", "sew", MACHINE),
        shot("hello"),
        shot("worn", kind="styling"),
    ),
    day(MONDAY, "cutting", "close", "sewing"),
    day(TUESDAY, "worn", "hello"),
)
PLAN = evaluate(EPISODE)


def _shots(one: Episode) -> list[tuple[str, ...]]:
    return [each.shots for each in one.shoot_days]


def test_days_in_order_have_nothing_the_wrong_way_round() -> None:
    assert out_of_order(PLAN) == ()


@pytest.mark.parametrize(
    ("name", "on", "place", "said"),
    [
        (
            "sewing",
            MONDAY,
            1,
            "Shot 3, “sewing”, would stand before shot 2, “close”, which it waits on. So it stays "
            "where it was.",
        ),
        (
            "close",
            MONDAY,
            1,
            "Shot 2, “close”, would stand before shot 1, “cutting”, which comes first. "
            "So it stays where it was.",
        ),
        (
            "worn",
            MONDAY,
            3,
            "Shot 5, “worn”, would stand before shot 3, “sewing”, and it wears the finished "
            "piece. So it stays where it was.",
        ),
        ("hello", MONDAY, 1, ""),
        ("sewing", TUESDAY, 1, ""),
    ],
)
def test_a_move_that_the_build_forbids_is_refused(
    name: str, on: object, place: int, said: str
) -> None:
    assert refusal(PLAN, with_shot_at(PLAN, name, on, place), name) == said  # type: ignore[arg-type]


def test_what_was_wrong_before_does_not_forbid_a_move() -> None:
    wrong = changed(
        EPISODE, shoot_days=(day(MONDAY, "sewing", "cutting", "close"), day(TUESDAY, "hello"))
    )
    plan = evaluate(wrong)
    pairs = out_of_order(plan)
    assert ("close", "sewing") in pairs
    assert told_out_of_order(plan, ("close", "sewing")) == (
        "Shot 3, “sewing”, stands before shot 2, “close”, which it waits on."
    )
    assert refusal(plan, with_shot_at(plan, "hello", MONDAY, 1), "hello") == ""
    assert refusal(plan, with_shot_at(plan, "sewing", MONDAY, 2), "sewing") == ""


def test_what_is_filmed_waits_on_nothing_more() -> None:
    plan = evaluate(filmed(EPISODE, "cutting", "close", on=MONDAY))
    assert refusal(plan, with_shot_at(plan, "sewing", MONDAY, 1), "sewing") == ""


def test_a_place_counts_the_shots_that_are_shown() -> None:
    gone = changed(EPISODE, shoot_days=(day(MONDAY, "gone", "cutting", "close", "sewing"),))
    plan = evaluate(gone)
    assert _shots(with_shot_at(plan, "hello", MONDAY, 1)) == [
        ("gone", "hello", "cutting", "close", "sewing")
    ]
    assert _shots(with_shot_at(plan, "cutting", MONDAY, 2)) == [
        ("gone", "close", "cutting", "sewing")
    ]
    assert _shots(with_shot_at(plan, "hello", MONDAY, 9999))[0][-1] == "hello"


def test_what_is_no_more_cannot_be_moved() -> None:
    with pytest.raises(NotThereError, match="That shot is not there any more"):
        with_shot_at(PLAN, "nobody", MONDAY, 1)


def test_a_move_tells_what_it_costs() -> None:
    """Between two shots over the table the camera goes to the machine and back."""
    three = episode(
        (),
        (shot("a", place=TABLE), shot("b", place=TABLE), shot("c", place=MACHINE)),
        day(MONDAY, "a", "b", "c"),
    )
    before = evaluate(three)
    after = evaluate(with_shot_at(before, "c", MONDAY, 2))
    extra = after.days[0].changing - before.days[0].changing
    assert extra > 0.5
    assert told_cost(before, after) == (
        f"That costs {round(extra)} min more of changing over: 1 change of place more."
    )
    assert told_cost(after, before) == (
        f"That saves {round(extra)} min of changing over: 1 change of place fewer."
    )
    assert told_cost(before, before) == "That costs no time."
