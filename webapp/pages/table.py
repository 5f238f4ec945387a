"""At the table: one step at a time, read at arm's length; ticks and the clock, kept and sent later.

The page holds every step, so it is walked without a connection. What is pressed is an entry
(`plan.at_table`): with script it is kept in the browser until it is answered, without it is a form.
"""

from dataclasses import replace
from datetime import date, datetime
from typing import Annotated, Any, Final
from urllib.parse import quote
from uuid import uuid4

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse
from pydantic import AwareDatetime, BaseModel, Field, TypeAdapter, ValidationError
from starlette.datastructures import FormData

from webapp.errors import NotThereError, SeamslateError, StoreError
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.table_view import state_of, table_view
from webapp.pages.time_fields import read_time_key
from webapp.pages.times import local_now
from webapp.plan.at_table import TableEntry, moment_of, with_entry, words_of
from webapp.plan.episode import Episode
from webapp.plan.said_edits import takes

router = APIRouter(prefix="/episodes/{episode_id}/table")

_SAID: Final = TypeAdapter(tuple[tuple[str, str, str], ...])  # names and both lengths
_ACTS: Final = {"to-film": "to film", "go-on": "go on", "later": "stop"}
_UNREADABLE: Final = "This entry cannot be read, so it was not kept."
_TOO_OLD: Final = (
    "The page was too old to know what it showed as said: this one shows it as it stands. Press "
    "Filmed again if that was said."
)


class Entries(BaseModel):
    """What a browser sends: its entries in order, and what its clock shows now."""

    sent: AwareDatetime | None = None
    entries: Annotated[list[dict[str, Any]], Field(max_length=200)] = []


@router.get("")
def table(request: Request, episode_id: str, house: InHouse, order: str = "") -> Response:
    return _show(request, house, episode_id, order)


@router.post("/entries")
def take_entries(episode_id: str, entries: Entries, house: InHouse) -> Response:
    """Each entry answered by itself: done, or told why it does not apply any more.

    Without entries it only tells how things stand.
    """
    now = local_now()
    answers = []
    for one in entries.entries:
        told = _told_of(house, episode_id, one, entries.sent, now)
        # A broken name is given back as well as can be.
        name = str(one.get("id", ""))[:64].encode(errors="replace").decode()
        answers.append({"id": name, "told": told})
    stands = house.store.standing(episode_id)
    state = state_of(
        house.store.get(episode_id), now, stands.to_undo, stands.to_redo, house.browser
    )
    return JSONResponse({"answers": answers, "state": state})


@router.post("/entry")
def take_one(
    request: Request, episode_id: str, sent: Sent, house: InHouse, at: str = "", order: str = ""
) -> Response:
    """The same from a form, without script: the button pressed says what."""
    try:
        entry = _as_page_showed(house, episode_id, _entry_of(sent))
        told = _told_of(house, episode_id, entry, None, local_now()) if entry else _TOO_OLD
    except NotThereError as error:
        told = error.sentence
    if told:
        return _show(request, house, episode_id, order, told=told)
    asked = f"?order={quote(order)}" if order else ""
    address = f"/episodes/{episode_id}/table{asked}#{quote(at)}"
    return RedirectResponse(address, status_code=303)


def _entry_of(sent: FormData) -> dict[str, Any]:
    """`filmed intro`, `start step:chalk`; nothing where that cannot be read."""
    act, _, what = str(sent.get("press", "")).partition(" ")
    entry: dict[str, Any] = {"id": str(uuid4()), "act": _ACTS.get(act, act), "item": what}
    try:
        if entry["act"] == "filmed" and f"said {what}" in sent:
            figures = _SAID.validate_json(str(sent[f"said {what}"]))
            entry["said"] = [{"name": n, "cm": cm, "inch": inch} for n, cm, inch in figures]
        elif entry["act"] not in ("filmed", "to film"):
            entry["timed"], entry["item"] = read_time_key(what)
            entry["goes_on"] = act == "later"
    except ValueError:
        return {}
    return entry


def _as_page_showed(house: House, episode_id: str, entry: dict[str, Any]) -> dict[str, Any] | None:
    """With what was said in a shot that is ticked, as the page showed it. None where that is not
    known any more, NotThereError where the shot was not there."""
    if entry.get("act") != "filmed" or house.expected is None:
        return entry
    seen = house.seen(episode_id)
    if seen is None:
        return None
    take = takes(seen, [entry["item"]], None)[entry["item"]]
    said = [one.model_dump() for one in take.said]
    return {**entry, "said": said, "narration": take.narration, "card": take.card}


def _told_of(
    house: House,
    episode_id: str,
    typed: dict[str, Any],
    sent: datetime | None,
    now: datetime,
) -> str:
    """Take an entry; empty, or why it was not kept, in a sentence."""
    try:
        entry = TableEntry.model_validate(typed)
    except (ValidationError, UnicodeError):
        return _UNREADABLE
    moment = moment_of(entry.at, sent, now).astimezone()
    store = house.store
    begun = not entry.start or store.has_accepted(episode_id, entry.start)

    def edit(episode: Episode) -> Episode:
        return with_entry(episode, entry, moment, begun=begun)

    try:
        if entry.is_recorded:
            words = words_of(store.get(episode_id), entry)
            store.change(episode_id, words, edit, once=entry.id, browser=house.browser)
        else:
            store.keep(episode_id, edit, once=entry.id)
    except StoreError:
        raise  # it was not answered: the browser keeps it and sends it again
    except SeamslateError as error:
        return error.sentence
    except ValidationError:
        return _UNREADABLE
    except ValueError as error:
        return str(error)
    return ""


def _show(
    request: Request, house: House, episode_id: str, order: str, *, told: str = ""
) -> Response:
    shell, now = house.shell(episode_id, "table"), local_now()
    # Of the plan that is shown: the state names it to the page, and its drawings are kept by it.
    state = state_of(shell.episode, now, shell.to_undo, shell.to_redo, house.browser)
    view = replace(table_view(shell.own, shell, _day(order), now, state), told=told)
    status = 422 if told else 200
    # While it is walked through, nothing of the house stands around it.
    around = None if view.stops else shell
    return house.show(request, "table/table.html", view, shell=around, status=status)


def _day(order: str) -> date | None:
    try:
        return date.fromisoformat(order) if order else None
    except ValueError:
        return None
