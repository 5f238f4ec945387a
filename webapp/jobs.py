"""Long work as a resource: started, looked at, cancelled; each job in a process of its own.

A process can be stopped at any moment and leaves the server free to answer other pages.
"""

import multiprocessing
import os
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing import forkserver
from multiprocessing.connection import Connection
from typing import Any, Final, Literal, Protocol

from webapp.errors import SeamslateError

State = Literal["running", "keeping", "done", "cancelled", "failed"]


class Report(Protocol):
    """How work tells how far it is: in words, and with what it has found so far if it can."""

    def __call__(self, words: str, so_far: object = None, /) -> None: ...


_KEPT: Final = 50  # finished jobs remembered
_LONGEST_STOP_S: Final = 5.0
_NICENESS: Final = 10
_JUST_OVER_S: Final = 10.0
_OUR_FAULT: Final = "Something in Seamslate went wrong; your plan is as it was."
_LONGEST_TECHNICAL: Final = 400
# A fork is unsafe beside a server's threads; so jobs fork from a process that has none, and that
# has loaded what they need, where the system knows this.
_METHOD: Final = (
    "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
)
_processes: Final[Any] = multiprocessing.get_context(_METHOD)
if _METHOD == "forkserver":
    _processes.set_forkserver_preload(["webapp.app", "webapp.handouts.warm"])


@dataclass
class Job:
    """One piece of long work. `result` is there once it is done, unless it was handed over.

    `so_far` is what it has reported of it; it stays when the work is stopped. What it is `called`
    in a sentence and the `address` of its page are told on the other pages meanwhile.
    """

    key: str
    state: State = "running"
    progress: str = "Starting"
    so_far: Any = None
    result: Any = None
    error: str = ""  # in plain words
    technical: str = ""  # beside them, for a fault of ours
    called: str = ""
    address: str = ""
    seconds: float = 0.0  # it takes, where that is known beforehand
    _process: Any = field(default=None, repr=False)
    _lock: Any = field(default_factory=threading.Lock, repr=False)
    _follower: Any = field(default=None, repr=False)
    _begun_s: float = field(default_factory=time.monotonic, repr=False)
    _ended_s: float | None = field(default=None, repr=False)

    @property
    def how_far(self) -> str:
        """The share of its time that is over, where that is known, else what it does now."""
        if not self.seconds:
            return self.progress.rstrip(".")
        share = (time.monotonic() - self._begun_s) / self.seconds
        return f"{min(99, round(share * 100))} %"

    @property
    def is_just_over(self) -> bool:
        """True for some seconds after it is done or has failed."""
        ended_s = self._ended_s
        return (
            self.state in ("done", "failed")
            and ended_s is not None
            and time.monotonic() - ended_s < _JUST_OVER_S
        )

    @property
    def is_going_on(self) -> bool:
        """True until it is done, cancelled or failed."""
        return self.state in ("running", "keeping")

    def wait(self, seconds: float) -> None:
        """Wait until it has ended, but no longer than that."""
        if self._follower is not None:
            self._follower.join(seconds)


