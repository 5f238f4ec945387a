"""Fittings: what is tried on the draft, what keeps it from being cut, what is made of it."""

import pytest

from tests.plan.same_plan import each_starter, episode_of
from tests.specimens import SMOCK
from webapp.draft.construction import EdgeUse, Step, Work
from webapp.draft.fittings import (
    ChoiceChange,
    FinishChange,
    FittingChange,
    MoveChange,
    Neatened,
)
from webapp.draft.fittings import with_change as with_change_in
from webapp.draft.moves.notch import Notch
from webapp.draft.recipe import Finish, FinishKind, Recipe
from webapp.errors import NotThereError, RecipeError
from webapp.plan.edits import changed, with_garment, without
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.fittings import (
    fitting_plans,
    tried,
    with_change,
    with_fitting,
    with_fitting_made,
    with_new_fitting,
    without_change,
    without_fitting,
)
from webapp.plan.results import Plan
from webapp.plan.thread_use import thread_use

ID = "lighthouse-smock"
DEEPER = ChoiceChange(garment=ID, choice="front neck depth", value="11 cm")
SINGLE = Finish(kind="single fold hem", allowance="2.5 cm")
DOUBLE = Finish(kind="double fold hem", allowance="2.5 cm", turn_under="1 cm")


def noted(episode: Episode, *changes: FittingChange) -> Episode:
    """The episode with one fitting of these changes."""
    episode = with_new_fitting(episode, "First fitting")
    for change in changes:
        episode = with_change(episode, "first-fitting", change)
    return episode


def finish(
    edge: str, finish: Finish = SINGLE, neatened: Neatened = "overlock", piece: str = "Front"
) -> FinishChange:
    return FinishChange(garment=ID, piece=piece, edge=edge, finish=finish, neatened=neatened)


def why_not(episode: Episode, *changes: FittingChange) -> tuple[str, ...]:
    episode = noted(episode, *changes)
    return tried(episode, episode.fittings[0]).problems


def step(plan: Plan, step_id: str) -> Step:
    (found,) = (row.step for row in plan.steps if row.step.id == step_id)
    return found


# --- What is written down --------------------------------------------------------------------


def test_a_fitting_is_a_note_until_a_revision_is_made_of_it(smock: Episode) -> None:
    episode = noted(smock)
    assert [one.status for one in fitting_plans(evaluate(episode))] == ["note"]
    episode = with_change(episode, "first-fitting", DEEPER)
    assert [one.status for one in fitting_plans(evaluate(episode))] == ["note"]
    made = with_fitting_made(episode, "first-fitting")
    (planned,) = fitting_plans(evaluate(made))
    assert (planned.status, planned.revision, planned.why) == ("made", 1, ())


def test_fittings_of_one_title_have_ids_of_their_own(smock: Episode) -> None:
    episode = with_new_fitting(with_new_fitting(smock, "At the neck"), "At the neck")
    assert [one.id for one in episode.fittings] == ["at-the-neck", "at-the-neck-2"]
    with pytest.raises(ValueError, match="title"):
        with_new_fitting(smock, " ")


def test_a_change_is_taken_out_by_its_place(smock: Episode) -> None:
    other = finish("hem")
    episode = without_change(noted(smock, DEEPER, other), "first-fitting", 0)
    assert episode.fittings[0].changes == (other,)
    with pytest.raises(NotThereError, match="not there any more"):
        without_change(episode, "first-fitting", 1)


def test_of_one_choice_or_edge_the_last_change_stands(smock: Episode) -> None:
    deeper = changed(DEEPER, value="12 cm")
    once, twice = finish("hem"), finish("hem")
    episode = noted(smock, DEEPER, once, deeper, twice)
    assert episode.fittings[0].changes == (deeper, twice)


def test_what_a_revision_was_made_of_stays(smock: Episode) -> None:
    made = with_fitting_made(noted(smock, DEEPER), "first-fitting")
    with pytest.raises(RecipeError, match="Revision 1 was made of this fitting"):
        without_fitting(made, "first-fitting")
    with pytest.raises(RecipeError, match="write another fitting"):
        with_change(made, "first-fitting", finish("hem"))
    with pytest.raises(RecipeError, match="write another fitting"):
        without_change(made, "first-fitting", 0)
    with pytest.raises(RecipeError, match="made of this fitting already"):
        with_fitting_made(made, "first-fitting")
    worded = with_fitting(made, "first-fitting", lambda one: changed(one, reason="Too high."))
    assert worded.fittings[0].reason == "Too high."


