"""Worksheet: every piece in words, in a size or blank, for viewers who draft it themselves."""

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from starlette.datastructures import FormData

from webapp.draft.evaluate import Draft, Piece
from webapp.draft.instructions import Instructions, instructions
from webapp.handouts.cautions import CAUTIONS, CautionText
from webapp.handouts.companion_pieces import cutting_line, edge_finishes, grain_line
from webapp.handouts.companion_sizes import measures
from webapp.handouts.companion_view import EdgeFinish, MeasureToTake
from webapp.pages.companion import SizeChoice
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_choices import PrintChoicesForm, save_choices
from webapp.pages.print_orders import Order
from webapp.pages.prints import LookAt, Printing, begin, order_of, printing, stop, taken_out
from webapp.plan.edits import in_size

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
    choices: PrintChoicesForm
    printing: Printing
    answers: Answers = UNANSWERED

    def cutting_line(self, piece: Piece) -> str:
        """How many to cut, and how the piece lies on the grain."""
        return f"{cutting_line(piece)} from {piece.cloth}. {grain_line(piece)}."

    def finishes(self, piece: Piece) -> tuple[EdgeFinish, ...]:
        """What is added outside the edges, those alike together."""
        return tuple(edge_finishes(piece))


@dataclass(frozen=True)
class _Asked:
    """Which worksheet: in a size, or blank; the body on camera when no size is named."""

    size: str
    blank: bool

    def address(self, episode_id: str) -> str:
        asked = {"size": self.size} | ({"blank": "true"} if self.blank else {})
        return f"/episodes/{episode_id}/worksheet?{urlencode(asked)}"


@router.get("")
def worksheet(
    request: Request,
    episode_id: str,
    house: InHouse,
    size: SizeChoice = "",
    blank: bool = False,
    look: LookAt = 0,
) -> Response:
    return _show(request, episode_id, house, _Asked(size, blank), look=look)


@router.get("/worksheet.pdf")
def download(
    episode_id: str, house: InHouse, size: SizeChoice = "", blank: bool = False
) -> Response:
    asked = _known(house, episode_id, _Asked(size, blank))
    order = _order(house, episode_id, asked)
    return taken_out(house, order, asked.address(episode_id) + "#printed")


@router.post("/choices")
def choose(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = _sent(house, episode_id, sent)
    choosing = save_choices(house, episode_id, sent)
    return answered(
        request,
        asked.address(episode_id) + "#choices",
        (choosing,),
        lambda: _show(request, episode_id, house, asked, choosing=choosing),
    )


@router.post("/print")
def begin_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = _sent(house, episode_id, sent)
    answers = begin(house, _order(house, episode_id, asked), sent)
    return _answered(request, episode_id, house, asked, answers)


@router.post("/print/stop")
def stop_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = _sent(house, episode_id, sent)
    stop(house, _order(house, episode_id, asked))
    return _answered(request, episode_id, house, asked, UNANSWERED)


def _sent(house: House, episode_id: str, sent: FormData) -> _Asked:
    """What a form of the page was about. NotThereError when there is no such size any more."""
    asked = _Asked(str(sent.get("size", ""))[:80], sent.get("blank") == "true")
    return _known(house, episode_id, asked)


def _known(house: House, episode_id: str, asked: _Asked) -> _Asked:
    """The same with the size as the episode calls it. NotThereError when it has no such size."""
    episode = house.plan(episode_id).episode
    size = in_size(episode, asked.size).body.name if asked.size else episode.body.name
    return _Asked(size, asked.blank)


def _order(house: House, episode_id: str, asked: _Asked) -> Order:
    return order_of(house, episode_id, "worksheet", size="" if asked.blank else asked.size)


def _answered(
    request: Request, episode_id: str, house: House, asked: _Asked, answers: Answers
) -> Response:
    return answered(
        request,
        asked.address(episode_id) + "#printed",
        (answers,),
        lambda: _show(request, episode_id, house, asked, answers=answers),
    )


def _show(
    request: Request,
    episode_id: str,
    house: House,
    asked: _Asked,
    *,
    look: int = 0,
    choosing: Answers = UNANSWERED,
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    asked = _known(house, episode_id, asked)
    plan, choices = house.plan(episode_id, asked.size), PrintChoicesForm(shell.episode, choosing)
    view = WorksheetView(
        size=plan.episode.body.name,
        sizes=tuple(body.name for body in (shell.episode.body, *shell.episode.sizes)),
        blank=asked.blank,
        measures=tuple(measures(plan)),
        copied=plan.episode.body.copied,
        garments=tuple((draft, instructions(draft, choices.first)) for draft in plan.drafts),
        caution=CAUTIONS["blades"],
        choices=choices,
        printing=printing(house, _order(house, episode_id, asked), shell.own, look),
        answers=answers,
    )
    status = max(choosing.status, status_of(view))
    return house.show(request, "worksheet/worksheet.html", view, shell=shell, status=status)
