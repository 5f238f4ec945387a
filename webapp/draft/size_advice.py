"""A found size in words: which measure decides, and what the ease of the garment has to say.

A size is drafted on the middle of its range, so how much closer or looser it sits on a person than
on that body is known whatever the recipe does with the measure.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from webapp.draft.expressions import read
from webapp.draft.recipe import Choice, Recipe
from webapp.draft.results import Draft
from webapp.draft.size_finder import SAME_MM, Placed, SizeAnswer
from webapp.draft.sizes import SizeChart, SizeRow, spans_mm
from webapp.draft.words import Sentence
from webapp.errors import FigureError

_OWN: Final = "Draft the garment to your own measures instead."
_LOOK: Final = "Whether it would do too depends on the ease: see the finished measurements."


@dataclass(frozen=True, slots=True)
class Ease:
    """A choice of the recipe that gives a measure room, what it comes to and its least, mm."""

    choice: str
    mm: float
    least_mm: float = 0.0


def eases_of(draft: Draft) -> dict[str, Ease]:
    """The ease of each measure: a choice called ease that some figure quotes together with it."""
    found: dict[str, Ease] = {}
    together = list(_quoted_together(draft.recipe))
    for choice in draft.recipe.choices:
        key = choice.name.lower()
        quantity = draft.names.get(key)
        if "ease" not in key.split() or quantity is None or quantity.dimension != 1:
            continue
        for measure in draft.recipe.measures:
            if any({key, measure.lower()} <= names for names in together):
                least = _least_mm(choice, draft)
                found.setdefault(measure, Ease(choice.name, quantity.value, least))
    return found


def _least_mm(choice: Choice, draft: Draft) -> float:
    try:
        return read(choice.least).length_mm(draft.names)
    except FigureError:  # none is stated, or it waits for a measure
        return 0.0


def advice(chart: SizeChart, answer: SizeAnswer, eases: Mapping[str, Ease]) -> tuple[Sentence, ...]:
    """Why this size, what ease may change, and what the chart cannot say."""
    found = (*_why(answer), *_ease(chart, answer, eases)) if answer.size else (*_no_size(answer),)
    ends = (_past_the_end(chart, each, answer) for each in answer.told)
    return (*found, *filter(None, ends), *_unsaid(answer))


def _quoted_together(recipe: Recipe) -> Iterator[frozenset[str]]:
    """The names that each figure of the recipe quotes, in lower case."""
    texts = [choice.value for choice in recipe.choices]
    for piece in recipe.pieces:
        for move in piece.moves:
            texts += [text for _, text in move if isinstance(text, str) and text]
    for text in texts:
        try:
            yield read(text).names
        except FigureError:
            continue  # no figure: a list of edges, say


def _why(answer: SizeAnswer) -> Iterator[Sentence]:
    inside = answer.inside
    if all(each.size == answer.size for each in inside):
        if len(inside) > 1:
            both = "both" if len(inside) == 2 else "all"
            yield Sentence(f"Your {_listed(inside)} {both} ask for {answer.size}.")
    elif any(each.size == answer.size for each in inside):
        others = "; ".join(
            f"your {each.measure} falls {'in ' if each.where == 'in' else ''}{each.words}"
            for each in inside
            if each.size != answer.size
        )
        yield Sentence(f"Your {answer.deciding} decides: it asks for {answer.size}, but {others}.")
    else:
        yield Sentence(f"{answer.size} is the first size that none of your measures exceeds.")
    for each in inside:
        if each.where != "in" and each.size == answer.size:
            yield Sentence(f"Your {each.measure} is {each.words}.")


def _ease(chart: SizeChart, answer: SizeAnswer, eases: Mapping[str, Ease]) -> Iterator[Sentence]:
    """How a smaller size would sit that a measure asks for, else how this one does."""
    smaller = next(
        (
            each.other if each.where == "gap" else each.size
            for each in answer.inside
            if each.where == "gap" or each.size != answer.size
        ),
        "",
    )
    row = chart.row(smaller or answer.size)
    given = [each for each in answer.told if each.measure in row.ranges]
    if not given:
        return
    if not smaller:
        each = next((one for one in given if one.measure == answer.deciding), given[0])
        yield _as_drafted(row, each, eases.get(each.measure))
        return
    tightest = max(given, key=lambda one: one.mm - row.ranges[one.measure].middle_mm)
    if tightest.mm > row.ranges[tightest.measure].middle_mm:
        yield _smaller_too(row, tightest, eases.get(tightest.measure))


def _smaller_too(row: SizeRow, each: Placed, ease: Ease | None) -> Sentence:
    drafted = row.ranges[each.measure].middle_mm
    start = f"{row.name} is drafted on a {each.measure} of {{drafted}}; yours is {{more}} more."
    lengths = {"drafted": drafted, "more": each.mm - drafted}
    if ease is None:
        return Sentence(f"{start} {_LOOK}", lengths)
    left = ease.mm - lengths["more"]
    would = "would do too, if you like it that much closer"
    if left <= 0:
        would = "would most likely be too tight"
    elif left < ease.least_mm:
        lengths["least"] = ease.least_mm
        would = "would leave less room than the least that makes sense, {least}"
    lengths["ease"] = ease.mm
    return Sentence(f"{start} With {{ease}} of {ease.choice} it {would}.", lengths)


def _as_drafted(row: SizeRow, each: Placed, ease: Ease | None) -> Sentence:
    drafted = row.ranges[each.measure].middle_mm
    lengths = {"drafted": drafted, "apart": abs(each.mm - drafted)}
    start = f"{row.name} is drafted on a {each.measure} of {{drafted}}"
    if ease:
        lengths["ease"] = ease.mm
        start += f", with {{ease}} of {ease.choice}"
    if lengths["apart"] <= SAME_MM:
        return Sentence(f"{start}; yours is the same.", lengths)
    which = "more, so it sits closer" if each.mm > drafted else "less, so it sits looser"
    return Sentence(f"{start}; yours is {{apart}} {which} by as much.", lengths)


def _no_size(answer: SizeAnswer) -> Iterator[Sentence]:
    if answer.told:
        yield Sentence(f"This chart has no size for you. {_OWN}")


def _past_the_end(chart: SizeChart, each: Placed, answer: SizeAnswer) -> Sentence | None:
    spans = spans_mm(chart, each.measure)
    if each.where == "above":
        what = f"Your {each.measure} is larger than it goes: {each.other} ends at {{end}}."
        return Sentence(what, {"end": spans[each.other][1]})
    if each.where == "below":
        what = f"Your {each.measure} is smaller than it goes: {each.size} begins at {{end}}."
        roomy = " The garment will be roomier there." if answer.size else ""
        return Sentence(what + roomy, {"end": spans[each.size][0]})
    return None


def _unsaid(answer: SizeAnswer) -> Iterator[Sentence]:
    unsaid = [each for each in answer.placed if each.where == "not told"]
    if unsaid:
        yield Sentence(
            f"The chart does not give the {_listed(unsaid)}: "
            "compare yours with the finished measurements."
        )


def _listed(placed: Sequence[Placed]) -> str:
    words = [each.measure for each in placed]
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
