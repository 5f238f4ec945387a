"""What the disk or the database refuses, told where it was asked for, with nothing typed lost.

With script the page stays as it is, what was typed in its field, and the saving line tells the
sentence. Without it, a page shows what was sent, to be sent once more.
"""

import logging
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from fastapi import Request, Response
from fastapi.responses import PlainTextResponse
from starlette.datastructures import UploadFile

from webapp.errors import (
    NOT_THIS_CHANGE,
    DamagedError,
    FolderGoneError,
    RefusedError,
    TakenOutError,
)
from webapp.log import with_code
from webapp.pages.house import House
from webapp.pages.sent_again import form_of
from webapp.store.refusals import NOT_THIS_COPY, of_disk

_log: Final = logging.getLogger(__name__)
_PRESSED: Final = (
    "This cannot be done any more: the plan was changed meanwhile, in another tab or window or by "
    "someone else."
)
_LONGEST: Final = 200  # of a value that is shown; it is sent whole
_READING: Final = ("GET", "HEAD")


@dataclass(frozen=True)
class RefusedView:
    """What happened, what is safe, what to do; and what was sent, to be sent to `address` again."""

    happened: str
    safe: str
    to_do: str
    address: str
    changes: bool  # a change was asked for, not only a page
    sent: tuple[tuple[str, str], ...] = ()  # names and values
    has_file: bool = False  # a file was sent, which only she can choose again
    lost: bool = False  # the plans themselves may be: a copy can be put back
    is_copy: bool = False  # a backup was asked for

    @property
    def heading(self) -> str:
        """What became of what was asked for, on the page and on its tab."""
        if self.is_copy:
            return "No backup was made"
        return "Not saved" if self.changes else "This cannot be shown just now"

    @property
    def typed(self) -> tuple[str, ...]:
        """The values as they are shown, shortened."""
        shown = (value.strip() for name, value in self.sent if name != "once")
        return tuple(
            value if len(value) <= _LONGEST else f"{value[:_LONGEST]}…" for value in shown if value
        )


async def refused(request: Request, error: Exception) -> Response:
    """The answer to what the disk or the database refuses."""
    assert isinstance(error, RefusedError)
    cause = getattr(error.__cause__, "orig", error.__cause__)  # the driver's, of SQLAlchemy's
    code = getattr(cause, "sqlite_errorname", None) or type(cause or error).__name__
    _log.warning("Refused: %s", with_code(error.happened, code))
    headers = {"retry-after": "3"} if error.passes else {}
    if is_by_script(request):
        headers["hx-reswap"] = "none"  # the page stays as it is
        return PlainTextResponse(error.sentence, error.status, headers)
    house: House = request.app.state.house
    lost = isinstance(error, DamagedError | FolderGoneError)
    view = await view_of(request, error.happened, error.safe, error.to_do, lost=lost)
    view = replace(view, is_copy=error.lost == NOT_THIS_COPY)
    answer = house.show(request, "refused.html", view, status=error.status)
    answer.headers.update(headers)
    return answer


async def taken_out(request: Request, error: Exception) -> Response:
    """The answer to a form of something that was taken out of the plan since its page was shown."""
    assert isinstance(error, TakenOutError)
    happened, to_do = error.happened, error.to_do
    if not any(isinstance(value, str) and value for value in (await form_of(request)).values()):
        happened, to_do = _PRESSED, "Load the page anew, and see how it stands."
    if is_by_script(request):
        return PlainTextResponse(f"{happened} {to_do}", 409, {"hx-reswap": "none"})
    house: House = request.app.state.house
    view = await view_of(request, happened, error.safe, to_do)
    return house.show(request, "refused.html", view, status=409)


async def refused_by_the_disk(request: Request, error: Exception) -> Response:
    """The same of what the system says of a file; anything else is a fault of ours."""
    assert isinstance(error, OSError)
    house: House = request.app.state.house
    lost = NOT_THIS_CHANGE if request.method not in _READING else ""
    where = Path(error.filename) if error.filename else house.photos.folder.parent
    told = of_disk(error, where, lost)
    if told is None:
        raise error
    told.__cause__ = error
    return await refused(request, told)


def is_by_script(request: Request) -> bool:
    """Whether a script asks, which tells it on the page that is there."""
    sends_json = request.headers.get("content-type", "").startswith("application/json")
    return sends_json or request.headers.get("hx-request") == "true"


async def view_of(
    request: Request, happened: str, safe: str, to_do: str, *, lost: bool = False
) -> RefusedView:
    """What is told, with the form that was sent as far as it can be read."""
    query = f"?{request.url.query}" if request.url.query else ""
    changes = request.method not in _READING
    try:
        form = (await form_of(request)).multi_items() if changes else []
        has_file = any(isinstance(value, UploadFile) and value.filename for _, value in form)
    except Exception:  # it could not be read, or this was what the disk refused
        form = []
        has_file = request.headers.get("content-type", "").startswith("multipart/")
    return RefusedView(
        happened,
        safe,
        to_do,
        f"{request.url.path}{query}",
        changes,
        tuple(
            (name, value)
            for name, value in form
            if isinstance(value, str) and name != "passphrase"  # never shown, never kept in a page
        ),
        has_file,
        lost,
    )
