"""Pattern sheets: the pieces in true size, on pages to stick together or on one large sheet."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from fastapi import APIRouter, Request, Response
from starlette.datastructures import FormData

from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_choices import PrintChoicesForm, save_choices
from webapp.pages.print_orders import Order
from webapp.pages.prints import LookAt, Printing, begin, order_of, printing, stop, taken_out

router = APIRouter(prefix="/episodes/{episode_id}/pattern")

_Kind = Literal["pattern-a4", "pattern-letter", "pattern-sheet"]
_PAGES: Final = "For a printer at home. A map on the first page shows how the pages are joined."
_ROLL: Final = "For a print shop, as wide as its roll of paper and as long as the pieces need."
_WAYS: Final[Mapping[_Kind, tuple[str, str, str]]] = {
    "pattern-a4": ("On A4 pages, to stick together", _PAGES, "a4"),
    "pattern-letter": ("On Letter pages, to stick together", _PAGES, "letter"),
    "pattern-sheet": ("On one large sheet", _ROLL, "large"),
}


_NOT_LARGE: Final[Mapping[str, int]] = {}


@dataclass(frozen=True)
class Way:
    """One way of printing the pattern."""

    kind: _Kind
    printing: Printing
    answers: Answers | None = None

    @property
    def heading(self) -> str:
        """What it is."""
        return _WAYS[self.kind][0]

    @property
    def help(self) -> str:
        """Whom it is for."""
        return _WAYS[self.kind][1]

    @property
    def look(self) -> str:
        """What names, in an address, its page shown large."""
        return _WAYS[self.kind][2]


@dataclass(frozen=True)
class PatternView:
    """The ways of printing the pattern, the pages chosen for other sheets first."""

    ready: bool  # there are pieces to print
    choices: PrintChoicesForm
    ways: tuple[Way, ...]
    answers: Answers = UNANSWERED


@router.get("")
def pattern(
    request: Request,
    episode_id: str,
    house: InHouse,
    a4: LookAt = 0,
    letter: LookAt = 0,
    large: LookAt = 0,
) -> Response:
    return _show(request, episode_id, house, {"a4": a4, "letter": letter, "large": large})


@router.get("/pattern.pdf")
def download(episode_id: str, house: InHouse, kind: _Kind = "pattern-a4") -> Response:
    otherwise = f"/episodes/{episode_id}/pattern#{kind}"
    return taken_out(house, _order(house, episode_id, kind), otherwise)


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
    answers = begin(house, _order(house, episode_id, kind), sent)
    return _answered(request, episode_id, house, kind, answers)


@router.post("/print/stop")
def stop_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    kind = _kind(sent)
    stop(house, _order(house, episode_id, kind))
    return _answered(request, episode_id, house, kind, UNANSWERED)


def _kind(sent: FormData) -> _Kind:
    return next((kind for kind in _WAYS if kind == sent.get("kind")), "pattern-a4")


def _order(house: House, episode_id: str, kind: _Kind) -> Order:
    if kind == "pattern-sheet":
        return order_of(house, episode_id, "pattern-sheet")
    pages = "a4" if kind == "pattern-a4" else "letter"
    return order_of(house, episode_id, "pattern", pages=pages)


def _answered(
    request: Request, episode_id: str, house: House, kind: _Kind, answers: Answers
) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/pattern#{kind}",
        (answers,),
        lambda: _show(request, episode_id, house, kind=kind, answers=answers),
    )


def _show(
    request: Request,
    episode_id: str,
    house: House,
    look: Mapping[str, int] = _NOT_LARGE,
    *,
    choosing: Answers = UNANSWERED,
    kind: str = "",
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    choices = PrintChoicesForm(shell.episode, choosing)

    def way(own: _Kind) -> Way:
        order, page = _order(house, episode_id, own), look.get(_WAYS[own][2], 0)
        made = printing(house, order, shell.own, page)
        return Way(own, made, answers if own == kind else None)

    fitting_first = sorted(
        _WAYS, key=lambda own: (own == "pattern-sheet", choices.paper not in own)
    )
    view = PatternView(
        ready=bool(shell.plan.pieces),
        choices=choices,
        ways=tuple(way(own) for own in fitting_first),
        answers=answers,
    )
    status = max(choosing.status, status_of(view))
    return house.show(request, "pattern/pattern.html", view, shell=shell, status=status)
