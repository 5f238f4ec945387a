"""Long work: asked for, waited for, looked at, stopped; each job in a process of its own.

A process can be stopped at any moment, gives its memory back when it ends, and leaves the server
free to answer other pages. Only so many work at a time; the others wait in their order.
"""

import contextvars
import os
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

from webapp import worker
from webapp.errors import SeamslateError
from webapp.job import Job, State, fails, over, stopped
from webapp.log import LOGGER
from webapp.worker import Message, Report, Told, told

__all__ = ["Again", "Job", "Jobs", "Report", "State", "Written", "processors"]

MOST_BEGUN: Final = 2  # what took its process down so often is not begun again
MOST_WAITING: Final = 100
LONGEST_S: Final = 3600.0  # nothing here takes a tenth of it
_LONGEST_FOR_SEARCHES_S: Final = 600.0  # of what is to take some seconds
_KEPT: Final = 50  # finished jobs remembered
_LONGEST_STOP_S: Final = 5.0
_PATIENCE_S: Final = 0.5  # who ends the server may end its processes with it

_FULL: Final = (
    f"{MOST_WAITING} works wait already. Wait until some are done, or stop one, then ask again."
)
_CLOSING: Final = "Seamslate is being closed. Ask again when it runs."
_CUT_SHORT: Final = "The work was stopped before it was done."
_GIVEN_UP: Final = "This was cut short twice, so it was given up. Your plan is as it was."
_TOO_LONG: Final = "This took longer than it ever should ({minutes:.0f} minutes) and was stopped."
_AGAIN: Final = "It was cut short, and is begun again."


@dataclass(frozen=True)
class Again:
    """How work is asked for once more after a restart: its kind, and arguments that JSON holds."""

    kind: str
    arguments: Mapping[str, Any]


class Written(Protocol):
    """Where it stands what was asked for, until it has ended; it outlasts the server."""

    def asked(self, key: str, again: Again, called: str, address: str) -> int:
        """Write it down. Returns how often it was begun already."""

    def begun(self, key: str, times: int) -> None:
        """Write down how often it was begun."""

    def ended(self, key: str) -> None:
        """Cross it out."""


@dataclass(eq=False)
class _Task:
    """A job with all that is needed to do it."""

    job: Job
    work: Callable[..., Any]
    arguments: tuple[Any, ...]
    when_done: Callable[[Any], object] | None
    when_stopped: Callable[[Any], object] | None
    hand_over: bool
    at_once: bool
    again: Again | None
    longest_s: float
    begun: int = 0
    peak_kb: int = 0
    asked_s: float = field(default_factory=time.monotonic)
    # So that the log names the request that asked.
    context: contextvars.Context = field(default_factory=contextvars.copy_context)


def processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


