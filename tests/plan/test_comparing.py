"""Two revisions beside each other: each figure that is shown otherwise, and nothing else."""

from tests.plan.test_fittings import ID, finish, noted
from tests.plan.test_revisions import fitted
from webapp.build.rates import OwnRate
from webapp.build.work_time import minutes
from webapp.draft.fittings import ChoiceChange, MoveChange, in_proportion
from webapp.draft.moves.notch import Notch
from webapp.draft.nested import draw_nested
from webapp.draft.recipe import Choice, PieceRecipe, Recipe
from webapp.plan.comparing import Comparison, MovedFigure, compare
from webapp.plan.edits import changed, with_choice, with_garment, with_measure, with_piece, without
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import with_fitting_made
from webapp.plan.revisions import revision_now
from webapp.plan.thread_and_needles import thread_of
from webapp.plan.thread_use import bought
from webapp.units import both_called

SMOCK = "Lighthouse Smock"


def revision(episode: Episode) -> Revision:
    now = revision_now(changed(episode, revisions=()))
    assert now is not None
    return now


def compared(one: Episode, other: Episode) -> Comparison:
    return compare(revision(one), revision(other), one)


def of_two(episode: Episode) -> Comparison:
    """The first two revisions of the episode."""
    return compare(episode.revisions[0], episode.revisions[1], episode)


def shown(comparison: Comparison) -> dict[tuple[str, str], tuple[str, str]]:
    return {(one.group, one.name): one.shown("cm") for one in comparison.figures}


def groups(comparison: Comparison) -> list[str]:
    return list(dict.fromkeys(one.group for one in comparison.figures))


def test_a_draft_and_itself_are_the_same(smock: Episode) -> None:
    found = compared(smock, smock)
    assert found.is_same
    assert (found.figures, found.words) == ((), ())
    assert [piece.name for piece in found.pieces] == [
        piece.name for piece in evaluate(smock).pieces
    ]


def test_a_deeper_neck_is_told_wherever_it_is_shown(smock: Episode) -> None:
    """By hand: the depth is 9 and then 11 cm, the centre line 72 cm less that."""
    found = compared(smock, with_choice(smock, ID, "front neck depth", "11 cm"))
    told = shown(found)
    assert told[f"Choices, {SMOCK}", "front neck depth"] == (
        "9 cm (3 9/16 in)",
        "11 cm (4 5/16 in)",
    )
    assert told["Front", "centre"] == ("63 cm (24 3/4 in)", "61 cm (24 in)")
    assert ("Neck binding", "length") in told
    assert (f"Finished garment, {SMOCK}", "Neck opening") in told
    assert (f"Checks on the body, {SMOCK}", "Neck opening") in told
    assert ("Thread and time", "thread in all") in told
    assert groups(found) == [
        f"Choices, {SMOCK}",
        "Front",
        "Neck binding",
        f"Finished garment, {SMOCK}",
        f"Checks on the body, {SMOCK}",
        "Thread and time",
    ]
    assert [piece.name for piece in found.pieces if piece.changed] == ["Front", "Neck binding"]


def test_every_figure_that_a_text_quotes_and_shows_otherwise_is_told(smock: Episode) -> None:
    """Against the live figures of the two plans, worked out without the comparison."""
    after = with_choice(smock, ID, "body ease", "31 cm")
    was, now = evaluate(smock).figures_mm, evaluate(after).figures_mm
    moved = {
        name
        for name in was
        if both_called(name, was[name], "cm") != both_called(name, now[name], "cm")
    }
    told = {one.quoted.lower() for one in compared(smock, after).figures if one.quoted}
    assert len(moved) > 5
    assert moved - told == set()
    assert told - moved - {"cuff", "girth all round"} == set()


