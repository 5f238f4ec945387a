"""Edits of an episode: each takes the episode and returns a new one, checked as a whole.

A ValueError (pydantic's included) carries the sentence for the form; nothing is changed then.
"""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel

from webapp.build.steps import in_order
from webapp.cloth.cloths import OtherCloth
from webapp.draft.construction import Step, Work
from webapp.draft.limits import grown_no_more
from webapp.draft.names import name_key
from webapp.draft.recipe import Body, Choice, PieceRecipe, Recipe
from webapp.draft.sizes import SizeChart
from webapp.errors import NotThereError
from webapp.filming.shots import Filmed, Shot
from webapp.plan.episode import Episode

Model = TypeVar("Model", bound=BaseModel)


def changed(model: Model, **changes: Any) -> Model:
    """A copy with some fields changed, validated again.

    What is beyond a limit stays, as in a plan from before there was one, and grows no more.
    """
    fields = {name: getattr(model, name) for name in type(model).model_fields}
    return grown_no_more(type(model), {**fields, **changes}, fields)


def changed_one(
    items: tuple[Model, ...], key: str, value: str, edit: Callable[[Model], Model]
) -> tuple[Model, ...]:
    """The items with the one whose `key` is `value` edited. NotThereError if there is none."""
    if not any(getattr(item, key) == value for item in items):
        raise NotThereError(f"“{value}” is not there any more.")
    return tuple(edit(item) if getattr(item, key) == value else item for item in items)


def without(items: tuple[Model, ...], key: str, value: str) -> tuple[Model, ...]:
    """The items without the one whose `key` is `value`. NotThereError if there is none."""
    kept = tuple(item for item in items if getattr(item, key) != value)
    if len(kept) == len(items):
        raise NotThereError(f"“{value}” is not there any more.")
    return kept


def shifted(items: tuple[Model, ...], place: int, by: int) -> tuple[Model, ...]:
    """The items with the one at `place` moved by so many places, stopping at the ends."""
    if not 0 <= place < len(items):
        raise NotThereError("What was to be moved is not there any more.")
    rest = [*items[:place], *items[place + 1 :]]
    rest.insert(max(0, min(len(rest), place + by)), items[place])
    return tuple(rest)


def garment_of(episode: Episode, garment: str) -> Recipe:
    """The garment of that id. NotThereError if there is none."""
    for one in episode.garments:
        if one.id == garment:
            return one
    raise NotThereError(f"“{garment}” is not there any more.")


def with_garment(episode: Episode, garment: str, edit: Callable[[Recipe], Recipe]) -> Episode:
    """The episode with one garment's recipe edited."""
    garments = changed_one(episode.garments, "id", garment, edit)
    return changed(episode, garments=garments, other_cloths=in_step(episode, garments))


def in_step(episode: Episode, garments: Sequence[Recipe]) -> tuple[OtherCloth, ...]:
    """The other cloths without the figures of choices that these garments do not have (any more).

    So a choice that comes later by an old name is not given a figure that was never meant for it.
    """
    if not episode.other_cloths:
        return ()
    known = {(one.id, name_key(choice.name)) for one in garments for choice in one.choices}
    return tuple(
        changed(
            cloth,
            choices=tuple(c for c in cloth.choices if (c.garment, name_key(c.choice)) in known),
        )
        for cloth in episode.other_cloths
    )


def with_piece(
    episode: Episode, garment: str, piece: str, edit: Callable[[PieceRecipe], PieceRecipe]
) -> Episode:
    """The episode with one piece's recipe edited."""
    return with_garment(
        episode,
        garment,
        lambda recipe: changed(recipe, pieces=changed_one(recipe.pieces, "name", piece, edit)),
    )


def with_choice(episode: Episode, garment: str, choice: str, value: str) -> Episode:
    """The episode with a choice set to a figure."""

    def edit(recipe: Recipe) -> Recipe:
        def set_value(one: Choice) -> Choice:
            return changed(one, value=value)

        return changed(recipe, choices=changed_one(recipe.choices, "name", choice, set_value))

    return with_garment(episode, garment, edit)


def with_step(episode: Episode, step_id: str, edit: Callable[[Step], Step]) -> Episode:
    """The episode with one step edited, whichever garment it belongs to."""
    for garment in episode.garments:
        if any(step.id == step_id for step in garment.steps):
            return with_garment(
                episode,
                garment.id,
                lambda recipe: changed(
                    recipe, steps=changed_one(recipe.steps, "id", step_id, edit)
                ),
            )
    raise NotThereError(f"There is no step “{step_id}” any more.")


def with_work(step: Step, new: Work) -> Step:
    """The step with more work: on the same kind of work it has, or as another kind of its own.

    An edge that is named again is worked on as often as it is said now.
    """

    def how(work: Work) -> Work:
        return changed(work, pieces=(), seams=(), edges=())

    for at, one in enumerate(step.work):
        if one.minutes is None and how(one) == how(new):
            again = {name_key(use.edge) for use in new.edges}
            kept = tuple(use for use in one.edges if name_key(use.edge) not in again)
            more = changed(
                one,
                pieces=_each_once(one.pieces + new.pieces),
                seams=_each_once(one.seams + new.seams),
                edges=(*kept, *new.edges),
            )
            return changed(step, work=(*step.work[:at], more, *step.work[at + 1 :]))
    return changed(step, work=(*step.work, new))


