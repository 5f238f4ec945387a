"""Printed files in a folder, so that they are there after a restart: each whole or not at all.

A file is named by its slot and by the key of what it was made from. It is a zip of what was
ordered, as JSON, and of what was printed; whatever does not fit its name is no file of ours.
"""

import hashlib
import json
import re
import tempfile
import time
import zipfile
from contextlib import suppress
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Any, Final, NamedTuple, get_args

from webapp.draft.limits import Beyond
from webapp.log import LOGGER
from webapp.pages.page_images import PageSize
from webapp.pages.print_orders import Order, PrintedKind
from webapp.store.episode_file import from_text, to_text
from webapp.store.in_place import put_in_place
from webapp.store.refusals import of_disk

KEPT_BYTES: Final = 256 * 1024**2
_NAME: Final = re.compile(r"([0-9a-f]{16})-([0-9a-f]{40})\.print")
_PART: Final = ".part"
_LEFT_OVER_S: Final = 3600.0
_TOLD, _PRINTED = "order.json", "printed"
_LARGEST_TOLD: Final = 16 * 1024**2  # bytes of JSON; an episode has 5 MB at most

Read = tuple[Order, bytes, tuple[PageSize, ...], tuple[str, ...]]


class _Kept(NamedTuple):
    slot: str
    size: int  # bytes


class PrintsFolder:
    """The printed files in a folder, as many as weigh `most_bytes`, the last ones. Safe to share
    between threads. What the disk refuses is logged and does without."""

    def __init__(self, folder: Path, most_bytes: int = KEPT_BYTES) -> None:
        self._folder, self._most = folder, most_bytes
        self._lock = Lock()
        self._known: dict[str, _Kept] | None = None  # by key, the oldest first

    def newest(self, slot: tuple[str, ...]) -> str | None:
        """The key of the file made last for that slot."""
        mark = _mark(slot)
        with self._lock:
            keys = [key for key, kept in self._kept().items() if kept.slot == mark]
        return keys[-1] if keys else None

    def read(self, key: str) -> Read | None:
        """The file made from that; None where there is none, or it is damaged."""
        with self._lock:
            kept = self._kept().get(key)
        if kept is None:
            return None
        try:
            found = _read(self._path(kept.slot, key))
            if found is None or found[0].key != key or _mark(found[0].slot) != kept.slot:
                raise ValueError("It is not what its name says.")
        except Exception as error:  # whatever lies there under such a name
            LOGGER.warning("A printed file cannot be read; it is made anew.", exc_info=error)
            with self._lock:
                self._kept().pop(key, None)
            return None
        return found

    def write(
        self, order: Order, content: bytes, pages: tuple[PageSize, ...], notes: tuple[str, ...]
    ) -> None:
        """Keep a file, and let go of the oldest beyond the room there is."""
        if len(content) > self._most:
            return
        told = json.dumps(
            {
                "kind": order.kind,
                "episode": to_text(order.episode),
                "size": order.size,
                "day": order.day.isoformat() if order.day else "",
                "pages": order.pages,
                "sizes": pages,
                "notes": notes,
                "sha256": hashlib.sha256(content).hexdigest(),
            }
        )
        slot = _mark(order.slot)
        try:
            size = _write(self._path(slot, order.key), told, content)
        except OSError as error:
            refused = of_disk(error, self._folder)
            why = refused.happened if refused else f"{error.strerror}."
            LOGGER.warning("A printed file cannot be kept. %s", why)
            return
        with self._lock:
            known = self._kept()
            known.pop(order.key, None)
            known[order.key] = _Kept(slot, size)
            while sum(one.size for one in known.values()) > self._most:
                oldest = next(iter(known))
                with suppress(OSError):
                    self._path(known[oldest].slot, oldest).unlink()
                del known[oldest]

    def _path(self, slot: str, key: str) -> Path:
        return self._folder / f"{slot}-{key}.print"

    def _kept(self) -> dict[str, _Kept]:
        """What lies in the folder, looked up once; parts of files that were never whole go."""
        if self._known is None:
            found = []
            with suppress(OSError):
                for path in self._folder.iterdir():
                    named, stat = _NAME.fullmatch(path.name), path.lstat()
                    if named:
                        found.append((stat.st_mtime_ns, named[2], _Kept(named[1], stat.st_size)))
                    elif path.name.endswith(_PART) and time.time() - stat.st_mtime > _LEFT_OVER_S:
                        path.unlink()  # never finished
            self._known = {key: kept for _, key, kept in sorted(found)}
        return self._known


def _mark(slot: tuple[str, ...]) -> str:
    return hashlib.sha256(repr(slot).encode()).hexdigest()[:16]


def _write(path: Path, told: str, content: bytes) -> int:
    """Write a file whole or not at all. Returns its size."""
    path.parent.mkdir(mode=0o700, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, suffix=_PART, delete=False) as file:
        part = Path(file.name)
    try:  # closed by now: Windows renames no file that is open
        with zipfile.ZipFile(part, "w") as packed:
            packed.writestr(_TOLD, told, zipfile.ZIP_DEFLATED)
            packed.writestr(_PRINTED, content, zipfile.ZIP_STORED)
        put_in_place(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return path.stat().st_size


def _read(path: Path) -> Read | None:
    """What lies there; None where its content is not what was written. Raises what it likes."""
    with zipfile.ZipFile(path) as packed:
        sizes = {one.filename: one.file_size for one in packed.infolist()}
        if sizes[_TOLD] > _LARGEST_TOLD or sizes[_PRINTED] > path.stat().st_size:
            return None
        told: dict[str, Any] = json.loads(packed.read(_TOLD))
        content = packed.read(_PRINTED)
    if hashlib.sha256(content).hexdigest() != told["sha256"]:
        return None
    if told["kind"] not in get_args(PrintedKind) or told["pages"] not in ("", "a4", "letter"):
        return None
    day = date.fromisoformat(told["day"]) if told["day"] else None
    episode = from_text(told["episode"], Beyond())
    order = Order(told["kind"], episode, str(told["size"]), day, told["pages"])
    pages = tuple((float(width), float(height)) for width, height in told["sizes"])
    return order, content, pages, tuple(str(note) for note in told["notes"])
