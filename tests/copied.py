"""Plans with a copy, what the command serves for them, and what is read there."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from httpx import Response
from starlette.testclient import TestClient

from webapp.opening import Opening
from webapp.plan.episode import Episode
from webapp.settings import Settings
from webapp.store.database import database_path, open_database
from webapp.store.kept_copies import DailyCopies
from webapp.store.repository import EpisodeStore


def copied_plans(folder: Path) -> Path:
    """The folder, with the plan of a smock, copied, and of a skirt, which is in no copy."""
    engine = open_database(database_path(folder))
    store = EpisodeStore(engine)
    store.add(Episode(id="smock", title="The Smock"))
    assert DailyCopies(engine, folder).make_if_due() is not None
    store.add(Episode(id="skirt", title="The Skirt"))
    engine.dispose()
    return folder


@contextmanager
def served(folder: Path) -> Iterator[TestClient]:
    """What the command serves for a folder."""
    app = Opening(Settings(data_dir=folder))
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        yield client


def words(answer: Response) -> str:
    """What is read on a page."""
    return words_of(answer.text.partition("<main")[2])


def words_of(html: str) -> str:
    """What is read of it."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).strip()


def put_back(client: TestClient, name: str) -> Response:
    """The answer to the button of that copy."""
    answer: Response = client.post(f"/copies/{name}/put-back")
    return answer
