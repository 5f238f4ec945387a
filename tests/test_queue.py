"""Long work waits its turn: never too much at once, in its order, and cut short only so often."""

import contextvars
import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.processes import until
from webapp import jobs as jobs_module
from webapp.errors import SeamslateError
from webapp.jobs import Again, Job, Jobs, Report


class Noted:
    """What is written down of work, as the database has it."""

    def __init__(self) -> None:
        self.begun_of: dict[str, int] = {}

    def asked(self, key: str, again: Again, called: str, address: str) -> int:
        assert again.kind and called is not None and address is not None
        return self.begun_of.setdefault(key, 0)

    def begun(self, key: str, times: int) -> None:
        if key in self.begun_of:
            self.begun_of[key] = times

    def ended(self, key: str) -> None:
        self.begun_of.pop(key, None)


def _note(_: Report, file: Path, name: str, seconds: float) -> str:
    """Work that writes when it begins and ends."""
    with file.open("a") as notes:
        notes.write(f"+{name}\n")
    time.sleep(seconds)
    with file.open("a") as notes:
        notes.write(f"-{name}\n")
    return name


def _sleep(report: Report) -> None:
    report("sleeping", "found")
    time.sleep(60)


def _double(_: Report, number: int) -> int:
    return 2 * number


def _die_at_first(_: Report, file: Path, times: int) -> int:
    """Work that takes its process down so many times."""
    with file.open("a") as notes:
        notes.write("x")
    if file.stat().st_size <= times:
        os.kill(os.getpid(), signal.SIGKILL)
    return file.stat().st_size


@pytest.fixture
def noted() -> Noted:
    return Noted()


@pytest.fixture
def pool(noted: Noted) -> Iterator[Callable[[int], Jobs]]:
    made: list[Jobs] = []

    def of(most: int) -> Jobs:
        made.append(Jobs(most, noted))
        return made[-1]

    yield of
    for jobs in made:
        jobs.close()


def _ended(job: Job) -> Job:
    until(lambda: not job.is_going_on)
    return job


def _at_work(job: Job) -> bool:
    return job.progress == "sleeping"


def test_never_more_than_so_many_work_at_a_time_and_each_in_its_turn(
    pool: Callable[[int], Jobs], tmp_path: Path
) -> None:
    jobs, file = pool(2), tmp_path / "notes"
    started = [jobs.start(f"note {n}", _note, file, str(n), 0.1) for n in range(6)]
    assert [job.state for job in started] == ["running"] * 2 + ["waiting"] * 4
    assert [job.progress for job in started[2:]] == [
        "Waits for 2 others.", "Waits for 3 others.", "Waits for 4 others.", "Waits for 5 others."
    ]  # fmt: skip
    for job in started:
        assert _ended(job).state == "done"
    at_once, most, begun = 0, 0, []
    for line in file.read_text().split():
        at_once += 1 if line[0] == "+" else -1
        most = max(most, at_once)
        begun += [line[1:]] if line[0] == "+" else []
    assert most == 2
    assert set(begun[:2]) == {"0", "1"}
    # Those that begin together may write in either order; nobody is passed by two others.
    assert all(abs(place - int(name)) <= 1 for place, name in enumerate(begun))


def test_work_that_waits_is_told_without_a_share_of_its_time(pool: Callable[[int], Jobs]) -> None:
    jobs = pool(1)
    jobs.start("sleep", _sleep)
    waiting = jobs.start("lay", _sleep, seconds=8.0, address="/here")
    assert (waiting.is_going_on, waiting.is_waiting) == (True, True)
    assert waiting.how_far == "Waits for 1 other"
    assert jobs.at_work("/here") == (waiting,)
    assert jobs.start("lay", _sleep) is waiting


def test_what_a_request_waits_for_passes_long_work_by(pool: Callable[[int], Jobs]) -> None:
    jobs = pool(1)
    long = jobs.start("sleep", _sleep)
    also = jobs.start("other", _double, 1)
    quick = jobs.start("quick", _double, 2, at_once=True)
    quick.wait(20)
    assert (quick.state, quick.result) == ("done", 4)
    assert (long.state, also.state) == ("running", "waiting")
    jobs.start("other", _double, 1, at_once=True).wait(20)  # a request waits for it, too, now
    assert (also.state, long.state) == ("done", "running")


