"""Folders of plans, filled and looked into as a start would."""

from pathlib import Path

from webapp.plan.episode import Episode
from webapp.store.database import database_path, open_database
from webapp.store.repository import EpisodeStore


def titles(data_dir: Path) -> list[str]:
    """The titles in a folder, opened as a start would."""
    engine = open_database(database_path(data_dir))
    found = [episode.title for episode in EpisodeStore(engine).list()]
    engine.dispose()
    return found


def fill(data_dir: Path, *names: str) -> None:
    """Add an episode of each name to a folder."""
    engine = open_database(database_path(data_dir))
    for name in names:
        EpisodeStore(engine).add(Episode(id=name.lower(), title=name))
    engine.dispose()
