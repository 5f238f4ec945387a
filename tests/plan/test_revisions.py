"""Revisions: what is recorded, what is not, and what going back takes and leaves."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.test_fittings import DEEPER, ID, finish, noted
from webapp.cloth.cloths import ChoiceOnCloth, OtherCloth
from webapp.draft.evaluate import Draft
from webapp.draft.fittings import ChoiceChange
from webapp.draft.recipe import Choice, Recipe
from webapp.errors import NotThereError, RecipeError
from webapp.plan.edits import (
    changed,
    changed_one,
    with_choice,
    with_garment,
    with_measure,
    with_piece,
    with_step,
    without,
)
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import draft_all, evaluate
from webapp.plan.fittings import with_change, with_draft_back, with_fitting_made, with_new_fitting
from webapp.plan.revisions import all_revisions, recorded, revision_now


def fitted(episode: Episode, depth: str, title: str = "Deepen") -> Episode:
    """The episode with a fitting made that sets the depth of the front neck."""
    episode = with_new_fitting(episode, title)
    fitting = episode.fittings[-1].id
    change = ChoiceChange(garment=ID, choice="front neck depth", value=depth)
    return with_fitting_made(with_change(episode, fitting, change), fitting)


def titles(episode: Episode) -> list[str]:
    return [one.title for one in recorded(episode)]


def outlines(drafts: tuple[Draft, ...]) -> list[object]:
    return [
        (piece.name, piece.seam_points, piece.cut_points)
        for draft in drafts
        for piece in draft.pieces
    ]


def now(episode: Episode) -> list[object]:
    return outlines(draft_all(episode.garments, episode.body))


def then(revision: Revision) -> list[object]:
    return outlines(draft_all(revision.garments, revision.body))


# --- What is recorded ------------------------------------------------------------------------


def test_before_the_first_fitting_only_the_draft_as_it_is_is_there(smock: Episode) -> None:
    assert recorded(smock) == ()
    (only,) = all_revisions(smock)
    assert only == revision_now(smock)
    assert (only.number, only.title) == (0, "The draft now")
    assert then(only) == now(smock)


def test_the_first_draft_is_recorded_with_the_first_fitting(smock: Episode) -> None:
    episode = with_fitting_made(noted(smock, DEEPER), "first-fitting")
    assert [(one.number, one.title, one.fitting) for one in recorded(episode)] == [
        (0, "First draft", ""),
        (1, "First fitting", "first-fitting"),
    ]
    assert then(episode.revisions[0]) == now(smock)
    assert then(episode.revisions[1]) == now(episode)
    assert revision_now(episode) is None
    assert all_revisions(episode) == episode.revisions


def test_revisions_have_no_notions(smock: Episode) -> None:
    with_notion = changed(
        smock,
        garments=(changed(smock.garments[0], notions=smock.notions), *smock.garments[1:]),
    )
    episode = fitted(with_notion, "11 cm")
    assert not any(garment.notions for one in episode.revisions for garment in one.garments)
    assert episode.garments[0].notions == smock.notions


def test_a_draft_changed_on_its_page_is_recorded_before_the_next_fitting(smock: Episode) -> None:
    episode = with_choice(fitted(smock, "11 cm"), ID, "smock length", "74 cm")
    pending = revision_now(episode)
    assert pending is not None
    assert (pending.number, pending.title) == (2, "The draft now")
    again = fitted(episode, "12 cm", "Deeper still")
    assert titles(again) == ["First draft", "Deepen", "Changed on the draft page", "Deeper still"]
    assert again.revisions[2].garments == pending.garments
    assert again.revisions[:2] == episode.revisions


def test_another_measure_of_the_body_is_recorded_too(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    episode = changed(episode, body=with_measure(episode.body, "bust", "94 cm"))
    again = fitted(episode, "12 cm")
    assert titles(again)[2] == "Changed on the draft page"
    assert [one.body.measures["bust"] for one in again.revisions] == ["92 cm"] * 2 + ["94 cm"] * 2


def test_words_written_anew_are_no_revision(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    worded = with_piece(episode, ID, "Front", lambda one: changed(one, note="Mind the grain."))
    worded = with_step(worded, "hem", lambda one: changed(one, words="Hem it.", one_way=True))

    def reasoned(recipe: Recipe) -> Recipe:
        choices = changed_one(
            recipe.choices, "name", "smock length", lambda one: changed(one, reason="Long.")
        )
        checks = tuple(changed(check, why="It must.") for check in recipe.checks)
        return changed(recipe, summary="A smock.", choices=choices, checks=checks)

    worded = with_garment(worded, ID, reasoned)
    worded = changed(worded, body=changed(worded.body, name="Wren in March"))
    assert revision_now(worded) is None


# --- Going back ------------------------------------------------------------------------------


def test_going_back_is_the_next_revision(smock: Episode) -> None:
    episode = with_draft_back(fitted(fitted(smock, "11 cm"), "12 cm"), 1)
    assert titles(episode) == ["First draft", "Deepen", "Deepen", "Back to Deepen"]
    assert episode.revisions[-1].back_to == 1
    assert now(episode) == then(episode.revisions[1])


def test_a_draft_that_was_changed_is_recorded_before_going_back(smock: Episode) -> None:
    episode = with_choice(fitted(smock, "11 cm"), ID, "smock length", "74 cm")
    changed_draft = now(episode)
    back = with_draft_back(episode, 0)
    assert titles(back)[2:] == ["Changed on the draft page", "Back to First draft"]
    assert then(back.revisions[2]) == changed_draft
    assert now(with_draft_back(back, 2)) == changed_draft


def test_a_revision_that_is_not_there_or_is_the_draft_already_is_refused(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    with pytest.raises(NotThereError, match="no revision 7"):
        with_draft_back(episode, 7)
    with pytest.raises(RecipeError, match="as it was in revision 1 already"):
        with_draft_back(episode, 1)


def test_going_back_takes_the_work_and_leaves_the_words_of_steps(smock: Episode) -> None:
    episode = with_fitting_made(noted(smock, finish("hem"), DEEPER), "first-fitting")
    episode = with_step(episode, "hem", lambda one: changed(one, words="Hem it slowly."))
    back = with_draft_back(episode, 0)
    (was,), (found,) = (
        [step for step in one.garments[0].steps if step.id == "hem"] for one in (smock, back)
    )
    assert found == changed(was, words="Hem it slowly.")


def test_steps_that_came_and_went_since_are_as_they_are(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")

    def stepped(recipe: Recipe) -> Recipe:
        steps = without(recipe.steps, "id", "hang")
        return changed(recipe, steps=(*steps, changed(steps[0], id="new-step", after=())))

    episode = with_garment(episode, ID, stepped)
    assert revision_now(episode) is None
    back = with_draft_back(episode, 0)
    assert [one.id for one in back.garments[0].steps] == [
        one.id for one in episode.garments[0].steps
    ]


def test_going_back_keeps_notes_and_reasons_as_they_are_now(smock: Episode) -> None:
    def worded(recipe: Recipe) -> Recipe:
        return changed(
            recipe,
            choices=tuple(changed(one, reason=f"{one.name}: so.") for one in recipe.choices),
            pieces=tuple(changed(one, note=f"{one.name}: mind it.") for one in recipe.pieces),
            checks=tuple(changed(one, why=f"{one.name}: it must.") for one in recipe.checks),
        )

    back = with_draft_back(with_garment(fitted(smock, "11 cm"), ID, worded), 0)
    assert back.garments[0] == worded(smock.garments[0])
    assert titles(back)[2:] == ["Back to First draft"]  # words are no change of the draft


def test_garments_added_since_stay_and_those_taken_away_come_back(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    cowl = episode.garments[1]
    added = changed(
        cowl,
        id="scarf",
        name="Scarf",
        pieces=tuple(changed(one, name=f"{one.name} B") for one in cowl.pieces),
        seams=(),
        checks=(),
        finished=(),
        steps=(),
    )
    episode = changed(episode, garments=(episode.garments[0], added))
    back = with_draft_back(episode, 0)
    assert [one.id for one in back.garments] == [ID, cowl.id, "scarf"]
    assert titles(back)[2:] == ["Changed on the draft page", "Back to First draft"]


def test_the_body_is_not_taken_back(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    episode = changed(episode, body=with_measure(episode.body, "bust", "94 cm"))
    back = with_draft_back(episode, 0)
    assert back.body.measures["bust"] == "94 cm"
    assert back.revisions[-1].body == episode.body


def test_another_cloth_keeps_its_figures_for_the_choices_there_are_again(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")

    def longer(recipe: Recipe) -> Recipe:
        return changed(recipe, choices=(*recipe.choices, Choice(name="slit", value="8 cm")))

    episode = with_garment(episode, ID, longer)
    figures = tuple(
        ChoiceOnCloth(garment=ID, choice=name, value="9 cm") for name in ("slit", "smock length")
    )
    episode = changed(
        episode, other_cloths=(OtherCloth(name="Wool", instead_of="Main cloth", choices=figures),)
    )
    back = with_draft_back(episode, 0)
    assert [one.choice for one in back.other_cloths[0].choices] == ["smock length"]


# --- Whatever is done ------------------------------------------------------------------------

DEPTHS = st.integers(60, 200).map(lambda mm: f"{mm} mm")
ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("fitting"), DEPTHS),
        st.tuples(st.just("draft page"), DEPTHS),
        st.tuples(st.just("back"), st.integers(0, 12).map(str)),
        st.tuples(st.just("too deep"), st.just("80 cm")),
    ),
    max_size=7,
)


def acted(episode: Episode, act: str, argument: str) -> Episode:
    if act == "draft page":
        return with_choice(episode, ID, "front neck depth", argument)
    try:
        if act == "back":
            return with_draft_back(episode, int(argument))
        return fitted(episode, argument)
    except (RecipeError, NotThereError):
        return episode


@settings(max_examples=25, deadline=None)
@given(ACTS)
def test_revisions_only_grow_and_each_can_be_gone_back_to(
    smock: Episode, acts: list[tuple[str, str]]
) -> None:
    stages = [smock]
    for act, argument in acts:
        stages.append(acted(stages[-1], act, argument))
    for before, after in pairwise(stages):
        assert after.revisions[: len(before.revisions)] == before.revisions
    episode = stages[-1]
    assert [one.number for one in episode.revisions] == list(range(len(episode.revisions)))
    for revision in episode.revisions:
        try:
            back = with_draft_back(episode, revision.number)
        except RecipeError:
            back = episode  # it is as it was then
        assert now(back) == then(revision)
        assert not evaluate(back).drafts[0].problems
