"""Size charts: named sizes, each with the range of every measure it is meant for.

Figures are kept as typed, with their unit, as a recipe's are.
"""

from itertools import pairwise
from typing import Final

from pydantic import Field, model_validator

from webapp.draft.construction import LongText, Name
from webapp.draft.measures import MEASURES
from webapp.draft.recipe import Body, Figure, Frozen, refuse_twins
from webapp.units import centimetres, inches, parse_length

_INCH_SIGNS: Final = ("in", '"', "″", "ft", "'", "′", "yd")


class MeasuredRange(Frozen):
    """From the least to the most of a measure that a size is meant for; equal for one figure."""

    least: Figure
    most: Figure

    @model_validator(mode="after")
    def _rises(self) -> "MeasuredRange":
        if self.least_mm > self.most_mm:
            raise ValueError(f"{self.least} is more than {self.most}; the smaller stands first.")
        return self

    @property
    def least_mm(self) -> float:
        """Its lower end, mm."""
        return parse_length(self.least, None).mm

    @property
    def most_mm(self) -> float:
        """Its upper end, mm."""
        return parse_length(self.most, None).mm

    @property
    def middle_mm(self) -> float:
        """What is drafted on, mm."""
        return (self.least_mm + self.most_mm) / 2

    @property
    def middle(self) -> str:
        """The middle as typed text, in the unit of the lower end."""
        if self.least_mm == self.most_mm:
            return self.least
        show = inches(self.middle_mm, 1 / 32) if in_inches(self.least) else ""
        return show or centimetres(self.middle_mm, 0.01)


class SizeRow(Frozen):
    """One size of a chart. A measure it does not give is absent."""

    name: Name
    ranges: dict[str, MeasuredRange] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _measures_are_known(self) -> "SizeRow":
        for measure in self.ranges:
            if measure not in MEASURES:
                raise ValueError(f"“{measure}” is no measure Seamslate knows.")
        return self

    def body(self) -> Body:
        """The body this size is drafted on: the middle of every range."""
        return Body(
            name=self.name, measures={name: each.middle for name, each in self.ranges.items()}
        )


class SizeChart(Frozen):
    """A chart: its sizes from small to large, and where its figures come from."""

    name: Name
    source: LongText = ""
    rows: tuple[SizeRow, ...] = ()

    @model_validator(mode="after")
    def _names_differ(self) -> "SizeChart":
        refuse_twins("size", [row.name for row in self.rows])
        return self

    @property
    def measures(self) -> tuple[str, ...]:
        """Every measure that any of its sizes gives, in the usual order."""
        given = {measure for row in self.rows for measure in row.ranges}
        return tuple(measure for measure in MEASURES if measure in given)

    def row(self, name: str) -> SizeRow:
        """The size of that name. KeyError if there is none."""
        for row in self.rows:
            if row.name == name:
                return row
        raise KeyError(name)


def chart_of(name: str, bodies: tuple[Body, ...]) -> SizeChart:
    """Bodies as a chart of single figures; what cannot be read as a length is left out."""
    rows = []
    for body in bodies:
        ranges = {}
        for measure, text in body.measures.items():
            try:
                parse_length(text, None)
            except ValueError:
                continue  # the draft tells it
            if measure in MEASURES:
                ranges[measure] = MeasuredRange(least=text, most=text)
        rows.append(SizeRow(name=body.name, ranges=ranges))
    return SizeChart(name=name, rows=tuple(rows))


def spans_mm(chart: SizeChart, measure: str) -> dict[str, tuple[float, float]]:
    """What each size covers of a measure, mm, from small to large.

    A single figure reaches halfway to its neighbours, as the figures of EN 13402-3 do, and as far
    outwards at the ends.
    """
    given = sorted(
        ((row.name, row.ranges[measure]) for row in chart.rows if measure in row.ranges),
        key=lambda named: (named[1].middle_mm, named[1].most_mm),
    )
    middles = [each.middle_mm for _, each in given]
    halves = [(after - before) / 2 for before, after in pairwise(middles)]
    spans = {}
    for place, (name, each) in enumerate(given):
        low, high = each.least_mm, each.most_mm
        if low == high and halves:
            low -= halves[max(place - 1, 0)]
            high += halves[min(place, len(halves) - 1)]
        spans[name] = (low, high)
    return spans


def in_inches(text: str) -> bool:
    """True for a typed length in inches, feet or yards."""
    return any(sign in text.lower() for sign in _INCH_SIGNS)
