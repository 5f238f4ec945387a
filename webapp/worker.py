"""The process that a piece of long work runs in, from the inside: it reports, and ends as told."""

import errno
import multiprocessing
import os
import signal
import tempfile
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from typing import Any, Final, NamedTuple, Protocol

from webapp.errors import DiskFullError, SeamslateError
from webapp.log import trace_of

OUR_FAULT: Final = "Something in Seamslate went wrong; your plan is as it was."
_LONGEST_TECHNICAL: Final = 400
_NO_ROOM: Final = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_NICENESS: Final = 10
# A fork is unsafe beside a server's threads; so jobs fork from a process that has none, and that
# has loaded what they need, where the system knows this.
_METHOD: Final = (
    "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
)
PROCESSES: Final[Any] = multiprocessing.get_context(_METHOD)
if _METHOD == "forkserver":
    PROCESSES.set_forkserver_preload(["webapp.app", "webapp.handouts.warm"])


class Report(Protocol):
    """How work tells how far it is: in words, and with what it has found so far if it can."""

    def __call__(self, words: str, so_far: object = None, /) -> None: ...


class Told(NamedTuple):
    """An error in plain words; for a fault of ours the technical ones, and where it happened."""

    sentence: str
    technical: str = ""
    trace: str = ""


class Message(NamedTuple):
    """What the process sends: `progress` (words, so far), `failed` (Told) or `done` (result)."""

    kind: str
    content: Any
    peak_kb: int  # the most memory it had until then; 0 where the system does not tell


def warm() -> None:
    """Start the process that jobs fork from, if it is not there. Only its start is waited for."""
    if _METHOD == "forkserver":
        forkserver.ensure_running()


def run(pipe: Connection, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    """Do the work and send its messages; nothing is left of it when the server is gone."""

    def report(words: str, so_far: object = None, /) -> None:
        pipe.send(Message("progress", (words, so_far), _peak_kb()))

    if hasattr(os, "nice"):
        os.nice(_NICENESS)  # pages are answered first
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this
    threading.Thread(target=end_with_the_server, daemon=True).start()
    try:
        pipe.send(Message("done", work(report, *arguments), _peak_kb()))
    except Exception as error:
        with suppress(OSError):  # nobody is there to be told
            pipe.send(Message("failed", told(error), _peak_kb()))
    finally:
        pipe.close()


def told(error: Exception) -> Told:
    """An error in plain words, and all the rest where it is a fault of ours."""
    if isinstance(error, SeamslateError):
        return Told(error.sentence)
    if isinstance(error, OSError) and error.errno in _NO_ROOM:
        return Told(DiskFullError(error.filename or tempfile.gettempdir()).sentence)
    technical = f"{type(error).__name__}: {error}"[:_LONGEST_TECHNICAL]
    return Told(OUR_FAULT, technical, trace_of(error))


def end_with_the_server() -> None:
    """Wait for the end of the process that began this one, and end then: what this does is for
    nobody. The server may be killed; its long work is begun again."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os._exit(1)


def _peak_kb() -> int:
    try:
        import resource  # noqa: PLC0415 - not on every system
    except ImportError:
        return 0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
