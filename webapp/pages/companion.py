"""Companion: the sheet viewers print, to look at and to download."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from webapp.errors import PdfToolsMissingError
from webapp.handouts.companion import companion_html, companion_pdf
from webapp.handouts.companion_widths import other_widths
from webapp.handouts.printing import PaperName, why_no_pdf
from webapp.pages.shell import House, InHouse
from webapp.plan.edits import free_id

router = APIRouter(prefix="/episodes/{episode_id}/companion")


@dataclass(frozen=True)
class CompanionView:
    """Whether there is something to print, and what keeps PDF files from being made."""

    ready: bool
    sizes: tuple[str, ...]  # the body first
    size: str  # the one shown
    must_mend: int  # grave loose threads that a viewer would stumble over
    no_widths: tuple[str, ...]  # cloths of which no table of other widths fits the draft
    no_pdf: str  # empty when PDF files can be made


PaperChoice = Annotated[PaperName, Query()]
SizeChoice = Annotated[str, Query(max_length=80)]


@router.get("")
def companion(request: Request, episode_id: str, house: InHouse, size: SizeChoice = "") -> Response:
    return _show(request, episode_id, house, size)


@router.get("/preview")
def preview(episode_id: str, house: InHouse, size: SizeChoice = "") -> Response:
    return HTMLResponse(companion_html(house.plan(episode_id, size)))


@router.get("/companion.pdf")
def download(
    request: Request,
    episode_id: str,
    house: InHouse,
    paper: PaperChoice = "a4",
    size: SizeChoice = "",
) -> Response:
    try:
        content = companion_pdf(house.plan(episode_id, size), paper=paper)
    except PdfToolsMissingError as error:
        return _show(request, episode_id, house, size, no_pdf=error.sentence)
    chosen = free_id(size, set()) + "-" if size else ""
    name = f"{episode_id}-companion-{chosen}{paper}.pdf"
    return Response(
        content,
        media_type="application/pdf",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


def _show(request: Request, episode_id: str, house: House, size: str, no_pdf: str = "") -> Response:
    shell = house.shell(episode_id, "companion")
    view = CompanionView(
        ready=bool(shell.plan.pieces),
        sizes=tuple(body.name for body in (shell.episode.body, *shell.episode.sizes)),
        size=house.plan(episode_id, size).episode.body.name,
        must_mend=sum(thread.severity == "must" for thread in shell.plan.loose_threads),
        no_widths=tuple(
            lay.cloth.name for lay in shell.plan.lays if not other_widths(lay, shell.plan)
        ),
        no_pdf=no_pdf or why_no_pdf(),
    )
    status = 503 if no_pdf else 200
    return house.show(request, "companion/companion.html", view, shell=shell, status=status)
