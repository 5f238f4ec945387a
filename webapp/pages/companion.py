"""Companion: the sheet viewers print, its editions, to look at and to download."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from webapp.errors import PdfToolsMissingError
from webapp.handouts.companion import companion_html, companion_pdf
from webapp.handouts.companion_widths import other_widths
from webapp.handouts.printing import PaperName, why_no_pdf
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.shell import House, InHouse, Sent, answered
from webapp.plan.editions import (
    EditionChange,
    EditionState,
    edition_state,
    figures_in,
    with_edition,
)
from webapp.plan.edits import free_id
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

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
    edition: EditionState
    shown: tuple[EditionChange, ...]  # of what changed, what the sheet of this size shows
    answers: Answers = UNANSWERED

    @property
    def changed(self) -> int:
        """How many figures changed, in whatever size."""
        return figures_in(self.edition.changes)

    @property
    def rest(self) -> tuple[EditionChange, ...]:
        """What changed of how the pieces of other sizes are cut."""
        by_size = (one for one in self.edition.changes if one.kind == "cut" and one.sizes)
        return tuple(one for one in by_size if set(one.sizes) != {self.size})


PaperChoice = Annotated[PaperName, Query()]
SizeChoice = Annotated[str, Query(max_length=80)]


@router.get("")
def companion(request: Request, episode_id: str, house: InHouse, size: SizeChoice = "") -> Response:
    return _show(request, episode_id, house, size)


@router.get("/preview")
def preview(episode_id: str, house: InHouse, size: SizeChoice = "") -> Response:
    edition = edition_state(house.plan(episode_id))
    return HTMLResponse(companion_html(house.plan(episode_id, size), edition=edition))


@router.get("/companion.pdf")
def download(
    request: Request,
    episode_id: str,
    house: InHouse,
    paper: PaperChoice = "a4",
    size: SizeChoice = "",
) -> Response:
    try:
        edition = edition_state(house.plan(episode_id))
        content = companion_pdf(house.plan(episode_id, size), paper, edition)
    except PdfToolsMissingError as error:
        return _show(request, episode_id, house, size, no_pdf=error.sentence)
    chosen = free_id(size, set()) + "-" if size else ""
    name = f"{episode_id}-companion-{chosen}{paper}.pdf"
    return Response(
        content,
        media_type="application/pdf",
        headers={"content-disposition": f'attachment; filename="{name}"'},
    )


@router.post("/edition")
def number_edition(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    number = edition_state(house.plan(episode_id)).number

    def edit(episode: Episode) -> Episode:
        known = house.plan(episode_id)
        plan = known if known.episode == episode else evaluate(episode)
        return with_edition(plan, today())

    if sent.get("number") == str(number):
        words = f"edition {number} of the companion numbered"
        answers = house.save(episode_id, words, UNANSWERED, edit)
    else:  # pressed on a page that is out of date
        answers = UNANSWERED.failed(f"The sheet is edition {number} now, so nothing was numbered.")
    return answered(
        request,
        f"/episodes/{episode_id}/companion#edition",
        (answers,),
        lambda: _show(request, episode_id, house, "", answers=answers),
    )


def today() -> date:
    """The day where she works."""
    return date.today()


def _show(
    request: Request,
    episode_id: str,
    house: House,
    size: str,
    no_pdf: str = "",
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    edition, drawn_for = edition_state(shell.plan), house.plan(episode_id, size).episode.body.name
    threads = (one for one in shell.plan.loose_threads if one.page != "companion")
    view = CompanionView(
        ready=bool(shell.plan.pieces),
        sizes=tuple(body.name for body in (shell.episode.body, *shell.episode.sizes)),
        size=drawn_for,
        must_mend=sum(thread.severity == "must" for thread in threads),
        no_widths=tuple(
            lay.cloth.name for lay in shell.plan.lays if not other_widths(lay, shell.plan)
        ),
        no_pdf=no_pdf or why_no_pdf(),
        edition=edition,
        shown=edition.for_size(drawn_for).changes,
        answers=answers,
    )
    status = 503 if no_pdf else answers.status
    return house.show(request, "companion/companion.html", view, shell=shell, status=status)
