"""The demo's episodes: whole, fitting their body and every size, filmed in an order that works."""

from tests.demo_documents import (
    BRIEF,
    EPISODES,
    SKIRT,
    SMOCK,
    assert_fits,
    drafted,
    each_episode,
    steps_of,
)
from webapp.plan.day_parts import parts_of
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate as evaluate_plan


def test_the_series_is_there() -> None:
    """Two whole episodes and one that is only a brief."""
    assert list(EPISODES) == [SMOCK, SKIRT, BRIEF]
    assert [episode.number for episode in EPISODES.values()] == [3, 4, 5]
    assert EPISODES[BRIEF].brief.promise
    assert not EPISODES[BRIEF].garments
    assert not EPISODES[BRIEF].shots


@each_episode
def test_an_episode_survives_writing_and_reading(episode: Episode) -> None:
    assert Episode.model_validate_json(episode.model_dump_json()) == episode


@each_episode
def test_an_episode_fits_its_body_and_every_size(episode: Episode) -> None:
    for body in (episode.body, *episode.sizes):
        assert_fits(drafted(episode.garments, body))


def test_the_smock_episode_is_full() -> None:
    """At least 18 steps of the smock itself, and 40 shots."""
    assert len(EPISODES[SMOCK].garments[0].steps) >= 18
    assert len(EPISODES[SMOCK].shots) >= 40


@each_episode
def test_every_piece_has_its_cloth(episode: Episode) -> None:
    wanted = {piece.cloth for garment in episode.garments for piece in garment.pieces}
    assert wanted <= {cloth.name for cloth in episode.cloths}


@each_episode
def test_shots_show_steps_that_exist(episode: Episode) -> None:
    known = {step.id for step in steps_of(episode)}
    assert {shot.step for shot in episode.shots if shot.kind == "step"} <= known
    assert {shot.step for shot in episode.shots if shot.kind != "step"} <= {""}


@each_episode
def test_every_step_on_camera_has_a_shot(episode: Episode) -> None:
    filmed = [shot.step for shot in episode.shots]
    for step in steps_of(episode):
        if not step.off_camera:
            assert filmed.count(step.id) >= (2 if step.one_way else 1), step.id


@each_episode
def test_an_episode_holds_together_but_for_the_skirts_running_time(episode: Episode) -> None:
    """The skirt is the demo's one thing left to mend: 9:03 of video for a target of 8:30."""
    found = [(t.severity, t.page, t.sentence) for t in evaluate_plan(episode).loose_threads]
    over = ("should", "running-time", "The video runs 9:03, 0:33 over its target of 8:30.")
    assert found == ([over] if episode == EPISODES[SKIRT] else [])


@each_episode
def test_shots_come_in_an_order_that_can_be_filmed(episode: Episode) -> None:
    """No shot of a step stands before a shot of a step it must come after."""
    order = [shot.step for shot in episode.shots]
    last = {step: place for place, step in enumerate(order)}
    for step in steps_of(episode):
        if step.id in last:
            assert all(last.get(before, -1) < order.index(step.id) for before in step.after)


def test_the_linen_is_filmed_on_the_line_before_it_is_pressed_and_anything_is_chalked() -> None:
    """The cloth that dries on the first day is pressed after its shot; all that is drawn waits."""
    plan = evaluate_plan(EPISODES[SMOCK])
    line = next(shot for shot in plan.shots if shot.shot.title == "Linen drying on the line")
    (press,) = (step for step in plan.steps if step.step.name.startswith("Press the cloth"))
    (wash,) = (step for step in plan.steps if step.step.name == "Wash the cloth")
    assert line.shot.step == press.step.id
    assert press.step.after == (wash.step.id,)
    first = plan.days[0]
    assert [one.step.step.id for one in first.beforehand] == [wash.step.id]
    assert first.shots[0].plan == line
    assert first.shots[0].goes_on.likely > 0
    waits = parts_of(plan).waits
    drawn = [step for step in plan.steps if any(work.kind == "draw" for work in step.step.work)]
    assert len(drawn) > 2
    assert all(press.step.id in waits[step.step.id] for step in drawn)