class Jobs:
    """The jobs of this server, by key; starting a key that is running joins it."""

    def __init__(self) -> None:
        self._jobs: dict[str, Job] = {}
        self._lock = threading.Lock()

    def warm(self) -> None:
        """Start the process that jobs fork from, if it is not there: the next job then need not
        wait until it has loaded everything. It loads beside this one; only its start is waited for.
        """
        if _METHOD == "forkserver":
            forkserver.ensure_running()

    def get(self, key: str) -> Job | None:
        """The job of that key, running or ended."""
        return self._jobs.get(key)

    def beginning(self, words: str) -> tuple[Job, ...]:
        """The jobs whose keys begin so, the one started last first."""
        with self._lock:
            return tuple(job for key, job in self._jobs.items() if key.startswith(words))[::-1]

    def at_work(self, address: str) -> tuple[Job, ...]:
        """The jobs going on or just over whose address begins so, the first started first."""
        with self._lock:
            jobs = tuple(self._jobs.values())
        told = (job for job in jobs if job.is_going_on or job.is_just_over)
        return tuple(job for job in told if job.address.startswith(address))

    def start(
        self,
        key: str,
        work: Callable[..., Any],
        *arguments: Any,
        when_done: Callable[[Any], object] | None = None,
        when_stopped: Callable[[Any], object] | None = None,
        hand_over: bool = False,
        called: str = "",
        address: str = "",
        seconds: float = 0.0,
    ) -> Job:
        """Run `work(report, *arguments)` in a process; `when_done(result)` runs in this one.

        So does `when_stopped(so_far)` when it is cancelled or fails after it has found something.
        The job keeps no result that it is to `hand_over` to `when_done` alone. For the rest see
        `Job`.
        """
        with self._lock:
            running = self._jobs.get(key)
            if running is not None and running.is_going_on:
                return running
            ours, theirs = _processes.Pipe(duplex=False)
            job = Job(
                key,
                called=called,
                address=address,
                seconds=seconds,
                _process=_processes.Process(
                    target=_run,
                    args=(theirs, work, arguments),
                    name=f"seamslate {key}",
                    daemon=True,
                ),
            )
            job._process.start()
            self._jobs.pop(key, None)
            self._jobs[key] = job
            for old in list(self._jobs)[: max(0, len(self._jobs) - _KEPT)]:
                if not self._jobs[old].is_going_on:
                    del self._jobs[old]
        theirs.close()
        followed = (job, ours, when_done, when_stopped, hand_over)
        job._follower = threading.Thread(target=_follow, args=followed, daemon=True)
        job._follower.start()
        return job

    def cancel(self, key: str, keep: Callable[[Any], object] | None = None) -> None:
        """Stop the job if it is running, and wait until what it had found so far is seen to.

        `keep(so_far)` runs before the job is over, so that no page shows it over without it.
        """
        job = self._jobs.get(key)
        if job is None:
            return
        with job._lock:
            if job.state != "running":
                return
            job.state = "keeping" if keep else "cancelled"
            job._process.terminate()
        if job._follower is not None:
            job._follower.join(_LONGEST_STOP_S)
        try:
            if keep and job.so_far is not None:
                keep(job.so_far)
        finally:
            job.state = "cancelled"

    def close(self) -> None:
        """Stop every running job."""
        for key in list(self._jobs):
            self.cancel(key)


def _run(pipe: Connection, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    def report(words: str, so_far: object = None, /) -> None:
        pipe.send(("progress", (words, so_far)))

    if hasattr(os, "nice"):
        os.nice(_NICENESS)  # pages are answered first
    try:
        pipe.send(("done", work(report, *arguments)))
    except Exception as error:
        pipe.send(("failed", _told(error)))
    finally:
        pipe.close()


def _follow(
    job: Job,
    pipe: Connection,
    when_done: Callable[[Any], object] | None,
    when_stopped: Callable[[Any], object] | None,
    hand_over: bool,
) -> None:
    with pipe:
        while job.state == "running":
            try:
                kind, content = pipe.recv()
            except EOFError:
                _ended(job, "The work was stopped before it was done.", "")
                break
            if kind == "progress":
                words, so_far = content
                job.so_far = job.so_far if so_far is None else so_far
                job.progress = words
            elif kind == "failed":
                _ended(job, *content)
            else:
                _finish(job, content, when_done, hand_over)
    if job.state in ("cancelled", "failed") and job.so_far is not None and when_stopped:
        try:
            when_stopped(job.so_far)
        except Exception as error:
            job.error, job.technical = _told(error)
    job._process.join()


def _finish(
    job: Job, result: Any, when_done: Callable[[Any], object] | None, hand_over: bool
) -> None:
    with job._lock:  # from here on the job can no longer be cancelled
        if job.state != "running":
            return
        job.state = "keeping"
    try:
        if when_done is not None:
            when_done(result)
    except Exception as error:
        job.error, job.technical = _told(error)
        _over(job, "failed")
        return
    job.result = None if hand_over else result
    _over(job, "done")


def _told(error: Exception) -> tuple[str, str]:
    """An error in plain words, and the technical ones where it is a fault of ours."""
    if isinstance(error, SeamslateError):
        return error.sentence, ""
    traceback.print_exception(error)  # for whoever runs the server
    return _OUR_FAULT, f"{type(error).__name__}: {error}"[:_LONGEST_TECHNICAL]


def _ended(job: Job, error: str, technical: str) -> None:
    with job._lock:
        if job.state == "running":
            job.error, job.technical = error, technical
            _over(job, "failed")


def _over(job: Job, state: State) -> None:
    """The moment before the state: no page may find it neither going on nor just over."""
    job._ended_s = time.monotonic()
    job.state = state
