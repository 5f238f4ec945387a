"""Which shots come before which."""

from tests.plan.day_specimens import MACHINE, MONDAY, day, episode, shot, step
from webapp.draft.recipe import Recipe
from webapp.plan.day_parts import parts_of
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.shot_order import filmed_first, in_build_order, nights_between

STEPS = (
    step("wash", 10, off_camera=True),
    step("cut", 10, "wash"),
    step("press", 10, "cut", off_camera=True),
    step("sew", 10, "press"),
    step("bag", 10),
)


def _pairs(one: Episode) -> set[tuple[str, str]]:
    plan = evaluate(one)
    return filmed_first(parts_of(plan), plan.shots)


def test_shots_of_a_step_keep_their_order_and_follow_those_it_waits_on_even_off_camera() -> None:
    shots = (shot("cut-1", "cut"), shot("cut-2", "cut"), shot("sewn", "sew"), shot("bagged", "bag"))
    assert _pairs(episode(STEPS, shots)) == {("cut-1", "cut-2"), ("cut-2", "sewn")}


def test_a_cutaway_shows_the_garment_as_it_stands_in_the_list() -> None:
    shots = (
        shot("tools", kind="cutaway"),
        shot("cutting", "cut"),
        shot("pieces", kind="cutaway"),
        shot("sewn", "sew"),
        shot("seam", kind="cutaway"),
        shot("bagged", "bag"),
    )
    assert _pairs(episode(STEPS, shots)) == {
        ("cutting", "pieces"), ("pieces", "sewn"), ("cutting", "sewn"), ("sewn", "seam"),
    }  # fmt: skip  # the bag need not wait for the seam, nor the tools for anything


def test_styling_follows_the_garment_and_an_extra_that_is_listed_before_it() -> None:
    extra = Recipe(id="x", name="X", steps=(step("band", 5),))
    shots = (
        shot("look", kind="styling"),
        shot("cutting", "cut"),
        shot("banded", "band"),
        shot("both", kind="styling"),
        shot("hello"),
    )
    one = episode(STEPS, shots)
    pairs = _pairs(changed(one, garments=(*one.garments, extra)))
    assert pairs == {("cutting", "look"), ("cutting", "both"), ("banded", "both")}


def test_build_order_goes_by_steps_and_puts_off_what_is_too_early_as_little_as_can_be() -> None:
    shots = (
        shot("look", kind="styling"),
        shot("sewn", "sew"),
        shot("talk"),
        shot("cutting", "cut"),
        shot("after"),
    )
    plan = evaluate(episode(STEPS, shots))
    assert in_build_order(parts_of(plan), plan.shots) == (
        "cutting", "after", "sewn", "look", "talk",
    )  # fmt: skip


def test_a_night_lies_between_what_a_long_rest_keeps_apart() -> None:
    steps = (
        step("dye", 5, rest_hours=24, off_camera=True),
        step("sew", 5, "dye"),
        step("hang", 5, "sew", rest_hours=24, off_camera=True),
        step("hem", 5, "hang"),
        step("dry", 5, "hem", rest_hours=2),
        step("wear", 5, "dry"),
    )
    shots = (
        shot("sewn", "sew", MACHINE),
        shot("hemmed", "hem"),
        shot("dried", "dry"),
        shot("worn", "wear"),
        shot("look", kind="styling"),
        shot("hello"),
    )
    plan = evaluate(episode(steps, shots, day(MONDAY)))
    parts = parts_of(plan)
    before = filmed_first(parts, plan.shots)
    listed = in_build_order(parts, plan.shots)
    first, last = nights_between(parts, listed, before, 8 * 60)
    assert first == {"sewn": 0, "hemmed": 1, "dried": 1, "worn": 1, "look": 1, "hello": 0}
    assert last == {"sewn": 1, "hemmed": 0, "dried": 0, "worn": 0, "look": 0, "hello": 0}
