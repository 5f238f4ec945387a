"""One Seamslate serves a data folder at a time; a second start is told which one does."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from webapp.errors import StoreError

_LOCK: Final = "in-use.lock"
_LONGEST: Final = 1000  # bytes of what is noted in it
_RUNS: Final = "Seamslate runs already and has the plans in {folder} open."
_OPEN: Final = "Open it in your browser: {address}"
_END: Final = (
    "{to}, end that one first: hold Ctrl and press C in its window, or type: kill {process}"
)
_STARTS: Final = "It is just starting or ending: wait a moment, then try once more."


@contextmanager
def in_use(folder: Path) -> Iterator[Callable[[str], None]]:
    """Have the folder for this process until the end of the block, or its own.

    Gives what notes the address that is served, for whoever starts a second one. StoreError when
    another process has the folder. Taken for granted where the system knows no such lock, or
    nothing can be written there.
    """
    lock = _taken(folder)
    try:
        yield lambda address: _note(lock, address)
    finally:
        if lock is not None:
            os.close(lock)


def _taken(folder: Path) -> int | None:
    try:
        import fcntl  # noqa: PLC0415 - not on every system

        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = os.open(folder / _LOCK, os.O_CREAT | os.O_RDWR, 0o600)
    except (ImportError, OSError):
        return None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        noted = _noted(lock)
        os.close(lock)
        raise StoreError(_told(folder, noted)) from None
    except OSError:  # a disk without locks
        os.close(lock)
        return None
    _note(lock)  # nothing yet, in place of what the one before it left
    return lock


def _note(lock: int | None, *words: str) -> None:
    if lock is None:
        return
    with suppress(OSError):  # a full disk
        os.ftruncate(lock, 0)
        if words:
            os.pwrite(lock, "\n".join((*words, str(os.getpid()))).encode(), 0)


def _told(folder: Path, noted: list[str]) -> str:
    runs = _RUNS.format(folder=folder)
    if len(noted) != 2:
        return f"{runs} {_STARTS}"
    return f"{runs}\n{_where_and_how_to_end(noted, 'To start it anew')}"


def how_to_end(folder: Path, to: str) -> str:
    """Where the other process that has the folder is, and how to end it first, `to` do something.

    Two lines; empty where none has it, or it notes nothing yet.
    """
    try:
        import fcntl  # noqa: PLC0415 - not on every system

        with (folder / _LOCK).open("rb") as lock:
            noted = _noted(lock.fileno())
            fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return _where_and_how_to_end(noted, to) if len(noted) == 2 else ""
    except (ImportError, OSError):
        pass
    return ""


def _noted(lock: int) -> list[str]:
    return os.read(lock, _LONGEST).decode(errors="replace").split()


def _where_and_how_to_end(noted: list[str], to: str) -> str:
    address, process = noted
    return f"{_OPEN.format(address=address)}\n{_END.format(to=to, process=process)}"