def test_what_the_rounding_hides_is_not_told_and_one_unit_is_enough(smock: Episode) -> None:
    """By hand: from 722.3 mm on, 28 7/16 in, inches go up to 28 1/2; centimetres from 722.5 mm."""
    hidden = compared(smock, with_choice(smock, ID, "smock length", "720.2 mm"))
    assert ("Front", "length") not in shown(hidden)
    one, other = (with_choice(smock, ID, "smock length", mm) for mm in ("721.9 mm", "722.4 mm"))
    told = shown(compared(one, other))
    assert told["Front", "length"] == ("72 cm (28 3/8 in)", "72 cm (28 1/2 in)")


def test_figures_that_are_new_or_gone_have_one_side(smock: Episode) -> None:
    def slit(recipe: Recipe) -> Recipe:
        return changed(recipe, choices=(*recipe.choices, Choice(name="slit", value="8 cm")))

    longer = with_garment(smock, ID, slit)
    (new,) = compared(smock, longer).figures
    assert (new.new, new.gone, new.old_mm, new.new_mm) == (True, False, None, 80)
    assert new.shown("in") == ("", "3 1/8 in (8 cm)")
    (gone,) = compared(longer, smock).figures
    assert (gone.new, gone.gone) == (False, True)
    assert gone.shown("in") == ("3 1/8 in (8 cm)", "")


def test_a_choice_that_is_a_bare_number_is_told_as_typed(smock: Episode) -> None:
    def shared(share: str) -> Episode:
        def edit(recipe: Recipe) -> Recipe:
            return changed(recipe, choices=(*recipe.choices, Choice(name="share", value=share)))

        return with_garment(smock, ID, edit)

    (figure,) = compared(shared("1/2"), shared("1/3")).figures
    assert (figure.old_mm, figure.new_mm) == (None, None)
    assert figure.shown("cm") == ("1/2", "1/3")
    assert not figure.new
    assert not figure.gone


def test_a_measure_of_the_body_is_told(smock: Episode) -> None:
    other = changed(smock, body=with_measure(smock.body, "bust", "94 cm"))
    assert shown(compared(smock, other))["Body", "bust"] == (
        "92 cm (36 1/4 in)",
        "94 cm (37 in)",
    )


def test_another_finish_is_told_with_allowance_thread_and_time(smock: Episode) -> None:
    episode = with_fitting_made(noted(smock, finish("hem")), "first-fitting")
    found = of_two(episode)
    assert found.words == (
        "Front, hem edge: single fold hem, before double fold hem.",
        "“Hem the smock” takes more work: overlock Front.hem (stitch 504).",
    )
    told = shown(found)
    assert told["Front", "hem turn under"] == ("1 cm (3/8 in)", "")
    assert ("Front", "cut size down") in told
    thread = [bought(thread_of(evaluate(one)).total.total_mm, "cm") for one in (smock, episode)]
    assert told["Thread and time", "thread in all"] == tuple(thread)
    work = [minutes(evaluate(one).work.likely) for one in (smock, episode)]
    assert told["Thread and time", "work in all"] == tuple(work)


def test_work_is_the_figure_that_the_build_order_shows(smock: Episode) -> None:
    """Her times and rates move it in both revisions, as they move it on every other page."""
    slower = changed(smock, rates=(OwnRate(key="pin: one", low=90, likely=120, high=150),))
    assert evaluate(slower).work.likely > 1.2 * evaluate(smock).work.likely
    one, other = slower, with_choice(slower, ID, "smock length", "110 cm")
    work = tuple(minutes(evaluate(each).work.likely) for each in (one, other))
    assert shown(compared(one, other))["Thread and time", "work in all"] == work


def test_thread_is_counted_with_the_episodes_cloth_and_settings(smock: Episode) -> None:
    wasteful = changed(smock, thread=changed(smock.thread, waste_per_cent=50))
    after = with_choice(wasteful, ID, "front neck depth", "11 cm")
    told = shown(compare(revision(wasteful), revision(after), wasteful))
    assert told["Thread and time", "thread in all"] == tuple(
        bought(thread_of(evaluate(one)).total.total_mm, "cm") for one in (wasteful, after)
    )


# --- Words -----------------------------------------------------------------------------------


