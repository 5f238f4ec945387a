"""The helper modules beside this file explain a failed assert as the tests themselves do."""

import os

import pytest

from webapp.cli import collect_seldom

pytest.register_assert_rewrite(
    "tests.specimens",
    "tests.demo_documents",
    "tests.drawings",
    "tests.lays",
    "tests.picture_files",
    "tests.sizes_page",
)


def pytest_xdist_auto_num_workers() -> int:
    """Two more workers than processors: browser and jobs wait for much of their time."""
    return len(os.sched_getaffinity(0)) + 2


def pytest_collection_finish() -> None:
    """The tests themselves stay to the end: one look for garbage among them is enough."""
    collect_seldom()
