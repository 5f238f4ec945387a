"""What was answered as saved is there after kill -9, whenever that comes.

Outside: SIGKILL, which no process can see coming; SQLite's own look at a file, "PRAGMA
integrity_check"; documents read with zlib and json alone. All 200 rounds are
`python -m tests.bench crash`.
"""

from pathlib import Path

import pytest

from tests.crashing import crash


@pytest.mark.sqlite
def test_what_was_answered_as_saved_is_there_after_every_kill(tmp_path: Path) -> None:
    tally = crash(tmp_path, rounds=12)
    assert tally.lost == []
    assert tally.changes > 50  # or nothing was tried
    assert tally.pictures > 0
    assert tally.cut_off > 0
