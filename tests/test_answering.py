"""Several processes answer for the episodes: as one would, and whatever becomes of one of them."""

import os
import re
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import NamedTuple

import pytest
from starlette.testclient import TestClient

from tests.databases import environment
from tests.demo_documents import EPISODES
from tests.every_page import BRIEF_ONLY, SMOCK
from tests.processes import ENDED, answering, state_of, until
from tests.team import EDITION, Client, served
from webapp.app import create_app, create_part
from webapp.log import log_path
from webapp.settings import Settings
from webapp.share import Share
from webapp.store.demo import add_demo

_SOME = (
    *(f"{BRIEF_ONLY}{page}" for page in ("", "/brief", "/days", "/companion")),
    *(f"{SMOCK}{page}" for page in ("/brief", "/shots?edit=chalk-front", "/find?q=hem")),
    "/episodes/not-there/draft",
)
_FRESH_ID = re.compile(r"[0-9a-f]{32}")

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc"),
    pytest.mark.usefixtures("database"),
]


class Server(NamedTuple):
    """A server with two processes that answer, and its data folder."""

    folder: Path
    port: int
    process: int

    def answering(self) -> list[int]:
        """The processes that answer, once both are there."""
        return answering(self.process, 2)

    def logged(self) -> str:
        """The log so far."""
        return log_path(self.folder).read_text()


@pytest.fixture(scope="module")
def server(
    database: str,  # noqa: ARG001 - what it is on
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Server]:
    folder = tmp_path_factory.mktemp("team")
    with served(str(folder), "--demo", "--processes", "2", environment=environment(folder)) as told:
        port, process, _ = told
        yield Server(folder, port, process)


@pytest.fixture
def browsers(server: Server) -> Iterator[Callable[[], Client]]:
    """New connections to the server, closed in the end."""
    with ExitStack() as held:

        def new() -> Client:
            client = Client(server.port)
            held.callback(client.close)
            return client

        yield new


@pytest.fixture
def client(browsers: Callable[[], Client]) -> Client:
    return browsers()


def test_each_episode_is_with_one_of_them() -> None:
    ids = [f"episode-{number}" for number in range(300)]
    held = [{one for one in ids if Share(number, 3).holds(one)} for number in range(3)]
    assert set.union(*held) == set(ids)
    assert sum(map(len, held)) == len(ids)
    assert min(map(len, held)) > 60


@pytest.mark.sqlite
def test_pages_are_those_of_one_process(server: Server, client: Client, tmp_path: Path) -> None:
    app = create_app(Settings(data_dir=tmp_path))
    add_demo(app.state.house.store)
    with TestClient(app, base_url=f"http://127.0.0.1:{server.port}") as alone:
        for address in _SOME:
            own = _FRESH_ID.sub("", alone.get(address).text)
            assert _FRESH_ID.sub("", client.get(address).decode()) == own, address


def test_a_change_is_there_for_the_front_and_both_processes(client: Client) -> None:
    for episode in EPISODES.values():
        base = f"/episodes/{episode.id}"
        edition = EDITION.search(client.get(f"{base}/brief"))
        assert edition
        address = f"{base}/brief?edition={edition[1].decode()}"
        status, _ = client.post(address, {"audience": f"For {episode.id}"}, in_part=True)
        assert status == 200
        assert f"For {episode.id}" in client.get(f"{base}/brief").decode()
    client.post(f"{SMOCK}/copy", {"once": "a copy"})
    assert client.sent_to.startswith("/episodes/")
    assert client.get(client.sent_to)
    assert client.sent_to.partition("?")[0] in client.get("/").decode()
    assert set(client.statuses) == {200, 303}


def test_the_log_tells_of_a_request_once_by_its_pattern(server: Server, client: Client) -> None:
    line = f"GET {SMOCK}/find 200"
    before = server.logged().count(line)
    client.get(f"{SMOCK}/find?q=typed-by-her")
    until(lambda: server.logged().count(line) > before)
    assert server.logged().count(line) == before + 1
    assert "typed-by-her" not in server.logged()


