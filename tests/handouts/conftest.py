"""The demo's smock, planned and printed once for all tests of the handouts."""

import json
from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.shared_lays import leave
from webapp.handouts.companion import companion_pdf
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.settings import files_dir

Change = Callable[[dict[str, Any]], None]
Read = Callable[[bytes], list[str]]


@pytest.fixture(scope="session")
def plan() -> Plan:
    """The smock with its sizes and its members' extra."""
    return planned(_smock())


@pytest.fixture(scope="session")
def pdf(plan: Plan) -> bytes:
    """Its companion on A4."""
    return companion_pdf(plan)


@pytest.fixture(scope="session")
def reader(pdf: bytes) -> PdfReader:
    """Its companion, opened."""
    return PdfReader(BytesIO(pdf))


@pytest.fixture(scope="session")
def read(of_the_run: Path) -> Read:
    """What gives the text of each page of a file, in the order it was written; read once a run."""

    def pages(pdf: bytes) -> list[str]:
        file = of_the_run / f"read-{sha256(pdf).hexdigest()}.json"
        if not file.exists():
            texts = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
            leave(file, json.dumps(texts).encode())
        found: list[str] = json.loads(file.read_bytes())
        return found

    return pages


@pytest.fixture(scope="session")
def pages(pdf: bytes, read: Read) -> list[str]:
    """The text of each page of the smock's companion."""
    return read(pdf)


@pytest.fixture(scope="session")
def text(pages: list[str]) -> str:
    """All its text, a space wherever a line ended."""
    return " ".join(" ".join(pages).split())


@pytest.fixture
def smock_with() -> Callable[[Change], Plan]:
    """A plan of the smock with its file changed first."""

    def made(change: Change) -> Plan:
        episode = json.loads(_smock())
        change(episode)
        return planned(json.dumps(episode))

    return made


def planned(text: str) -> Plan:
    """The plan of an episode file's text."""
    return evaluate(Episode.model_validate_json(text))


@lru_cache
def _smock() -> str:
    file = files_dir("demo_data") / "episode-3-lighthouse-smock.json"
    return file.read_text(encoding="utf-8")
