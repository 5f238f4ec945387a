"""A team on one server: no error, nothing lost; two minutes of it are in tests/bench."""

from pathlib import Path

import pytest

from tests.databases import environment
from tests.team import at_work, served

SECONDS = 1

pytestmark = pytest.mark.usefixtures("database")


def test_twenty_browsers_lose_nothing_and_are_told_no_error(tmp_path: Path) -> None:
    """Of two processes; of one, four clients are in tests/test_crash."""
    options, own = ("--demo", "--processes", "2"), environment(tmp_path)
    with served(str(tmp_path), *options, environment=own) as (port, _, _):
        told = at_work(port, SECONDS)
    assert told.errors == 0, told.statuses
    assert told.lost == ()
    assert told.statuses[200] > 20
