"""Companion: the sheet viewers print, its editions, to look at and to download."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Final

from fastapi import APIRouter, Query, Request, Response

from webapp.handouts.companion_widths import other_widths
from webapp.handouts.printing import PaperName
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_choices import PrintChoicesForm, save_choices
from webapp.pages.prints import (
    LookAt,
    Printing,
    begin,
    confirmed,
    order_of,
    printing,
    stop,
    taken_out,
)
from webapp.plan.editions import (
    EditionChange,
    EditionState,
    edition_state,
    figures_in,
    with_edition,
)
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

router = APIRouter(prefix="/episodes/{episode_id}/companion")

PaperChoice = Annotated[PaperName, Query()]
SizeChoice = Annotated[str, Query(max_length=80)]

_MISLEADS: Final = (
    "What is loose would mislead viewers who cut by this edition, so nothing was numbered. "
    "Mend it, or say that it is to be numbered all the same."
)


@dataclass(frozen=True)
class CompanionView:
    """The sheet as it is printed, what is chosen for it, and which edition it is."""

    ready: bool  # there are pieces to show
    choices: PrintChoicesForm
    printing: Printing
    no_widths: tuple[str, ...]  # cloths of which no table of other widths fits the draft
    edition: EditionState
    shown: tuple[EditionChange, ...]  # of what changed, what the sheet of this size shows
    numbering: Answers = UNANSWERED
    answers: Answers = UNANSWERED  # of printing

    @property
    def size(self) -> str:
        """The size the sheet is drawn for."""
        return self.choices.drawn_for

    @property
    def changed(self) -> int:
        """How many figures changed, in whatever size."""
        return figures_in(self.edition.changes)

    @property
    def rest(self) -> tuple[EditionChange, ...]:
        """What changed of how the pieces of other sizes are cut."""
        by_size = (one for one in self.edition.changes if one.kind == "cut" and one.sizes)
        return tuple(one for one in by_size if set(one.sizes) != {self.size})


@router.get("")
def companion(request: Request, episode_id: str, house: InHouse, look: LookAt = 0) -> Response:
    return _show(request, episode_id, house, look=look)


@router.get("/companion.pdf")
def download(episode_id: str, house: InHouse) -> Response:
    order = order_of(house, episode_id, "companion")
    return taken_out(house, order, f"/episodes/{episode_id}/companion#printed")


@router.post("/choices")
def choose(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    choosing = save_choices(house, episode_id, sent)
    return _answered(request, episode_id, house, "#choices", choosing=choosing)


@router.post("/print")
def begin_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = begin(house, order_of(house, episode_id, "companion"), sent)
    return _answered(request, episode_id, house, "#printed", answers=answers)


@router.post("/print/stop")
def stop_printing(request: Request, episode_id: str, house: InHouse) -> Response:
    stop(house, order_of(house, episode_id, "companion"))
    return _answered(request, episode_id, house, "#printed")


@router.post("/edition")
def number_edition(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    number = edition_state(house.plan(episode_id)).number

    def edit(episode: Episode) -> Episode:
        known = house.plan(episode_id)
        return with_edition(known if known.episode == episode else evaluate(episode), today())

    if sent.get("number") != str(number):  # pressed on a page that is out of date
        told = f"The sheet is edition {number} now, so nothing was numbered."
        numbering = UNANSWERED.failed(told)
    elif not confirmed(house, order_of(house, episode_id, "companion"), sent):
        numbering = UNANSWERED.failed(_MISLEADS)
    else:
        words = f"edition {number} of the companion numbered"
        numbering = house.save(episode_id, words, UNANSWERED, edit)
    return _answered(request, episode_id, house, "#edition", numbering=numbering)


def today() -> date:
    """The day where she works."""
    return date.today()


def _answered(request: Request, episode_id: str, house: House, part: str, **told: Any) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/companion{part}",
        told.values(),
        lambda: _show(request, episode_id, house, **told),
    )


def _show(
    request: Request,
    episode_id: str,
    house: House,
    *,
    look: int = 0,
    choosing: Answers = UNANSWERED,
    answers: Answers = UNANSWERED,
    numbering: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    edition, choices = edition_state(shell.own), PrintChoicesForm(shell.episode, choosing)
    view = CompanionView(
        ready=bool(shell.plan.pieces),
        choices=choices,
        printing=printing(house, order_of(house, episode_id, "companion"), shell.own, look),
        no_widths=tuple(
            lay.cloth.name for lay in shell.plan.lays if not other_widths(lay, shell.plan)
        ),
        edition=edition,
        shown=edition.for_size(choices.drawn_for).changes,
        numbering=numbering,
        answers=answers,
    )
    status = max(choosing.status, status_of(view))
    return house.show(request, "companion/companion.html", view, shell=shell, status=status)
