"""What the app holds out: saves, many episodes, many clients. Each server is a process of its own.

The episodes of the store are put into its tables at once, since a thousand of them would take
minutes to import; all else goes over HTTP as a browser sends it.
"""

import os
import re
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path

from sqlalchemy import create_engine, make_url, text

from tests.bench.told import ms, p95
from tests.demo_documents import EPISODES, SMOCK
from tests.large_episode import large_episode
from tests.processes import children
from tests.team import CLIENTS, EDITION, Client, at_work, served
from webapp.jobs import processors
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.store.database import database_path, open_database
from webapp.store.episode_file import to_text
from webapp.store.repository import EpisodeStore

Row = tuple[str, str, str]
SECONDS = 120
STORED = (10, 100, 1000)


def filled(folder: str, count: int, like: Episode) -> None:
    """Keep `count` episodes like that one in a folder."""
    engine = open_database(database_path(Path(folder)))
    first = EpisodeStore(engine).add(like)
    engine.dispose()
    with closing(sqlite3.connect(database_path(Path(folder)))) as connection, connection:
        row = connection.execute("SELECT * FROM episodes WHERE id = ?", (first,))
        names = [one[0] for one in row.description]
        values = dict(zip(names, row.fetchone(), strict=True))
        marks = ", ".join("?" * len(names))
        for number in range(1, count):
            own = f"{first}-{number}"
            one = changed(like, id=own, title=f"{like.title} {number}")
            new = {**values, "id": own, "title": one.title, "document": to_text(one)}
            connection.execute(f"INSERT INTO episodes VALUES ({marks})", tuple(new.values()))


def _times(work: Sequence[object], client: Client) -> list[float]:
    times = []
    for one in work:
        start = time.perf_counter()
        client.get(str(one))
        times.append(time.perf_counter() - start)
    return times


def _saves(client: Client, episode_id: str, count: int) -> list[float]:
    """The seconds from the sending of an edit until it is answered as saved."""
    page = f"/episodes/{episode_id}/brief"
    times = []
    found = EDITION.search(client.get(page))
    assert found
    for edition in range(int(found[1]), int(found[1]) + count):
        start = time.perf_counter()
        status, _ = client.post(f"{page}?edition={edition}", {"notes": f"Note {edition}"})
        times.append(time.perf_counter() - start)
        if status != 303:
            raise RuntimeError(f"A save was answered {status}")
    return times


def _bare_commits(folder: str, count: int) -> list[float]:
    """The seconds that SQLite takes for a row as large as an episode's, with full sync."""
    times = []
    text = to_text(EPISODES[SMOCK])
    with closing(sqlite3.connect(Path(folder) / "bare.db", isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE one (id INTEGER PRIMARY KEY, document TEXT)")
        for number in range(count):
            start = time.perf_counter()
            connection.execute("REPLACE INTO one VALUES (1, ?)", (f"{text}{number}",))
            times.append(time.perf_counter() - start)
    return times


def save_rows() -> Iterator[Row]:
    """Saves over HTTP, one after another."""
    for what, episode in (("smock", EPISODES[SMOCK]), ("150 shots", large_episode())):
        with tempfile.TemporaryDirectory() as folder:
            filled(folder, 1, episode)
            with served(folder) as (port, _, _):
                client = Client(port)
                _saves(client, episode.id, 20)
                times = _saves(client, episode.id, 200)
            yield f"save acknowledged over HTTP, {what}, median", ms(statistics.median(times)), ""
            yield f"save acknowledged over HTTP, {what}, p95", ms(p95(times)), "8 ms"
            yield "bare commit of as much, full sync, p95", ms(p95(_bare_commits(folder, 200))), ""


def _memory_mb(pid: int) -> float:
    """What the process has of memory for itself and its share of what it shares (Linux, PSS)."""
    text = Path(f"/proc/{pid}/smaps_rollup").read_text()
    found = re.search(r"^Pss:\s+(\d+) kB", text, re.MULTILINE)
    assert found
    return int(found[1]) / 1024


def _all_of(process: int) -> Iterator[int]:
    yield process
    for child in children(process):
        yield from _all_of(child)


def growth_rows() -> Iterator[Row]:
    """What pages cost as more is stored: 150 shots an episode."""
    like = large_episode()
    for count in STORED:
        aims = ("60 ms", "2,500 ms", "250 MB") if count == STORED[-1] else ("", "", "")
        with tempfile.TemporaryDirectory() as folder:
            filled(folder, count, like)
            with served(folder) as (port, pid, ready):
                client = Client(port)
                client.get("/")
                here = f"{count:,} episodes: "
                yield here + "start", ms(ready, 0), aims[1]
                pages = "/", f"/episodes/{like.id}", f"/episodes/{like.id}/shots", "/series"
                for page in pages:
                    client.get(page)
                    times = _times([page] * 60, client)
                    name = page.replace(like.id, "ID")
                    yield f"{here}page {name}, p95", ms(p95(times)), aims[0] if page == "/" else ""
                times = _saves(client, like.id, 60)
                yield here + "save acknowledged, p95", ms(p95(times)), ""
                for number in range(1, min(count, 40)):  # more of them than are remembered
                    client.get(f"/episodes/{like.id}-{number}/shots")
                yield (
                    here + "memory, after 40 of them were opened",
                    f"{_memory_mb(pid):,.0f} MB",
                    aims[2],
                )


def team_rows() -> Iterator[Row]:
    """A team at work for two minutes, on both databases, with one process and with as many as there
    are processors; nothing may be lost.

    PostgreSQL where SEAMSLATE_TEST_POSTGRESQL names a server; TEAM_SECONDS is for a shorter look.
    """
    yield from _team_rows("SQLite")
    server = os.environ.get("SEAMSLATE_TEST_POSTGRESQL")
    if server is None:
        return
    made = f"seamslate_team_{os.getpid()}"
    url = make_url(server).set(drivername="postgresql+psycopg")
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {made} TEMPLATE template0 ENCODING 'UTF8'"))
        address = url.set(drivername="postgresql", database=made)
        own = address.render_as_string(hide_password=False)
        try:
            yield from _team_rows("PostgreSQL", {**os.environ, "SEAMSLATE_DATABASE": own})
        finally:
            connection.execute(text(f"DROP DATABASE {made} WITH (FORCE)"))
    engine.dispose()


def _team_rows(database: str, environment: dict[str, str] | None = None) -> Iterator[Row]:
    for count in sorted({1, processors()}):
        what = f"{database}, {count} process{'' if count == 1 else 'es'}"
        yield from _at_work(what, environment, "--processes", str(count))


def _at_work(what: str, environment: dict[str, str] | None, *options: str) -> Iterator[Row]:
    seconds = float(os.environ.get("TEAM_SECONDS", SECONDS))
    with (
        tempfile.TemporaryDirectory() as folder,
        served(folder, "--demo", *options, environment=environment) as (port, pid, _),
    ):
        told = at_work(port, seconds)
        memory = sum(map(_memory_mb, _all_of(pid)))
    asked = told.statuses.total()
    here = f"{what}, {CLIENTS} clients for {told.seconds:,.0f} s: "
    yield here + "requests", f"{asked / told.seconds:,.0f} a second", "150"
    yield here + "a look or an edit, p95", ms(p95(told.times), 0), ""
    yield here + "errors", f"{told.errors} of {asked:,}", "0"
    yield here + "edits told that another had changed the plan", f"{told.refused}", ""
    yield here + "lost", f"{len(told.lost)}", "0"
    yield here + "memory of all its processes", f"{memory:,.0f} MB", ""
