"""The companion's figures by size: bodies and finished garments, and how to find one's size."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from webapp.draft.measures import MEASURES
from webapp.draft.names import listed
from webapp.draft.recipe import Body
from webapp.draft.size_advice import Ease, eases_of
from webapp.handouts.companion_view import MeasureToTake, SizeTable
from webapp.plan.results import Plan, SizePlan
from webapp.units import both_as_cut, parse_length

_SAME_MM: Final = 0.01


def is_printed(plan: Plan, size: str) -> bool:
    """Whether a size stands in the sheet's tables: one of those chosen, or the one drawn."""
    chosen = {name.lower() for name in plan.episode.print_choices.sizes}
    return not chosen or size == plan.episode.body.name or size.lower() in chosen


def sizes_printed(plan: Plan) -> tuple[SizePlan, ...]:
    """The sizes that stand in the tables, from small to large.

    By the sum of the measures that the garments ask for, as far as every size has them: one that
    is smaller in each comes before. Those alike stay in the order of the episode.
    """
    sizes = [size for size in plan.sizes if is_printed(plan, size.body.name)]
    measured = [_body_mm(size.body) for size in sizes]
    names = [name for name in _measure_names(plan) if all(name in mm for mm in measured)]
    sums = {s.body.name: sum(mm[n] for n in names) for s, mm in zip(sizes, measured, strict=True)}
    return tuple(sorted(sizes, key=lambda size: sums[size.body.name]))


def places_of(plan: Plan) -> dict[str, int]:
    """The place of every size in the tables."""
    return {size.body.name: place for place, size in enumerate(sizes_printed(plan))}


def size_tables(plan: Plan) -> Iterator[SizeTable]:
    """Body measures by size when there are sizes, then each garment's finished measures."""
    sizes = sizes_printed(plan)
    bodies = [size.body for size in sizes]
    wanted = _measure_names(plan)
    if wanted and len(sizes) > 1:
        yield _table("Choose a size by your body", wanted, bodies, [_body_mm(b) for b in bodies])
    for draft in plan.drafts:
        names = tuple(m.name for m in draft.recipe.finished if m.name in draft.finished_mm)
        if names:
            several = len(plan.drafts) > 1
            title = f"Finished: {draft.recipe.name}" if several else "Finished measures"
            figures = [size.finished_mm for size in sizes]
            alike = tuple(name for name in names if _same(name, figures))
            table = _table(title, tuple(n for n in names if n not in alike), bodies, figures)
            yield replace(table, alike=tuple((name, figures[0][name]) for name in alike))


def _same(name: str, figures: Sequence[Mapping[str, float]]) -> bool:
    """Whether a figure is the same in every size, of several."""
    found = [row.get(name) for row in figures]
    first = found[0]
    if len(found) < 2 or first is None:
        return False
    return all(mm is not None and abs(mm - first) < _SAME_MM for mm in found)


def _table(
    title: str,
    columns: tuple[str, ...],
    bodies: Sequence[Body],
    figures: Sequence[Mapping[str, float]],
) -> SizeTable:
    rows = tuple(
        (body.name, tuple(row.get(column) for column in columns))
        for body, row in zip(bodies, figures, strict=True)
    )
    return SizeTable(title, columns, rows)


def measures(plan: Plan) -> Iterator[MeasureToTake]:
    """Every measure a garment is drafted from, in the order it is first asked for."""
    ours = _body_mm(plan.episode.body)
    for name in _measure_names(plan):
        how = MEASURES[name].how if name in MEASURES else ""
        yield MeasureToTake(name, how, ours.get(name))


def how_to_choose(plan: Plan) -> Iterator[str]:
    """How a viewer with a tape finds her size in the tables, a sentence or two a step."""
    names = _measure_names(plan)
    if not names or len(sizes_printed(plan)) < 2:
        return
    yield (
        "Measure yourself over what you will wear beneath it, the tape level and not pulled, and "
        "write your figures beside ours."
    )
    yield (
        f"In the table below mark{', for each measure,' if len(names) > 1 else ''} the smallest "
        f"{'figure' if len(names) > 1 else names[0]} that is not less than yours."
    )
    if len(names) > 1:
        yield (
            "Make the first size, going down the table, of which no figure is less than yours: "
            "the largest that you marked, or, where their figures cross, one below it."
        )
    yield from _between(plan, names)


def _between(plan: Plan, names: Sequence[str]) -> Iterator[str]:
    """What the smaller of two sizes would do: by the ease that the draft gives a measure."""
    first = plan.episode.first_unit
    eases: dict[str, Ease] = {}
    for draft in plan.drafts:
        eases = eases_of(draft) | eases
    roomy = [name for name in names if name in eases]
    if not roomy:
        yield "Between two sizes, take the larger."
        return
    room = listed([f"{both_as_cut(eases[name].mm, first)} at the {name}" for name in roomy])
    tight = [f"the {name}" for name in names if name not in eases]
    held = f" Do not go below what you marked for {listed(tight)}." if tight else ""
    yield (
        f"Between two sizes take the larger, or, if you like it closer, the smaller: the draft "
        f"gives {room} for room to move, and what you measure over the smaller size comes off "
        f"that.{held}"
    )


def _measure_names(plan: Plan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for draft in plan.drafts for name in draft.recipe.measures))


def _body_mm(body: Body) -> dict[str, float]:
    found = {}
    for name, text in body.measures.items():
        try:
            found[name] = parse_length(text, None).mm
        except ValueError:
            continue  # the plan's loose threads tell it
    return found