class Jobs:
    """The jobs of this server, by key; asking for a key that waits or runs joins it.

    `most` work at a time. What a request waits for has one more place kept for it. What was asked
    for with `again` is `written` down until it has ended, where there is a place to. Where these
    are the jobs of one `among` several processes, it has its part of `most`, but at least one.
    """

    def __init__(self, most: int = 0, written: Written | None = None, *, among: int = 1) -> None:
        self.most = max(1, (most or processors()) // among)
        self._written = written
        self._jobs: dict[str, Job] = {}
        self._waiting: list[_Task] = []
        self._running: list[_Task] = []
        self._lock = threading.Lock()
        self._asking = threading.Lock()
        self._closing = threading.Event()

    def warm(self) -> None:
        """Start the process that jobs fork from, if it is not there: the next job then need not
        wait until it has loaded everything. It loads beside this one; only its start is waited for.
        """
        worker.warm()

    @property
    def is_closed(self) -> bool:
        """True once the server is being closed: nothing is begun any more."""
        return self._closing.is_set()

    def get(self, key: str) -> Job | None:
        """The job of that key, waiting, running or ended."""
        return self._jobs.get(key)

    def beginning(self, words: str) -> tuple[Job, ...]:
        """The jobs whose keys begin so, the one asked for last first."""
        with self._lock:
            return tuple(job for key, job in self._jobs.items() if key.startswith(words))[::-1]

    def at_work(self, address: str) -> tuple[Job, ...]:
        """The jobs going on or just over whose address begins so, the first asked for first."""
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
        at_once: bool = False,
        again: Again | None = None,
    ) -> Job:
        """Run `work(report, *arguments)` in a process; `when_done(result)` runs in this one.

        So does `when_stopped(so_far)` when it is cancelled or fails after it has found something.
        The job keeps no result that it is to `hand_over` to `when_done` alone. `at_once` is for
        what a request waits for. For the rest see `Job` and `Jobs`. SeamslateError when too much
        waits already.
        """
        with self._asking:
            running = self._jobs.get(key)
            if running is not None and running.is_going_on:
                if at_once:
                    self._make_urgent(running)
                return running
            if self.is_closed:
                raise SeamslateError(_CLOSING)
            if len(self._waiting) >= MOST_WAITING:
                raise SeamslateError(_FULL)
            job = Job(key, "waiting", called=called, address=address, seconds=seconds)
            longest_s = _LONGEST_FOR_SEARCHES_S if seconds else LONGEST_S
            task = _Task(
                job, work, arguments, when_done, when_stopped, hand_over, at_once, again, longest_s
            )
            if again is not None and self._written is not None:  # on disk before it is answered
                task.begun = _safely(self._written.asked, key, again, called, address) or 0
            with self._lock:
                self._remember(job)
                self._waiting.append(task)
                self._line_up()
        return job

    def failed(self, key: str, error: str, called: str, address: str) -> None:
        """Tell of work that was asked for and cannot be begun."""
        with self._lock:
            job = Job(key, error=error, called=called, address=address)
            over(job, "failed")
            self._remember(job)

    def cancel(self, key: str, keep: Callable[[Any], object] | None = None) -> None:
        """Stop the job if it goes on, and wait until what it had found so far is seen to.

        `keep(so_far)` runs before the job is over, so that no page shows it over without it.
        """
        job = self._jobs.get(key)
        if job is None or self._taken_out(job):
            return
        if not stopped(job, "keeping" if keep else "cancelled"):
            return
        job._seen_to.wait(_LONGEST_STOP_S)
        try:
            if keep and job.so_far is not None:
                keep(job.so_far)
        finally:
            job.state = "cancelled"

    def close(self) -> None:
        """Stop all that goes on; what is written down stays so, and is begun again some day."""
        self._closing.set()
        with self._lock:
            waiting, running = list(self._waiting), list(self._running)
        for task in waiting:
            self._taken_out(task.job)
        ended = [task for task in running if stopped(task.job, "cancelled")]
        for task in running:  # also what is being kept, or it would be kept in what is opened next
            task.job._seen_to.wait(_LONGEST_STOP_S)
            if task in ended and task.again is not None and self._written is not None:
                _safely(self._written.begun, task.job.key, 0)  # it did not fail

    # --- The queue ----------------------------------------------------------

    def _remember(self, job: Job) -> None:
        """With the lock held."""
        self._jobs.pop(job.key, None)
        self._jobs[job.key] = job
        for old in list(self._jobs)[: max(0, len(self._jobs) - _KEPT)]:
            if not self._jobs[old].is_going_on:
                del self._jobs[old]

    def _line_up(self) -> None:
        """Begin what may begin; tell the others how many are before them. With the lock held."""
        for task in list(self._waiting):
            if self._has_place(task):
                self._waiting.remove(task)
                self._running.append(task)
                task.job.progress, task.job.state = "Starting", "running"
                task.job._begun_s = time.monotonic()
                following = threading.Thread(
                    target=task.context.run, args=(self._follow, task), daemon=True
                )
                task.job._follower = following
                following.start()
        working = sum(not task.at_once for task in self._running)
        for before, task in enumerate(self._waiting, start=working):
            task.job.progress = f"Waits for {before} other{'' if before == 1 else 's'}."

    def _has_place(self, task: _Task) -> bool:
        """One place more than `most` is kept for what a request waits for."""
        if self.is_closed or len(self._running) > self.most:
            return False
        return task.at_once or sum(not one.at_once for one in self._running) < self.most

    def _make_urgent(self, job: Job) -> None:
        """A request waits for it now."""
        with self._lock:
            for task in self._waiting:
                task.at_once = task.at_once or task.job is job
            self._line_up()

    def _taken_out(self, job: Job) -> bool:
        """Take a job that waits out of the queue; False for one that does not."""
        with self._lock:
            task = next((one for one in self._waiting if one.job is job), None)
            if task is None:
                return False
            self._waiting.remove(task)
            self._line_up()
        self._cross_out(task)
        job.state = "cancelled"
        job._seen_to.set()
        return True

    # --- One job, in a thread of its own ---------------------------------------------------------

    def _follow(self, task: _Task) -> None:
        job = task.job
        what = f"{job.key.split(' ', 1)[0]} {job.address}"  # a key may hold a name that was typed
        waited_s = job._begun_s - task.asked_s
        LOGGER.info("Work begun: %s, after %.1f s", what, waited_s)
        try:
            while self._cut_short(task):
                if task.again is None or task.begun >= MOST_BEGUN:
                    fails(job, Told(_CUT_SHORT if task.again is None else _GIVEN_UP))
                elif self._closing.wait(_PATIENCE_S):
                    job.state = "cancelled"
                else:
                    job.progress = _AGAIN
                    continue
                break
            if (
                job.state in ("cancelled", "failed")
                and job.so_far is not None
                and task.when_stopped
            ):
                task.when_stopped(job.so_far)
        except Exception as error:
            why = told(error)
            LOGGER.error("Work failed: %s\n%s", what, why.trace)
            job.error, job.technical = why.sentence, why.technical
            if job.is_going_on:
                over(job, "failed")
        finally:
            self._cross_out(task)
            with self._lock:
                self._running.remove(task)
                self._line_up()
            job._seen_to.set()
        took_s, peak_mb = time.monotonic() - job._begun_s, task.peak_kb / 1024
        LOGGER.info("Work %s: %s, %.1f s, at most %.0f MB", job.state, what, took_s, peak_mb)

    def _cut_short(self, task: _Task) -> bool:
        """Work in a process until that has ended. True when it ended neither done nor as asked."""
        job = task.job
        task.begun += 1
        if task.again is not None and self._written is not None:
            _safely(self._written.begun, job.key, task.begun)
        ours, theirs = worker.PROCESSES.Pipe(duplex=False)
        with ours:
            with theirs, job._lock:
                if job.state != "running":  # stopped meanwhile
                    return False
                job._process = worker.PROCESSES.Process(
                    target=worker.run,
                    args=(theirs, task.work, task.arguments),
                    name=f"seamslate {job.key}",
                    daemon=True,
                )
                job._process.start()
            self._listen(task, ours)
        if job.error:  # it may still be at it
            job._process.terminate()
        job._process.join(_LONGEST_STOP_S)
        if job._process.is_alive():
            job._process.kill()
            job._process.join()
        cut_short = job.state == "running"
        if cut_short:
            LOGGER.warning("A process was cut short (exit code %s).", job._process.exitcode)
        return cut_short

    def _listen(self, task: _Task, pipe: Any) -> None:
        """Take what the process sends until it has ended, or works longer than it may."""
        job, ends_s = task.job, time.monotonic() + task.longest_s
        while job.state == "running":
            if not pipe.poll(max(0.0, ends_s - time.monotonic())):
                fails(job, Told(_TOO_LONG.format(minutes=task.longest_s / 60)))
                LOGGER.warning("It took longer than %.0f s.", task.longest_s)
                return
            try:
                message: Message = pipe.recv()
            except (EOFError, OSError):  # OSError: it ended in the middle of a message
                return
            task.peak_kb = max(task.peak_kb, message.peak_kb)
            if message.kind == "progress":
                words, so_far = message.content
                job.so_far = job.so_far if so_far is None else so_far
                job.progress = words
            elif message.kind == "failed":
                why: Told = message.content
                if why.trace:
                    LOGGER.error("A fault of ours in a process.\n%s", why.trace)
                fails(job, why)
            else:
                self._finish(task, message.content)

    def _finish(self, task: _Task, result: Any) -> None:
        job = task.job
        with job._lock:  # from here on the job can no longer be cancelled
            if job.state != "running":
                return
            job.state = "keeping"
        if task.when_done is not None:
            task.when_done(result)
        self._cross_out(task, is_done=True)
        job.result = None if task.hand_over else result
        over(job, "done")

    def _cross_out(self, task: _Task, *, is_done: bool = False) -> None:
        """What is done, stopped or failed is not begun again; what the server's end stops is."""
        if task.again is None or self._written is None:
            return
        if is_done or not (self.is_closed and task.job.state != "failed"):
            _safely(self._written.ended, task.job.key)


def _safely(write: Callable[..., Any], *arguments: Any) -> Any:
    """Work goes on where it cannot be written down, as on a full disk."""
    try:
        return write(*arguments)
    except SeamslateError as error:
        LOGGER.warning("The list of work cannot be written. %s", error.sentence)
        return None
    except Exception as error:
        LOGGER.error("The list of work cannot be written.", exc_info=error)
        return None