def test_of_a_process_that_is_killed_nothing_is_lost_and_another_goes_on(
    server: Server, client: Client
) -> None:
    edition = EDITION.search(client.get(f"{SMOCK}/brief"))
    assert edition
    address = f"{SMOCK}/brief?edition={edition[1].decode()}"
    assert client.post(address, {"audience": "Told as saved"}, in_part=True)[0] == 200
    before = server.answering()
    for process in before:
        os.kill(process, signal.SIGKILL)
        until(lambda process=process: state_of(process) in ENDED)
    assert "Told as saved" in client.get(f"{SMOCK}/brief").decode()
    assert client.statuses == {200: 3}
    assert not set(before) & set(server.answering())
    assert server.logged().count("ended by itself (exit code -9)") == 2


@pytest.mark.sqlite
def test_what_it_was_asked_when_it_died_is_told_or_asked_again(
    server: Server, browsers: Callable[[], Client]
) -> None:
    """Stopped first, so that it surely has not answered."""
    looking, typing, sending = (browsers() for _ in range(3))
    edition = EDITION.search(looking.get(f"{SMOCK}/brief"))
    assert edition
    address = f"{SMOCK}/brief?edition={edition[1].decode()}"
    answers: dict[str, tuple[int, str]] = {}

    def ask(name: str, answered: Callable[[], tuple[int, bytes]]) -> None:
        status, page = answered()
        answers[name] = status, page.decode()

    form = {"audience": "Typed and not lost"}
    asked = {
        "look": lambda: (200, looking.get(f"{SMOCK}/days")),
        "typed": lambda: typing.post(address, form),
        "sent": lambda: sending.post(address, form, in_part=True),
    }
    processes = server.answering()
    for process in processes:
        os.kill(process, signal.SIGSTOP)
        until(lambda process=process: state_of(process) == "T")
    threads = [threading.Thread(target=ask, args=pair) for pair in asked.items()]
    for thread in threads:
        thread.start()
    time.sleep(0.5)
    assert answers == {}
    for process in processes:
        os.kill(process, signal.SIGKILL)
    for thread in threads:
        thread.join(30)
    assert looking.statuses == {200: 2}
    assert "Days" in answers["look"][1]
    for name in ("typed", "sent"):
        status, told = answers[name]
        assert (status, "is begun again" in told) == (503, True)
        assert "its page shows when you open it again" in told
    assert "Typed and not lost" in answers["typed"][1]
    assert looking.post(address, form, in_part=True)[0] == 200


@pytest.mark.sqlite
def test_a_copy_is_put_back_under_them(server: Server, client: Client) -> None:
    until(lambda: re.search(r"/copies/([^/]+)/put-back", client.get("/copies").decode()))
    copy = re.search(r"/copies/([^/]+)/put-back", client.get("/copies").decode())
    assert copy
    before = server.answering()
    status, _ = client.post(f"/copies/{copy[1]}/put-back", {})
    assert status == 303
    assert not set(before) & set(server.answering())
    assert b"<main" in client.get(f"{SMOCK}/brief")
    assert client.statuses[503] == 0


def test_a_process_behind_a_passphrase_offers_to_sign_out(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, listen="192.168.1.20")
    part = create_part(settings, Share(0, 2), keeps_list=False)
    with TestClient(part, base_url="http://192.168.1.20") as client:
        assert "Sign out" in client.get("/episodes/none").text


@pytest.mark.sqlite
def test_nothing_is_left_of_it_when_the_front_is_killed(server: Server) -> None:
    """The last one: the server of these tests is gone then."""
    processes = server.answering()
    os.kill(server.process, signal.SIGKILL)
    for process in processes:
        until(lambda process=process: state_of(process) in ENDED)
