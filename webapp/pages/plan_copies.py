"""The copies of the plans: when each was made, what is in it, and putting one back.

It is also the one page there is while the plans cannot be opened.
"""

import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Protocol
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response
from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse
from starlette.background import BackgroundTask

from webapp.draft.names import plural
from webapp.errors import DamagedError, NotThereError, RefusedError, SeamslateError, StoreError
from webapp.filming.shoot_days import told_day
from webapp.pages.house import House
from webapp.pages.refused import is_by_script, view_of
from webapp.store.backup import UNSENT
from webapp.store.changed_last import ChangedLast, changed_last
from webapp.store.database import COPIES
from webapp.store.kept_copies import Copy, Why, copies_in
from webapp.store.refusals import NOT_THIS_COPY, of_disk


class Opened(Protocol):
    """What serves the plans of a folder, open or not: see `webapp.opening`."""

    @property
    def why(self) -> StoreError | None:
        """Why the plans are not open; None while they are."""

    @property
    def is_empty(self) -> bool:
        """Whether they are not open because there are none, though there are copies."""

    def to_type(self, *words: str) -> str:
        """The command of those words, as it is typed for these plans."""

    async def try_again(self, *, may_be_empty: bool = False) -> None:
        """Open them, if that can be done by now."""

    async def back_up(self, target: Path) -> tuple[str, ...]:
        """Write all plans and pictures to a file. Returns the damaged pictures it lacks."""

    async def put_back(self, name: str) -> None:
        """Put a copy in their place. SeamslateError when it cannot be done."""


router = APIRouter()
closed_router = APIRouter()

PAGE: Final = "/copies"
_WHY: Final[dict[Why, str]] = {
    "daily": "Soon after the day’s first change",
    "at-end": "When Seamslate was closed, or the day was over",
    "before-update": "Before an update",
    "before-restore": "Before a copy was put back",
}
_TOUCHED: Final = "Nothing was changed."
_KEPT: Final = (
    "Whichever way you go on, what is there is kept: where a copy is put back in its place, it "
    "becomes a copy of its own."
)
_BACK: Final = "The plans are back as they were on {when}."
_UNDONE: Final = (
    "Those from before are kept as the copy of {when}, “Before a copy was put back”: put that back "
    "if you change your mind."
)
_NOT_READ: Final = "The copies cannot be read just now: {why}"
_NOT_MADE: Final = "Copies cannot be made just now: {why} It is tried again every few minutes."
_WAITS: Final = "It can be sent once more as soon as the plans are open again."
_READING: Final = ("GET", "HEAD")


@dataclass(frozen=True)
class CopyLine:
    """A copy as it is listed."""

    name: str
    made_at: datetime
    why: str
    episodes: int | None  # None when it cannot be read
    size: str
    last: ChangedLast | None  # the last change that is in it; None when it is not known
    by_second: bool = False  # another was made in the same minute

    @property
    def when(self) -> str:
        """The day and the time it was made: that of what is in it."""
        time = f"{self.made_at:%H:%M:%S}" if self.by_second else f"{self.made_at:%H:%M}"
        return f"{told_day(self.made_at.date())}, {time}"

    @property
    def changed(self) -> str:
        """When the last change was made that is in it; empty when it is not known."""
        return f"{told_day(self.last.at.date())}, {self.last.at:%H:%M}" if self.last else ""

    @property
    def what(self) -> str:
        """The episode that was changed then, and how; empty when it is not known."""
        return self.last.told if self.last else ""

    @property
    def holds(self) -> str:
        """How many episodes are in it."""
        return "cannot be read" if self.episodes is None else plural(self.episodes, "episode")


@dataclass(frozen=True)
class CopiesView:
    """The copies there are in a folder; `why` the plans are not open, if they are not."""

    folder: str
    copies: tuple[CopyLine, ...]
    why: str = ""
    is_empty: bool = False  # there is no file of plans: one may be begun
    is_served: bool = True  # copies are put back and backups taken only there
    backup: str = ""  # what is typed to make one, and to put one back
    restore: str = ""
    problem: str = ""  # with what was asked for just now
    to_do: str = ""  # against what keeps the plans from being opened
    done: str = ""  # what was put back just now
    not_now: str = ""  # why the copies cannot be read, or no more can be made

    @property
    def untouched(self) -> str:
        """What is safe while the plans are not open."""
        return f"{_TOUCHED} {_KEPT}" if self.copies else _TOUCHED


def copy_lines(copies: Sequence[Copy]) -> tuple[CopyLine, ...]:
    """The copies as they are listed; looks into their files."""
    minutes = Counter(f"{one.made_at:%Y-%m-%d %H:%M}" for one in copies)
    return tuple(
        CopyLine(
            one.name,
            one.made_at,
            _WHY[one.why],
            one.episodes(),
            f"{max(one.size_bytes, 1) / 1024**2:.1f} MB",
            changed_last(one.path, one.until),
            by_second=minutes[f"{one.made_at:%Y-%m-%d %H:%M}"] > 1,
        )
        for one in copies
    )


@router.get(PAGE)
def copies(request: Request, back: str = "", kept: str = "") -> Response:
    """`back` was put back just now, in place of what is `kept` as a copy."""
    return _show(request, back=back, kept=kept)


