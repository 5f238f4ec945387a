"""A real server on a free port and a real Chromium in front of it."""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The address of a server on a fresh folder, as it prints it when it is ready."""
    command = [sys.executable, "-m", "webapp", "--data", str(tmp_path), "--port", "0"]
    with subprocess.Popen(
        [*command, "--no-browser", "--demo"], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        line = server.stdout.readline()
        assert "http://127.0.0.1:" in line, line
        yield line.split()[-1].rstrip("/")
        server.terminate()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    assert chromium, "The browser test needs Debian's package chromium."
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
