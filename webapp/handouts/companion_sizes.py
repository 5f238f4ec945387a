"""The companion's figures by size: bodies and finished garments."""

from collections.abc import Iterator, Mapping, Sequence

from webapp.draft.measures import MEASURES
from webapp.draft.recipe import Body
from webapp.handouts.companion_view import MeasureToTake, SizeTable
from webapp.plan.results import Plan
from webapp.units import parse_length


def size_tables(plan: Plan) -> Iterator[SizeTable]:
    """Body measures by size when there are sizes, then each garment's finished measures."""
    bodies = [size.body for size in plan.sizes]
    wanted = _measure_names(plan)
    if wanted and plan.episode.sizes:
        yield _table("Choose a size by your body", wanted, bodies, [_body_mm(b) for b in bodies])
    for draft in plan.drafts:
        names = tuple(m.name for m in draft.recipe.finished if m.name in draft.finished_mm)
        if names:
            several = len(plan.drafts) > 1
            title = f"Finished: {draft.recipe.name}" if several else "The finished garment"
            yield _table(title, names, bodies, [size.finished_mm for size in plan.sizes])


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
