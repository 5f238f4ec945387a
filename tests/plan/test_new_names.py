"""A piece, a choice, a seam, an edge gets another name: what quotes it follows, no figure moves.

The check is the plan itself: what it shows must be the same to the letter before and after, and
the first name given back must give the first document back.
"""

import re
from collections.abc import Callable
from functools import partial

import pytest

from tests.plan.same_plan import each_plan_once, each_starter, episode_of, same
from webapp.cloth.cloths import KeptLay, KeptPlacement
from webapp.draft.names import name_key
from webapp.draft.recipe import Body, Choice, FinishedMeasure, Recipe
from webapp.errors import NotThereError, RecipeError
from webapp.filming.shots import Shot
from webapp.plan.edits import changed, with_garment
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.kept_ways import table_asked, table_kept
from webapp.plan.new_names import (
    with_choice_name,
    with_finished_name,
    with_piece_name,
    with_seam_name,
)
from webapp.plan.starters import with_garment_added
from webapp.store.starters import starters

SMOCK = "lighthouse-smock"


@pytest.mark.usefixtures(each_plan_once.__name__)
@each_starter
def test_any_piece_choice_or_seam_can_have_another_name_and_its_own_again(starter: Recipe) -> None:
    episode = episode_of(starter)
    for rename, names in (
        (with_piece_name, [piece.name for piece in starter.pieces]),
        (with_choice_name, [choice.name for choice in starter.choices]),
        (with_seam_name, [seam.name for seam in starter.seams]),
        (with_finished_name, [one.name for one in starter.finished]),
    ):
        for name in names:
            called = partial(rename, garment=starter.id)
            after = called(episode, old=name, new="Something else")
            assert same(episode, after), name
            assert called(after, old="Something else", new=name) == episode


def test_a_table_of_ways_goes_on_with_the_piece_called_otherwise_in_its_reasons(
    smock: Episode,
) -> None:
    (before,) = smock.kept_ways
    after = with_piece_name(smock, SMOCK, "Sleeve", "Wing")
    (kept,) = after.kept_ways
    asked = table_asked(evaluate(after), after.cloths[0])
    assert table_kept(after, asked) is not None
    assert "Sleeve is" in before.model_dump_json() and "Wing is" in kept.model_dump_json()
    assert "Sleeve" not in kept.model_dump_json()
    assert with_piece_name(after, SMOCK, "Wing", "Sleeve").kept_ways == smock.kept_ways


def test_what_quotes_a_piece_quotes_its_new_name(smock: Episode) -> None:
    after = with_piece_name(smock, SMOCK, "Front", "Bodice")
    text = after.model_dump_json()
    assert not re.search(r"""[{("+* ]Front\.\w""", text)
    assert '"Front"' not in text
    assert "{Bodice.neck depth}" in text
    assert with_piece_name(after, SMOCK, "Bodice", "bodice").garments[0].pieces[0].name == "bodice"


def test_a_lay_that_was_found_is_kept_with_the_piece_that_has_another_name(smock: Episode) -> None:
    lay = evaluate(smock).lays[0]
    assert lay.lay is not None
    placements = tuple(
        KeptPlacement(
            name=place.name,
            copy_number=place.copy,
            turn_degrees=place.turn_degrees,
            flipped=place.flipped,
            x_mm=place.x_mm,
            y_mm=place.y_mm,
        )
        for place in lay.lay.placements
    )
    kept = KeptLay(cloth=lay.cloth.name, key=lay.key, placements=placements)
    found = changed(smock, kept_lays=(kept,))
    assert evaluate(found).lays[0].kept
    assert evaluate(with_piece_name(found, SMOCK, "Back", "Zouave back")).lays[0].kept


def test_a_piece_cannot_have_the_name_of_another_even_of_another_garment(smock: Episode) -> None:
    with pytest.raises(RecipeError, match="Lighthouse Smock has a piece called “Back” already"):
        with_piece_name(smock, SMOCK, "Front", "back")
    with pytest.raises(RecipeError, match="Tube cowl has a piece called “Cowl” already"):
        with_piece_name(smock, SMOCK, "Front", "Cowl")


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("bust", "a measure of the body"),
        ("neck", "a measure of the body"),  # though this garment does not ask for it
        ("seam allowance", "meaning of its own"),
        ("Max", "meaning of its own"),
        ("smock length", "a choice called “smock length” already"),
    ],
)
def test_a_choice_cannot_have_a_name_that_means_something(
    smock: Episode, name: str, why: str
) -> None:
    with pytest.raises(RecipeError, match=why):
        with_choice_name(smock, SMOCK, "body ease", name)


