"""What was changed last in a copy of the plans, of whichever version: it is read as it lies."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

# The id is that of an episode, whose own change is asked for next.
_OF_EPISODES: Final = (
    "SELECT updated_at AS at, '' AS act, title AS name, id FROM episodes "
    "UNION ALL SELECT deleted_at, 'Deleted', title, '' FROM episodes "
)
_OF_KEPT: Final = (
    "UNION ALL SELECT kept_at, 'Kept', name, '' FROM kept "
    "UNION ALL SELECT deleted_at, 'Taken out', name, '' FROM kept"
)
_LAST: Final = (
    "SELECT at, act, name, id FROM ({of}) WHERE at <= ? AND at IS NOT NULL ORDER BY at DESC LIMIT 1"
)
_WORDS: Final = (
    "SELECT words FROM changes WHERE episode_id = ? AND NOT undone ORDER BY number DESC LIMIT 1"
)


@dataclass(frozen=True)
class ChangedLast:
    """The last change of a copy: when, of which episode, and what the button Undo calls it."""

    at: datetime  # on this computer's clock
    name: str
    words: str = ""  # of a new episode there are none

    @property
    def told(self) -> str:
        """On one line: “The Skirt”: Audience."""
        told = f"“{self.name}”: {self.words}" if self.words else f"“{self.name}”"
        return "".join(c if c.isprintable() else " " for c in told)


def changed_last(file: Path, until: datetime) -> ChangedLast | None:
    """The last change in a copy that is dated up to then; None where it cannot be told."""
    moment = f"{until.astimezone(UTC):%Y-%m-%d %H:%M:%S}"
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as copy:
            asked = _LAST.format(of=_OF_EPISODES + (_OF_KEPT if _has_kept(copy) else ""))
            at, act, name, id = copy.execute(asked, (moment,)).fetchone()
            (words,) = copy.execute(_WORDS, (id,)).fetchone() or (act,)
        moment_of = datetime.fromisoformat(at).replace(tzinfo=UTC).astimezone()
        return ChangedLast(moment_of, str(name), str(words))
    except (sqlite3.Error, TypeError, ValueError, OverflowError):  # none, or another wrote it
        return None


def _has_kept(copy: sqlite3.Connection) -> bool:
    """The first version kept nothing beside the episodes."""
    return copy.execute("SELECT 1 FROM sqlite_schema WHERE name = 'kept'").fetchone() is not None
