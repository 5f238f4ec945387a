"""Companion: the sheet viewers print, to look at and to download."""

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from webapp.errors import PdfToolsMissingError
from webapp.handouts.companion import companion_html, companion_pdf
from webapp.handouts.printing import why_no_pdf
from webapp.pages.shell import InHouse

router = APIRouter(prefix="/episodes/{episode_id}/companion")


@dataclass(frozen=True)
class CompanionView:
    """Whether there is something to print, and what keeps PDF files from being made."""

    ready: bool
    must_mend: int  # grave loose threads that a viewer would stumble over
    no_pdf: str  # empty when PDF files can be made


@router.get("")
def companion(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, episode_id, house)


@router.get("/preview")
def preview(
    episode_id: str, house: InHouse, paper: Annotated[Literal["a4", "letter"], Query()] = "a4"
) -> Response:
    return HTMLResponse(companion_html(house.plan(episode_id), paper=paper))


@router.get("/companion.pdf")
def download(
    request: Request,
    episode_id: str,
    house: InHouse,
    paper: Annotated[Literal["a4", "letter"], Query()] = "a4",
) -> Response:
    try:
        content = companion_pdf(house.plan(episode_id), paper=paper)
    except PdfToolsMissingError as error:
        return _show(request, episode_id, house, no_pdf=error.sentence, status=503)
    name = f"{episode_id}-companion-{paper}.pdf"
    return Response(
        content,
        media_type="application/pdf",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


def _show(
    request: Request, episode_id: str, house: InHouse, no_pdf: str = "", status: int = 200
) -> Response:
    shell = house.shell(episode_id, "companion")
    view = CompanionView(
        ready=bool(shell.plan.pieces),
        must_mend=sum(thread.severity == "must" for thread in shell.plan.loose_threads),
        no_pdf=no_pdf or why_no_pdf(),
    )
    return house.show(request, "companion/companion.html", view, shell=shell, status=status)
