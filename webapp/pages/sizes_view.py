"""What the sizes page shows, and how it is shown after any of its forms."""

from dataclasses import dataclass
from typing import Any, Final

from fastapi import Request, Response
from markupsafe import Markup

from webapp.draft.nested import NESTED_LETTERING, WhichLine, draw_nested, what_is_drawn
from webapp.draft.results import Draft
from webapp.draft.size_csv import Reading
from webapp.draft.sizes import MeasuredRange
from webapp.pages.bare_numbers import SentForm
from webapp.pages.bodies import Asked, asked_of
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, answered
from webapp.pages.offered_charts import OfferedChart, OfferedCharts, offered_charts, with_episode
from webapp.pages.size_finder import Finder, finder_of
from webapp.pages.wording import both_unbroken, unbroken
from webapp.plan.results import CuttingRow, CuttingTable, Plan
from webapp.plan.sizes import in_sizes
from webapp.remembered import Remembered
from webapp.units import System, shown_centimetres, shown_inches

ALL_PIECES: Final = "all"
_drawings: Final[Remembered[tuple[object, ...], Markup]] = Remembered(200)


@dataclass(frozen=True)
class DimensionRow:
    """One dimension in every size, in both units; one text when it is the same in all of them."""

    name: str
    kind: str
    texts: tuple[str, ...]  # empty where the piece is not drawn

    @property
    def is_same(self) -> bool:
        """True when every size shows the same."""
        return len(set(self.texts)) == 1 and len(self.texts) > 1 and self.texts[0] != ""


@dataclass(frozen=True)
class SizesView:
    """The sizes of an episode. `answers` belongs to the form named by `form`."""

    plan: Plan
    asked: Asked
    offered: OfferedCharts
    chart: OfferedChart  # whose sizes can be taken
    piece: str  # the name of the piece shown, or all of them
    which: WhichLine
    finder: Finder | None
    form: str = ""  # "size 2", "new size", "take", "chart"
    answers: Answers = UNANSWERED
    reading: Reading | None = None  # of a chart that could not be kept

    def answers_for(self, form: str) -> Answers | None:
        """The answers if they belong to this form."""
        return self.answers if form == self.form else None

    @property
    def finished(self) -> tuple[Draft, ...]:
        """The garments that have finished measurements to show."""
        return tuple(draft for draft in self.plan.drafts if draft.recipe.finished)

    @property
    def tables(self) -> tuple[CuttingTable, ...]:
        """The cutting dimensions of the piece shown, or of all."""
        shown = (t for t in self.plan.cutting if self.piece in (t.piece, ALL_PIECES))
        return tuple(shown)

    @property
    def unsaid(self) -> tuple[str, ...]:
        """The measures asked for that the chosen chart gives for no size."""
        return tuple(m for m in self.asked.in_order if m not in self.chart.chart.measures)

    @property
    def patchy(self) -> tuple[str, ...]:
        """The measures asked for that the chosen chart gives for some of its sizes only."""
        rows = self.chart.chart.rows
        lacking = [m for m in self.asked.in_order if any(m not in row.ranges for row in rows)]
        return tuple(measure for measure in lacking if measure not in self.unsaid)

    def rows(self, table: CuttingTable) -> list[DimensionRow]:
        """The dimensions of a piece as the table shows them."""
        return [_shown(row, self.plan.episode.first_unit) for row in table.rows]

    def span(self, measured: MeasuredRange) -> str:
        """What a size of a chart covers of a measure, in both units."""
        return span_in_both(measured, self.plan.episode.first_unit)

    def nested(self, table: CuttingTable) -> Markup:
        """The piece in every size; draw_nested escapes every text in it.

        Drawings are remembered by what they show, as those of single pieces are.
        """
        episode = self.plan.episode
        drawn = in_sizes(self.plan.sizes, table.piece)
        sizes = [
            (size.body.name, piece)
            for size, piece in zip(self.plan.sizes, drawn, strict=True)
            if piece
        ]
        shown = tuple((name, *what_is_drawn(piece)) for name, piece in sizes)
        key = (shown, episode.first_unit, self.which, episode.body.name)
        return _drawings.get(
            key,
            lambda: Markup(
                draw_nested(
                    sizes,
                    episode.first_unit,
                    which=self.which,
                    filmed=episode.body.name,
                    lettering=NESTED_LETTERING,
                )
            ),
        )


def span_in_both(measured: MeasuredRange, first: System) -> str:
    """A range in both units, `82 to 90 cm (32 1/4 to 35 3/8 in)`; a single figure as any length."""
    low, high = measured.least_mm, measured.most_mm
    if low == high:
        return both_unbroken(low, first)
    cm = f"{shown_centimetres(low).removesuffix(' cm')} to {shown_centimetres(high)}"
    inch = f"{shown_inches(low).removesuffix(' in')} to {shown_inches(high)}"
    return unbroken(f"{cm} ({inch})" if first == "cm" else f"{inch} ({cm})")


def _shown(row: CuttingRow, first: System) -> DimensionRow:
    return DimensionRow(row.name, row.kind, tuple(map(unbroken, row.texts(first))))


def done(request: Request, house: House, episode_id: str, place: str = "", **told: Any) -> Response:
    """After a form: the page again, or without script a way back to `place` on it."""
    return answered(
        request,
        f"/episodes/{episode_id}/sizes{place}",
        told.values(),
        lambda: show(request, house, episode_id, **told),
    )


def show(
    request: Request, house: House, episode_id: str, *, chart: str = "", **told: Any
) -> Response:
    """The page, by what its address or its form asks for."""
    shell = house.shell(episode_id, "sizes")
    offered = offered_charts(house)
    asked = SentForm(request.query_params)
    asked.preferred = house.preferred.first_unit
    pieces = [table.piece for table in shell.plan.cutting]
    piece = str(asked.get("piece", ""))
    if piece not in (*pieces, ALL_PIECES):
        piece = pieces[0] if pieces else ""
    finder = finder_of(
        asked, shell.plan.drafts, with_episode(offered, shell.episode), shell.first_unit
    )
    view = SizesView(
        shell.plan,
        asked_of(shell.episode),
        offered,
        offered.picked(chart or str(asked.get("chart", ""))),
        piece,
        "seam" if asked.get("lines") == "seam" else "cut",
        finder,
        **told,
    )
    status = max(status_of(view), finder.answers.status if finder else 200)
    return house.show(request, "sizes/sizes.html", view, shell=shell, status=status)
