"""The size finder: a form of the measures a garment is drafted from, and the size they ask for."""

from dataclasses import dataclass, field, replace
from typing import Final

from starlette.datastructures import FormData

from webapp.draft.measures import MEASURES, Measure
from webapp.draft.results import Draft
from webapp.draft.size_advice import advice, eases_of
from webapp.draft.size_finder import SizeAnswer, find_size
from webapp.draft.words import Sentence
from webapp.pages.forms import UNANSWERED, Answers, Field, length, one_of, read_form
from webapp.pages.offered_charts import OfferedCharts
from webapp.units import System, parse_length

_NONE_TYPED: Final = "Type at least one measure."


@dataclass(frozen=True)
class Finder:
    """The form as it stands, and the answer once it was asked."""

    draft: Draft  # of the garment that a size is sought for
    measures: tuple[Measure, ...]  # that it is drafted from, the weightiest first
    charts: list[tuple[str, str]]
    chart: str  # the key of the chart looked in
    chart_name: str
    answers: Answers = UNANSWERED
    answer: SizeAnswer | None = None
    sentences: tuple[Sentence, ...] = field(default=())


def finder_of(
    sent: FormData, drafts: tuple[Draft, ...], offered: OfferedCharts, unit: System
) -> Finder | None:
    """The finder with its answer if one was asked for; None while there is no garment."""
    if not drafts:
        return None
    wanted = sent.get("garment")
    draft = next((one for one in drafts if one.recipe.id == wanted), drafts[0])
    picked = offered.picked(str(sent.get("in", "")))
    measures = tuple(MEASURES[name] for name in draft.recipe.measures if name in MEASURES)
    finder = Finder(draft, measures, offered.named, picked.key, picked.name)
    if "find" not in sent:
        return finder
    answers = read_form(
        sent,
        (
            Field("in", one_of(key for key, _ in offered.named)),
            *(Field(f"m {m.name}", length(unit, m.least_mm, m.most_mm)) for m in measures),
        ),
    )
    person = {
        measure.name: parse_length(answers.values[f"m {measure.name}"], None).mm
        for measure in measures
        if answers.values.get(f"m {measure.name}")
    }
    if not answers.errors and not person:
        answers = answers.failed(_NONE_TYPED)
    if answers.errors:
        return replace(finder, answers=answers)
    answer = find_size(picked.chart, person, draft.recipe.measures)
    words = advice(picked.chart, answer, eases_of(draft))
    return replace(finder, answers=answers, answer=answer, sentences=words)
