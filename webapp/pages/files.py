"""All files: what leaves the house for viewers, the upload, the calendar and other programs."""

import io
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import RedirectResponse

from webapp.errors import NotThereError
from webapp.handouts.pack import Export, Plans, exports_of
from webapp.pages.forms import UNANSWERED, Answers, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.print_orders import Order, attachment, named, orders_alone
from webapp.pages.printed_files import PrintedFile
from webapp.pages.prints import Printing, begin, order_of, printing, stop
from webapp.pages.prints import confirmed as is_confirmed
from webapp.plan.misleading import misleading_threads
from webapp.remembered import Remembered

router = APIRouter(prefix="/episodes/{episode_id}/files")

Confirmed = Annotated[str, Query(max_length=80)]

_TYPES: Final = {
    "pdf": "application/pdf",
    "txt": "text/plain; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "vtt": "text/vtt; charset=utf-8",
    "ics": "text/calendar; charset=utf-8",
    "svg": "image/svg+xml",
    "dxf": "image/vnd.dxf",
    "json": "application/json",
}
_TEXTS: Final = ("txt", "csv", "vtt", "ics")  # shown in place, to be copied
_CUT_BY: Final = ("pieces.", "lay", "description.")  # asked for twice when they would mislead
_COLUMN_SIGN: Final = "\ufeff"  # of a table for spreadsheets; nothing to read

# What each group is for, and its files; one that is listed nowhere comes with the last.
_GROUPS: Final = (
    ("For viewers", "Printed, in the sizes and on the paper chosen.",
     ("companion.pdf", "pattern-a4.pdf", "pattern-letter.pdf", "pattern-sheet.pdf",
      "worksheet.pdf")),
    ("For the upload", "To copy into the video’s description, and to send with it.",
     ("description.txt", "chapters.vtt", "captions.vtt", "cards.vtt", "extra-chapters.vtt",
      "extra-captions.vtt", "extra-cards.vtt")),
    ("For the shoot", "For you and whoever films.",
     ("call-sheet.pdf", "shots.csv", "shoot-days.ics", "shopping-list.pdf", "shopping.csv")),
    ("For other programs", "Drawings in true size, and every figure.", ()),
)  # fmt: skip
# Where a PDF is made by itself.
MADE_ON: Final[Mapping[str, str]] = {
    "companion.pdf": "companion",
    "pattern-a4.pdf": "pattern#pattern-a4",
    "pattern-letter.pdf": "pattern#pattern-letter",
    "pattern-sheet.pdf": "pattern#pattern-sheet",
    "worksheet.pdf": "worksheet?blank=true",
    "call-sheet.pdf": "call-sheets",
    "shopping-list.pdf": "shopping",
}
# Why a file is empty, the page that fills it, and the words of a link there.
_EMPTY: Final[Mapping[str, tuple[str, str, str]]] = {
    "description.txt": ("Nothing is planned yet.", "brief", "Write the brief"),
    "chapters.vtt": ("There are no chapters yet.", "running-time#chapters", "Set the chapters"),
    "captions.vtt": ("No shot says anything yet.", "shots", "Write what is said"),
    "cards.vtt": ("No shot shows a card yet.", "shots", "Write the cards"),
    "shots.csv": ("There are no shots yet.", "shots", "Plan the shots"),
    "shoot-days.ics": ("There is no shoot day yet.", "days", "Plan the shoot days"),
    "call-sheet.pdf": ("No shots are on a shoot day yet.", "days", "Put the shots on the days"),
    "shopping.csv": ("There is nothing to buy yet.", "shopping", "See the shopping list"),
    "shopping-list.pdf": ("There is nothing to buy yet.", "shopping", "See the shopping list"),
}
_NO_PIECES: Final = ("There are no pieces yet.", "draft", "Begin the draft")

_texts: Final[Remembered[str, Mapping[str, str]]] = Remembered(8)  # by all they are made from


@dataclass(frozen=True)
class FileRow:
    """One file: what it is, and whether it can be taken out."""

    name: str
    title: str
    what: str
    text: str | None = None  # shown in place
    made_on: str = ""  # the page that makes it; empty for one that is there at once
    is_made: bool = True
    misleads: bool = False  # whoever cuts or buys by it
    empty: tuple[str, str, str] | None = None  # why there is none, the page to mend it, the words

    @property
    def id(self) -> str:
        """Its id on the page."""
        return _id(self.name)


@dataclass(frozen=True)
class FilesView:
    """Every file by what it is for, and all of them as one."""

    groups: tuple[tuple[str, str, tuple[FileRow, ...]], ...]
    printing: Printing  # of the zip
    answers: Answers = UNANSWERED

    @cached_property
    def in_zip(self) -> tuple[str, ...]:
        """The names of the files in the zip as it was made last."""
        return tuple(_entries(self.printing.file)) if self.printing.file else ()


@router.get("")
def files(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, episode_id, house)