@router.post(PAGE + "/backup")
async def take_backup(request: Request) -> Response:
    """All plans and pictures as one file, to be kept on another disk."""
    opening = _opening(request)
    if opening is None:
        raise NotThereError("A backup is taken here only where Seamslate serves this folder.")
    folder = _folder(request)
    try:
        kept = tempfile.TemporaryDirectory(dir=folder, prefix=UNSENT)
    except OSError as error:
        raise of_disk(error, folder, NOT_THIS_COPY) or error from error
    file = Path(kept.name) / "seamslate.db"
    try:
        lacking = await opening.back_up(file)
    except RefusedError as error:
        kept.cleanup()
        where = folder if error.where == file.parent else error.where  # hers, not ours on the way
        raise type(error)(where, error.lost) from error
    except BaseException:
        kept.cleanup()
        raise
    without = f"-without-{plural(len(lacking), 'damaged picture')}" if lacking else ""
    name = f"seamslate-backup-{datetime.now():%Y-%m-%d}{without}.db".replace(" ", "-")
    sent = BackgroundTask(kept.cleanup)
    return FileResponse(file, media_type="application/vnd.sqlite3", filename=name, background=sent)


@router.post(PAGE + "/{name}/put-back")
async def put_back(request: Request, name: str) -> Response:
    opening = _opening(request)
    if opening is None:
        raise NotThereError("Copies are put back here only where Seamslate serves this folder.")
    folder = _folder(request)
    before = {one.name for one in copies_in(folder)}
    try:
        await opening.put_back(name)
    except SeamslateError as error:
        return _show(request, error.sentence)
    new = (one.name for one in copies_in(folder) if one.why == "before-restore")
    kept = next((one for one in new if one not in before), "")
    return RedirectResponse(f"{PAGE}?{urlencode({'back': name, 'kept': kept})}", status_code=303)


@closed_router.post(PAGE + "/try-again")
async def try_again(request: Request) -> Response:
    return await _tried(request, may_be_empty=False)


@closed_router.post(PAGE + "/begin-anew")
async def begin_anew(request: Request) -> Response:
    return await _tried(request, may_be_empty=True)


@closed_router.api_route("/{path:path}", methods=["GET", "HEAD", "POST"])
async def anything_else(request: Request, path: str) -> Response:  # noqa: ARG001 - any
    opening = _opening(request)
    assert opening is not None and opening.why is not None
    happened = _happened(opening.why)
    if request.method in _READING and not is_by_script(request):
        return _show(request)
    to_do = f"See why at {PAGE}. {_WAITS}"
    if is_by_script(request):
        sentence = f"Your plans are not open. {happened} {to_do}"
        return PlainTextResponse(sentence, 503, {"hx-reswap": "none", "retry-after": "3"})
    house: House = request.app.state.house
    view = await view_of(request, "Your plans are not open.", happened, _WAITS)
    return house.show(request, "refused.html", view, status=503)


async def _tried(request: Request, *, may_be_empty: bool) -> Response:
    opening = _opening(request)
    assert opening is not None
    await opening.try_again(may_be_empty=may_be_empty)
    if opening.why is not None:
        return _show(request, "It still cannot be opened.")
    return _to_the_first_page()


def _show(request: Request, problem: str = "", *, back: str = "", kept: str = "") -> Response:
    house: House = request.app.state.house
    opening = _opening(request)
    why = opening.why if opening else None
    folder = _folder(request)
    lines = copy_lines(copies_in(folder))
    view = CopiesView(
        str(folder / COPIES),
        lines,
        _happened(why) if why else "",
        is_empty=opening is not None and opening.is_empty,
        is_served=opening is not None,
        backup=opening.to_type("backup", "FILE") if opening else "",
        restore=opening.to_type("restore", "FILE") if opening else "",
        problem=problem,
        to_do=_to_do(why),
        done="" if why else _done(lines, back, kept),
        not_now="" if why else _not_now(folder, house),
    )
    status = 503 if why else 422 if problem else 200
    return house.show(request, "copies/copies.html", view, status=status)


def _opening(request: Request) -> Opened | None:
    found: Opened | None = request.app.state.opening
    return found


def _happened(why: StoreError) -> str:
    """Why the plans are not open, without what is said of a change that was to be saved."""
    return why.happened if isinstance(why, RefusedError) else why.sentence


def _to_do(why: StoreError | None) -> str:
    """What helps against it; nothing where it is on the page of the copies itself."""
    return why.to_do if isinstance(why, RefusedError) and not isinstance(why, DamagedError) else ""


def _not_now(folder: Path, house: House) -> str:
    """Why the copies in a folder cannot be read, or why no more can be made; empty if they can."""
    try:
        next((folder / COPIES).iterdir(), None)
    except OSError as error:
        if not isinstance(error, FileNotFoundError) or not folder.is_dir():
            told = of_disk(error, folder / COPIES)
            why = told.happened if told else f"{folder / COPIES}: {error.strerror}."
            return _NOT_READ.format(why=why)
    why_not = house.daily.why_not if house.daily is not None else None
    if why_not is None:
        return ""
    return _NOT_MADE.format(why=f"{_happened(why_not)} {_to_do(why_not)}".strip())


def _done(lines: tuple[CopyLine, ...], back: str, kept: str) -> str:
    """What was put back just now, and how to go back; empty where those copies are not there."""
    when = {one.name: one.when for one in lines}
    if back not in when:
        return ""
    told = _BACK.format(when=when[back])
    return f"{told} {_UNDONE.format(when=when[kept])}" if kept in when else told


def _folder(request: Request) -> Path:
    house: House = request.app.state.house
    return house.photos.folder.parent


def _to_the_first_page() -> Response:
    return RedirectResponse("/", status_code=303)
