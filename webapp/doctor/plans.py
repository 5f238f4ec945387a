"""The plans: whole, readable, copied; the pictures they show are there. Read only, also while
Seamslate serves them."""

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import text

from webapp.command import to_type
from webapp.doctor.finding import Finding, counted, megabytes, some
from webapp.errors import DamagedError, StoreError
from webapp.plan.episode import Episode
from webapp.settings import Settings
from webapp.store import database
from webapp.store.database import HEAD, database_path, refuse_newer
from webapp.store.documents import read
from webapp.store.episode_file import to_text
from webapp.store.kept_copies import copies_in, how_to_put_back
from webapp.store.photos import Photos, photos_folder
from webapp.store.proof import prove
from webapp.store.refusals import of_database

# A copy a day of use: one that is older than this, beside newer plans, was not made.
_OLDEST: Final = timedelta(days=2)
_DOCUMENTS: Final = "SELECT id, document FROM episodes WHERE deleted_at IS NULL ORDER BY id"


def plans(settings: Settings) -> Iterator[Finding]:
    """The database, each episode in it, its copies and its pictures."""
    path = database_path(settings.data_dir)
    episodes: list[Episode] = []
    if address := database.served_by(path, settings.database):
        yield from _on_server(address, episodes)
    elif path.is_file():
        yield from _in_file(path, how_to_put_back(settings.data_dir), episodes)
    elif copies_in(settings.data_dir):
        put_back = how_to_put_back(settings.data_dir)
        words = f"there are none in {settings.data_dir}, though there are copies. {put_back}"
        yield Finding("Plans", "to do", words)
        return
    else:
        yield Finding("Plans", "well", f"none yet in {settings.data_dir}.")
        return
    changed = None if address else _last_change(path)
    backup = to_type(settings.data_dir, "backup", "FILE", database=address)
    yield from _copies(settings.data_dir, changed, backup, has_plans=bool(episodes))
    yield from _pictures(settings.data_dir, episodes)
    yield from _letters(episodes)


def _in_file(path: Path, put_back: str, episodes: list[Episode]) -> Iterator[Finding]:
    """The database as SQLite sees it, then each episode; those read are put in `episodes`.

    `put_back` says what to do where it is damaged.
    """
    try:
        with closing(
            sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=5)
        ) as connection:
            tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
            if not {"alembic_version", "episodes"} <= tables:
                words = f"{path} is no database of Seamslate's. Move it away, or name another "
                yield Finding("Database", "to do", f"{words}folder with --data.")
                return
            ((revision,),) = connection.execute("SELECT version_num FROM alembic_version")
            found = [word for (word,) in connection.execute("PRAGMA integrity_check(3)")]
            strays = connection.execute("PRAGMA foreign_key_check").fetchall()
            if found != ["ok"]:
                yield Finding("Database", "to do", f"{path} is damaged: {found[0]}. {put_back}")
            elif strays:
                many = counted(len(strays), "row belongs", "rows belong")
                words = f"{path} is damaged: {many} to nothing. {put_back}"
                yield Finding("Database", "to do", words)
            else:
                yield _revision(str(path), revision)
            yield _read_all(connection.execute(_DOCUMENTS), episodes)
    except sqlite3.DatabaseError as error:
        told = of_database(error, path)
        words = told.sentence
        if isinstance(told, DamagedError):
            words = f"{path} cannot be read: it is damaged, or another program wrote it. {put_back}"
        yield Finding("Database", "to do", words)


def _on_server(address: str, episodes: list[Episode]) -> Iterator[Finding]:
    """The same of a PostgreSQL server, which looks after its files itself."""
    from webapp.store import postgresql  # noqa: PLC0415 - few have its driver

    engine = postgresql.engine_at(address)
    try:
        revision = postgresql.stored_revision(engine)
        name = postgresql.called(engine)
        if revision is None:
            yield Finding("Database", "well", f"{name} answers; there is nothing in it yet.")
            return
        yield _revision(name, revision)
        with engine.connect() as connection:
            rows = connection.execute(text(_DOCUMENTS))
            yield _read_all(((str(key), str(document)) for key, document in rows), episodes)
    except StoreError as error:
        yield Finding("Database", "to do", error.sentence)
    finally:
        engine.dispose()