def test_an_added_move_is_told_with_its_place(smock: Episode) -> None:
    move = Notch(edge="hem", corner="side", at="5 cm", name="middle")
    change = MoveChange(garment=ID, piece="Front", move=move)
    episode = with_fitting_made(noted(smock, change), "first-fitting")
    assert of_two(episode).words == ("Front: the move “Notch” was added, as move 5.",)
    back = compare(episode.revisions[1], episode.revisions[0]).words
    assert back == ("Front: the move “Notch” was taken out.",)


def test_a_move_that_is_told_otherwise_says_what_of_it(smock: Episode) -> None:
    def steeper(piece: PieceRecipe) -> PieceRecipe:
        slope = changed(piece.moves[2], drop="4.5 cm")
        return changed(piece, moves=(*piece.moves[:2], slope, *piece.moves[3:]))

    words = compared(smock, with_piece(smock, ID, "Front", steeper)).words
    assert words[0] == "Front, move 3, “Slope”: drop is 4.5 cm, before shoulder drop."


def test_a_choice_written_otherwise_that_comes_to_the_same_is_told(smock: Episode) -> None:
    value = in_proportion("9 cm", "bust", smock.body)
    change = ChoiceChange(garment=ID, choice="front neck depth", value=value)
    episode = with_fitting_made(noted(smock, change), "first-fitting")
    found = of_two(episode)
    assert found.figures == ()
    assert found.words == (
        "The choice “front neck depth” is written as 9 cm * (bust / 92 cm), and was 9 cm; on this "
        "body it comes to the same.",
    )


def test_pieces_and_garments_that_came_or_went_are_told(smock: Episode) -> None:
    def fewer(recipe: Recipe) -> Recipe:
        return changed(recipe, pieces=without(recipe.pieces, "name", "Pocket"))

    found = compared(smock, with_garment(smock, ID, fewer))
    assert "Pocket is no piece any more." in found.words
    (pocket,) = (piece for piece in found.pieces if piece.name == "Pocket")
    assert (pocket.new, pocket.changed) == (None, True)
    assert all(one.gone for one in found.figures if one.group == "Pocket")
    alone = changed(smock, garments=smock.garments[:1])
    assert compared(smock, alone).words == ("Tube cowl was taken away.",)
    assert "Tube cowl was added." in compared(alone, smock).words


def test_how_a_piece_is_cut_is_told(smock: Episode) -> None:
    other = with_piece(
        smock,
        ID,
        "Pocket",
        lambda one: changed(one, cut_count=3, grain="bias", cloth="Binding cloth"),
    )
    assert compared(smock, other).words == (
        "Pocket is cut 3 times, before 2 times.",
        "Pocket is cut from Binding cloth, before from Main cloth.",
        "Pocket is cut on the bias, before along the grain.",
    )


def test_a_draft_that_cannot_be_cut_says_so(smock: Episode) -> None:
    other = with_choice(smock, ID, "front neck depth", "80 cm")
    words = compared(smock, other).words
    assert words[0].startswith("It cannot be cut: Front, scoop:")
    assert compared(other, smock).words[-1].startswith("It could not be cut: Front, scoop:")


# --- Drawn over each other -------------------------------------------------------------------


def test_the_outlines_can_be_drawn_over_each_other(smock: Episode) -> None:
    episode = fitted(smock, "11 cm")
    (front,) = (one for one in of_two(episode).pieces if one.name == "Front")
    assert front.old is not None
    assert front.new is not None
    drawn = draw_nested([("0", front.old), ("1", front.new)], "cm", filmed="1")
    assert "76" in drawn
    assert drawn.count("<path") >= 2


def test_a_moved_figure_is_shown_in_either_order() -> None:
    figure = MovedFigure("Front", "hem", 305.0, None, quoted="Front.hem")
    assert figure.shown("cm") == ("30.5 cm (12 in)", "")
    assert figure.shown("in") == ("12 in (30.5 cm)", "")
