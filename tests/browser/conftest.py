"""A real server on a free port and a real Chromium in front of it."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.asking import served, started

CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def servers(of_the_run: Path) -> Iterator[Path]:
    """Where servers are asked for: at one process for all workers of the run."""
    with started(of_the_run) as place:
        yield place


@pytest.fixture
def address(tmp_path: Path, servers: Path) -> Iterator[str]:
    """The address of a server on a fresh folder, as it prints it when it is ready."""
    with served(servers, tmp_path) as address:
        yield address


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, servers: Path) -> Iterator[str]:
    """The same for all tests of a file that only look."""
    with served(servers, tmp_path_factory.mktemp("demo")) as address:
        yield address


@pytest.fixture
def fresh(tmp_path: Path, servers: Path) -> Iterator[str]:
    """The address of a server on a folder with nothing in it."""
    with served(servers, tmp_path / "fresh") as address:
        yield address


@pytest.fixture
def serve(
    servers: Path,
) -> Callable[[Path], AbstractContextManager[str]]:
    """What serves a folder that a test names, with the demo in it; gives its address."""
    return partial(served, servers)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    # The shell is the same browser without its windows: a third less work for the processor.
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    chromium = next(filter(None, map(shutil.which, names)), None)
    assert chromium, "The browser test needs Debian's package chromium-headless-shell."
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page that fails the test on any script error or refused content."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on(
        "console",
        lambda message: (
            problems.append(message.text)
            if message.type == "error" and "status of 422" not in message.text
            else None
        ),
    )
    yield page
    context.close()
    assert problems == []