def _revision(name: str, revision: str) -> Finding:
    try:
        refuse_newer(name, revision)
    except StoreError as error:
        return Finding("Database", "to do", error.sentence)
    if revision != HEAD:
        words = f"{name} is whole; it is brought up to date at the next start, after a copy."
        return Finding("Database", "well", words)
    return Finding("Database", "well", f"{name} is whole and up to date (version {revision}).")


def _read_all(rows: Iterable[tuple[str, str]], episodes: list[Episode]) -> Finding:
    broken = []
    for key, document in rows:
        try:
            episodes.append(read(document))
        except (StoreError, ValueError):  # ValueError: no JSON at all
            broken.append(key)
    if broken:
        words = f"{counted(len(broken), 'episode')} cannot be read: {some(broken)}."
        cure = "The page of each says why; the copies of your plans may hold an older state of it."
        return Finding("Episodes", "to do", f"{words} {cure}")
    return Finding("Episodes", "well", f"{counted(len(episodes), 'episode')}, each can be read.")


def _last_change(path: Path) -> datetime:
    """When the file or what is still to go into it was last written."""
    files = (path, path.with_name(f"{path.name}-wal"))
    return datetime.fromtimestamp(max(one.stat().st_mtime for one in files if one.exists()))


def _copies(
    data_dir: Path, changed: datetime | None, backup: str, *, has_plans: bool
) -> Iterator[Finding]:
    """`backup` is the command for one."""
    # What is dated in days to come, by a clock that was wrong, says nothing of those of late.
    # Those before a restore may be of plans that were damaged: they are kept as they were.
    found = [
        one
        for one in copies_in(data_dir)
        if one.made_at <= datetime.now() and one.why != "before-restore"
    ]
    how = f"One is made each day of use: let Seamslate run for a minute. Or make one now:\n{backup}"
    if not found:
        if has_plans and changed is not None and datetime.now() - changed > _OLDEST:
            yield Finding("Copies", "to do", f"there is none of your plans. {how}")
        else:
            yield Finding("Copies", "well", "none yet; one is made each day of use.")
        return
    newest = found[0]
    told = f"{counted(len(found), 'copy', 'copies')}, the last of {newest.made_at:%d %B %Y, %H:%M}"
    try:
        prove(newest.path)
    except StoreError as error:
        words = f"{newest.path} is not sound. {error.sentence} Delete it. {how}"
        yield Finding("Copies", "to do", words)
        return
    if changed is not None and changed - newest.made_at > _OLDEST:
        yield Finding("Copies", "to do", f"{told}, and the plans were changed since. {how}")
    else:
        yield Finding("Copies", "well", f"{told}; it is sound.")


def _pictures(data_dir: Path, episodes: list[Episode]) -> Iterator[Finding]:
    photos = Photos(photos_folder(data_dir))
    there = set(photos.names())
    missing, shown = [], set()
    for episode in episodes:
        own = {one.photo.file for one in episode.fittings if one.photo is not None}
        own |= {episode.brief.sketch.file} if episode.brief.sketch is not None else set()
        shown |= own
        if own - there:
            missing.append(f"{episode.title} ({len(own - there)})")
    spare = sorted(there - shown)
    size = sum((photos.folder / name).stat().st_size for name in spare)
    kept = f"; {counted(len(spare), 'other')} ({megabytes(size)}) stay for undo" if spare else ""
    if missing:
        words = f"pictures are missing in {photos.folder} that plans show: {some(missing)}."
        cure = "Put them back from a backup of that folder, or choose them again on their page."
        yield Finding("Pictures", "to do", f"{words} {cure}")
    else:
        told = f"{counted(len(shown), 'picture')} that plans show"
        yield Finding("Pictures", "well", f"{told}, none is missing{kept}.")


def _letters(episodes: list[Episode]) -> Iterator[Finding]:
    from webapp.handouts.printing import missing_letters, why_no_pdf  # noqa: PLC0415 - heavy

    if why_no_pdf():
        return  # told above
    letters = "".join(sorted({letter for one in episodes for letter in to_text(one)}))
    if told := missing_letters(letters):
        yield Finding("Letters", "to do", told)
    else:
        yield Finding("Letters", "well", "all that your plans have can be printed.")