def _each_once(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple({name_key(name): name for name in reversed(names)}.values())[::-1]


def with_steps_in_order(episode: Episode) -> Episode:
    """The episode with each step listed after those it waits on.

    A step that stood before its time follows right after the last of them; all else stays where
    it is. StepOrderError when steps wait on each other in a circle.
    """
    listed = in_order([step for garment in episode.garments for step in garment.steps])

    def edit(recipe: Recipe) -> Recipe:
        own = {step.id for step in recipe.steps}
        return changed(recipe, steps=tuple(step for step in listed if step.id in own))

    return changed(episode, garments=tuple(edit(garment) for garment in episode.garments))


def with_measure(body: Body, measure: str, text: str) -> Body:
    """The body with a measure set, or taken away when the text is empty."""
    if text:
        return changed(body, measures={**body.measures, measure: text})
    measures = {name: value for name, value in body.measures.items() if name != measure}
    return with_copied(changed(body, measures=measures), measure, False)


def with_copied(body: Body, measure: str, copied: bool) -> Body:
    """The body with a measure said to be copied from a garment that fits, or not to be."""
    others = tuple(name for name in body.copied if name != measure)
    return changed(body, copied=(*others, measure) if copied else others)


def with_sizes(
    episode: Episode, chart: SizeChart, names: Sequence[str], *, rest_of_body: bool
) -> Episode:
    """The episode with these sizes of a chart.

    A size it has by that name is given the chart's figures and keeps its others. A new one takes
    from the body on camera, if `rest_of_body`, what the chart gives for no size at all: what it
    gives for other sizes would be far off. In the chart's order when all are its.
    """
    sizes = {body.name: body for body in episode.sizes}
    for name in names:
        fresh = Body(name=name)
        if rest_of_body:
            fresh = changed(episode.body, name=name)
            for measure in chart.measures:
                fresh = with_measure(fresh, measure, "")
        body = sizes.get(name, fresh)
        for measure, text in chart.row(name).body().measures.items():
            body = with_copied(with_measure(body, measure, text), measure, False)
        sizes[name] = body
    order = [row.name for row in chart.rows]
    bodies = list(sizes.values())
    if all(body.name in order for body in bodies):
        bodies.sort(key=lambda body: order.index(body.name))
    return changed(episode, sizes=tuple(bodies))


def with_bodies(episode: Episode, body: Body, sizes: Sequence[Body]) -> Episode:
    """The episode on that body with those sizes; what is printed follows a name that changed.

    As many sizes as before are the same ones, edited; otherwise they are known by their names.
    """
    before, after = (episode.body, *episode.sizes), (body, *sizes)
    old = before if len(before) == len(after) else after
    called = {was.name.lower(): now.name for was, now in zip(old, after, strict=True)}
    choices = episode.print_choices.for_bodies(called)
    return changed(episode, body=body, sizes=tuple(sizes), print_choices=choices)


def in_size(episode: Episode, name: str) -> Episode:
    """The episode drafted on the body of that name; the others follow as further sizes.

    What was said in filmed shots is of the body on camera, so it is left out for another.
    NotThereError lists the sizes there are.
    """
    bodies = (episode.body, *episode.sizes)
    for body in bodies:
        if body is episode.body and body.name.lower() == name.lower():
            return episode
        if body.name.lower() == name.lower():
            others = tuple(b for b in bodies if b is not body)
            shots = tuple(map(_without_words, episode.shots))
            return changed(episode, body=body, sizes=others, shots=shots)
    known = ", ".join(body.name for body in bodies)
    raise NotThereError(f"There is no size “{name}” in this episode; it has {known}.")


def as_printed(episode: Episode) -> Episode:
    """The episode as its sheets for viewers are printed: drawn for the size and unit chosen.

    A size that is no longer there is passed over: the body on camera stands in for it.
    """
    choices = episode.print_choices
    first = choices.first_unit or episode.first_unit
    printed = episode if first == episode.first_unit else changed(episode, first_unit=first)
    wanted = choices.drawn_for.lower()
    known = any(body.name.lower() == wanted for body in (episode.body, *episode.sizes))
    return in_size(printed, wanted) if known else printed


def _without_words(shot: Shot) -> Shot:
    """The shot filmed on the same day, and nothing kept of what was said."""
    if shot.earlier:
        shot = changed(shot, earlier=None)
    return changed(shot, filmed=Filmed(day=shot.filmed.day)) if shot.filmed else shot


def free_id(wanted: str, taken: set[str]) -> str:
    """An id made of the words typed, with a number behind it when it is taken."""
    base = "-".join("".join(c if c.isascii() and c.isalnum() else " " for c in wanted).split())
    base = base.lower()[:56] or "new"
    number, candidate = 1, base
    while candidate in taken:
        number += 1
        candidate = f"{base}-{number}"
    return candidate
