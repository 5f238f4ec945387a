"""The companion: the printed handout that lets a viewer make what the episode shows.

`companion_of` works out what to show, the templates below templates/handouts/ say how.
"""

from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from itertools import groupby

from markupsafe import Markup

from webapp.build.work_time import Estimate, total
from webapp.filming.figures import render
from webapp.handouts.cautions import CAUTIONS, cautions_for
from webapp.handouts.companion_cloth import cloth_to_buy, without_lay
from webapp.handouts.companion_notions import notions_to_have
from webapp.handouts.companion_other_cloths import other_cloths
from webapp.handouts.companion_pieces import garment_sheets, laying, matching
from webapp.handouts.companion_sizes import (
    how_to_choose,
    is_printed,
    measures,
    size_tables,
    sizes_printed,
)
from webapp.handouts.companion_view import (
    ChangedSince,
    ClothToBuy,
    Companion,
    EditionLine,
    StepRun,
    StepSheet,
    TimeToMake,
)
from webapp.handouts.difficulty import difficulty_of
from webapp.handouts.garment_cover import cover_of
from webapp.handouts.glossary import terms_in
from webapp.handouts.printing import PaperName, pdf_of
from webapp.handouts.step_diagrams import step_drawing
from webapp.handouts.templating import render as fill
from webapp.plan.editions import EditionState, edition_state
from webapp.plan.misleading import misleading_threads
from webapp.plan.results import Plan, StepPlan


def companion_pdf(
    plan: Plan, paper: PaperName | None = None, edition: EditionState | None = None
) -> bytes:
    """The companion as a PDF, the same bytes for the same plan.

    Without `paper` it is on the one that was chosen. `edition` is the episode's where the plan is
    drawn for another size: see `companion_of`.
    PdfToolsMissingError when this computer cannot print PDF files.
    """
    return pdf_of(companion_html(plan, paper, edition))


def companion_html(
    plan: Plan, paper: PaperName | None = None, edition: EditionState | None = None
) -> str:
    """The companion as one HTML document that leans on the style sheets below /static/css/."""
    return fill("handouts/companion.html", companion_of(plan, paper, edition))


def companion_of(
    plan: Plan, paper: PaperName | None = None, edition: EditionState | None = None
) -> Companion:
    """Everything the companion of this plan shows.

    `edition` is the state of the episode with its own body on camera; without it that of the plan,
    which does not compare the figures of the body on camera when it is drawn for another size.
    """
    episode = plan.episode
    edition = edition or edition_state(plan)
    cloths = tuple(cloth_to_buy(lay, plan) for lay in plan.lays)
    sheet = Companion(
        paper=paper or episode.print_choices.paper_for(episode.first_unit),
        channel=episode.channel,
        issue=issue_of(plan),
        title=episode.title,
        edition=_edition(edition, plan),
        promise=render(episode.brief.promise, plan.figures_mm, episode.first_unit).plain,
        first_unit=episode.first_unit,
        size=episode.body.name,
        on_camera=edition.on_camera,
        several_sizes=len(sizes_printed(plan)) > 1,
        misleading=tuple(one.sentence for one in misleading_threads(plan)),
        difficulty=difficulty_of(plan),
        times=tuple(times_to_make(plan)),
        cover=cover_of(plan),
        still_to_come=tuple(_still_to_come(plan, cloths)),
        size_tables=tuple(size_tables(plan)),
        measures=tuple(measures(plan)),
        finder=tuple(how_to_choose(plan)),
        cloths=cloths,
        other_cloths=tuple(other_cloths(plan)),
        notions=tuple(notions_to_have(plan)),
        garments=tuple(garment_sheets(plan, {cloth.name: cloth.laid for cloth in cloths})),
        laying=(
            *laying(plan.pieces, [(cloth.name, cloth.laid) for cloth in cloths]),
            *matching(plan.pieces, plan.episode.cloths),
        ),
        cautions=cautions_for(step.step for step in plan.steps),
        runs=tuple(_runs(plan)),
    )
    return replace(sheet, glossary=terms_in(_texts_of(sheet)))


def _texts_of(value: object) -> Iterator[str]:
    """Every text of the sheet, drawings left out."""
    if isinstance(value, str) and not isinstance(value, Markup):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from _texts_of(one)
    elif is_dataclass(value) and not isinstance(value, Estimate):
        for field in fields(value):
            yield from _texts_of(getattr(value, field.name))


def issue_of(plan: Plan) -> str:
    """The series and the number of the episode; may be empty."""
    number = plan.episode.number
    parts = [plan.episode.series, "" if number is None else f"Episode {number}"]
    return ", ".join(part for part in parts if part)


def _edition(state: EditionState, plan: Plan) -> EditionLine:
    first, size = plan.episode.first_unit, plan.episode.body.name
    changes = state.for_size(size).changes
    cuts = plan.episode.sizes and any(one.kind == "cut" for one in changes)
    return EditionLine(
        called=state.called,
        told=state.told,
        since=state.since,
        changes=tuple(
            ChangedSince(one.name, sizes, *one.told(first))
            for one in changes
            if (sizes := tuple(s for s in one.sizes if is_printed(plan, s))) or not one.sizes
        ),
        cut_for=size if cuts else "",
    )


def times_to_make(plan: Plan) -> Iterator[TimeToMake]:
    """How long each garment takes, the rest of its hours told beside; when all of it is known."""
    for place, draft in enumerate(plan.drafts):
        steps = [row for row in plan.steps if row.garment == draft.recipe.name]
        minutes = total([row.work for row in steps])
        if minutes.likely and _all_timed(steps):
            rest = sum(row.step.rest_hours for row in steps)
            yield TimeToMake(draft.recipe.name, place > 0, minutes, rest)


def _all_timed(steps: Iterable[StepPlan]) -> bool:
    """Whether no step lacks its time because the draft is not finished: the sum would be short."""
    return not any(row.waits or row.problem for row in steps)


def _still_to_come(plan: Plan, cloths: tuple[ClothToBuy, ...]) -> Iterator[str]:
    if not plan.pieces:
        yield "The pattern pieces and how to draft them"
    else:
        for draft in plan.drafts:
            drawn = {piece.name for piece in draft.pieces}
            for piece in draft.recipe.pieces:
                if piece.name not in drawn:
                    yield f"The piece {piece.name}"
    yield from without_lay(cloths)
    if not plan.lays:
        yield "The cloth to buy"
    if not plan.steps:
        yield "The steps of making"


def _runs(plan: Plan) -> Iterator[StepRun]:
    extras = {draft.recipe.name for draft in plan.drafts[1:]}
    seen: set[str] = set()
    by_garment = groupby(plan.steps, key=lambda step: step.garment)
    for place, (garment, group) in enumerate(by_garment, start=1):
        steps = tuple(group)
        yield StepRun(
            place=f"making-{place}",
            heading=f"{garment}, continued" if garment in seen else garment,
            is_extra=garment in extras,
            steps=tuple(_step(plan, step) for step in steps),
            minutes=total([step.work for step in steps]).likely if _all_timed(steps) else 0.0,
        )
        seen.add(garment)


def _step(plan: Plan, row: StepPlan) -> StepSheet:
    step = row.step
    return StepSheet(
        number=row.number,
        name=step.name,
        words=row.words.plain,
        minutes=row.work.likely,
        one_way=step.one_way,
        spare=row.spare.plain,
        cautions=tuple(CAUTIONS[caution].title for caution in step.cautions),
        drawing=step_drawing(plan, row),
    )
