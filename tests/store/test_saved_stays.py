"""What was saved stays: beside others, on a full disk, killed, and where the history is damaged."""

import os
import signal
import subprocess
import sys
import zlib
from pathlib import Path
from threading import Thread

import pytest
from sqlalchemy import event

from tests.databases import environment, sql
from tests.histories import history
from webapp.errors import DiskFullError, StoreError
from webapp.filming.shots import Shot
from webapp.plan.episode import Episode
from webapp.store.database import database_path, open_database
from webapp.store.repository import Edit, EpisodeStore

pytestmark = pytest.mark.usefixtures("database")

ROOT = Path(__file__).parents[2]


def titled(title: str) -> Edit:
    return lambda episode: episode.model_copy(update={"title": title})


def with_shot(shot_id: str) -> Edit:
    shot = Shot(id=shot_id, kind="cutaway", title="Gulls")
    return lambda episode: episode.model_copy(update={"shots": (*episode.shots, shot)})


def document(folder: Path, episode_id: str) -> str:
    """The stored text, read without any of our code."""
    query = "SELECT document FROM episodes WHERE id = :id"
    return str(sql(folder, query, id=episode_id)[0][0])


def test_changes_from_two_threads_all_land(store: EpisodeStore, smock: Episode) -> None:
    store.add(smock)

    def film(who: str) -> None:
        for number in range(15):
            store.change(smock.id, f"Add {who} {number}", with_shot(f"{who}-{number}"))
            store.get(smock.id)

    threads = [Thread(target=film, args=(who,)) for who in ("ann", "bob")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    added = {shot.id for shot in store.get(smock.id).shots[len(smock.shots) :]}
    assert added == {f"{who}-{number}" for who in ("ann", "bob") for number in range(15)}
    assert [change.number for change in history(store, smock.id)] == list(range(30, 0, -1))


@pytest.mark.sqlite
def test_a_full_disk_is_told_and_loses_nothing(tmp_path: Path, smock: Episode) -> None:
    """SQLite answers alike when the disk is full and when a database reaches its page limit."""
    engine = open_database(database_path(tmp_path))
    event.listen(engine, "connect", lambda raw, _: raw.execute("PRAGMA max_page_count=40"))
    store = EpisodeStore(engine)
    store.add(smock)
    last = smock
    with pytest.raises(DiskFullError, match=r"told as saved is on the disk; this change is not\."):
        for number in range(200):
            last = store.change(smock.id, "Rename", titled(f"Title {number}"))
    assert store.get(smock.id) == last != smock
    engine.dispose()


WRITER = """
import os, sys
from pathlib import Path
from webapp.plan.episode import Episode
from webapp.store.database import open_database
from webapp.store.repository import EpisodeStore
named = os.environ.get("SEAMSLATE_DATABASE", "")
store = EpisodeStore(open_database(Path(sys.argv[1]), named=named))
store.add(Episode(id="a", title="0"))
for number in range(1, 100_000):
    store.change("a", f"to {number}", lambda e: e.model_copy(update={"title": str(number)}))
    print(number, flush=True)
"""


def test_what_was_answered_as_saved_survives_kill_9(tmp_path: Path) -> None:
    path = database_path(tmp_path)
    command = [sys.executable, "-c", WRITER, str(path)]
    with subprocess.Popen(
        command, cwd=ROOT, env=environment(tmp_path), stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        answered = [next(writer.stdout) for _ in range(30)]
        os.kill(writer.pid, signal.SIGKILL)
        answered += writer.stdout.readlines()
    engine = open_database(path)
    store = EpisodeStore(engine)
    # The change being made when it died may have landed too.
    assert int(store.get("a").title) - int(answered[-1]) in (0, 1)
    assert history(store, "a")[0].words == f"to {store.get('a').title}"
    engine.dispose()
    if path.exists():
        assert sql(path, "PRAGMA integrity_check") == [("ok",)]


@pytest.mark.parametrize("bomb", [True, False], ids=["without end", "damaged"])
def test_an_earlier_state_that_is_damaged_is_told_and_undoes_nothing(
    store: EpisodeStore, smock: Episode, tmp_path: Path, bomb: bool
) -> None:
    """80 MB of spaces pack into 80 kB; a thousand times as much fits into a file of plans."""
    own = store.add(smock)
    changed = store.change(own, "Rename", titled("Sea"))
    spoilt = zlib.compress(b" " * 80_000_000, 1) if bomb else b"spilt tea"
    sql(tmp_path, "UPDATE changes SET before = :spoilt", spoilt=spoilt)
    with pytest.raises(StoreError, match="An earlier state of this plan is damaged"):
        store.undo(own)
    assert store.get(own) == changed