def test_what_waits_is_stopped_without_being_begun(
    pool: Callable[[int], Jobs], noted: Noted, tmp_path: Path
) -> None:
    jobs, file = pool(1), tmp_path / "notes"
    jobs.start("sleep", _sleep)
    again = Again("note", {})
    first = jobs.start("note 1", _note, file, "1", 0.0, again=again)
    second = jobs.start("note 2", _note, file, "2", 0.0, again=again)
    assert (second.progress, set(noted.begun_of)) == ("Waits for 2 others.", {"note 1", "note 2"})
    jobs.cancel("note 1")
    assert (first.state, second.progress) == ("cancelled", "Waits for 1 other.")
    assert set(noted.begun_of) == {"note 2"}
    jobs.cancel("sleep")
    assert _ended(second).state == "done"
    assert file.read_text().split() == ["+2", "-2"]
    until(lambda: not noted.begun_of)


def test_too_much_that_waits_is_refused(
    pool: Callable[[int], Jobs], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs_module, "MOST_WAITING", 1)
    jobs = pool(1)
    jobs.start("sleep", _sleep)
    jobs.start("double 1", _double, 1)
    with pytest.raises(SeamslateError, match="wait already"):
        jobs.start("double 2", _double, 1)
    assert jobs.get("double 2") is None


def test_work_cut_short_is_begun_again_once(
    pool: Callable[[int], Jobs], noted: Noted, tmp_path: Path
) -> None:
    jobs, again = pool(2), Again("die", {})
    once = jobs.start("once", _die_at_first, tmp_path / "once", 1, again=again)
    ever = jobs.start("ever", _die_at_first, tmp_path / "ever", 9, again=again)
    assert (_ended(once).state, once.result) == ("done", 2)
    assert (_ended(ever).state, (tmp_path / "ever").read_text()) == ("failed", "xx")
    assert ever.error == "This was cut short twice, so it was given up. Your plan is as it was."
    until(lambda: not noted.begun_of)


def test_work_beyond_any_sense_is_ended_and_told(
    pool: Callable[[int], Jobs], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs_module, "LONGEST_S", 1.5)
    jobs, kept = pool(1), []
    job = _ended(jobs.start("sleep", _sleep, when_stopped=kept.append))
    assert job.state == "failed"
    assert job.error == "This took longer than it ever should (0 minutes) and was stopped."
    until(lambda: kept == ["found"])
    assert not job._process.is_alive()


def test_work_that_cannot_be_handed_over_is_told_and_frees_its_place(
    pool: Callable[[int], Jobs],
) -> None:
    jobs = pool(1)
    job = _ended(jobs.start("double", _double, lambda: 1))  # no process can be given that
    assert (job.state, bool(job.technical)) == ("failed", True)
    assert _ended(jobs.start("next", _double, 1)).state == "done"


def test_what_is_at_work_or_waits_when_the_server_closes_stays_written_down(
    pool: Callable[[int], Jobs], noted: Noted
) -> None:
    jobs = pool(1)
    job = jobs.start("sleep", _sleep, again=Again("sleep", {}))
    waiting = jobs.start("double", _double, 1, again=Again("double", {}))
    until(lambda: _at_work(job))
    assert noted.begun_of == {"sleep": 1, "double": 0}
    jobs.close()
    assert (job.state, waiting.state) == ("cancelled", "cancelled")
    assert noted.begun_of == {"sleep": 0, "double": 0}  # no failure of the work
    assert not job._process.is_alive()
    with pytest.raises(SeamslateError, match="being closed"):
        jobs.start("more", _double, 1)


@pytest.mark.parametrize("how", ["done", "stopped", "failed"])
def test_what_has_ended_is_crossed_out(pool: Callable[[int], Jobs], noted: Noted, how: str) -> None:
    jobs, again = pool(1), Again("it", {})
    if how == "stopped":
        job = jobs.start("it", _sleep, again=again)
        until(lambda: _at_work(job))
        jobs.cancel("it")
    else:
        _ended(jobs.start("it", _double, 1 if how == "done" else None, again=again))
    until(lambda: not noted.begun_of)
    found = jobs.get("it")
    assert found is not None and found.state in ("done", "cancelled", "failed")


def test_work_goes_on_where_it_cannot_be_written_down(
    pool: Callable[[int], Jobs], noted: Noted, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> None:
        raise OSError("No space left on device")

    for name in ("asked", "begun", "ended"):
        monkeypatch.setattr(noted, name, full)
    assert _ended(pool(1).start("double", _double, 4, again=Again("double", {}))).result == 8


def test_what_a_job_does_here_is_done_for_the_request_that_asked(
    pool: Callable[[int], Jobs],
) -> None:
    asking = contextvars.ContextVar("asking", default="")
    asking.set("hers")
    told: list[str] = []
    job = pool(1).start("double", _double, 1, when_done=lambda _: told.append(asking.get()))
    _ended(job)
    assert told == ["hers"]
