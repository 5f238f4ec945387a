"""Fittings: changes found on the body, tried on the draft, and the revisions made of them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from webapp.draft.evaluate import quotes_itself
from webapp.draft.fittings import ChoiceChange, FinishChange, FittingChange
from webapp.draft.fittings import with_change as with_change_in
from webapp.draft.names import name_key
from webapp.draft.recipe import BodyCheck, Choice, PieceRecipe, Recipe
from webapp.errors import FigureError, NotThereError, RecipeError
from webapp.plan.edits import changed, changed_one, free_id, in_step, with_garment, without
from webapp.plan.episode import Episode, Fitting, Revision
from webapp.plan.evaluate import draft_all
from webapp.plan.results import Plan
from webapp.plan.revisions import recorded, revision_now, same_garments
from webapp.remembered import Remembered, Same
from webapp.units import System, in_order

Status = Literal["note", "cannot be cut", "made"]
FIRST: Final = "First draft"
ALTERED: Final = "Changed on the draft page"
_problems: Final[Remembered[tuple[Same, System], tuple[str, ...]]] = Remembered(200)
_LONGEST_TITLE: Final = 80
_IS_MADE: Final = "A revision was made of this fitting, so its changes stay; write another fitting."


@dataclass(frozen=True)
class Trial:
    """The episode with a fitting's changes, not stored, and why it cannot be cut."""

    episode: Episode
    problems: tuple[str, ...]

    @property
    def can_be_cut(self) -> bool:
        """True when the changes add no problem to the draft."""
        return not self.problems


@dataclass(frozen=True)
class FittingPlan:
    """A fitting and what came of it: `why` it cannot be cut, the revision that was made of it."""

    fitting: Fitting
    status: Status
    why: tuple[str, ...] = ()
    revision: int | None = None


def fitting_plans(plan: Plan) -> tuple[FittingPlan, ...]:
    """Every fitting. One without changes is a note, and so is one that waits to be made."""
    return tuple(_planned(plan.episode, fitting) for fitting in plan.episode.fittings)


def _planned(episode: Episode, fitting: Fitting) -> FittingPlan:
    made = _made(episode, fitting.id)
    if made is not None:
        return FittingPlan(fitting, "made", revision=made.number)
    why: tuple[str, ...] = ()
    if fitting.changes:
        asked = Same((*episode.garments, episode.body, fitting))
        why = _problems.get((asked, episode.first_unit), lambda: tried(episode, fitting).problems)
    return FittingPlan(fitting, "cannot be cut" if why else "note", why)


# --- What is written down --------------------------------------------------------------------


def with_new_fitting(episode: Episode, title: str) -> Episode:
    """The episode with another fitting, the last. ValueError for a title that is empty or long."""
    taken = {fitting.id for fitting in episode.fittings}
    taken |= {revision.fitting for revision in episode.revisions}
    new = Fitting(id=free_id(title, taken), title=title)
    return changed(episode, fittings=(*episode.fittings, new))


def with_fitting(episode: Episode, fitting_id: str, edit: Callable[[Fitting], Fitting]) -> Episode:
    """The episode with one fitting edited.

    RecipeError when that alters the changes of a fitting that a revision was made of;
    NotThereError when there is no such fitting.
    """
    made = _made(episode, fitting_id) is not None

    def guarded(fitting: Fitting) -> Fitting:
        after = edit(fitting)
        if made and after.changes != fitting.changes:
            raise RecipeError(_IS_MADE)
        return after

    fittings = changed_one(episode.fittings, "id", fitting_id, guarded)
    return changed(episode, fittings=fittings)


def without_fitting(episode: Episode, fitting_id: str) -> Episode:
    """The episode without a fitting. RecipeError when a revision was made of it."""
    made = _made(episode, fitting_id)
    if made is not None:
        raise RecipeError(
            f"Revision {made.number} was made of this fitting, so it stays. Go back to an earlier "
            "revision if the draft should be as it was."
        )
    return changed(episode, fittings=without(episode.fittings, "id", fitting_id))


