"""A fresh app on a fresh folder for every test, with the demo's smock in it."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.compiled import compile_once
from webapp.app import create_app, open_house
from webapp.jobs import Jobs
from webapp.pages import house as houses
from webapp.pages.house import House
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.remembered import Remembered
from webapp.settings import Settings, files_dir
from webapp.store import repository
from webapp.store.database import migrate
from webapp.store.documents import settle
from webapp.store.episode_file import read_episode

SMOCK = "episode-3-lighthouse-smock.json"
BRIEF_ONLY = "episode-5-brief-only.json"
_plans: Remembered[str, Plan] = Remembered(40)


@cache
def _demo_episode(name: str) -> Episode:
    return read_episode((files_dir("demo_data") / name).read_bytes())


@cache
def _little_smock() -> Episode:
    plan = json.loads((files_dir("demo_data") / SMOCK).read_text("utf-8"))
    plan |= {
        "sizes": plan["sizes"][:1],
        "other_cloths": [],
        "garments": plan["garments"][:1],
        "shots": plan["shots"][:5],
        "shoot_days": plan["shoot_days"][:1],
    }
    return Episode.model_validate_json(json.dumps(plan))


_settled: Remembered[str, tuple[Episode, str]] = Remembered(10)


def _added(house: House, episode: Episode, name: str) -> str:
    """Keep it under its own id; what it is stored as is the same in every test."""
    with pytest.MonkeyPatch.context() as patched:
        known = _settled.get(name, lambda: settle(episode))
        patched.setattr(repository, "settle", lambda _: known)
        found = house.store.add(episode)
    assert found == episode.id
    return found


@pytest.fixture(scope="session")
def new_app(tmp_path_factory: pytest.TempPathFactory, of_the_run: Path) -> FastAPI:
    """The pages, which take long to put together, with a house that is closed already."""
    compile_once(of_the_run)
    app = create_app(Settings(data_dir=tmp_path_factory.mktemp("new")))
    app.state.house.close()
    return app


@pytest.fixture(scope="session")
def new_database(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The file of a database with nothing in it; on PostgreSQL nobody looks at it."""
    file = tmp_path_factory.mktemp("empty") / "seamslate.db"
    migrate(file)
    return file.read_bytes()


def _shared(episode: Episode) -> Plan:
    return _plans.get(episode.model_dump_json(), lambda: evaluate(episode))


@pytest.fixture(autouse=True)
def shared_plans(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan is a value: the same episode need not be computed anew in each test's house."""
    monkeypatch.setattr(houses, "evaluate", _shared)


@pytest.fixture
def plans_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """For a test that asks what has been computed of a plan."""
    monkeypatch.setattr(houses, "evaluate", evaluate)


@pytest.fixture(autouse=True)
def cold(monkeypatch: pytest.MonkeyPatch) -> None:
    """Spare the tests the process that jobs fork from, until one of them starts a job."""
    monkeypatch.setattr(Jobs, "warm", lambda _: None)


@pytest.fixture
def app(new_app: FastAPI, new_database: bytes, tmp_path: Path) -> Iterator[FastAPI]:
    (tmp_path / "seamslate.db").write_bytes(new_database)
    house = open_house(Settings(data_dir=tmp_path))
    new_app.state.house = house
    yield new_app
    house.store.close()  # where no client has closed the house


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        yield client


@pytest.fixture
def house(app: FastAPI) -> House:
    found: House = app.state.house
    return found


@pytest.fixture
def smock(house: House) -> str:
    """The id of the demo's smock episode."""
    return _added(house, _demo_episode(SMOCK), SMOCK)


@pytest.fixture
def little_smock(house: House) -> str:
    """The id of the smock with one of everything: more of the same only takes longer."""
    return _added(house, _little_smock(), "little")


@pytest.fixture
def empty(house: House) -> str:
    """The id of the demo's episode that is only a brief."""
    return _added(house, _demo_episode(BRIEF_ONLY), BRIEF_ONLY)
