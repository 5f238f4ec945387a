"""Moving, taking out and splitting steps: what waits on what is kept, or it is said why not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.build.steps import in_order, order_problem
from webapp.draft.construction import Step
from webapp.draft.recipe import Recipe
from webapp.errors import NotThereError, StepOrderError
from webapp.plan.edits import changed, with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.off_camera import (
    LEAST_MINUTES,
    hand_work_off_camera,
    with_rest_done_off_camera,
)
from webapp.plan.plan_json import plan_json
from webapp.plan.step_edits import (
    next_place,
    refused_move,
    step_of,
    steps_of,
    with_new_step,
    with_step_at,
    without_step,
)
from webapp.plan.thread_use import thread_use


def step(step_id: str, *after: str) -> Step:
    return Step(id=step_id, name=step_id.capitalize(), after=after)


def garment(name: str, *steps: Step) -> Recipe:
    return Recipe(id=name.lower(), name=name, steps=steps)


@pytest.fixture(scope="module")
def two() -> Episode:
    """A smock of five steps, whose hem waits, and a cowl of two."""
    smock = garment(
        "Smock",
        step("cut"),
        step("neck", "cut"),
        step("binding", "cut"),
        step("bind", "neck", "binding"),
        step("hem", "cut"),
    )
    cowl = garment("Cowl", step("cowl-cut"), step("cowl-sew", "cowl-cut"))
    return Episode(id="two", title="Two", garments=(smock, cowl))


def ids(episode: Episode) -> str:
    return " ".join(one.id for one in in_order(steps_of(episode)))


# --- Places ----------------------------------------------------------------------------------


def test_a_step_goes_to_the_place_it_is_put(two: Episode) -> None:
    assert ids(with_step_at(two, "hem", 2)) == "cut hem neck binding bind cowl-cut cowl-sew"
    assert ids(with_step_at(two, "neck", 3)) == "cut binding neck bind hem cowl-cut cowl-sew"
    assert refused_move(two, "hem", 2) is None


def test_an_order_that_breaks_a_wait_is_refused_with_the_reason(two: Episode) -> None:
    with pytest.raises(StepOrderError) as refusal:
        with_step_at(two, "bind", 2)
    assert refusal.value.sentence == "“Bind” stands before “Neck”, which it waits on."
    refused = refused_move(two, "bind", 2)
    assert refused is not None
    assert refused.sentence == refusal.value.sentence
    assert refused.nearest is None  # it stands right behind what it waits on
    assert refused.carried == ()  # so there is nothing to take along either


def test_a_refused_move_says_how_far_it_can_go_and_what_could_come_along(two: Episode) -> None:
    late = with_step_at(two, "bind", 5)  # cut neck binding hem bind
    refused = refused_move(late, "bind", 1)
    assert refused is not None
    assert refused.sentence == "“Bind” stands before “Neck”, which it waits on."
    assert (refused.nearest, refused.side, refused.beside) == (4, "after", "Binding")
    refused = refused_move(two, "cut", 3)
    assert refused is not None
    assert refused.nearest is None
    refused = refused_move(two, "neck", 5)
    assert refused is not None
    assert refused.sentence == "“Bind” stands before “Neck”, which it waits on."
    assert (refused.nearest, refused.side, refused.beside) == (3, "before", "Bind")
    assert refused.carried == ("Bind",)
    along = with_step_at(two, "neck", 5, along=True)
    assert ids(along) == "cut binding hem neck bind cowl-cut cowl-sew"
    assert refused.with_them == 4


def test_what_it_waits_on_can_be_taken_along(two: Episode) -> None:
    late = with_step_at(two, "hem", 2)  # cut hem neck binding bind
    refused = refused_move(late, "bind", 2)
    assert refused is not None
    assert refused.carried == ("Neck", "Binding")
    along = with_step_at(late, "bind", 2, along=True)
    assert ids(along) == "cut neck binding bind hem cowl-cut cowl-sew"
    assert refused.with_them == 4


def test_the_steps_of_a_garment_stay_together(two: Episode) -> None:
    refused = refused_move(two, "cowl-cut", 2)
    assert refused is not None
    assert refused.sentence == "“Cowl-cut” is a step of “Cowl”, whose steps stay together."
    assert refused.nearest is None
    refused = refused_move(two, "hem", 7)
    assert refused is not None
    assert "“Smock”, whose steps stay together" in refused.sentence


def test_earlier_and_later_go_past_steps_of_the_same_garment(two: Episode) -> None:
    assert next_place(two, "hem", "earlier") == 4
    assert next_place(two, "hem", "later") == 5  # the last of its garment stays
    assert next_place(two, "cowl-cut", "earlier") == 6
    assert next_place(two, "cut", "earlier") == 1


def test_a_step_that_is_gone_is_told(two: Episode) -> None:
    for move in (with_step_at, refused_move):
        with pytest.raises(NotThereError):
            move(two, "nothing", 1)


def test_a_circle_is_told_when_a_step_is_moved() -> None:
    circle = garment("Smock", step("one", "two"), step("two", "one"), step("three"))
    episode = Episode(id="c", title="C", garments=(circle,))
    refused = refused_move(episode, "three", 1)
    assert refused is not None
    assert refused.sentence == "“One” waits on “Two”, which waits on “One”."
    assert refused.nearest is None


@given(which=st.integers(0, 199), at=st.integers(0, 199))
def test_any_move_is_made_or_refused_and_what_is_offered_can_be_done(
    smock: Episode, which: int, at: int
) -> None:
    order = in_order(steps_of(smock))
    own, place = order[which % len(order)], at % len(order) + 1
    refused = refused_move(smock, own.id, place)
    if refused is None:
        moved = in_order(steps_of(with_step_at(smock, own.id, place)))
        assert moved[place - 1].id == own.id
        return
    assert refused.sentence
    if refused.nearest is not None:
        moved = in_order(steps_of(with_step_at(smock, own.id, refused.nearest)))
        near = refused.nearest - 1
        assert moved[near].id == own.id
        beside = moved[near - 1] if refused.side == "after" else moved[near + 1]
        assert beside.name == refused.beside
    along = with_step_at(smock, own.id, place, along=True)
    assert order_problem(in_order(steps_of(along))) is None
    assert sorted(steps_of(along), key=lambda s: s.id) == sorted(order, key=lambda s: s.id)


# --- Coming and going ------------------------------------------------------------------------


def test_a_new_step_has_an_id_of_its_own(two: Episode) -> None:
    again = with_new_step(two, "cowl", "Hem")
    assert [one.id for one in again.garments[1].steps] == ["cowl-cut", "cowl-sew", "hem-2"]


def test_what_waited_on_a_step_taken_out_waits_on_what_that_waited_on(two: Episode) -> None:
    without = without_step(two, "neck")
    assert step_of(without, "bind").after == ("binding", "cut")
    with pytest.raises(NotThereError):
        step_of(without, "neck")


# --- Long hand work --------------------------------------------------------------------------


def test_long_hand_work_is_offered_to_be_done_off_camera(smock: Episode) -> None:
    plan = evaluate(smock)
    offered = hand_work_off_camera(plan)
    assert "bind-neck" in {one.row.step.id for one in offered}
    for one in offered:
        assert not one.row.step.one_way
        assert one.row.shots
        assert one.rest.likely >= LEAST_MINUTES
        assert one.row.unseen.likely >= LEAST_MINUTES
    binding = next(one for one in offered if one.row.step.id == "bind-neck")
    assert [work.kind for work in binding.works] == ["hand"]  # after the last of the machine


def test_hand_work_that_is_seen_to_its_end_is_not_offered(smock: Episode) -> None:
    """Half an hour of it on screen, in real time: there is nothing left to do off camera."""
    seen = changed(
        smock,
        shots=tuple(
            changed(shot, pace="real time", screen_seconds=1800)
            if shot.step == "bind-neck"
            else shot
            for shot in smock.shots
        ),
    )
    offered = hand_work_off_camera(evaluate(seen))
    assert "bind-neck" not in {one.row.step.id for one in offered}


def test_the_rest_of_long_hand_work_becomes_a_step_off_camera(smock: Episode) -> None:
    plan = evaluate(smock)
    offer = next(o for o in hand_work_off_camera(plan) if o.row.step.id == "bind-neck")
    split = with_rest_done_off_camera(plan, "bind-neck")
    rest = step_of(split, "bind-neck-rest")
    assert rest.off_camera
    assert rest.name == "Bind the neck, the rest"
    assert rest.after == ("bind-neck",)
    assert not any("bind-neck" in one.after for one in steps_of(split) if one != rest)
    waited = {one.id for one in steps_of(smock) if "bind-neck" in one.after}
    assert waited == {one.id for one in steps_of(split) if rest.id in one.after}
    after = evaluate(split)
    rows = {row.step.id: row for row in after.steps}
    assert rows[rest.id].work == offer.rest
    # The length is divided, so the stitches are; only taking it up again is added.
    whole, begun = offer.row.work.likely, rows["bind-neck"].work.likely
    taken_up = plan.rates["hand: handling"].likely
    assert begun < whole
    assert whole < begun + offer.rest.likely <= whole + 2 * taken_up + 0.1
    assert "bind-neck" not in {one.row.step.id for one in hand_work_off_camera(after)}


@pytest.mark.parametrize(("step", "shown"), [("chalk", "line"), ("last-press", "seam")])
def test_of_lines_and_seams_the_first_is_shown_and_no_minute_comes_or_goes(
    smock: Episode, step: str, shown: str
) -> None:
    """One whole line or seam is done: the rest needs nothing to be taken up again."""
    plan = evaluate(smock)
    offer = next(o for o in hand_work_off_camera(plan) if o.row.step.id == step)
    assert [one.one for one in offer.shown] == [shown]
    after = evaluate(with_rest_done_off_camera(plan, step))
    begun, rest = ({row.step.id: row for row in after.steps}[id_] for id_ in (step, f"{step}-rest"))
    assert rest.work == offer.rest
    assert begun.work.likely + rest.work.likely == pytest.approx(offer.row.work.likely, abs=0.2)
    by_rates = [sum(part.table.mean for part in row.parts) for row in (begun, rest, offer.row)]
    assert by_rates[0] + by_rates[1] == pytest.approx(by_rates[2])


def test_the_thread_of_a_divided_step_is_that_of_the_whole_and_two_more_ends(
    smock: Episode,
) -> None:
    plan = evaluate(smock)
    split = evaluate(with_rest_done_off_camera(plan, "bind-neck"))

    def by_hand(rows: tuple[object, ...]) -> float:
        return sum(row.length_mm for row in rows if row.kind == "hand")  # type: ignore[attr-defined]

    assert by_hand(thread_use(split).rows) == pytest.approx(by_hand(thread_use(plan).rows))


def test_the_rest_follows_the_draft(smock: Episode) -> None:
    """Its minutes are computed from the length that is left, not typed."""
    split = with_rest_done_off_camera(evaluate(smock), "bind-neck")
    wider = with_choice(split, split.garments[0].id, "neck half width", "15 cm")
    before, after = (
        {row.step.id: row.work.likely for row in evaluate(one).steps} for one in (split, wider)
    )
    assert after["bind-neck-rest"] > before["bind-neck-rest"]


def test_taking_the_rest_out_makes_the_step_whole_again(smock: Episode) -> None:
    split = with_rest_done_off_camera(evaluate(smock), "bind-neck")
    again = without_step(split, "bind-neck-rest")
    assert steps_of(again) == steps_of(smock)


def test_what_is_not_offered_cannot_be_asked(smock: Episode) -> None:
    plan = evaluate(smock)
    for name in ("cut-pieces", "wash", "nothing"):
        with pytest.raises(NotThereError):
            with_rest_done_off_camera(plan, name)


# --- plan.json -------------------------------------------------------------------------------


def test_the_machine_reads_the_longest_chain_and_the_waits(smock: Episode) -> None:
    """A day's rest before the hem, and nothing else that rests."""
    garments = tuple(
        changed(
            garment,
            steps=tuple(
                changed(one, rest_hours=24 if one.id == "hang" else 0) for one in garment.steps
            ),
        )
        for garment in smock.garments
    )
    plan = evaluate(changed(smock, garments=garments))
    told = plan_json(plan)["build"]
    assert {"hang", "hem"} < set(told["longest_chain"])
    assert told["longest_chain_rest"] == 24 * 60
    work = {row.step.id: row.work.likely for row in plan.steps}
    chain = sum(work[one] for one in told["longest_chain"])
    assert told["longest_chain_work"] == pytest.approx(chain)
    assert told["idle"] == [{"before": "hem", "rests": "hang", "minutes": pytest.approx(24 * 60)}]
    assert {one for one, spare in told["spare"].items() if spare < 1e-6} >= set(
        told["longest_chain"]
    )
