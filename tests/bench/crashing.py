"""Servers killed while four clients edit: what was answered as saved, and what of it was lost."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.crashing import crash

ROUNDS = 200


def crash_rows() -> Iterator[tuple[str, str, str]]:
    """All rounds; a change is lost that was answered as saved and is not there afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        tally = crash(Path(folder), ROUNDS)
    what = f"kill -9 in {tally.rounds} rounds of {tally.seconds / tally.rounds:.2f} s"
    yield f"{what}: changes answered as saved", f"{tally.changes:,}", ""
    yield "… pictures among them", f"{tally.pictures:,}", ""
    yield "… sent and not answered when it died", f"{tally.cut_off:,}", ""
    yield "… lost, or a file damaged", f"{len(tally.lost)}", "0"
    yield from (("   " + one, "", "") for one in tally.lost)
