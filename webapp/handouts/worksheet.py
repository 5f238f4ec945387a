"""The worksheet: every piece in words, in a size or blank, for viewers who draft it themselves.

`worksheet_of` works out what to show; templates/handouts/worksheet.html says how.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Final

from markupsafe import Markup

from webapp.draft.drawing import draw_piece
from webapp.draft.evaluate import Draft
from webapp.draft.instructions import Part, PieceInstructions, instructions
from webapp.filming.figures import render
from webapp.handouts.cautions import CAUTIONS, CautionText
from webapp.handouts.companion import issue_of
from webapp.handouts.companion_pieces import (
    cutting_line,
    edge_finishes,
    grain_line,
    turned_over,
    ways_laid,
)
from webapp.handouts.companion_sizes import measures
from webapp.handouts.companion_view import EdgeFinish, MeasureToTake
from webapp.handouts.drawings import INK, sized
from webapp.handouts.printing import PaperName, pdf_of
from webapp.handouts.templating import render as fill
from webapp.plan.misleading import misleading_threads
from webapp.plan.results import Plan
from webapp.units import System

_DRAWING_MM: Final = (80.0, 105.0)  # the words stand beside it


@dataclass(frozen=True)
class FigureRow:
    """A line of the table of figures."""

    name: Annotated[str, "its letter, or the name of the choice it is"]
    is_letter: Annotated[bool, "True for a letter that sentences or other lines call it by"]
    what: Annotated[str, "where it is used; empty for a choice without a letter"]
    formula: Annotated[str, "how it is worked out, in words"]
    how: Annotated[str, "more about that, in sentences; may be empty"]
    shown: Annotated[str, "what it comes to in the size shown, in both units"]
    is_length: Annotated[bool, "False for a bare number"]


@dataclass(frozen=True)
class PieceWork:
    """A piece to draw."""

    name: Annotated[str, "its name"]
    cut: Annotated[str, "its cutting line, such as Cut 2"]
    cloth: Annotated[str, "the cloth it is cut from; empty when there is only one"]
    grain: Annotated[str, "how it lies on the cloth's grain"]
    drawing: Annotated[Markup, "the piece as SVG; in the blank version without lengths"]
    lines: Annotated[tuple[tuple[Part, ...], ...], "how to draw it, a sentence each, in its parts"]
    finishes: Annotated[tuple[EdgeFinish, ...], "what to add outside every edge, by finish"]
    note: Annotated[str, "the maker's note; may be empty"]


@dataclass(frozen=True)
class GarmentWork:
    """A garment to draft."""

    name: Annotated[str, "the garment"]
    is_extra: Annotated[bool, "True for what members get beside the episode's garment"]
    figures: Annotated[tuple[FigureRow, ...], "what to work out, in the order it is needed"]
    pieces: Annotated[tuple[PieceWork, ...], "its finished pieces, in the order they are drawn"]


@dataclass(frozen=True)
class Worksheet:
    """The whole worksheet."""

    paper: Annotated[PaperName, "the paper it is laid out for"]
    channel: Annotated[str, "who makes the video; may be empty"]
    issue: Annotated[str, "series and number; may be empty"]
    title: Annotated[str, "the episode's title"]
    first_unit: Annotated[System, "the unit that stands first"]
    blank: Annotated[bool, "True with room for the reader's own figures instead of ours"]
    size: Annotated[str, "the size it is drawn in"]
    misleading: Annotated[tuple[str, ...], "what would mislead whoever cuts by it; mostly nothing"]
    measures: Annotated[tuple[MeasureToTake, ...], "body measures to take"]
    copied: Annotated[tuple[str, ...], "those taken from a garment that fits, not from the body"]
    garments: Annotated[tuple[GarmentWork, ...], "garments that have pieces"]
    caution: Annotated[CautionText, "the usual caution for cutting"]

    @property
    def units(self) -> tuple[System, System]:
        """Both units, the first one first."""
        return ("cm", "in") if self.first_unit == "cm" else ("in", "cm")


def worksheet_pdf(plan: Plan, *, blank: bool, paper: PaperName = "a4") -> bytes:
    """The worksheet as a PDF, the same bytes for the same plan.

    PdfToolsMissingError when this computer cannot print PDF files.
    """
    return pdf_of(worksheet_html(plan, blank=blank, paper=paper))


def worksheet_html(plan: Plan, *, blank: bool, paper: PaperName = "a4") -> str:
    """The worksheet as one HTML document that leans on the style sheets below /static/css/."""
    return fill("handouts/worksheet.html", worksheet_of(plan, blank=blank, paper=paper))


def worksheet_of(plan: Plan, *, blank: bool, paper: PaperName = "a4") -> Worksheet:
    """Everything the worksheet of this plan shows."""
    episode = plan.episode
    return Worksheet(
        paper=paper,
        channel=episode.channel,
        issue=issue_of(plan),
        title=episode.title,
        first_unit=episode.first_unit,
        blank=blank,
        size=episode.body.name,
        misleading=tuple(one.sentence for one in misleading_threads(plan)),
        measures=tuple(measures(plan)),
        copied=episode.body.copied,
        garments=tuple(_garments(plan, blank)),
        caution=CAUTIONS["blades"],
    )


def _garments(plan: Plan, blank: bool) -> Iterator[GarmentWork]:
    for place, draft in enumerate(plan.drafts):
        if draft.pieces:
            told = instructions(draft, plan.episode.first_unit)
            yield GarmentWork(
                name=draft.recipe.name,
                is_extra=place > 0,
                figures=tuple(FigureRow(**vars(figure)) for figure in told.figures),
                pieces=tuple(_piece(plan, draft, piece, blank) for piece in told.pieces),
            )


def _piece(plan: Plan, draft: Draft, told: PieceInstructions, blank: bool) -> PieceWork:
    piece, first = told.piece, plan.episode.first_unit
    several_cloths = len({each.cloth for each in plan.pieces}) > 1
    turned = turned_over(piece, ways_laid(plan))
    return PieceWork(
        name=piece.name,
        cut=cutting_line(piece, turned_over=turned),
        cloth=piece.cloth if several_cloths else "",
        grain=grain_line(piece),
        drawing=sized(
            draw_piece(piece, first, ink=INK, lengths=not blank, turned_over=turned), *_DRAWING_MM
        ),
        lines=told.lines if blank else tuple((Part(s.show(first)),) for s in piece.words),
        finishes=tuple(edge_finishes(piece, turned_over=turned)),
        note=render(piece.note, plan.figures_for(draft), first).plain,
    )
