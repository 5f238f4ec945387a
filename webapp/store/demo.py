"""The demo series that comes with Seamslate, added to a folder as episodes like any other."""

from functools import cache

from webapp.plan.episode import Episode
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode
from webapp.store.repository import EpisodeStore


@cache
def demo_episodes() -> tuple[Episode, ...]:
    """Every demo episode, the last first, so that the first is the last one added."""
    files = sorted(files_dir("demo_data").glob("*.json"), reverse=True)
    return tuple(read_episode(file.read_bytes()) for file in files)


def add_demo(store: EpisodeStore) -> None:
    """Add the demo episodes that are not there."""
    for episode in demo_episodes():
        if not store.has(episode.id):
            store.add(episode)
