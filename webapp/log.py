"""The log: what was asked for and what went wrong, in a file of the data folder.

Nothing of it is what a person typed: a request stands in it with the pattern of its address, an
error with where it happened and not with what.
"""

import logging
import os
import platform
import secrets
import sqlite3
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import suppress
from contextvars import ContextVar
from importlib import metadata
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import IO, Any, Final

LOGGER: Final = logging.getLogger("webapp")
LOGGER.addHandler(logging.NullHandler())  # where none is written, nothing goes to the terminal
_SERVERS: Final = logging.getLogger("uvicorn")
LARGEST: Final = 1024 * 1024  # bytes
FILES: Final = 5
_LETTERS: Final = "bcdfghjkmnpqrstvwxz"  # none is taken for another, and they make no words
_CODE: Final = "\n("  # a line of its own, which the terminal leaves out
_FORM: Final = "%(asctime)s %(levelname)s %(request)s %(message)s"
# Their words are Python's own and the system's, whatever was typed.
_HARMLESS: Final = (
    ArithmeticError, AttributeError, ImportError, IndexError, MemoryError, NameError, OSError,
    RecursionError, RuntimeError, TypeError, sqlite3.Error,
)  # fmt: skip

# The request that is answered just now; empty where there is none.
request_id: ContextVar[str] = ContextVar("request_id", default="")


def log_path(data_dir: Path) -> Path:
    """Where a data folder keeps its log."""
    return data_dir / "log" / "seamslate.log"


def new_id() -> str:
    """A new name for a request: eight letters, easily read out and looked for."""
    return "".join(secrets.choice(_LETTERS) for _ in range(8))


def with_code(sentence: str, code: str) -> str:
    """What is logged: the sentence, and what a library calls it, which only the file is told."""
    return f"{sentence}{_CODE}{code})"


def trace_of(error: BaseException) -> str:
    """Where it went wrong, the first cause first; of what was typed, nothing."""
    return "\n".join(_traced(error))


def begin(data_dir: Path) -> logging.Handler:
    """Write what is logged to the folder's file, and warnings to the terminal too, in a sentence.

    Whatever keeps the file from being written, nobody is troubled with it.
    """
    to_file = _File(log_path(data_dir))
    to_terminal = _Terminal()
    to_terminal.setLevel(logging.WARNING)
    to_file.setFormatter(_Form(_FORM))
    to_terminal.setFormatter(_Brief(log_path(data_dir)))
    for handler in (to_file, to_terminal):
        handler.addFilter(_with_request)
    end()
    LOGGER.setLevel(logging.INFO)
    for logger in (LOGGER, _SERVERS):
        logger.addHandler(to_file)
        logger.addHandler(to_terminal)
    return to_file


def hand_on(to: Callable[[int, str], None]) -> None:
    """Give each line, by its level, to another process, which writes the file."""
    end()
    LOGGER.setLevel(logging.INFO)
    for logger in (LOGGER, _SERVERS):
        logger.addHandler(_HandedOn(to))


def told_of_this(database: str) -> str:
    """What runs here, and where the plans are."""
    ours = " ".join((version(), "on Python", platform.python_version()))
    return f"Seamslate {ours}, {platform.system()}; the plans are in {database}"


def version() -> str:
    """Seamslate's own version; unknown where it was not installed."""
    try:
        return metadata.version("seamslate")
    except metadata.PackageNotFoundError:
        return "(not installed)"


def is_written() -> bool:
    """Whether what is logged goes to a file, as where Seamslate serves, or is lost."""
    return any(isinstance(one, _File | _HandedOn) for one in LOGGER.handlers)


def end() -> None:
    """Close the file, if one is written."""
    for logger in (LOGGER, _SERVERS):
        for handler in [
            one for one in logger.handlers if isinstance(one, _File | _Terminal | _HandedOn)
        ]:
            logger.removeHandler(handler)
            handler.close()


class _File(RotatingFileHandler):
    """A file of our own, and quiet when it cannot be written: full disk, read-only folder."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            path, maxBytes=LARGEST, backupCount=FILES - 1, encoding="utf-8", delay=True
        )

    def _open(self) -> Any:
        path = Path(self.baseFilename)
        path.parent.mkdir(mode=0o700, exist_ok=True)

        def only_hers(name: str, flags: int) -> int:
            return os.open(name, flags, 0o600)

        return open(path, self.mode, encoding=self.encoding, opener=only_hers)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - its name
        """Say nothing: there is nowhere to say it, and the page is what counts."""

    def close(self) -> None:
        """Close it; what a full disk did not take is lost."""
        with suppress(OSError):
            super().close()


class _Terminal(logging.StreamHandler[IO[str]]):
    """Whatever stands for standard error at the time."""

    def __init__(self) -> None:
        super().__init__(sys.stderr)

    def emit(self, record: logging.LogRecord) -> None:
        self.stream = sys.stderr
        super().emit(record)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - its name
        """Say nothing, as when the terminal is closed."""


class _HandedOn(logging.Handler):
    """To another process, as words."""

    def __init__(self, to: Callable[[int, str], None]) -> None:
        super().__init__()
        self._to = to
        self.setFormatter(_Form("%(message)s"))

    def emit(self, record: logging.LogRecord) -> None:
        self._to(record.levelno, self.format(record))


_OURS: Final = (_File, _Terminal, _HandedOn)


class _Form(logging.Formatter):
    def formatException(self, ei: Any) -> str:  # noqa: N802 - its name
        return trace_of(ei[1])


class _Brief(_Form):
    """The first line of each: the file has where it happened."""

    def __init__(self, file: Path) -> None:
        super().__init__(_FORM)
        self._file = file

    def format(self, record: logging.LogRecord) -> str:
        told, _, _ = super().format(record).partition(_CODE)
        first, *more = told.split("\n")
        return f"{first} Where it happened stands in {self._file}" if more else first


def _with_request(record: logging.LogRecord) -> bool:
    record.request = request_id.get() or "-"
    return True


def _traced(error: BaseException) -> Iterator[str]:
    before = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if before is not None:
        yield from _traced(before)
        yield "which led to"
    for one in getattr(error, "exceptions", ()):
        yield from _traced(one)
        yield "in a group with"
    yield from "".join(traceback.format_tb(error.__traceback__)).splitlines()
    kind = type(error)
    words = f": {error}" if isinstance(error, _HARMLESS) and not _may_quote(error) else ""
    yield f"{kind.__module__}.{kind.__qualname__}{words}"


def _may_quote(error: BaseException) -> bool:
    """An error of a library may be a kind of Python's own and still quote what it was given."""
    if isinstance(error, sqlite3.Error) and not hasattr(error, "sqlite_errorcode"):
        return True  # the driver's own words, as of a text that is damaged
    return type(error).__module__ not in ("builtins", "sqlite3")