def test_a_name_that_would_make_a_quoting_figure_too_long_is_refused(smock: Episode) -> None:
    long = " + ".join(["Front.neck"] * 15)  # 15 × 10 + 14 × 3 = 192 characters of 200

    def edit(recipe: Recipe) -> Recipe:
        return changed(
            recipe, finished=(*recipe.finished, FinishedMeasure(name="Much", figure=long))
        )

    episode = with_garment(smock, SMOCK, edit)
    with pytest.raises(RecipeError, match="choose a shorter one"):
        with_piece_name(episode, SMOCK, "Front", "Front of the smock")


def test_a_text_that_has_no_room_for_the_name_refuses_it(smock: Episode) -> None:
    card = "x" * 180 + " {Front.neck}"
    shots = (*smock.shots, Shot(id="long-card", kind="talking", title="Long", card=card))
    with pytest.raises(RecipeError, match="choose a shorter one"):
        with_piece_name(changed(smock, shots=shots), SMOCK, "Front", "Front of the smock")


def test_a_choice_too_is_refused_a_name_that_a_card_has_no_room_for(smock: Episode) -> None:
    card = "x" * 180 + " {body ease}"
    shots = (*smock.shots, Shot(id="long-card", kind="talking", title="Long", card=card))
    with pytest.raises(RecipeError, match="choose a shorter one"):
        with_choice_name(changed(smock, shots=shots), SMOCK, "body ease", "room around the body")


def test_what_the_companion_says_of_the_video_and_the_cloth_follows(smock: Episode) -> None:
    said = "{Front.hem}, {body ease}, {Neck opening}"
    cloths = (changed(smock.cloths[0], description=said), *smock.cloths[1:])
    episode = changed(smock, brief=changed(smock.brief, promise=said), cloths=cloths)
    after = with_piece_name(episode, SMOCK, "Front", "Bodice")
    after = with_choice_name(after, SMOCK, "body ease", "room")
    after = with_finished_name(after, SMOCK, "Neck opening", "Way for the head")
    expected = "{Bodice.hem}, {room}, {Way for the head}"
    assert (after.brief.promise, after.cloths[0].description) == (expected, expected)


@pytest.mark.parametrize("rename", [with_piece_name, with_choice_name, with_seam_name])
def test_what_is_not_there_has_no_name_to_change(smock: Episode, rename: object) -> None:
    assert callable(rename)
    with pytest.raises(NotThereError):
        rename(smock, SMOCK, "Nothing", "Something")


# --- Two garments with a choice of one name: each means its own ------------------------------


def _two_cowls() -> tuple[Episode, str, str]:
    cowl = next(one for one in starters() if one.id == "tube-cowl")
    episode = with_garment_added(episode_of(cowl), cowl)
    one, other = (garment.id for garment in episode.garments)
    return episode, one, other


def test_a_choice_of_one_garment_leaves_the_others_of_its_name_alone() -> None:
    episode, one, other = _two_cowls()
    for garment, untouched in ((one, other), (other, one)):
        after = with_choice_name(episode, garment, "cowl height", "how tall")
        assert same(episode, after)
        kept = {g.id: g for g in after.garments}[untouched]
        assert kept == {g.id: g for g in episode.garments}[untouched]
        named = {g.id: g for g in after.garments}[garment]
        assert "how tall" in [choice.name for choice in named.choices]
        assert "{cowl height}" not in " ".join(step.words for step in named.steps)


def test_a_text_of_no_garment_means_the_first_of_that_name() -> None:
    episode, one, other = _two_cowls()
    shot = Shot(id="talk", kind="talking", title="Talk", narration="It is {Cowl Height} tall.")
    episode = changed(episode, shots=(*episode.shots, shot))
    renamed = with_choice_name(episode, one, "cowl height", "how tall")
    assert renamed.shots[-1].narration == "It is {how tall} tall."
    assert with_choice_name(episode, other, "cowl height", "how tall").shots[-1] == shot


def test_a_text_of_another_garment_that_quotes_the_choice_follows(smock: Episode) -> None:
    def edit(recipe: Recipe) -> Recipe:
        first = changed(recipe.steps[0], words="As long as {smock length}, wide as {body ease}.")
        return changed(recipe, steps=(first, *recipe.steps[1:]))

    episode = with_garment(smock, "tube-cowl", edit)
    after = with_choice_name(episode, SMOCK, "smock length", "full length")
    assert after.garments[1].steps[0].words == "As long as {full length}, wide as {body ease}."
    assert same(episode, after)


