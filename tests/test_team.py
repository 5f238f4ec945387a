"""A team on one server: no error, nothing lost; two minutes of it are in tests/bench."""

from pathlib import Path

import pytest

from tests.databases import environment
from tests.team import at_work, served

SECONDS = 1

pytestmark = pytest.mark.usefixtures("database")


@pytest.mark.sqlite
def test_of_one_process_twenty_browsers_lose_nothing_and_are_told_no_error(tmp_path: Path) -> None:
    _lose_nothing(tmp_path, processes=1)


def test_of_two_processes_twenty_browsers_lose_nothing_and_are_told_no_error(
    tmp_path: Path,
) -> None:
    _lose_nothing(tmp_path, processes=2)


def _lose_nothing(folder: Path, processes: int) -> None:
    options, own = ("--demo", "--processes", str(processes)), environment(folder)
    with served(str(folder), *options, environment=own) as (port, _, _):
        told = at_work(port, SECONDS)
    assert told.errors == 0, told.statuses
    assert told.lost == ()
    assert told.statuses[200] > 20
