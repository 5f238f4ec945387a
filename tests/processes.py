"""Processes of a server that a test has begun, looked for in /proc (proc(5))."""

import time
from collections.abc import Callable
from pathlib import Path

ENDED = ("Z", "")  # of a process that nobody has waited for yet, and of one that is gone


def state_of(process: int) -> str:
    """By its letter; empty when it is gone."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return ""


def answering(server: int, count: int) -> list[int]:
    """The processes that answer for a server, once so many are there."""
    found: list[int] = []

    def all_there() -> bool:
        below = [two for one in children(server) for two in children(one)]
        found[:] = [one for one in below if state_of(one) not in ENDED]
        return len(found) == count

    until(all_there)
    return found


def until(what: Callable[[], object]) -> None:
    """Wait until it is so. AssertionError after 40 s."""
    for _ in range(800):
        if what():
            return
        time.sleep(0.05)
    raise AssertionError("It did not come about within 40 s.")


def children(process: int) -> list[int]:
    """The processes that it has begun, of those that are there."""
    try:
        told = [one.read_text() for one in Path(f"/proc/{process}/task").glob("*/children")]
    except OSError:  # it has ended meanwhile
        return []
    return [int(child) for children in told for child in children.split()]
