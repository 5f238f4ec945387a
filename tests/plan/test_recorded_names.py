"""New names and what is recorded: revisions and fittings follow where they can."""

from collections.abc import Callable
from functools import partial

import pytest

from tests.plan.test_fittings import DEEPER, ID, finish
from webapp.draft.expressions import LONGEST_TEXT
from webapp.draft.fittings import ChoiceChange, FittingChange, MoveChange
from webapp.draft.moves.notch import Notch
from webapp.draft.recipe import Choice, PieceRecipe, Recipe
from webapp.errors import RecipeError
from webapp.plan.edge_names import with_edge_name
from webapp.plan.edits import changed, with_garment, without
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import draft_all
from webapp.plan.fittings import (
    tried,
    with_change,
    with_draft_back,
    with_fitting_made,
    with_new_fitting,
)
from webapp.plan.new_names import (
    with_choice_name,
    with_finished_name,
    with_piece_name,
    with_seam_name,
)
from webapp.plan.revisions import revision_now

LONGER = ChoiceChange(garment=ID, choice="sleeve length", value="smock length / 2")
SLEEVE_NOTCH = MoveChange(
    garment=ID,
    piece="Sleeve",
    move=Notch(edge="cap", corner="left seam", at="Front.neck / 4", name="front"),
)
NOTCHED = MoveChange(
    garment=ID, piece="Front", move=Notch(edge="hem", corner="side", at="5 cm", name="middle")
)


def with_fitting(episode: Episode, title: str, *changes: FittingChange) -> Episode:
    episode = with_new_fitting(episode, title)
    for change in changes:
        episode = with_change(episode, episode.fittings[-1].id, change)
    return episode


@pytest.fixture(scope="module")
def fitted(smock: Episode) -> Episode:
    """A fitting that was made, and one that was not yet."""
    episode = with_fitting(smock, "Made", DEEPER, finish("hem"), NOTCHED)
    episode = with_fitting_made(episode, "made")
    return with_fitting(episode, "Noted", LONGER, SLEEVE_NOTCH, finish("cuff", piece="Sleeve"))


def lines(revision: Revision) -> list[object]:
    drafts = draft_all(revision.garments, revision.body)
    return [(piece.seam_points, piece.cut_points) for draft in drafts for piece in draft.pieces]


RENAMES: list[tuple[Callable[[Episode, str, str, str], Episode], str, str]] = [
    (with_piece_name, "Front", "Bodice"),
    (with_piece_name, "Sleeve", "Long sleeve"),
    (with_choice_name, "front neck depth", "scoop depth"),
    (with_choice_name, "smock length", "whole length"),
    (with_seam_name, "sleeve and side seams", "flanks"),
    (with_finished_name, "Neck opening", "Opening"),
    (lambda e, g, old, new: with_edge_name(e, g, "Front", old, new), "hem", "foot"),
    (lambda e, g, old, new: with_edge_name(e, g, "Front", old, new), "neck", "neckline"),
    (lambda e, g, old, new: with_edge_name(e, g, "Sleeve", old, new), "cuff", "wrist"),
]


@pytest.mark.parametrize(("rename", "old", "new"), RENAMES)
def test_what_is_recorded_follows_and_drafts_as_it_did(
    fitted: Episode, rename: Callable[[Episode, str, str, str], Episode], old: str, new: str
) -> None:
    after = rename(fitted, ID, old, new)
    assert revision_now(after) is None  # the last revision is the draft by its new names
    for before, now in zip(fitted.revisions, after.revisions, strict=True):
        assert lines(before) == lines(now)
    noted = after.fittings[1]
    assert tried(after, noted).problems == tried(fitted, fitted.fittings[1]).problems == ()
    assert rename(after, ID, new, old) == fitted


def test_the_changes_of_a_fitting_follow_a_choice(fitted: Episode) -> None:
    after = with_choice_name(fitted, ID, "smock length", "whole length")
    after = with_choice_name(after, ID, "sleeve length", "arm")
    assert after.fittings[1].changes[0] == ChoiceChange(
        garment=ID, choice="arm", value="whole length / 2"
    )


def test_a_choice_of_another_garment_is_another(smock: Episode) -> None:
    cowl = smock.garments[1].id

    def also(recipe: Recipe) -> Recipe:
        return changed(recipe, choices=(*recipe.choices, Choice(name="smock length", value="9 cm")))

    episode = with_garment(smock, cowl, also)
    theirs = ChoiceChange(garment=cowl, choice="smock length", value="cowl height / 2")
    episode = with_fitting_made(with_fitting(episode, "Made", DEEPER), "made")
    episode = with_fitting(episode, "Noted", theirs)
    after = with_choice_name(episode, ID, "smock length", "whole length")
    assert after.fittings[1].changes == (theirs,)
    for revision in after.revisions:
        names = [{choice.name for choice in one.choices} for one in revision.garments]
        assert ["smock length" in own for own in names] == [False, True]


