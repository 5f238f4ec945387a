"""A page of another site, in a real browser: it reads nothing and changes nothing."""

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.browser.attack import elsewhere
from tests.browser.conftest import CHROMIUM_FLAGS
from webapp import passphrase

WORDS = "tack the lantern sleeve twice"
EVIL = "evil.example"
NAME = "studio.example"


@pytest.fixture(scope="module")
def attacker() -> Iterator[int]:
    with elsewhere() as port:
        yield port


def _stored(folder: Path) -> list[tuple[object, ...]]:
    """All that is stored, but for what is only computed."""
    with sqlite3.connect(folder / "seamslate.db") as database:
        tables = ("episodes", "kept", "changes", "sent_entries")
        return [row for one in tables for row in database.execute(f"SELECT * FROM {one}")]


def _attacked(context: BrowserContext, page_address: str, ours: str) -> dict[str, str]:
    page = context.new_page()
    page.goto(f"{page_address}/?ours={ours}")
    page.wait_for_function("window.whatWasRead", timeout=60_000)
    told: dict[str, str] = page.evaluate("window.whatWasRead")
    for frame in page.frames:
        if frame.url.startswith(ours):
            told[f"a frame of {frame.url}"] = "shown"
    page.close()
    return told


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost"])
def test_a_page_elsewhere_reads_and_changes_nothing(
    browser: Browser, address: str, attacker: int, name: str, tmp_path: Path
) -> None:
    before = _stored(tmp_path)
    assert before
    context = browser.new_context()
    told = _attacked(context, f"http://{name}:{attacker}", address)
    context.close()
    assert len(told) > 30
    assert {what: read for what, read in told.items() if read} == {}
    assert _stored(tmp_path) == before


def test_the_same_ways_read_and_change_a_page_of_one_s_own(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    """The attempts are no blanks: made from a page of ours, they do what they try."""
    before = _stored(tmp_path)
    context = browser.new_context(bypass_csp=True)
    page = context.new_page()
    page.goto(f"{address}/keys")
    title = page.evaluate(
        "fetch('/episodes/small-wardrobe-3/brief').then((one) => one.text()).then((t) => t.length)"
    )
    assert title > 1000
    sent = "new URLSearchParams({ title: 'Mine', starter: 'blank' })"
    page.evaluate(f"fetch('/episodes', {{ method: 'POST', body: {sent}, mode: 'no-cors' }})")
    assert _stored(tmp_path) != before
    context.close()


@pytest.fixture(scope="module")
def pointed(browser: Browser) -> Iterator[Browser]:
    """A browser for which the names of other sites lead to this machine: DNS rebinding."""
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    chromium = next(filter(None, map(shutil.which, names)), None)
    flags = [*CHROMIUM_FLAGS, f"--host-resolver-rules=MAP {EVIL} 127.0.0.1, MAP {NAME} 127.0.0.1"]
    found = browser.browser_type.launch(executable_path=chromium, args=flags)
    yield found
    found.close()


def test_a_name_that_is_pointed_here_reads_nothing(
    pointed: Browser, address: str, attacker: int, tmp_path: Path
) -> None:
    before = _stored(tmp_path)
    ours = address.replace("127.0.0.1", EVIL)
    context = pointed.new_context()
    # Once its name leads here, its page is of our origin to the browser.
    page = context.new_page()
    answer = page.goto(f"{ours}/episodes/small-wardrobe-3/brief")
    assert answer is not None and answer.status == 421
    reading = "fetch('/episodes/small-wardrobe-3/episode.json').then((one) => one.text())"
    assert "Lighthouse" not in page.evaluate(reading)
    sent = "new URLSearchParams({ title: 'Taken over', starter: 'blank' })"
    changing = f"fetch('/episodes', {{ method: 'POST', body: {sent} }}).then((one) => one.status)"
    assert page.evaluate(changing) == 421
    told = _attacked(context, f"http://{EVIL}:{attacker}", address)
    assert {what: read for what, read in told.items() if read} == {}
    context.close()
    assert _stored(tmp_path) == before


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[str]:
    """The port of a server that other machines can reach, and that is called by a name, too."""
    passphrase.keep(tmp_path, WORDS)
    command = [sys.executable, "-m", "webapp", "--data", str(tmp_path), "--port", "0", "--demo",
               "--no-browser", "--listen", "0.0.0.0", "--name", NAME]  # fmt: skip
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True) as server:
        assert server.stdout is not None and server.stderr is not None
        line = server.stdout.readline()
        assert line.startswith(f"Seamslate is ready at http://{NAME}:"), server.stderr.read()
        yield line.rpartition(":")[2].strip().rstrip("/")
        server.terminate()
        assert "can be read on their way" in server.stderr.read()


def test_nor_does_it_when_someone_is_signed_in(
    pointed: Browser, shared: str, attacker: int, tmp_path: Path
) -> None:
    """Cookies know no ports: what this machine serves elsewhere is sent the same ones."""
    before = _stored(tmp_path)
    for host, site in (("127.0.0.1", "127.0.0.1"), (NAME, EVIL)):
        ours = f"http://{host}:{shared}"
        context = pointed.new_context()
        page = context.new_page()
        page.goto(f"{ours}/episodes/small-wardrobe-3/brief")
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        page.get_by_label("Passphrase").fill("some other words of mine")
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("alert")).to_contain_text("That is not the passphrase.")
        page.get_by_label("Passphrase").fill(WORDS)
        page.get_by_role("button", name="Sign in").click()
        expect(page).to_have_url(f"{ours}/episodes/small-wardrobe-3/brief")
        told = _attacked(context, f"http://{site}:{attacker}", ours)
        assert {what: read for what, read in told.items() if read} == {}
        page.reload()  # she is not signed out by it, either
        expect(page).to_have_url(f"{ours}/episodes/small-wardrobe-3/brief")
        # Where her session ended meanwhile, what she typed stays to be saved once she is back.
        page.evaluate("fetch('/sign-out', { method: 'POST' })")
        page.get_by_label("Title", exact=True).fill("Typed too late")
        page.keyboard.press("Tab")
        expect(page.locator("#saving")).to_contain_text("you are signed out")
        expect(page.get_by_label("Title", exact=True)).to_have_value("Typed too late")
        page.goto(f"{ours}/sign-in?next=/episodes/small-wardrobe-3/brief")
        page.get_by_label("Passphrase").fill(WORDS)
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("button", name="Sign out").click()
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        page.go_back()
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        context.close()
    assert _stored(tmp_path) == before
