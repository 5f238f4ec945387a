"""One piece of long work, as the pages tell of it."""

import threading
import time
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from webapp.worker import Told

State = Literal["waiting", "running", "keeping", "done", "cancelled", "failed"]

_JUST_OVER_S: Final = 10.0


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
    _seen_to: Any = field(default_factory=threading.Event, repr=False)  # nothing of it goes on
    _begun_s: float = field(default_factory=time.monotonic, repr=False)
    _ended_s: float | None = field(default=None, repr=False)

    @property
    def how_far(self) -> str:
        """The share of its time that is over, where that is known, else what it does now."""
        if not self.seconds or self.is_waiting:
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
    def is_waiting(self) -> bool:
        """True until its turn comes; `progress` tells how many are before it."""
        return self.state == "waiting"

    @property
    def is_going_on(self) -> bool:
        """True until it is done, cancelled or failed."""
        return self.state in ("waiting", "running", "keeping")

    def wait(self, seconds: float) -> None:
        """Wait until it has ended, but no longer than that."""
        if self.is_going_on:
            self._seen_to.wait(seconds)


def stopped(job: Job, state: State) -> bool:
    """Stop the process of a job; False when it is over, or about to be."""
    with job._lock:
        if job.state != "running":
            return False
        job.state = state
        if job._process is not None:
            job._process.terminate()
    return True


def fails(job: Job, why: Told) -> None:
    """The job is over, unless it is stopped or done already."""
    with job._lock:
        if job.state == "running":
            job.error, job.technical = why.sentence, why.technical
            over(job, "failed")


def over(job: Job, state: State) -> None:
    """The moment before the state: no page may find it neither going on nor just over."""
    job._ended_s = time.monotonic()
    job.state = state
