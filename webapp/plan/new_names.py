"""A piece, a choice, a seam or a finished measure gets another name, and what quotes it follows.

A new name changes words only: RecipeError when it is taken, or when a figure or a text would mean
something else by it. What is recorded of earlier drafts follows where it can, and refuses nothing.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from itertools import product
from typing import Final, Literal, TypeVar

from pydantic import BaseModel, ValidationError

from webapp.cloth.cloths import KeptWay, KeptWays, OtherCloth
from webapp.draft.fittings import FittingChange
from webapp.draft.measures import MEASURES
from webapp.draft.names import name_key
from webapp.draft.recipe import RESERVED, FinishedMeasure, Recipe, refuse_twins
from webapp.errors import NotThereError, RecipeError, SeamslateError
from webapp.plan.edits import changed, changed_one, with_garment
from webapp.plan.episode import Episode, Revision
from webapp.plan.evaluate import evaluate
from webapp.plan.kept_ways import draft_key, table_asked
from webapp.plan.renaming import Renaming, live_names
from webapp.plan.results import Plan

Model = TypeVar("Model", bound=BaseModel)
Record = TypeVar("Record", Revision, FittingChange)
NamedPart = Literal["choices", "seams", "finished"]
Renamer = Callable[[Episode, str, str, str], Episode]  # garment, old name, new name
_CALLED: Final[Mapping[NamedPart, str]] = {
    "choices": "choice",
    "seams": "seam",
    "finished": "finished measure",
}
_OTHER_MEANING: Final = (
    "Somewhere in the plan this name is quoted and means something else; choose another one."
)


def refuse_piece_name(episode: Episode, name: str, old: str = "") -> None:
    """RecipeError when a piece of the episode is called so; it is quoted by this name alone."""
    for garment in episode.garments:
        for piece in garment.pieces:
            if name_key(piece.name) == name_key(name) != name_key(old):
                raise RecipeError(
                    f"{garment.name} has a piece called “{piece.name}” already; choose another "
                    "name."
                )


def refuse_name(episode: Episode, garment: str, part: NamedPart, name: str, old: str = "") -> None:
    """RecipeError when one of these parts of the garment cannot be called so.

    A choice must not be called as a measure or a word of figures; none is called as another of
    the garment is, and no seam as one of any garment, for a step names it alone.
    """
    key = name_key(name)
    if key == name_key(old):
        return
    if part == "choices" and key in RESERVED:
        raise RecipeError(f"“{name}” has a meaning of its own in figures; choose another name.")
    if part == "choices" and key in MEASURES:
        raise RecipeError(f"“{name}” is a measure of the body; choose another name.")
    for recipe in episode.garments if part == "seams" else (_recipe(episode, garment),):
        if key in (name_key(one.name) for one in getattr(recipe, part)):
            raise RecipeError(
                f"There is a {_CALLED[part]} called “{name}” already; choose another name."
            )


def with_piece_name(episode: Episode, garment: str, old: str, new: str) -> Episode:
    """The episode with a piece called otherwise. What was laid of it is kept: lays, and ways."""
    if old not in (piece.name for piece in _recipe(episode, garment).pieces):
        raise NotThereError(f"There is no piece “{old}” any more.")
    refuse_piece_name(episode, new, old)
    after = _followed_everywhere(Renaming(pieces={name_key(old): new}), episode)
    plan, now = evaluate(episode), evaluate(after)
    _refuse_other_figures(plan, now)
    keys = dict(zip(_laid_keys(plan), _laid_keys(now), strict=True))
    lays = (changed(lay, key=keys.get(lay.key, lay.key)) for lay in after.kept_lays)
    ways = (_told_of(table, old, new) for table in after.kept_ways if table.key in keys)
    told = {table.cloth: changed(table, key=keys[table.key]) for table in ways}
    kept = tuple(told.get(table.cloth, table) for table in after.kept_ways)
    return changed(after, kept_lays=tuple(lays), kept_ways=kept)


def _laid_keys(plan: Plan) -> list[str]:
    """The keys of its lays and of its tables of ways, which hold the pieces' names."""
    tabled = {table.cloth for table in plan.episode.kept_ways}
    cloths = [cloth for cloth in plan.episode.cloths if cloth.name in tabled]
    ways = (draft_key(table_asked(plan, cloth)) for cloth in cloths)
    return [*(lay.key for lay in plan.lays), *ways]


def _told_of(table: KeptWays, old: str, new: str) -> KeptWays:
    """The table whose reasons name the piece as it is called now."""
    name = re.compile(rf"(?<!\w){re.escape(old)}(?!\w)")

    def told(way: KeptWay) -> KeptWay:
        problem, *why_more = (name.sub(lambda _: new, one) for one in (way.problem, *way.why_more))
        return changed(way, problem=problem, why_more=tuple(why_more))

    widths = tuple(
        changed(width, sizes=tuple(tuple(map(told, size)) for size in width.sizes))
        for width in table.widths
    )
    return changed(table, widths=widths)