def _told(recipe: Recipe) -> Recipe:
    first = changed(recipe.steps[0], words="Not {body ease}.")
    return changed(recipe, steps=(first, *recipe.steps[1:]))


def _noted(recipe: Recipe) -> Recipe:
    return changed(recipe, pieces=(changed(recipe.pieces[0], note="Ease {body ease}."),))


def _summed_up(recipe: Recipe) -> Recipe:
    return changed(recipe, summary="Ease {body ease}.")


@pytest.mark.parametrize("edit", [_told, _noted, _summed_up])
def test_a_name_that_another_text_quotes_already_is_refused(
    smock: Episode, edit: Callable[[Recipe], Recipe]
) -> None:
    """The cowl's text means the smock's {body ease}; a choice of its own would take that over."""
    assert with_choice_name(smock, "tube-cowl", "cowl ease", "body ease") != smock
    episode = with_garment(smock, "tube-cowl", edit)
    with pytest.raises(RecipeError, match="means something else"):
        with_choice_name(episode, "tube-cowl", "cowl ease", "body ease")


@pytest.mark.parametrize("said", ["promise", "description"])
def test_a_name_that_the_promise_or_a_cloth_quotes_already_is_refused(
    smock: Episode, said: str
) -> None:
    """{Cuff} there is the finished measure; a choice of its name comes before it."""
    brief, cloth = smock.brief, smock.cloths[0]
    if said == "promise":
        brief = changed(brief, promise="Cuffs of {Cuff}")
    else:
        cloth = changed(cloth, description="Cuffs of {Cuff}")
    episode = changed(smock, brief=brief, cloths=(cloth, *smock.cloths[1:]))
    with pytest.raises(RecipeError, match="means something else"):
        with_choice_name(episode, SMOCK, "arm depth", "Cuff")


def test_a_name_with_braces_that_makes_more_quotes_is_refused(smock: Episode) -> None:
    """Nobody's measures are known, so that no quote has a figure, before or after."""
    shot = Shot(id="neck", kind="talking", title="Neck", card="{Neck opening}")
    episode = changed(smock, body=Body(name="Nobody"), shots=(shot,))
    with pytest.raises(RecipeError, match="means something else"):
        with_finished_name(episode, SMOCK, "Neck opening", "a} {b")


def test_two_finished_measures_of_one_name_are_refused() -> None:
    twins = (FinishedMeasure(name="Hem", figure="1 cm"), FinishedMeasure(name="hem", figure="2 cm"))
    with pytest.raises(ValueError, match="Two finished measures are called “hem”"):
        Recipe(id="g", name="G", finished=twins)


def test_a_name_that_is_quoted_and_missing_may_be_given(smock: Episode) -> None:
    def edit(recipe: Recipe) -> Recipe:
        first = changed(recipe.steps[0], words="Leave {roominess}.")
        return changed(recipe, steps=(first, *recipe.steps[1:]))

    episode = with_garment(smock, SMOCK, edit)
    after = evaluate(with_choice_name(episode, SMOCK, "body ease", "roominess"))
    assert not after.steps[0].words.missing


def test_a_finished_measure_is_followed_only_where_it_is_meant() -> None:
    """The cowl has a choice and a finished measure of one name: a text means the choice."""
    episode, one, _ = _two_cowls()
    recipe = episode.garments[0]
    (name,) = (m.name for m in recipe.finished if name_key(m.name) == "cowl height")
    after = with_finished_name(episode, one, name, "Standing height")
    assert after.garments[0].steps == recipe.steps
    assert same(episode, after)


def test_a_text_that_quotes_a_finished_measure_follows_it(smock: Episode) -> None:
    shot = Shot(id="neck", kind="talking", title="Neck", card="Neck {Neck opening} around")
    episode = changed(smock, shots=(*smock.shots, shot))
    after = with_finished_name(episode, SMOCK, "Neck opening", "Way for the head")
    assert after.shots[-1].card == "Neck {Way for the head} around"
    assert same(episode, after)


def test_choices_that_quote_each_other_follow() -> None:
    choices = (
        Choice(name="ease", value="8 cm"),
        Choice(name="more ease", value="ease * 2", most="3 * ease"),
    )
    episode = Episode(id="e", title="E", garments=(Recipe(id="g", name="G", choices=choices),))
    after = with_choice_name(episode, "g", "ease", "room")
    assert after.garments[0].choices[1] == Choice(
        name="more ease", value="room * 2", most="3 * room"
    )
