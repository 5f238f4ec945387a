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
from webapp.filming.shoot_days import Noise
from webapp.plan.day_moves import (
    out_of_order,
    refusal,
    told_cost,
    told_out_of_order,
    with_shot_at,
    wrong_way_round,
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
    assert refusal(PLAN, with_shot_at(PLAN.episode, name, on, place), name) == said  # type: ignore[arg-type]


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
    assert refusal(plan, with_shot_at(plan.episode, "hello", MONDAY, 1), "hello") == ""
    assert refusal(plan, with_shot_at(plan.episode, "sewing", MONDAY, 2), "sewing") == ""


def test_what_stands_the_wrong_way_round_is_told_once_a_day() -> None:
    """Five shots before six each of them waits on are 30 pairs, but five shots to be moved."""
    late, early = [f"cut-{n}" for n in range(6)], [f"sew-{n}" for n in range(5)]
    steps = (*(step(one, 20) for one in late), *(step(one, 30, *late) for one in early))
    shots = [shot(one.id, one.id) for one in steps]
    plan = evaluate(episode(steps, shots, day(MONDAY, *early), day(TUESDAY, *late)))
    assert len(out_of_order(plan)) == 30
    (wrong,) = wrong_way_round(plan)
    assert (wrong.day, wrong.must) == (MONDAY, True)
    assert wrong.few[0] == ("Shot 7, “sew-0”, stands before shot 1, “cut-0”, which it waits on.")
    assert (len(wrong.few), len(wrong.more)) == (3, 2)
    assert wrong.told_all == "5 shots stand the wrong way round"
    assert wrong.told_more == "2 more stand the wrong way round"


def test_what_must_be_mended_is_told_before_what_is_worth_a_look() -> None:
    wrong = changed(EPISODE, shoot_days=(day(MONDAY, "close", "sewing", "cutting"),))
    (found,) = wrong_way_round(evaluate(wrong))
    assert [second for _, second in found.pairs] == ["close"]
    wrong = changed(EPISODE, shoot_days=(day(MONDAY, "worn", "close", "cutting", "sewing"),))
    (found,) = wrong_way_round(evaluate(wrong))
    assert [second for _, second in found.pairs] == ["worn", "close"]
    late = changed(EPISODE, shoot_days=(day(MONDAY, "sewing"), day(TUESDAY, "close", "cutting")))
    assert [one.must for one in wrong_way_round(evaluate(late))] == [True, False]


def test_what_is_filmed_waits_on_nothing_more() -> None:
    plan = evaluate(filmed(EPISODE, "cutting", "close", on=MONDAY))
    assert refusal(plan, with_shot_at(plan.episode, "sewing", MONDAY, 1), "sewing") == ""


def test_a_place_counts_the_shots_that_are_shown() -> None:
    gone = changed(EPISODE, shoot_days=(day(MONDAY, "gone", "cutting", "close", "sewing"),))
    plan = evaluate(gone)
    assert _shots(with_shot_at(plan.episode, "hello", MONDAY, 1)) == [
        ("gone", "hello", "cutting", "close", "sewing")
    ]
    assert _shots(with_shot_at(plan.episode, "cutting", MONDAY, 2)) == [
        ("gone", "close", "cutting", "sewing")
    ]
    assert _shots(with_shot_at(plan.episode, "hello", MONDAY, 9999))[0][-1] == "hello"


def test_what_is_no_more_cannot_be_moved() -> None:
    with pytest.raises(NotThereError, match="That shot is not there any more"):
        with_shot_at(PLAN.episode, "nobody", MONDAY, 1)


def test_a_move_tells_what_it_costs() -> None:
    """Between two shots over the table the camera goes to the machine and back."""
    three = episode(
        (),
        (shot("a", place=TABLE), shot("b", place=TABLE), shot("c", place=MACHINE)),
        day(MONDAY, "a", "b", "c"),
    )
    before = evaluate(three)
    after = evaluate(with_shot_at(before.episode, "c", MONDAY, 2))
    extra = after.days[0].changing - before.days[0].changing
    assert extra > 0.5
    assert told_cost(before, after) == (
        f"That costs {round(extra)} min more of changing over: 1 change of place more."
    )
    assert told_cost(after, before) == (
        f"That saves {round(extra)} min of changing over: 1 change of place fewer."
    )
    assert told_cost(before, before) == "That costs no time."


def test_a_move_tells_by_how_much_a_day_gets_late() -> None:
    three = episode((), (shot("a"), shot("b"), shot("c")), day(MONDAY, "a"), day(TUESDAY, "b", "c"))
    free = evaluate(with_shot_at(three, "b", MONDAY, 2)).days[0].ends.likely
    ends = f"{int(free - 20) // 60:02}:{int(free - 20) % 60:02}"
    tight = changed(three, shoot_days=(day(MONDAY, "a", ends=ends), three.shoot_days[1]))
    before = evaluate(tight)
    after = evaluate(with_shot_at(before.episode, "b", MONDAY, 2))
    over = round(after.days[0].over.likely)
    assert over in (20, 21)
    assert told_cost(before, after).endswith(
        f". 4 January 2027 now ends {over} min after its end at {ends}."
    )
    assert "after its end" not in told_cost(after, before)


def test_a_move_tells_what_it_puts_into_the_dark_or_near_it() -> None:
    two = episode((), (shot("a"), shot("b")), day(MONDAY, "a"), day(TUESDAY, "b"))
    after = evaluate(with_shot_at(two, "b", MONDAY, 2))
    dark = int(after.days[0].ends.likely)
    for off, told in (
        (-2, ". On 4 January 2027 1 more shot is filmed in the dark now."),
        (1, ". 4 January 2027 now ends in time and in its light 5 times in 10."),
    ):
        monday = day(MONDAY, "a", dark_from=f"{(dark + off) // 60:02}:{(dark + off) % 60:02}")
        before = evaluate(changed(two, shoot_days=(monday, two.shoot_days[1])))
        after = evaluate(with_shot_at(before.episode, "b", MONDAY, 2))
        assert told_cost(before, after).endswith(told)


def test_a_move_tells_that_it_makes_the_day_wait() -> None:
    noise = Noise(starts="09:00", ends="11:00")
    two = episode(
        (),
        (shot("a", screen_seconds=3600), shot("b", quiet=True)),
        day(MONDAY, "a", "b", noise=(noise,)),
    )
    before = evaluate(two)
    after = evaluate(with_shot_at(before.episode, "b", MONDAY, 1))
    idle = after.days[0].idle - before.days[0].idle
    assert idle > 60
    assert " more of changing over and waiting." in told_cost(before, after)