def test_a_fitting_that_was_not_made_can_go(smock: Episode) -> None:
    assert without_fitting(noted(smock, DEEPER), "first-fitting") == smock
    for act in (without_fitting, with_fitting_made):
        with pytest.raises(NotThereError):
            act(smock, "first-fitting")


def test_a_fitting_without_changes_makes_no_revision(smock: Episode) -> None:
    with pytest.raises(RecipeError, match="changes nothing in the draft yet"):
        with_fitting_made(noted(smock), "first-fitting")


# --- What is tried ---------------------------------------------------------------------------


def test_trying_alters_nothing_that_is_stored(smock: Episode) -> None:
    episode = noted(smock, DEEPER)
    trial = tried(episode, episode.fittings[0])
    assert trial.can_be_cut
    assert evaluate(trial.episode).figures_mm["front.neck depth"] == 110
    assert evaluate(episode).figures_mm["front.neck depth"] == 90
    assert episode.garments == smock.garments
    assert not trial.episode.revisions


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (
            ChoiceChange(garment=ID, choice="collar depth", value="3 cm"),
            "The Lighthouse Smock has no choice “collar depth” any more.",
        ),
        (
            ChoiceChange(garment="coat", choice="collar depth", value="3 cm"),
            "A garment that the fitting changes is not in the episode any more.",
        ),
        (
            ChoiceChange(garment=ID, choice="smock length", value="smock length + 2 cm"),
            "“smock length” cannot be worked out from itself; write the new figure, like 69 cm.",
        ),
        (
            ChoiceChange(garment=ID, choice="smock length", value="70 cm +"),
            "smock length: ",
        ),
        (finish("hem", piece="Yoke"), "The Lighthouse Smock has no piece “Yoke” any more."),
        (finish("frill"), "Front has no edge “frill” to finish."),
        (
            MoveChange(garment=ID, piece="Yoke", move=Notch(edge="hem", at="5 cm", name="middle")),
            "The Lighthouse Smock has no piece “Yoke” any more.",
        ),
        (
            MoveChange(
                garment=ID, piece="Front", move=Notch(edge="frill", at="5 cm", name="middle")
            ),
            "Front, notch: ",
        ),
        (
            finish("hem", Finish(kind="double fold hem", allowance="1 cm", turn_under="2 cm")),
            "Front, hem: The turn-under",
        ),
    ],
)
def test_a_change_that_cannot_be_cut_says_why(
    smock: Episode, change: FittingChange, why: str
) -> None:
    smock = changed(smock, garments=(changed(smock.garments[0], name="The Lighthouse Smock"),))
    told = why_not(smock, change)
    assert len(told) == 1
    assert told[0].startswith(why)
    with pytest.raises(RecipeError):
        with_fitting_made(noted(smock, change), "first-fitting")


def test_trouble_that_the_draft_had_before_does_not_count(smock: Episode) -> None:
    """The draft lacks an edge already; a change that names it again is told all the same."""

    def frilled(recipe: Recipe) -> Recipe:
        return with_change_in(recipe, finish("frill", piece="Pocket"))

    broken = with_garment(smock, ID, frilled)
    assert evaluate(broken).drafts[0].problems
    assert why_not(broken, DEEPER) == ()
    assert why_not(broken, finish("frill", piece="Pocket")) == (
        "Pocket has no edge “frill” to finish.",
    )


def test_one_change_that_is_gone_does_not_hide_the_others(smock: Episode) -> None:
    told = why_not(
        smock,
        ChoiceChange(garment=ID, choice="collar depth", value="3 cm"),
        ChoiceChange(garment=ID, choice="front neck depth", value="80 cm"),
    )
    assert "no choice “collar depth”" in told[0]
    assert told[1].startswith("Front, scoop:")


