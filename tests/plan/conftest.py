"""The demo's smock as an episode value, before any fitting is written down."""

import pytest

from webapp.plan.episode import Episode
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode


@pytest.fixture(scope="session")
def smock() -> Episode:
    demo = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
    return read_episode(demo.read_bytes()).model_copy(update={"fittings": ()})
