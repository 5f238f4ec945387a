"""Long work in a process of its own: done, stopped, failed, killed."""

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator
from multiprocessing import forkserver

import pytest

from webapp.errors import LayError
from webapp.jobs import Job, Jobs, Report


def _double(report: Report, number: int) -> int:
    report("doubling")
    return 2 * number


def _sleep(report: Report) -> None:
    report("sleeping")
    time.sleep(60)


def _linger(_: Report) -> None:
    threading.Thread(target=time.sleep, args=(2.0,)).start()  # its process ends no sooner


def _err(_: Report) -> None:
    raise LookupError("No filter named “x”.")


def _fail(report: Report) -> None:
    report("failing")
    raise LayError("The cloth is too narrow.")


def _die(report: Report) -> None:
    report("dying")
    os.kill(os.getpid(), signal.SIGKILL)


def _count(report: Report, last: int) -> None:
    for number in range(last):
        report(f"{number} is counted", list(range(number + 1)))
    report("resting")
    time.sleep(60)


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    jobs = Jobs()
    yield jobs
    jobs.close()


def _ended(job: Job) -> Job:
    for _ in range(400):
        if not job.is_going_on:
            return job
        time.sleep(0.05)
    raise AssertionError("The job did not end within 20 s.")


def test_a_job_gives_its_result_to_whoever_asked(jobs: Jobs) -> None:
    given: list[int] = []
    job = _ended(jobs.start("double", _double, 21, when_done=given.append))
    assert (job.state, job.result, given) == ("done", 42, [42])


def test_a_job_is_just_over_from_the_moment_it_is_done(jobs: Jobs) -> None:
    """Else a page that asks just then would tell nothing of it, and not ask again."""
    job = _ended(jobs.start("linger", _linger))
    assert job._process.is_alive()
    assert (job.state, job.is_just_over) == ("done", True)


def test_what_jobs_fork_from_is_started_once(jobs: Jobs) -> None:
    jobs.warm()
    first = forkserver._forkserver._forkserver_pid  # type: ignore[attr-defined]
    jobs.warm()
    assert first == forkserver._forkserver._forkserver_pid  # type: ignore[attr-defined]
    assert first or "forkserver" not in multiprocessing.get_all_start_methods()


def test_a_result_that_is_handed_over_is_not_kept(jobs: Jobs) -> None:
    given: list[int] = []
    job = _ended(jobs.start("double", _double, 21, when_done=given.append, hand_over=True))
    assert (job.state, job.result, given) == ("done", None, [42])


def test_a_running_job_is_joined_not_started_twice(jobs: Jobs) -> None:
    first = jobs.start("sleep", _sleep)
    assert jobs.start("sleep", _sleep) is first


def test_a_job_that_is_cancelled_stays_cancelled(jobs: Jobs) -> None:
    job = jobs.start("sleep", _sleep)
    jobs.cancel("sleep")
    time.sleep(0.3)
    assert job.state == "cancelled"


def test_a_job_cancelled_at_once_never_delivers(jobs: Jobs) -> None:
    given: list[int] = []
    job = jobs.start("double", _double, 21, when_done=given.append)
    jobs.cancel("double")
    time.sleep(1.5)
    assert (job.state, given) == ("cancelled", [])


def test_a_job_that_fails_says_why_in_its_own_sentence(jobs: Jobs) -> None:
    job = _ended(jobs.start("fail", _fail))
    assert (job.state, job.error) == ("failed", "The cloth is too narrow.")
    assert job.technical == ""


def test_a_fault_of_ours_is_said_in_plain_words_and_the_technical_ones_are_kept(
    jobs: Jobs,
) -> None:
    job = _ended(jobs.start("err", _err))
    assert job.error == "Something in Seamslate went wrong; your plan is as it was."
    assert job.technical == "LookupError: No filter named “x”."


def test_a_killed_worker_is_told(jobs: Jobs) -> None:
    job = _ended(jobs.start("die", _die))
    assert (job.state, job.error) == ("failed", "The work was stopped before it was done.")


def test_what_was_found_so_far_is_there_while_it_works_and_after_it_was_stopped(
    jobs: Jobs,
) -> None:
    job = jobs.start("count", _count, 3)
    for _ in range(400):
        if job.progress == "resting":
            break
        time.sleep(0.05)
    assert (job.state, job.so_far, job.result) == ("running", [0, 1, 2], None)
    kept: list[tuple[object, str]] = []
    for _ in range(2):  # the second time it is over
        jobs.cancel("count", lambda so_far: kept.append((so_far, job.state)))
    assert kept == [([0, 1, 2], "keeping")]
    assert (job.state, job.so_far) == ("cancelled", [0, 1, 2])


@pytest.mark.parametrize("kill", [True, False], ids=["killed", "cancelled"])
def test_what_was_found_so_far_is_handed_over_when_the_work_is_stopped(
    jobs: Jobs, kill: bool
) -> None:
    given: list[list[int]] = []
    done: list[object] = []
    job = jobs.start("count", _count, 3, when_done=done.append, when_stopped=given.append)
    for _ in range(400):
        if job.progress == "resting":
            break
        time.sleep(0.05)
    if kill:
        job._process.kill()
        _ended(job)
        job._follower.join(5)
    else:
        jobs.cancel("count")
    assert given == [[0, 1, 2]]
    assert done == []


def test_jobs_are_found_by_how_their_keys_begin_the_last_started_first(jobs: Jobs) -> None:
    for key in ("double 1", "double 2", "other", "double 1"):
        _ended(jobs.start(key, _double, 1))
    assert [job.key for job in jobs.beginning("double ")] == ["double 1", "double 2"]
    assert jobs.beginning("nothing ") == ()


def test_what_is_being_kept_is_kept_before_the_server_has_closed(jobs: Jobs) -> None:
    """Else it would be written into the plans that are opened next, such as a copy put back."""
    begins, kept = threading.Event(), list[int]()

    def keep(result: int) -> None:
        begins.set()
        time.sleep(0.3)
        kept.append(result)

    jobs.start("double", _double, 4, when_done=keep)
    assert begins.wait(20)
    jobs.close()
    assert kept == [8]