def test_a_garment_that_is_gone_makes_its_fitting_a_note(smock: Episode) -> None:
    episode = changed(noted(smock, DEEPER), garments=without(smock.garments, "id", ID))
    (planned,) = fitting_plans(evaluate(episode))
    assert planned.status == "cannot be cut"
    assert planned.why == ("A garment that the fitting changes is not in the episode any more.",)


def test_why_not_is_told_in_the_units_she_prefers(smock: Episode) -> None:
    too_deep = ChoiceChange(garment=ID, choice="front neck depth", value="80 cm")
    (why,) = why_not(changed(smock, first_unit="in"), too_deep)
    assert "31 1/2 in (80 cm)" in why
    assert "80 cm (31 1/2 in)" in why_not(smock, too_deep)[0]


# --- Moves -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("before", "place"), [(None, 4), (0, 0), (1, 1), (4, 4), (200, 4)])
def test_a_move_is_added_before_another_or_at_the_end(before: int | None, place: int) -> None:
    move = Notch(edge="hem", at="5 cm", name="middle")
    change = MoveChange(garment="drop-shoulder-smock", piece="front", move=move, before=before)
    moves = with_change_in(SMOCK, change).pieces[0].moves
    assert len(SMOCK.pieces[0].moves) == 4
    assert len(moves) == 5
    assert moves[place] == move


# --- Finishes: allowance, thread, time -------------------------------------------------------


def hem_thread_mm(plan: Plan, kind: str) -> float:
    rows = thread_use(plan).rows
    return sum(row.use.total_mm for row in rows if row.step_id == "hem" and row.kind == kind)


def test_a_hem_that_proves_too_thick_is_overlocked_and_turned_once(smock: Episode) -> None:
    """Allowance, thread and time follow.

    The allowance by hand: 2.5 cm and 1 cm turned under, then 2.5 cm alone. The thread of three
    threads over one layer is counted by `plan.thread_use` for the overlock work; the sewing takes
    less, as it goes through two layers instead of three.
    """
    episode = with_fitting_made(
        noted(smock, finish("hem"), finish("hem", piece="Back")), "first-fitting"
    )
    before, after = evaluate(smock), evaluate(episode)
    (was, now) = (plan.drafts[0].piece("Front").allowances["hem"] for plan in (before, after))
    assert (was.width_mm, was.turn_under_mm, now.width_mm, now.turn_under_mm) == (25, 10, 25, 0)
    lengths = [plan.drafts[0].piece("Front").cut_size_mm[1] for plan in (before, after)]
    assert lengths[0] - lengths[1] == pytest.approx(10, abs=1e-6)

    assert step(after, "hem").work == (
        Work(
            kind="overlock",
            stitch="504",
            edges=(EdgeUse(edge="Front.hem", times=2), EdgeUse(edge="Back.hem", times=2)),
        ),
        *step(before, "hem").work,
    )
    assert hem_thread_mm(before, "overlock") == 0
    round_mm = 2 * (before.figures_mm["front.hem"] + before.figures_mm["back.hem"])
    # Three threads that zigzag over the edge: each is longer than the edge itself.
    assert hem_thread_mm(after, "overlock") > 3 * round_mm
    assert hem_thread_mm(after, "machine") < hem_thread_mm(before, "machine")
    was, now = (
        next(row.work.likely for row in plan.steps if row.step.id == "hem")
        for plan in (before, after)
    )
    assert now > was
    assert after.work.likely > before.work.likely


def test_an_edge_can_be_neatened_with_a_zigzag(smock: Episode) -> None:
    episode = with_fitting_made(noted(smock, finish("hem", neatened="machine")), "first-fitting")
    after = evaluate(episode)
    assert step(after, "hem").work[0] == Work(
        kind="machine", stitch="304", edges=(EdgeUse(edge="Front.hem", times=2),)
    )
    rows = [row for row in thread_use(after).rows if row.step_id == "hem"]
    assert {row.stitch.called.split()[0] for row in rows} == {"301", "304"}


