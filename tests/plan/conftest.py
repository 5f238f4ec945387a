"""The demo's smock as an episode value."""

import pytest

from webapp.plan.episode import Episode
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode


@pytest.fixture(scope="session")
def smock() -> Episode:
    return read_episode((files_dir("demo_data") / "episode-3-lighthouse-smock.json").read_bytes())
