"""The starters: fitting every size, with what they need, steps that are safe and can be timed."""

import re
from collections.abc import Mapping, Sequence

from tests.demo_documents import (
    BODIES,
    EPISODES,
    STARTERS,
    assert_fits,
    each_body,
    each_starter,
    steps_of,
)
from tests.plan.same_plan import episode_of
from tests.step_minutes import step_minutes
from webapp.draft.construction import Step
from webapp.draft.evaluate import evaluate
from webapp.draft.expressions import read
from webapp.draft.recipe import Body, Recipe
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate as evaluate_episode


@each_body
@each_starter
def test_a_starter_fits_every_standard_size(starter: Recipe, body: Body) -> None:
    assert_fits([evaluate(starter, body)])


@each_starter
def test_a_starter_lists_what_it_needs_besides_cloth(starter: Recipe) -> None:
    """Thread and needles always; a hand needle, elastic, bias strips where it has them."""
    names = {notion.name for notion in starter.notions}
    assert names >= {"Sewing thread", "Machine needles", "Pins", "Chalk"}
    by_hand = any(work.kind == "hand" for step in starter.steps for work in step.work)
    assert ("Hand needle" in names) == by_hand
    elastic = any("elastic" in choice.name for choice in starter.choices)
    assert ({"Woven elastic", "Safety pin"} <= names) == elastic
    bound = any(f.kind == "bound" for piece in starter.pieces for f in piece.finishes.values())
    assert any(name.startswith("Bias strip") for name in names) == bound


@each_starter
def test_how_much_thread_elastic_and_which_needle_is_worked_out(starter: Recipe) -> None:
    kinds = {"Sewing thread": "thread", "Machine needles": "needles", "Woven elastic": "elastic"}
    for notion in starter.notions:
        if notion.name in kinds:
            assert (notion.kind, notion.amount) == (kinds[notion.name], "")
    planned = evaluate_episode(episode_of(starter)).notions
    for one in planned:
        assert one.notion.name not in kinds or (one.buy and one.amount.plain == one.buy.amount)


def test_starters_call_what_they_share_by_one_name() -> None:
    """So that an episode with two garments does not list it twice."""
    names = [notion.name for starter in STARTERS.values() for notion in starter.notions]
    assert len({name.lower() for name in names}) == len(set(names))


def test_only_the_childs_hat_warns_of_small_parts() -> None:
    """The others are for adults; the caution is for what small children can reach or wear."""
    warned = {s.id for s in STARTERS.values() if _warns(s.steps)}
    assert warned == {"ear-flap-hat"}
    assert not any(_warns(steps_of(episode)) for episode in EPISODES.values())


def _warns(steps: Sequence[Step]) -> bool:
    return any("small parts" in step.cautions for step in steps)


@each_starter
def test_a_starters_choices_lie_in_their_ranges(starter: Recipe) -> None:
    names = evaluate(starter, BODIES["M"]).names
    for choice in starter.choices:
        least, value, most = (
            read(text).quantity(names).value for text in (choice.least, choice.value, choice.most)
        )
        assert least <= value <= most, choice.name
        assert choice.reason


def circle(waits: Mapping[str, Sequence[str]]) -> list[str]:
    """Steps that wait on each other in a circle, found by walking depth first; else none."""
    cleared: set[str] = set()

    def walk(step: str, path: list[str]) -> list[str]:
        if step in path:
            return path[path.index(step) :]
        if step not in cleared:
            for before in waits.get(step, ()):
                if found := walk(before, [*path, step]):
                    return found
            cleared.add(step)
        return []

    return next((found for step in waits if (found := walk(step, []))), [])


@each_starter
def test_steps_wait_on_steps_that_exist_and_never_in_a_circle(starter: Recipe) -> None:
    waits = {step.id: step.after for step in starter.steps}
    assert {before for after in waits.values() for before in after} <= set(waits)
    assert circle(waits) == []


def test_a_circle_would_be_found() -> None:
    """The walk above sees a circle, at the start or further in, and lets two ways meet."""
    assert circle({"hem": ["hang"], "hang": ["hem"]}) == ["hem", "hang"]
    assert circle({"press": ["hem"], "hem": ["hang"], "hang": ["hem"]}) == ["hem", "hang"]
    assert circle({"press": ["hem", "cuffs"], "hem": ["cut"], "cuffs": ["cut"], "cut": []}) == []


@each_starter
def test_a_step_that_cannot_be_taken_back_has_a_spare_and_blades_a_caution(
    starter: Recipe,
) -> None:
    cutting = [s for s in starter.steps if any(work.kind == "cut" for work in s.work)]
    assert cutting
    for step in cutting:
        assert step.one_way
        assert "blades" in step.cautions
    assert [step.id for step in starter.steps if step.one_way and not step.spare] == []


@each_starter
def test_cautions_name_the_iron_and_the_needle(starter: Recipe) -> None:
    """Pressing warns of the iron; pinning, machine and hand sewing of needles."""
    warned = {"press": "iron", "pin": "needles", "machine": "needles", "hand": "needles"}
    for step in starter.steps:
        needed = {warned[work.kind] for work in step.work if work.kind in warned}
        assert needed <= set(step.cautions), step.id


@each_starter
def test_the_time_of_every_step_can_be_computed(starter: Recipe) -> None:
    """Its pieces, seams and edges are drafted: `step_minutes` refuses any that are not."""
    draft = evaluate(starter, BODIES["M"])
    assert all(step_minutes(step, [draft]).likely > 0 for step in starter.steps)


@each_starter
def test_steps_are_told_in_two_to_four_sentences(starter: Recipe) -> None:
    for step in starter.steps:
        assert 2 <= len(re.findall(r"[.!?](?=\s|$)", step.words)) <= 4, step.id


def test_all_starters_fit_in_one_episode() -> None:
    """No two of them share a piece's name or a step's id: `Episode` refuses twins."""
    episode = Episode(id="all", title="All", garments=tuple(STARTERS.values()))
    assert len(episode.garments) == len(STARTERS) >= 11
