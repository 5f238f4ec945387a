"""The members' extra keeps its own figures and its own running time."""

import pytest

from webapp.draft.construction import Step
from webapp.draft.recipe import Choice, Recipe
from webapp.filming.shots import Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json


def garment(name: str, depth: str, *more: Choice) -> Recipe:
    """A garment with a choice that both have, and a step that quotes it."""
    return Recipe(
        id=name,
        name=name.title(),
        choices=(Choice(name="hem depth", value=depth), *more),
        steps=(Step(id=f"{name}-hem", name="Hem", words="Turn up {hem depth}; then {loop}."),),
    )


LOOP = Choice(name="loop", value="60 cm")
SHOTS = (
    Shot(id="hello", kind="talking", title="Hello", narration="{hem depth}", screen_seconds=20),
    Shot(id="a", step="smock-hem", title="Smock", narration="{hem depth}", screen_seconds=20),
    Shot(id="b", step="cowl-hem", title="Cowl", narration="{hem depth}", card="{hem depth}",
         screen_seconds=30),
)  # fmt: skip
EPISODE = Episode(
    id="e",
    title="E",
    garments=(garment("smock", "10 cm"), garment("cowl", "20 cm", LOOP)),
    shots=SHOTS,
)


def test_a_step_quotes_its_own_garment_first_and_then_the_others() -> None:
    smock, cowl = (step.words.plain for step in evaluate(EPISODE).steps)
    assert smock == "Turn up 10 cm (3 15/16 in); then 60 cm (23 5/8 in)."
    assert cowl == "Turn up 20 cm (7 7/8 in); then 60 cm (23 5/8 in)."


def test_a_shot_quotes_the_garment_of_its_step_first_and_else_the_first_garment() -> None:
    said = [shot.narration.plain for shot in evaluate(EPISODE).shots]
    assert said == ["10 cm (3 15/16 in)", "10 cm (3 15/16 in)", "20 cm (7 7/8 in)"]
    assert evaluate(EPISODE).shots[2].card.plain == "20 cm (7 7/8 in)"


def test_a_figure_the_garment_lacks_for_now_is_not_taken_from_another() -> None:
    waiting = changed(EPISODE.garments[1], choices=(Choice(name="hem depth", value="bust / 9"),))
    waiting = changed(waiting, measures=("bust",))
    plan = evaluate(changed(EPISODE, garments=(EPISODE.garments[0], waiting)))
    assert "{hem depth}" in plan.steps[1].words.plain
    assert not [t for t in plan.loose_threads if "quotes {hem depth}" in t.sentence]


def test_the_video_runs_without_the_shots_of_the_extras_steps() -> None:
    plan = evaluate(EPISODE)
    assert (plan.running_time_s, plan.extra_running_time_s) == (40, 30)
    document = plan_json(plan)
    assert (document["running_time_s"], document["extra_running_time_s"]) == (40, 30)


@pytest.mark.parametrize(("target", "over"), [(40, False), (39, True)])
def test_the_target_is_the_videos_alone(target: int, over: bool) -> None:
    brief = changed(EPISODE.brief, target_seconds=target)
    threads = evaluate(changed(EPISODE, brief=brief)).loose_threads
    assert any("over its target" in thread.sentence for thread in threads) == over


def test_the_demos_extra_is_the_cowl(smock: Episode) -> None:
    plan = evaluate(smock)
    cowl = {step.id for step in smock.garments[1].steps}
    seconds = [shot.screen_seconds for shot in plan.shots if shot.shot.step in cowl]
    assert len(seconds) >= 7
    assert plan.extra_running_time_s == pytest.approx(sum(seconds))