def test_the_changes_of_a_fitting_follow_an_edge(fitted: Episode) -> None:
    after = with_edge_name(fitted, ID, "Front", "neck", "neckline")
    move = SLEEVE_NOTCH.move
    assert after.fittings[1].changes[1] == changed(
        SLEEVE_NOTCH, move=changed(move, at="Front.neckline / 4")
    )
    after = with_edge_name(after, ID, "Sleeve", "cap", "head")
    assert after.fittings[1].changes[1] == changed(
        SLEEVE_NOTCH, move=changed(move, at="Front.neckline / 4", edge="head")
    )
    after = with_edge_name(after, ID, "Sleeve", "cuff", "wrist")
    assert after.fittings[1].changes[2] == finish("wrist", piece="Sleeve")
    after = with_edge_name(after, ID, "Front", "hem", "foot")
    hem, notched = after.fittings[0].changes[1:]
    assert hem == finish("foot")
    assert isinstance(notched, MoveChange)
    assert notched.move == changed(NOTCHED.move, edge="foot")


# --- What cannot take the new name keeps the old ---------------------------------------------


def piece_gone(episode: Episode, name: str) -> Episode:
    return with_garment(
        episode, ID, lambda one: changed(one, pieces=without(one.pieces, "name", name))
    )


def test_a_revision_that_has_another_piece_of_that_name_keeps_the_old(smock: Episode) -> None:
    loop = changed(smock.garments[0].pieces[3], name="Loop")

    def looped(recipe: Recipe) -> Recipe:
        return changed(recipe, pieces=(*recipe.pieces, loop))

    episode = with_fitting(with_garment(smock, ID, looped), "Made", DEEPER)
    episode = with_fitting_made(episode, "made")
    episode = piece_gone(episode, "Loop")
    after = with_piece_name(episode, ID, "Pocket", "Loop")
    assert [one.name for one in after.garments[0].pieces][3] == "Loop"
    assert after.revisions == episode.revisions


def test_a_revision_whose_other_garment_had_that_piece_keeps_the_old(smock: Episode) -> None:
    episode = with_fitting_made(with_fitting(smock, "Made", DEEPER), "made")
    alone = changed(episode, garments=episode.garments[:1])
    after = with_piece_name(alone, ID, "Pocket", "Cowl")
    assert after.revisions == episode.revisions
    assert with_draft_back(after, 0).garments[0].pieces[3].name == "Pocket"


def test_a_revision_with_another_choice_of_that_name_keeps_the_old(smock: Episode) -> None:
    """Its texts quote a name that is not there any more, which refuses nothing either."""

    def slit(recipe: Recipe) -> Recipe:
        choices = (*recipe.choices, Choice(name="slit", value="8 cm"))
        return changed(recipe, choices=choices, summary="{pocket depth} deep, {slit} open")

    def no_slit(recipe: Recipe) -> Recipe:
        choices = without(recipe.choices, "name", "slit")
        return changed(recipe, choices=choices, summary="A smock.")

    episode = with_fitting(with_garment(smock, ID, slit), "Made", DEEPER)
    episode = with_fitting_made(episode, "made")
    episode = with_garment(episode, ID, no_slit)
    after = with_choice_name(episode, ID, "pocket depth", "slit")
    assert after.revisions == episode.revisions
    assert "slit" in [choice.name for choice in after.garments[0].choices]


def long_figure(name: str) -> str:
    """As long as a figure may be."""
    return f"{name} + 0.{'0' * (LONGEST_TEXT - len(name) - 8)} cm"


def test_a_figure_that_was_too_long_for_the_name_once_refuses_nothing(smock: Episode) -> None:
    value = long_figure("pocket width")
    assert len(value) == LONGEST_TEXT
    make = partial(ChoiceChange, garment=ID, choice="pocket depth")
    episode = with_fitting_made(
        with_fitting(smock, "Made", make(value="18 cm"), make(value=value)), "made"
    )
    episode = with_fitting_made(with_fitting(episode, "Again", make(value="19 cm")), "again")
    after = with_choice_name(episode, ID, "pocket width", "width of the pocket")
    first, quoting, last = after.revisions
    assert quoting == episode.revisions[1]
    assert first != episode.revisions[0]
    assert last != episode.revisions[2]
    # Of the fitting that was made, each change for itself.
    assert after.fittings[0] == episode.fittings[0]


def test_a_fitting_that_is_still_to_be_made_can_refuse_a_name(smock: Episode) -> None:
    value = long_figure("pocket width")
    change = ChoiceChange(garment=ID, choice="pocket depth", value=value)
    with pytest.raises(RecipeError, match="too long with this name"):
        with_choice_name(
            with_fitting(smock, "Noted", change), ID, "pocket width", "width of the pocket"
        )


def test_a_revision_in_which_no_move_gave_the_edge_its_name_keeps_the_old(smock: Episode) -> None:
    """The hem was a foot at first; the name it has since is not given back to that."""

    def footed(piece: PieceRecipe) -> PieceRecipe:
        names = ("mouth", "right side", "bottom", "left side")
        return changed(piece, moves=(changed(piece.moves[0], edges=names),))

    episode = with_fitting_made(with_fitting(smock, "Made", DEEPER), "made")
    sewn = episode.garments[0]
    pieces = tuple(footed(one) if one.name == "Pocket" else one for one in sewn.pieces)
    episode = changed(episode, garments=(changed(sewn, pieces=pieces), *episode.garments[1:]))
    after = with_edge_name(episode, ID, "Pocket", "bottom", "base")
    assert after.revisions == episode.revisions
