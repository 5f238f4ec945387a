"""The files printed of late, kept in memory so that a second look costs nothing."""

import hashlib
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.pages.page_images import PageSize
from webapp.pages.print_orders import Order, orders_alone
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
    """The files printed of late, as many as weigh `most_bytes` together."""

    def __init__(self, most_bytes: int = KEPT_BYTES) -> None:
        # One that is larger than all the room is kept alone.
        self._files: Remembered[str, PrintedFile] = Remembered(
            most_bytes, lambda file: min(len(file.printed.content), most_bytes)
        )
        self._newest: Remembered[tuple[str, ...], str] = Remembered(_SLOTS_KEPT)

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

    def find(self, key: str) -> PrintedFile | None:
        """The file of that content; None if it is not there (any more)."""
        return self._files.find(key)

    def newest(self, order: Order) -> PrintedFile | None:
        """The file that was ordered, or the last one made in its place before a change."""
        return self.find(order.key) or self.find(self._newest.find(order.slot) or "")
