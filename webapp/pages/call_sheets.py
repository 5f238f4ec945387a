"""Call sheets: what is filmed when, to be ticked off on the set, for a shoot day or for all."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from starlette.datastructures import FormData

from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.forms import day as read_day
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_choices import PrintChoicesForm, save_choices
from webapp.pages.prints import LookAt, Printing, begin, order_of, printing, stop, taken_out

router = APIRouter(prefix="/episodes/{episode_id}/call-sheets")

AskedDay = Annotated[date | None, Query()]


@dataclass(frozen=True)
class CallSheetsView:
    """The shoot days there are sheets for, and the one shown."""

    days: tuple[date, ...]  # that have shots
    unplanned: tuple[date, ...]  # that have none yet
    day: date | None  # None: all of them
    choices: PrintChoicesForm
    printing: Printing
    answers: Answers = UNANSWERED


@router.get("")
def call_sheets(
    request: Request, episode_id: str, house: InHouse, day: AskedDay = None, look: LookAt = 0
) -> Response:
    return _show(request, episode_id, house, day, look=look)


@router.get("/call-sheet.pdf")
def download(episode_id: str, house: InHouse, day: AskedDay = None) -> Response:
    order = order_of(house, episode_id, "call-sheet", day=day)
    return taken_out(house, order, _address(episode_id, day) + "#printed")


@router.post("/choices")
def choose(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    choosing = save_choices(house, episode_id, sent)
    day = _day(sent)
    return answered(
        request,
        _address(episode_id, day) + "#choices",
        (choosing,),
        lambda: _show(request, episode_id, house, day, choosing=choosing),
    )


@router.post("/print")
def begin_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    day = _day(sent)
    answers = begin(house, order_of(house, episode_id, "call-sheet", day=day), sent)
    return _answered(request, episode_id, house, day, answers)


@router.post("/print/stop")
def stop_printing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    day = _day(sent)
    stop(house, order_of(house, episode_id, "call-sheet", day=day))
    return _answered(request, episode_id, house, day, UNANSWERED)


def _day(sent: FormData) -> date | None:
    try:
        return read_day(str(sent.get("day", "")).strip())
    except ValueError:  # no day of ours
        return None


def _address(episode_id: str, day: date | None) -> str:
    return f"/episodes/{episode_id}/call-sheets" + (f"?day={day.isoformat()}" if day else "")


def _answered(
    request: Request, episode_id: str, house: House, day: date | None, answers: Answers
) -> Response:
    return answered(
        request,
        _address(episode_id, day) + "#printed",
        (answers,),
        lambda: _show(request, episode_id, house, day, answers=answers),
    )


def _show(
    request: Request,
    episode_id: str,
    house: House,
    day: date | None,
    *,
    look: int = 0,
    choosing: Answers = UNANSWERED,
    answers: Answers = UNANSWERED,
) -> Response:
    shell = house.shell(episode_id, "companion")
    planned = tuple(one.day.day for one in shell.plan.days if one.shots)
    day = day if day in planned else None
    order = order_of(house, episode_id, "call-sheet", day=day)
    view = CallSheetsView(
        days=planned,
        unplanned=tuple(one.day.day for one in shell.plan.days if not one.shots),
        day=day,
        choices=PrintChoicesForm(shell.episode, choosing),
        printing=printing(house, order, shell.own, look),
        answers=answers,
    )
    status = max(choosing.status, status_of(view))
    return house.show(request, "call_sheets/call_sheets.html", view, shell=shell, status=status)
