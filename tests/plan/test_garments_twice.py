"""The same garment twice, and a recipe of one's own: each copy stands and reads by itself."""

import pytest

from webapp.draft.recipe import Notion, Recipe
from webapp.plan.edits import changed, with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.starters import as_recipe, episode_from, with_garment_added, without_garment
from webapp.store.starters import starters

each_starter = pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)

GIRTHS = {"bust": "96 cm", "hip": "100 cm", "waist": "76 cm", "head": "57 cm", "upper arm": "30 cm"}


def _twice(starter: Recipe) -> Plan:
    one = episode_from(starter, "Twice", "twice")
    body = changed(
        one.body, measures={name: GIRTHS.get(name, "60 cm") for name in starter.measures}
    )
    return evaluate(with_garment_added(changed(one, body=body), starter))


@each_starter
def test_the_same_starter_twice_drafts_the_same_garment_twice(starter: Recipe) -> None:
    plan = _twice(starter)
    one, other = plan.drafts
    assert not one.problems and not other.problems
    assert [p.outline for p in one.pieces] == [p.outline for p in other.pieces]
    assert {p.name for p in one.pieces}.isdisjoint(p.name for p in other.pieces)
    assert [s.one_mm for s in one.seams] == [s.one_mm for s in other.seams]
    assert [c.garment_mm for c in one.checks] == [c.garment_mm for c in other.checks]
    assert list(one.finished_mm.values()) == list(other.finished_mm.values())


@each_starter
def test_the_same_starter_twice_takes_the_same_work_twice_in_the_same_words(
    starter: Recipe,
) -> None:
    plan = _twice(starter)
    steps = {step.step.id: step for step in plan.steps}
    for one, other in zip(*(garment.steps for garment in plan.episode.garments), strict=True):
        assert steps[one.id].work == steps[other.id].work
        assert steps[one.id].words == steps[other.id].words
        assert not steps[other.id].words.missing
    shown = [shot.step for shot in plan.episode.shots if shot.kind == "step"]
    assert sorted(shown) == sorted(step.step.id for step in plan.steps if not step.step.off_camera)


def test_the_second_of_two_garments_means_its_own_figures_seams_and_steps() -> None:
    """The two do not hang together: a longer second cowl leaves the first as it was."""
    before = _twice(next(one for one in starters() if one.id == "tube-cowl"))
    after = evaluate(with_choice(before.episode, "tube-cowl-2", "cowl ease", "60 cm"))
    longer = {"cowl-long-seam-2", "cowl-turn-2"}
    changed_steps = {
        new.step.id
        for old, new in zip(before.steps, after.steps, strict=True)
        if old.work != new.work
    }
    assert longer <= changed_steps
    assert all(step.endswith("-2") for step in changed_steps)
    words = {step.step.id: step.words.plain for step in after.steps}
    assert words["cowl-wear"] != words["cowl-wear-2"]


def test_what_is_as_long_as_a_piece_is_wanted_twice_and_goes_with_its_garment() -> None:
    smock = next(one for one in starters() if one.id == "drop-shoulder-smock")
    twice = _twice(smock).episode
    added = twice.notions[len(smock.notions) :]
    assert [(notion.name, notion.amount.partition(" long")[0]) for notion in added] == [
        ("Bias strip for the neck 2", "{Neck binding B.length}")
    ]
    assert without_garment(twice, "drop-shoulder-smock-2").notions == smock.notions
    left = without_garment(twice, "drop-shoulder-smock")
    assert "{Sleeve B.right seam}" in left.notions[0].why
    assert [notion.name for notion in left.notions].count("Bias strip for the neck 2") == 1
    assert not any(notion.why.missing for notion in evaluate(left).notions)


# --- A recipe of one's own -------------------------------------------------------------------


def test_a_garment_kept_and_added_again_drafts_and_reads_the_same(smock: Episode) -> None:
    for garment in smock.garments:
        again = with_garment_added(smock, as_recipe(smock, garment.id, "Again"))
        plan = evaluate(again)
        (old,) = (draft for draft in plan.drafts if draft.recipe.id == garment.id)
        new = plan.drafts[-1]
        assert [p.outline for p in new.pieces] == [p.outline for p in old.pieces]
        assert new.recipe.name == "Again"
        texts = {step.step.id: step.words for step in plan.steps}
        for one, other in zip(old.recipe.steps, new.recipe.steps, strict=True):
            assert texts[one.id] == texts[other.id]


def test_a_kept_recipe_takes_what_to_have_at_hand_as_it_stands_now() -> None:
    smock, cowl = (
        next(one for one in starters() if one.id == name)
        for name in ("drop-shoulder-smock", "tube-cowl")
    )
    both = with_garment_added(episode_from(smock, "Both", "both"), cowl)
    extra = Notion(name="Tailor's ham", amount="One")
    edited = tuple(
        changed(notion, amount="Three reels") if notion.name == "Sewing thread" else notion
        for notion in both.notions
        if notion.name != "Pins"
    )
    kept = as_recipe(changed(both, notions=(*edited, extra, extra)), "tube-cowl", "Red cowl")
    names = [notion.name for notion in kept.notions]
    assert next(n for n in kept.notions if n.name == "Sewing thread").amount == "Three reels"
    assert "Pins" not in names
    assert "Bias strip for the neck" not in names  # only the smock brought it
    assert names.count("Tailor's ham") == 1


def test_a_kept_recipe_comes_after_none_of_another_garments_steps() -> None:
    cowl = next(one for one in starters() if one.id == "tube-cowl")
    both = with_garment_added(episode_from(cowl, "Two", "two"), cowl)
    last = changed(both.garments[1].steps[0], after=("cowl-wear",))
    second = changed(both.garments[1], steps=(last, *both.garments[1].steps[1:]))
    kept = as_recipe(changed(both, garments=(both.garments[0], second)), "tube-cowl-2", "Second")
    assert [step.after for step in kept.steps[:2]] == [(), ("cowl-cut-2",)]