def with_change(episode: Episode, fitting_id: str, change: FittingChange) -> Episode:
    """The episode with one more change in a fitting; of one choice or edge the last one stands.

    RecipeError once a revision is made of it.
    """
    if _made(episode, fitting_id) is not None:
        raise RecipeError(_IS_MADE)

    def edit(fitting: Fitting) -> Fitting:
        kept = (one for one in fitting.changes if _of_what(one) != _of_what(change))
        return changed(fitting, changes=(*kept, change))

    return with_fitting(episode, fitting_id, edit)


def _of_what(change: FittingChange) -> object:
    """What a change is of; an added move is its own, also beside one like it."""
    if isinstance(change, ChoiceChange):
        return change.garment, name_key(change.choice)
    if isinstance(change, FinishChange):
        return change.garment, name_key(change.piece), name_key(change.edge)
    return id(change)


def without_change(episode: Episode, fitting_id: str, place: int) -> Episode:
    """The episode without the change at that place, from 0, of a fitting.

    RecipeError once a revision is made of the fitting; NotThereError when there is no such change.
    """

    def edit(fitting: Fitting) -> Fitting:
        if not 0 <= place < len(fitting.changes):
            raise NotThereError("That change is not there any more.")
        kept = (*fitting.changes[:place], *fitting.changes[place + 1 :])
        return changed(fitting, changes=kept)

    return with_fitting(episode, fitting_id, edit)


def fitting_called(episode: Episode, fitting_id: str) -> Fitting:
    """The fitting of that id. NotThereError if there is none."""
    for fitting in episode.fittings:
        if fitting.id == fitting_id:
            return fitting
    raise NotThereError("That fitting is not there any more.")


def _made(episode: Episode, fitting_id: str) -> Revision | None:
    """The revision that was made of a fitting."""
    return next((one for one in episode.revisions if one.fitting == fitting_id), None)


# --- What it would come to -------------------------------------------------------------------


def tried(episode: Episode, fitting: Fitting) -> Trial:
    """The episode with the fitting's changes, and what keeps it from being cut so.

    That is what the draft lacks with the changes and did not lack before, and each change of
    something that is not there; the other changes are tried all the same.
    """
    after, told = episode, []
    for change in fitting.changes:
        try:
            after = _with(after, change)
        except (RecipeError, NotThereError) as error:
            told.append(error.sentence)
    told += _misread(after, fitting)
    before = {
        problem.sentence
        for draft in draft_all(episode.garments, episode.body)
        for problem in draft.problems
    }
    told += (
        problem.sentence
        for draft in draft_all(after.garments, after.body)
        for problem in draft.problems
        if problem.sentence not in before
    )
    return Trial(after, tuple(in_order(one, episode.first_unit) for one in dict.fromkeys(told)))


def _with(episode: Episode, change: FittingChange) -> Episode:
    if change.garment not in (garment.id for garment in episode.garments):
        raise NotThereError("A garment that the fitting changes is not in the episode any more.")
    return with_garment(episode, change.garment, lambda recipe: with_change_in(recipe, change))


def _misread(after: Episode, fitting: Fitting) -> Iterator[str]:
    """What is wrong with a change even where the draft was wrong in the same way before."""
    drafts = {draft.recipe.id: draft for draft in draft_all(after.garments, after.body)}
    for change in fitting.changes:
        if isinstance(change, ChoiceChange):
            try:
                if why := quotes_itself(change.choice, change.value):
                    yield why
            except FigureError as error:
                yield f"{change.choice}: {error.sentence}"
        elif isinstance(change, FinishChange) and change.garment in drafts:
            for piece in drafts[change.garment].pieces:
                edges = {name_key(edge) for edge in piece.outline.names}
                is_its = name_key(piece.name) == name_key(change.piece)
                if is_its and name_key(change.edge) not in edges:
                    yield f"{piece.name} has no edge “{change.edge}” to finish."


# --- What is made of it ----------------------------------------------------------------------