@pytest.mark.parametrize("neatened", ["overlock", "machine"])
@pytest.mark.parametrize("kind", ["double fold hem", "bound", "faced"])
def test_an_edge_that_is_enclosed_is_not_neatened(
    smock: Episode, neatened: Neatened, kind: FinishKind
) -> None:
    recipe = smock.garments[0]
    single = with_change_in(recipe, finish("hem", neatened=neatened))
    assert len(step_of(single, "hem").work) == len(step_of(recipe, "hem").work) + 1
    again = with_change_in(single, finish("hem", Finish(kind=kind), neatened=""))
    assert step_of(again, "hem") == step_of(recipe, "hem")


def step_of(recipe: Recipe, step_id: str) -> Step:
    (found,) = (step for step in recipe.steps if step.id == step_id)
    return found


def test_there_and_back_is_the_first_recipe(smock: Episode) -> None:
    recipe = smock.garments[0]
    for piece in ("Front", "Back"):
        assert recipe == with_change_in(
            with_change_in(recipe, finish("hem", piece=piece)), finish("hem", DOUBLE, "", piece)
        )


@each_starter
def test_every_double_fold_that_is_sewn_can_be_overlocked_and_turned_once(starter: Recipe) -> None:
    """Of every starter: it drafts, with less allowance, more thread and time, there and back."""
    episode = episode_of(starter)
    before = evaluate(episode)
    sewn = {
        use.edge
        for one in starter.steps
        for work in one.work
        if work.kind in ("machine", "hand")
        for use in work.edges
    }
    for piece in starter.pieces:
        for edge, stated in piece.finishes.items():
            if stated.kind != "double fold hem" or f"{piece.name}.{edge}" not in sewn:
                continue
            single = Finish(kind="single fold hem", allowance=stated.allowance)
            change = FinishChange(
                garment=starter.id, piece=piece.name, edge=edge, finish=single, neatened="overlock"
            )
            trial = tried(episode, noted(episode, change).fittings[0])
            assert trial.can_be_cut, trial.problems
            after = evaluate(trial.episode)
            was, now = (plan.drafts[0].piece(piece.name) for plan in (before, after))
            assert now.allowances[edge].turn_under_mm == 0 < was.allowances[edge].turn_under_mm
            thread = [thread_use(plan).total.total_mm for plan in (before, after)]
            assert thread[1] > thread[0]
            assert after.work.mean > before.work.mean
            back = change.model_copy(update={"finish": stated, "neatened": ""})
            assert with_change_in(trial.episode.garments[0], back) == starter


def test_neatening_the_same_edge_otherwise_takes_the_first_away(smock: Episode) -> None:
    recipe = smock.garments[0]
    overlocked = with_change_in(recipe, finish("hem"))
    assert with_change_in(overlocked, finish("hem")) == overlocked
    zigzag = with_change_in(overlocked, finish("hem", neatened="machine"))
    assert zigzag == with_change_in(recipe, finish("hem", neatened="machine"))


def test_neatening_goes_before_the_edge_is_pressed_up_or_pinned() -> None:
    """Common practice, no source: a raw edge is neatened while it is still flat."""
    hem = EdgeUse(edge="Front.hem", times=2)
    first = Step(id="hem", name="Hem", work=(Work(kind="press", edges=(hem,)),))
    then = Step(id="sew", name="Sew", work=(Work(kind="hand", stitch="blind", edges=(hem,)),))
    recipe = SMOCK.model_copy(update={"steps": (first, then)})
    after = with_change_in(recipe, finish("hem"))
    # The step that presses does not sew it; the neatening belongs to the one that does.
    assert after.steps[0] == first
    assert [work.kind for work in after.steps[1].work] == ["overlock", "hand"]


def test_an_elastic_held_by_a_zigzag_is_no_neatening() -> None:
    hem = EdgeUse(edge="Front.hem", times=2)
    only = Step(id="hem", name="Hem", work=(Work(kind="machine", stitch="304", edges=(hem,)),))
    recipe = SMOCK.model_copy(update={"steps": (only,)})
    assert with_change_in(recipe, finish("hem", DOUBLE, "")).steps == (only,)


def test_an_edge_that_no_step_sews_changes_its_finish_only() -> None:
    recipe = SMOCK.model_copy(update={"steps": ()})
    after = with_change_in(recipe, finish("HEM"))
    assert after.pieces[0].finishes == {"neck": Finish(kind="bound"), "hem": SINGLE}
    assert after.steps == ()