@router.post("/print")
def begin_packing(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = begin(house, order_of(house, episode_id, "all"), sent)
    return _answered(request, episode_id, house, answers)


@router.post("/print/stop")
def stop_packing(request: Request, episode_id: str, house: InHouse) -> Response:
    stop(house, order_of(house, episode_id, "all"))
    return _answered(request, episode_id, house, UNANSWERED)


@router.get("/{name}")
def download(episode_id: str, name: str, house: InHouse, confirmed: Confirmed = "") -> Response:
    plans = _plans(house, episode_id)
    export = dict(exports_of(plans)).get(name)
    if export is None:
        raise NotThereError(f"There is no file “{name}” of this episode.")
    if name.endswith(".pdf"):
        content = _printed(house, plans, name)
        if content is None:
            return RedirectResponse(f"/episodes/{episode_id}/{MADE_ON[name]}", status_code=303)
        file_name = _order(plans, name).file_name
    elif name.startswith(_CUT_BY) and not is_confirmed(
        house, order_of(house, episode_id, "all"), {"confirmed": confirmed}
    ):
        return RedirectResponse(f"/episodes/{episode_id}/files#{_id(name)}", status_code=303)
    else:
        content, file_name = export.make(plans), named(plans.filmed.episode, name)
    if content is None:
        raise NotThereError(f"There is nothing to put in {name} yet.")
    return Response(content, media_type=_type(name), headers=attachment(file_name))


def _id(name: str) -> str:
    return "file-" + name.replace(".", "-")


def _type(name: str) -> str:
    return _TYPES.get(name.rpartition(".")[2], "application/octet-stream")


def _plans(house: House, episode_id: str) -> Plans:
    return Plans(house.plan(episode_id), house.printed_plan(episode_id))


def _printed(house: House, plans: Plans, name: str) -> bytes | None:
    """A PDF that is made and not out of date, by itself or in the zip; None if there is none."""
    order = _order(plans, name)
    own = house.prints.find(order.key)
    if own is not None:
        return own.printed.content
    packed = house.prints.find(Order("all", plans.filmed.episode).key)
    return _entries(packed).get(name) if packed else None


def _order(plans: Plans, name: str) -> Order:
    """What makes that PDF by itself."""
    return next(one for one in orders_alone(plans.filmed.episode) if one.is_file(name))


def _entries(file: PrintedFile) -> dict[str, bytes]:
    """What is in the folder of a zip, by name."""
    with zipfile.ZipFile(io.BytesIO(file.printed.content)) as archive:
        return {name.rpartition("/")[2]: archive.read(name) for name in archive.namelist()}


def _shown_texts(plans: Plans) -> Mapping[str, str]:
    """The text files that have something in them, by name."""

    def made() -> dict[str, str]:
        found = {}
        for name, export in exports_of(plans):
            content = export.make(plans) if name.endswith(_TEXTS) else None
            if content is not None:
                found[name] = content.decode().removeprefix(_COLUMN_SIGN)
        return found

    return _texts.get(Order("all", plans.filmed.episode).key, made)


def _groups(house: House, plans: Plans) -> Iterator[tuple[str, str, tuple[FileRow, ...]]]:
    exports, texts = dict(exports_of(plans)), _shown_texts(plans)
    listed = {name for _, _, names in _GROUPS for name in names}
    for heading, lead, names in _GROUPS:
        own = names or tuple(name for name in exports if name not in listed)
        rows = (
            _row(house, plans, name, exports[name], texts.get(name))
            for name in own
            if name in exports
        )
        yield heading, lead, tuple(row for row in rows if row is not None)


def _row(house: House, plans: Plans, name: str, export: Export, text: str | None) -> FileRow | None:
    """None for a file that the episode has no use for, such as an extra's."""
    title = export.called[:1].upper() + export.called[1:]
    row = FileRow(name, title, export.what, text)
    if _is_empty(plans, name, text):
        why = _EMPTY.get(name, _NO_PIECES)
        return None if name.startswith("extra-") else replace(row, empty=why)
    if not name.endswith(".pdf"):
        misleads = name.startswith(_CUT_BY) and bool(misleading_threads(plans.printed))
        return replace(row, misleads=misleads)
    is_made = _printed(house, plans, name) is not None
    return replace(row, made_on=MADE_ON[name], is_made=is_made)


def _is_empty(plans: Plans, name: str, text: str | None) -> bool:
    """True for a file with nothing in it, as far as that is known without making it."""
    if name.endswith(_TEXTS):
        return text is None
    if name == "call-sheet.pdf":
        return not any(day.shots for day in plans.filmed.days)
    if name == "shopping-list.pdf":
        return "shopping.csv" not in _shown_texts(plans)
    return name != "plan.json" and not plans.printed.pieces


def _answered(request: Request, episode_id: str, house: House, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/files#printed",
        (answers,),
        lambda: _show(request, episode_id, house, answers),
    )


def _show(
    request: Request, episode_id: str, house: House, answers: Answers = UNANSWERED
) -> Response:
    shell = house.shell(episode_id, "companion")
    view = FilesView(
        groups=tuple(_groups(house, _plans(house, episode_id))),
        printing=printing(house, order_of(house, episode_id, "all"), shell.own),
        answers=answers,
    )
    return house.show(request, "files/files.html", view, shell=shell, status=status_of(view))
