"""The demo's smock, planned and printed once for all tests of the handouts."""

import json
from collections.abc import Callable
from functools import lru_cache
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from tests.handouts.read_pages import texts_of
from webapp.handouts.companion import companion_pdf
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.settings import files_dir

Change = Callable[[dict[str, Any]], None]


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
def pages(pdf: bytes) -> list[str]:
    """The text of each page of the smock's companion."""
    return texts_of(pdf)


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
