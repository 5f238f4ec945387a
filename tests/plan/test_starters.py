"""A starter brings its cloths, shots and notions, and asks for its measures and no more."""

import pytest

from tests.specimens import WREN
from webapp.draft.recipe import Notion, Recipe
from webapp.plan.day_parts import parts_of
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.shot_order import in_build_order
from webapp.plan.starters import episode_from, with_garment_added, without_garment
from webapp.plan.table_stops import stops_in_build_order
from webapp.store.starters import starters

each_starter = pytest.mark.parametrize("starter", starters(), ids=lambda starter: starter.id)


def _starter(recipe_id: str) -> Recipe:
    return next(recipe for recipe in starters() if recipe.id == recipe_id)


def _names(episode: Episode) -> list[str]:
    return [notion.name for notion in episode.notions]


@each_starter
def test_a_fresh_episode_asks_for_each_measure_once_and_nothing_else_must_be_mended(
    starter: Recipe,
) -> None:
    threads = evaluate(episode_from(starter, "Fresh", "fresh")).loose_threads
    musts = [thread for thread in threads if thread.severity == "must"]
    assert len(musts) == len(starter.measures)
    for thread, measure in zip(musts, starter.measures, strict=True):
        assert thread.page == "brief"
        assert thread.sentence.startswith(f"This garment asks for the measure “{measure}”.")


@each_starter
def test_on_a_body_a_fresh_episode_has_nothing_that_must_be_mended(starter: Recipe) -> None:
    """The cloths are laid too, on the usual width."""
    plan = evaluate(changed(episode_from(starter, "Fresh", "fresh"), body=WREN))
    assert [t.sentence for t in plan.loose_threads if t.severity == "must"] == []
    cloths = {piece.cloth for piece in starter.pieces}
    assert {lay.cloth.name for lay in plan.lays} == cloths
    pages = {thread.page for thread in plan.loose_threads}
    assert pages <= {"shots"}  # nothing is said in them yet


@each_starter
def test_a_fresh_episode_opens_with_a_word_and_closes_with_a_look(starter: Recipe) -> None:
    opening, *shots, closing = episode_from(starter, "Fresh", "fresh").shots
    assert (opening.kind, opening.step) == ("styling", "")  # with the finished work on
    assert (closing.kind, closing.step) == ("styling", "")
    assert [shot.step for shot in shots] == [s.id for s in starter.steps if not s.off_camera]
    assert len({shot.id for shot in (opening, *shots, closing)}) == len(shots) + 2


@each_starter
def test_what_wears_the_finished_work_is_filmed_and_walked_through_last(starter: Recipe) -> None:
    plan = evaluate(changed(episode_from(starter, "Fresh", "fresh"), body=WREN))
    assert in_build_order(parts_of(plan), plan.shots)[-2:] == ("opening", "closing")
    stops = stops_in_build_order(plan)
    assert stops[0].step is not None
    assert stops[0].step.number == 1
    assert [stop.key for stop in stops[-2:]] == ["shot-opening", "shot-closing"]


def test_an_added_garment_opens_and_closes_only_an_episode_without_shots() -> None:
    empty = with_garment_added(Episode(id="e", title="E"), _starter("tube-cowl"))
    assert [shot.kind for shot in empty.shots][::8] == ["styling", "styling"]
    smock = episode_from(_starter("drop-shoulder-smock"), "Fresh", "fresh")
    both = with_garment_added(smock, _starter("tube-cowl"))
    assert {shot.kind for shot in both.shots[len(smock.shots) :]} == {"step"}


def test_a_garment_without_steps_suggests_no_shots() -> None:
    bare = changed(_starter("tube-cowl"), steps=())
    assert episode_from(bare, "Fresh", "fresh").shots == ()


def test_two_garments_that_want_the_same_measure_ask_for_it_once() -> None:
    smock = episode_from(_starter("drop-shoulder-smock"), "Fresh", "fresh")
    both = with_garment_added(smock, _starter("tube-cowl"))
    threads = evaluate(both).loose_threads
    assert sum("the measure “head”" in thread.sentence for thread in threads) == 1


@each_starter
def test_an_episode_starts_with_the_starters_notions(starter: Recipe) -> None:
    assert starter.notions
    assert episode_from(starter, "Fresh", "fresh").notions == starter.notions


def test_an_added_garment_brings_the_notions_that_are_not_there_yet() -> None:
    own = Notion(name="sewing THREAD", amount="What is left in the box")
    smock = changed(episode_from(_starter("drop-shoulder-smock"), "F", "f"), notions=(own,))
    skirt = _starter("half-circle-skirt")
    after = with_garment_added(smock, skirt)
    assert after.notions == (own, *(n for n in skirt.notions if n.name != "Sewing thread"))


def test_a_garment_taken_out_takes_the_notions_that_only_it_wanted() -> None:
    smock = episode_from(_starter("drop-shoulder-smock"), "F", "f")
    both = with_garment_added(smock, _starter("half-circle-skirt"))
    ruler = Notion(name="Hem ruler", amount="The old one")  # put in our own words: it stays
    notions = tuple(ruler if n.name == "Hem ruler" else n for n in both.notions)
    after = without_garment(changed(both, notions=notions), "half-circle-skirt")
    assert _names(after) == [*_names(smock), "Hem ruler"]
    assert (
        evaluate(after).loose_threads
        == evaluate(changed(smock, notions=after.notions)).loose_threads
    )


def test_an_empty_garment_brings_nothing() -> None:
    assert with_garment_added(Episode(id="e", title="E"), None).notions == ()


def test_the_body_of_a_new_episode_is_the_one_that_is_filmed() -> None:
    assert episode_from(None, "Fresh", "fresh").body.name == "As filmed"
