"""Worksheet: every piece in words, in a size or blank, for viewers who draft it themselves."""

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.instructions import Instructions, instructions
from webapp.errors import PdfToolsMissingError
from webapp.handouts.cautions import CAUTIONS, CautionText
from webapp.handouts.companion_pieces import cutting_line, edge_finishes, grain_line
from webapp.handouts.companion_sizes import measures
from webapp.handouts.companion_view import EdgeFinish, MeasureToTake
from webapp.handouts.printing import why_no_pdf
from webapp.handouts.worksheet import worksheet_pdf
from webapp.pages.companion import PaperChoice, SizeChoice
from webapp.pages.shell import House, InHouse
from webapp.plan.edits import free_id

router = APIRouter(prefix="/episodes/{episode_id}/worksheet")


@dataclass(frozen=True)
class WorksheetView:
    """The garments in words. `blank` leaves the figures for the reader to work out."""

    size: str
    sizes: tuple[str, ...]  # the body on camera first
    blank: bool
    measures: tuple[MeasureToTake, ...]
    copied: tuple[str, ...]  # measures of this size taken from a garment that fits
    garments: tuple[tuple[Draft, Instructions], ...]
    caution: CautionText
    no_pdf: str  # what keeps PDF files from being made; empty when nothing does

    def cutting_line(self, piece: Piece) -> str:
        """How many to cut, and how the piece lies on the grain."""
        return f"{cutting_line(piece)} from {piece.cloth}. {grain_line(piece)}."

    def finishes(self, piece: Piece) -> tuple[EdgeFinish, ...]:
        """What is added outside the edges, those alike together."""
        return tuple(edge_finishes(piece))


@router.get("")
def worksheet(
    request: Request, episode_id: str, house: InHouse, size: SizeChoice = "", blank: bool = False
) -> Response:
    return _show(request, episode_id, house, size, blank)


@router.get("/worksheet.pdf")
def download(
    request: Request,
    episode_id: str,
    house: InHouse,
    paper: PaperChoice = "a4",
    size: SizeChoice = "",
    blank: bool = False,
) -> Response:
    plan = house.plan(episode_id, size)
    try:
        content = worksheet_pdf(plan, blank=blank, paper=paper)
    except PdfToolsMissingError as error:
        return _show(request, episode_id, house, size, blank, no_pdf=error.sentence)
    chosen = "blank" if blank else free_id(plan.episode.body.name, set())
    name = f"{episode_id}-worksheet-{chosen}-{paper}.pdf"
    return Response(
        content,
        media_type="application/pdf",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


def _show(
    request: Request, episode_id: str, house: House, size: str, blank: bool, no_pdf: str = ""
) -> Response:
    shell = house.shell(episode_id, "companion")
    plan = house.plan(episode_id, size)
    first = shell.episode.first_unit
    view = WorksheetView(
        size=plan.episode.body.name,
        sizes=tuple(body.name for body in (shell.episode.body, *shell.episode.sizes)),
        blank=blank,
        measures=tuple(measures(plan)),
        copied=plan.episode.body.copied,
        garments=tuple((draft, instructions(draft, first)) for draft in plan.drafts),
        caution=CAUTIONS["blades"],
        no_pdf=no_pdf or why_no_pdf(),
    )
    status = 503 if no_pdf else 200
    return house.show(request, "worksheet/worksheet.html", view, shell=shell, status=status)
