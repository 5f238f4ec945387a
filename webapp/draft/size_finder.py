"""Which size of a chart to make for a person, and which of her measures decides it.

The size to make is the one that no needed measure exceeds. Ease can make a smaller one do too;
that is said in words (`size_advice`) and not decided here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from webapp.draft.sizes import SizeChart, spans_mm

Where = Literal["in", "edge", "gap", "below", "above", "not told"]

SAME_MM: Final = 0.5  # finer than a tape is read


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one measure of a person falls.

    `size` is the smallest that it does not exceed: empty above all of them, and where the chart
    does not tell. `other` is the size on the other side of an edge (the larger) or of a gap (the
    smaller), and above all of them the largest.
    """

    measure: str
    mm: float
    where: Where
    size: str = ""
    other: str = ""

    @property
    def words(self) -> str:
        """Where it falls, for a table."""
        return {
            "in": self.size,
            "edge": f"where {self.size} ends and {self.other} begins",
            "gap": f"between {self.other} and {self.size}",
            "below": f"smaller than {self.size}, the smallest it is given for",
            "above": f"larger than {self.other}, the largest it is given for",
            "not told": "the chart does not say",
        }[self.where]


@dataclass(frozen=True)
class SizeAnswer:
    """The size to make; empty when the chart has none."""

    placed: tuple[Placed, ...]  # the weightiest measure first
    size: str = ""
    deciding: str = ""  # the measure that asks for the largest size
    between: bool = False  # measures ask for different sizes, or one lies between two

    @property
    def told(self) -> tuple[Placed, ...]:
        """The measures that the chart has something to say of."""
        return tuple(each for each in self.placed if each.where != "not told")

    @property
    def inside(self) -> tuple[Placed, ...]:
        """The measures that fall in a size or between two."""
        return tuple(each for each in self.placed if each.where in ("in", "edge", "gap"))


def find_size(
    chart: SizeChart, person_mm: Mapping[str, float], needed: Sequence[str]
) -> SizeAnswer:
    """The size to make for a person, mm, by the needed measures, the weightiest first."""
    placed = tuple(
        _placed(chart, measure, person_mm[measure]) for measure in needed if measure in person_mm
    )
    answer = SizeAnswer(placed)
    if not answer.inside or any(each.where == "above" for each in placed):
        return answer
    order = _from_small_to_large(chart, needed)
    largest = max(answer.inside, key=lambda each: order.index(each.size))
    size = _not_exceeded(chart, order[order.index(largest.size) :], answer.told)
    if not size:
        return answer
    sizes = {each.size for each in answer.told}
    on_edge = any(each.where in ("edge", "gap") for each in placed)
    return SizeAnswer(placed, size, largest.measure, len(sizes) > 1 or on_edge)


def _placed(chart: SizeChart, measure: str, mm: float) -> Placed:
    spans = spans_mm(chart, measure)
    if not spans:
        return Placed(measure, mm, "not told")
    names = list(spans)
    size = next((name for name in names if mm <= spans[name][1] + SAME_MM), "")
    if not size:
        return Placed(measure, mm, "above", other=names[-1])
    least, most = spans[size]
    place = names.index(size)
    larger = names[place + 1] if place + 1 < len(names) else ""
    if larger and mm >= max(most, spans[larger][0]) - SAME_MM:
        return Placed(measure, mm, "edge", size, larger)
    if mm >= least - SAME_MM:
        return Placed(measure, mm, "in", size)
    if place == 0:
        return Placed(measure, mm, "below", size)
    return Placed(measure, mm, "gap", size, names[place - 1])


def _from_small_to_large(chart: SizeChart, needed: Sequence[str]) -> list[str]:
    """The sizes by the first needed measure that all of them give, else as the chart lists them."""
    for measure in needed:
        spans = spans_mm(chart, measure)
        if len(spans) == len(chart.rows):
            return list(spans)
    return [row.name for row in chart.rows]


def _not_exceeded(chart: SizeChart, sizes: Sequence[str], told: Sequence[Placed]) -> str:
    """The first of the sizes that no measure exceeds; empty when there is none.

    It is the first but in a chart whose measures do not all grow with its sizes.
    """
    spans = {each.measure: spans_mm(chart, each.measure) for each in told}
    for size in sizes:
        ends = [spans[each.measure].get(size, (0.0, each.mm))[1] for each in told]
        if all(each.mm <= end + SAME_MM for each, end in zip(told, ends, strict=True)):
            return size
    return ""