def with_choice_name(episode: Episode, garment: str, old: str, new: str) -> Episode:
    """The episode with a choice called otherwise; another garment's of that name is another."""
    recipe = _recipe(episode, garment)
    refuse_name(episode, garment, "choices", new, old)
    names, living = {name_key(old): new}, without_records(episode)

    def own(one: Recipe) -> Recipe:
        if old not in (choice.name for choice in one.choices):
            raise NotThereError(f"There is no choice “{old}” any more.")
        return followed(Renaming(choices=names), one)

    def its_change(one: FittingChange) -> FittingChange:
        return followed(Renaming(choices=names), one) if one.garment == garment else one

    after = changed(living, other_cloths=_on_cloths(living, garment, Renaming(choices=names)))
    after = with_garment(after, garment, own)
    after = _told_otherwise(after, living, recipe, "choices", names)
    after = with_records(after, episode, partial(_in_garment, garment, own), its_change)
    refuse_other_meanings(episode, after)
    return after


def _on_cloths(episode: Episode, garment: str, renaming: Renaming) -> tuple[OtherCloth, ...]:
    """The other cloths with new names in the figures they give to this garment's choices."""
    return tuple(
        changed(
            cloth,
            choices=tuple(
                followed(renaming, one) if one.garment == garment else one for one in cloth.choices
            ),
        )
        for cloth in episode.other_cloths
    )


def with_seam_name(episode: Episode, garment: str, old: str, new: str) -> Episode:
    """The episode with a seam called otherwise, and the work on it."""
    others = [s.name for one in episode.garments if one.id != garment for s in one.seams]
    if old not in (seam.name for seam in _recipe(episode, garment).seams):
        raise NotThereError(f"There is no seam “{old}” any more.")
    refuse_name(episode, garment, "seams", new, old)
    renaming = Renaming(seams={name_key(old): new})
    if name_key(old) in map(name_key, others):  # in a file edited by hand
        own = partial(followed, renaming)
        after = with_garment(without_records(episode), garment, own)
        after = with_records(after, episode, partial(_in_garment, garment, own))
    else:
        after = _followed_everywhere(renaming, episode)
    refuse_other_meanings(episode, after)
    return after


def with_finished_name(episode: Episode, garment: str, old: str, new: str) -> Episode:
    """The episode with a finished measure called otherwise, and the texts that quote it."""
    recipe = _recipe(episode, garment)
    refuse_name(episode, garment, "finished", new, old)

    def own(one: Recipe) -> Recipe:
        def called(measure: FinishedMeasure) -> FinishedMeasure:
            return changed(measure, name=new)

        return changed(one, finished=changed_one(one.finished, "name", old, called))

    living = without_records(episode)
    after = with_garment(living, garment, own)
    after = _told_otherwise(after, living, recipe, "finished", {name_key(old): new})
    after = with_records(after, episode, partial(_in_garment, garment, own))
    refuse_other_meanings(episode, after)
    return after


def followed(renaming: Renaming, value: Model) -> Model:
    """The value with new names. RecipeError when something that quotes one cannot hold it."""
    try:
        found: Model = renaming.of(value)
    except ValidationError as error:
        kinds = {one["type"] for one in error.errors()}
        if not kinds <= {"string_too_long", "string_pattern_mismatch"}:
            raise
        raise RecipeError(
            "A text or a step quotes it and cannot hold this name; choose a shorter one, in plain "
            "words."
        ) from None
    return found


def refuse_other_meanings(before: Episode, after: Episode) -> None:
    """RecipeError when the two do not come to the same figures, everywhere."""
    _refuse_other_figures(evaluate(before), evaluate(after))


def _refuse_other_figures(one: Plan, other: Plan) -> None:
    quoted, quoted_now = [*_quoted(one)], [*_quoted(other)]
    # A quote that had no figure may have one now: that is what a name can be changed for.
    if (
        len(quoted) != len(quoted_now)  # the name holds braces, and is more than one quote
        or any(mm not in (None, now) for mm, now in zip(quoted, quoted_now, strict=True))
        or _figures(one) != _figures(other)
    ):
        raise RecipeError(_OTHER_MEANING)


def _recipe(episode: Episode, garment: str) -> Recipe:
    for recipe in episode.garments:
        if recipe.id == garment:
            return recipe
    raise NotThereError("That garment is not part of the episode any more.")


# --- What a name without a full stop means in a text -----------------------------------------


