"""A team on one server: no error, nothing lost; two minutes of it are in tests/bench."""

from pathlib import Path

import pytest

from tests.databases import environment
from tests.team import at_work, served

SECONDS = 2

pytestmark = pytest.mark.usefixtures("database")


@pytest.mark.parametrize("processes", ["1", "2"])
def test_twenty_browsers_lose_nothing_and_are_told_no_error(tmp_path: Path, processes: str) -> None:
    options, own = ("--demo", "--processes", processes), environment(tmp_path)
    with served(str(tmp_path), *options, environment=own) as (port, _, _):
        told = at_work(port, SECONDS)
    assert told.errors == 0, told.statuses
    assert told.lost == ()
    assert told.statuses[200] > 20
