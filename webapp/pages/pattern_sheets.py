"""Pattern sheets: the pieces in true size, on pages to stick together or on one large sheet."""

from dataclasses import dataclass
from typing import Final, Literal

from fastapi import APIRouter, Request, Response
from starlette.datastructures import FormData

from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.print_choices import PrintChoicesForm, save_choices
from webapp.pages.prints import LookAt, Printing, begin, order_of, printing, stop, taken_out
from webapp.pages.shell import House, InHouse, Sent, answered

router = APIRouter(prefix="/episodes/{episode_id}/pattern")

_Kind = Literal["pattern", "pattern-sheet"]
_PARTS: Final[dict[_Kind, str]] = {"pattern": "#tiled", "pattern-sheet": "#sheet"}


@dataclass(frozen=True)
class PatternView:
    """Both ways of printing the pattern, and what is chosen for them."""

    ready: bool  # there are pieces to print
    choices: PrintChoicesForm
    tiled: Printing
    sheet: Printing
    kind: str = ""  # which of them the answers are of
    answers: Answers = UNANSWERED

    def answers_for(self, kind: str) -> Answers | None:
        """The answers if they are of this way of printing."""
        return self.answers if kind == self.kind else None


@router.get("")
def pattern(
    request: Request, episode_id: str, house: InHouse, look: LookAt = 0, large: LookAt = 0
) -> Response:
    return _show(request, episode_id, house, look=look, large=large)


@router.get("/pattern.pdf")
def download(episode_id: str, house: InHouse, kind: _Kind = "pattern") -> Response:
    otherwise = f"/episodes/{episode_id}/pattern{_PARTS[kind]}"
    return taken_out(house, order_of(house, episode_id, kind), otherwise)


@router.post("/choices")
def choose(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    choosing = save_choices(house, episode_id, sent)
    return answered(
        request,
        f"/episodes/{episode_id}/pattern#choices",
        (choosing,),
        lambda: _show(request, episode_id, house, choosing=choosing),
    )


@router.post("/print")
def begin_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    kind = _kind(sent)
    answers = begin(house, order_of(house, episode_id, kind), sent)
    return _answered(request, episode_id, house, kind, answers)


@router.post("/print/stop")
def stop_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    kind = _kind(sent)
    stop(house, order_of(house, episode_id, kind))
    return _answered(request, episode_id, house, kind, UNANSWERED)


def _kind(sent: FormData) -> _Kind:
    return "pattern-sheet" if sent.get("kind") == "pattern-sheet" else "pattern"


def _answered(
    request: Request, episode_id: str, house: House, kind: _Kind, answers: Answers
) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/pattern{_PARTS[kind]}",
        (answers,),
        lambda: _show(request, episode_id, house, kind=kind, answers=answers),
    )


def _show(
    request: Request,
    episode_id: str,
    house: House,
    *,
    look: int = 0,
    large: int = 0,
    choosing: Answers = UNANSWERED,
    kind: str = "",
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    tiled, sheet = (order_of(house, episode_id, kind) for kind in _PARTS)
    view = PatternView(
        ready=bool(shell.plan.pieces),
        choices=PrintChoicesForm(shell.episode, choosing),
        tiled=printing(house, tiled, shell.plan, look),
        sheet=printing(house, sheet, shell.plan, large),
        kind=kind,
        answers=answers,
    )
    status = max(choosing.status, status_of(view))
    return house.show(request, "pattern/pattern.html", view, shell=shell, status=status)
