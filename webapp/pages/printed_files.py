"""The files printed of late: in memory, so that a second look costs nothing, and in a folder, so
that they are there after a restart."""

import hashlib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from webapp.pages.page_images import PageSize
from webapp.pages.print_orders import Order, orders_alone
from webapp.pages.prints_folder import PrintsFolder
from webapp.remembered import Remembered

KEPT_BYTES: Final = 64 * 1024**2
_SLOTS_KEPT: Final = 500


@dataclass(frozen=True)
class Printed:
    """A file as it was made. A zip has no pages of its own; `sheets` are the printed files in it,
    by name, and `notes` tell what was not made."""

    content: bytes
    pages: tuple[PageSize, ...]
    notes: tuple[str, ...] = ()
    sheets: tuple[tuple[str, "Printed"], ...] = ()


@dataclass(frozen=True)
class PrintedFile:
    """A printed file, the order it was made for, and the mark of its content."""

    order: Order
    printed: Printed
    digest: str = field(init=False)

    def __post_init__(self) -> None:
        digest = hashlib.sha256(self.printed.content).hexdigest()[:16]
        object.__setattr__(self, "digest", digest)


class PrintedFiles:
    """The files printed of late, as many as weigh `most_bytes` together; more of them in `folder`,
    if there is one."""

    def __init__(self, most_bytes: int = KEPT_BYTES, folder: Path | None = None) -> None:
        # One that is larger than all the room is kept alone.
        self._files: Remembered[str, PrintedFile] = Remembered(
            most_bytes, lambda file: min(len(file.printed.content), most_bytes)
        )
        self._newest: Remembered[tuple[str, ...], str] = Remembered(_SLOTS_KEPT)
        self._folder = PrintsFolder(folder) if folder else None

    def put(self, order: Order, printed: Printed) -> None:
        """Keep a file, and those in it that are ordered by themselves too."""
        sheets = dict(printed.sheets)
        for alone in orders_alone(order.episode) if sheets else ():
            for name, sheet in sheets.items():
                if alone.is_file(name):
                    self.put(alone, sheet)
        printed = replace(printed, sheets=())
        self._files.put(order.key, PrintedFile(order, printed))
        self._newest.put(order.slot, order.key)
        if self._folder is not None:
            self._folder.write(order, printed.content, printed.pages, printed.notes)

    def find(self, key: str) -> PrintedFile | None:
        """The file of that content; None if it is not there (any more)."""
        known = self._files.find(key)
        if known is None and self._folder is not None and (read := self._folder.read(key)):
            order, content, pages, notes = read
            known = PrintedFile(order, Printed(content, pages, notes))
            self._files.put(key, known)
        return known

    def newest(self, order: Order) -> PrintedFile | None:
        """The file that was ordered, or the last one made in its place before a change."""
        key = self._newest.find(order.slot)
        if key is None and self._folder is not None:
            key = self._folder.newest(order.slot)
        return self.find(order.key) or self.find(key or "")