def with_fitting_made(episode: Episode, fitting_id: str) -> Episode:
    """The episode with the fitting's changes in its draft, recorded as the next revision.

    Before it the draft as it stood is recorded: as the first revision, or when it was changed
    since the last one. RecipeError with the first reason why it cannot be cut, when it changes
    nothing, or when it is made already; NotThereError when there is no such fitting.
    """
    fitting = fitting_called(episode, fitting_id)
    if _made(episode, fitting_id) is not None:
        raise RecipeError("A revision was made of this fitting already.")
    if not fitting.changes:
        raise RecipeError("This fitting changes nothing in the draft yet; add a change first.")
    trial = tried(episode, fitting)
    if trial.problems:
        raise RecipeError(trial.problems[0])
    before = _with_now_recorded(episode)
    after = changed(trial.episode, revisions=before.revisions)
    return _with_recorded(after, fitting.title, fitting=fitting.id)


def with_draft_back(episode: Episode, number: int) -> Episode:
    """The episode with its draft as it was in a revision, recorded as the next revision.

    A draft that was changed since the last revision is recorded first. Taken from the revision is
    everything that drafting needs: measures asked for, choices, seam allowance, pieces, seams,
    checks, finished measures, and the garments that were taken away since. What is written stays
    as it is now: names and summaries of garments, reasons, notes, and the steps, of which only
    the work is taken from the revision where it had them. The body stays, and so do notions,
    cloths, shots and garments that were added since; an other cloth keeps its figures for the
    choices that the draft has again.

    NotThereError when it is not recorded; RecipeError when the draft is as it was then already;
    ValueError when a garment that was added since has a name that is needed again.
    """
    then = next((one for one in episode.revisions if one.number == number), None)
    if then is None:
        raise NotThereError(f"There is no revision {number}.")
    garments = _taken_back(then, episode)
    if same_garments(garments, episode.garments):
        raise RecipeError(f"The draft is as it was in revision {number} already.")
    after = changed(
        _with_now_recorded(episode), garments=garments, other_cloths=in_step(episode, garments)
    )
    return _with_recorded(after, f"Back to {then.title}"[:_LONGEST_TITLE], back_to=number)


def _with_now_recorded(episode: Episode) -> Episode:
    """The episode with its draft recorded, if the last revision is not the same."""
    return _with_recorded(episode, ALTERED if episode.revisions else FIRST)


def _with_recorded(
    episode: Episode, title: str, *, fitting: str = "", back_to: int | None = None
) -> Episode:
    now = revision_now(episode)
    if now is None and not fitting and back_to is None:
        return episode
    last = recorded(episode)
    now = now or changed(last[-1], number=last[-1].number + 1, body=episode.body)
    new = changed(now, title=title, fitting=fitting, back_to=back_to)
    return changed(episode, revisions=(*episode.revisions, new))


def _taken_back(then: Revision, episode: Episode) -> tuple[Recipe, ...]:
    """The garments of a revision as they are worded now, and those that were added since."""
    there = {garment.id: garment for garment in episode.garments}
    known = {garment.id for garment in then.garments}
    return (
        *(_as_worded(one, there[one.id]) if one.id in there else one for one in then.garments),
        *(garment for garment in episode.garments if garment.id not in known),
    )


def _as_worded(then: Recipe, now: Recipe) -> Recipe:
    """The garment as it was drafted then, with the words of now."""
    choices = {name_key(choice.name): choice for choice in now.choices}
    pieces = {name_key(piece.name): piece for piece in now.pieces}
    checks = {name_key(check.name): check for check in now.checks}
    works = {step.id: step.work for step in then.steps}

    def choice(one: Choice) -> Choice:
        worded = choices.get(name_key(one.name))
        return changed(one, reason=worded.reason) if worded else one

    def piece(one: PieceRecipe) -> PieceRecipe:
        worded = pieces.get(name_key(one.name))
        return changed(one, note=worded.note) if worded else one

    def check(one: BodyCheck) -> BodyCheck:
        worded = checks.get(name_key(one.name))
        return changed(one, why=worded.why) if worded else one

    return changed(
        now,
        measures=then.measures,
        choices=tuple(map(choice, then.choices)),
        seam_allowance=then.seam_allowance,
        pieces=tuple(map(piece, then.pieces)),
        seams=then.seams,
        checks=tuple(map(check, then.checks)),
        finished=then.finished,
        steps=tuple(changed(step, work=works.get(step.id, step.work)) for step in now.steps),
    )