def _told_otherwise(
    after: Episode, before: Episode, owner: Recipe, part: NamedPart, names: Mapping[str, str]
) -> Episode:
    """The texts that mean this figure of the owner's; its own have followed a choice already."""
    (key,) = names
    renaming, meant = Renaming(told=names), (owner.id, part)
    readers = [one for one in before.garments if _meant(before, key, one) == meant]
    ids = {one.id for one in readers} - ({owner.id} if part == "choices" else set())
    their_steps = {step.id for one in readers for step in one.steps}
    all_steps = {step.id for one in before.garments for step in one.steps}
    for_all = _meant(before, key) == meant
    rest = changed(after, garments=(), shots=())
    if for_all:  # a notion's figures mean what its texts mean
        figures = Renaming(choices=names)
        rest = followed(renaming, rest)
        rest = changed(rest, notions=figures.of(rest.notions))
    return changed(
        rest,
        garments=tuple(followed(renaming, g) if g.id in ids else g for g in after.garments),
        shots=tuple(
            followed(renaming, shot)
            if shot.step in their_steps or (for_all and shot.step not in all_steps)
            else shot
            for shot in after.shots
        ),
    )


def _meant(
    episode: Episode, key: str, reader: Recipe | None = None
) -> tuple[str, NamedPart] | None:
    """Whose figure a text of a garment, or of no garment, means: as `plan.figures` finds it."""
    is_measure = key in (name_key(name) for name in episode.body.measures)
    parts: tuple[NamedPart, ...] = ("choices", "finished")
    for garments in ((reader,) if reader else (), episode.garments):
        for part, recipe in product(parts, garments):
            if key in (name_key(one.name) for one in getattr(recipe, part)):
                return recipe.id, part
            if is_measure:  # it comes next to the choices of the first who is asked
                return None
    return None


# --- What is recorded ------------------------------------------------------------------------


def without_records(episode: Episode) -> Episode:
    """The episode as it is renamed: its revisions and fittings are by `with_records`."""
    return changed(episode, revisions=(), fittings=())


def with_records(
    after: Episode,
    before: Episode,
    revise: Callable[[Revision], Revision],
    change: Callable[[FittingChange], FittingChange] = lambda one: one,
) -> Episode:
    """The renamed episode with the revisions and fittings of the one before, renamed likewise.

    A revision that cannot take the new name keeps the old one, and so do the changes of a fitting
    that a revision was made of. RecipeError when another fitting cannot hold it.
    """
    made = {revision.fitting for revision in before.revisions}
    fittings = []
    for fitting in before.fittings:
        follow = partial(_where_it_can, change) if fitting.id in made else change
        changes = tuple(follow(one) for one in fitting.changes)
        fittings.append(changed(fitting, changes=changes))
    revisions = tuple(_where_it_can(revise, one) for one in before.revisions)
    return changed(after, revisions=revisions, fittings=tuple(fittings))


def _where_it_can(follow: Callable[[Record], Record], record: Record) -> Record:
    try:
        found = follow(record)
        if isinstance(found, Revision):
            refuse_twins("piece", [p.name for one in found.garments for p in one.pieces])
    except (SeamslateError, ValueError):
        return record
    return found


def _followed_everywhere(renaming: Renaming, episode: Episode) -> Episode:
    after = followed(renaming, without_records(episode))
    return with_records(after, episode, partial(followed, renaming), partial(followed, renaming))


def _in_garment(garment: str, edit: Callable[[Recipe], Recipe], revision: Revision) -> Revision:
    return changed(revision, garments=changed_one(revision.garments, "id", garment, edit))


# --- What a plan comes to --------------------------------------------------------------------


def _quoted(plan: Plan) -> Iterator[float | None]:
    """What each live figure of the plan comes to, mm, in the order of the texts."""
    episode = plan.episode
    rest = episode.shots
    for draft in plan.drafts:
        steps = {step.id for step in draft.recipe.steps}
        own = tuple(shot for shot in rest if shot.step in steps)
        rest = tuple(shot for shot in rest if shot.step not in steps)
        yield from _lengths((draft.recipe, own), plan.figures_for(draft))
    yield from _lengths(
        (changed(episode, garments=(), shots=(), revisions=()), rest), plan.figures_mm
    )


def _lengths(texts: tuple[object, ...], figures_mm: Mapping[str, float]) -> Iterator[float | None]:
    for name in live_names(texts):
        yield figures_mm.get(name_key(name))


def _figures(plan: Plan) -> list[object]:
    """Every figure that is drafted or computed, without its name."""
    drafted = [
        (
            list(draft.names.values()),
            [(seam.one_mm, seam.other_mm, seam.eased_mm) for seam in draft.seams],
            [(check.garment_mm, check.at_least_mm) for check in draft.checks],
            list(draft.finished_mm.values()),
            len(draft.problems),
        )
        for draft in plan.drafts
    ]
    return [*drafted, *((step.work, step.waits, not step.problem) for step in plan.steps)]
