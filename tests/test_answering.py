"""Several processes answer for the episodes: as one would, and whatever becomes of one of them."""

import asyncio
import os
import re
import shutil
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from multiprocessing import active_children
from pathlib import Path
from typing import NamedTuple

import pytest
from sqlalchemy import QueuePool
from starlette.testclient import TestClient
from starlette.types import Message

from tests.apart import run_apart
from tests.databases import environment
from tests.demo_documents import EPISODES
from tests.every_page import BRIEF_ONLY, SMOCK
from tests.processes import ENDED, answering, state_of, until
from tests.team import EDITION, Client, at_work, served
from webapp import worker
from webapp.answering import Answering
from webapp.app import create_app, create_part
from webapp.errors import StoreError
from webapp.log import log_path
from webapp.pages.heard import Heard
from webapp.settings import Settings
from webapp.share import Share
from webapp.store.postgresql import CONNECTIONS, engine_at

_SOME = (f"{BRIEF_ONLY}/brief", f"{BRIEF_ONLY}/companion", f"{SMOCK}/brief", "/episodes/none/draft")
_KILLED = "ended by itself (exit code -9)"
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
        """The log so far; there is none before the first request."""
        log = log_path(self.folder)
        return log.read_text() if log.exists() else ""


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


def _form_of(client: Client, base: str) -> str:
    """Where the brief is sent to, as its page stands."""
    edition = EDITION.search(client.get(f"{base}/brief"))
    assert edition
    return f"{base}/brief?edition={edition[1].decode()}"


@pytest.mark.sqlite
def test_each_episode_is_with_one_of_them() -> None:
    ids = [f"episode-{number}" for number in range(300)]
    held = [{one for one in ids if Share(number, 3).holds(one)} for number in range(3)]
    assert set.union(*held) == set(ids)
    assert sum(map(len, held)) == len(ids)
    assert min(map(len, held)) > 60


@pytest.mark.sqlite
@pytest.mark.parametrize("processes", [1, 2, 4, 13])
def test_all_together_take_no_more_connections_than_one(processes: int) -> None:
    pool = engine_at("postgresql://nobody@127.0.0.1/none", among=processes).pool
    assert isinstance(pool, QueuePool)
    sharing = 1 if processes == 1 else processes + 1  # and the front
    assert sharing * (pool.size() + pool._max_overflow) <= CONNECTIONS


@pytest.mark.sqlite
def test_pages_are_those_of_one_process(server: Server, client: Client, tmp_path: Path) -> None:
    shutil.copytree(server.folder, tmp_path / "copy")  # as other tests have left it
    app = create_app(Settings(data_dir=tmp_path / "copy"))
    with TestClient(app, base_url=f"http://127.0.0.1:{server.port}") as alone:
        for address in _SOME:
            own = _FRESH_ID.sub("", alone.get(address).text)
            assert _FRESH_ID.sub("", client.get(address).decode()) == own, address


def test_a_change_is_there_for_the_front_and_both_processes(client: Client) -> None:
    for episode in EPISODES.values():
        base = f"/episodes/{episode.id}"
        address = _form_of(client, base)
        status, _ = client.post(address, {"audience": f"For {episode.id}"}, in_part=True)
        assert status == 200
        assert f"For {episode.id}" in client.get(f"{base}/brief").decode()
    client.post(f"{SMOCK}/copy", {"once": "a copy"})
    assert client.sent_to.startswith("/episodes/")
    assert client.get(client.sent_to)
    assert client.sent_to.partition("?")[0] in client.get("/").decode()
    assert set(client.statuses) == {200, 303}


def test_twenty_browsers_lose_nothing_and_are_told_no_error(server: Server) -> None:
    """Two minutes of it are in tests/bench; of one process, four clients in tests/test_crash."""
    told = at_work(server.port, 1)
    assert told.errors == 0, told.statuses
    assert told.lost == ()
    assert told.statuses[200] > 20


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
    address = _form_of(client, SMOCK)
    assert client.post(address, {"audience": "Told as saved"}, in_part=True)[0] == 200
    before, told = server.answering(), server.logged().count(_KILLED)
    for process in before:
        os.kill(process, signal.SIGKILL)
        until(lambda process=process: state_of(process) in ENDED)
    assert "Told as saved" in client.get(f"{SMOCK}/brief").decode()
    assert client.statuses == {200: 3}
    assert not set(before) & set(server.answering())
    assert server.logged().count(_KILLED) == told + 2


@pytest.mark.sqlite
def test_what_it_was_asked_when_it_died_is_told_or_asked_again(
    server: Server, browsers: Callable[[], Client]
) -> None:
    """Stopped first, so that it surely has not answered."""
    looking, typing, sending = (browsers() for _ in range(3))
    address = _form_of(looking, SMOCK)
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
def test_a_form_that_still_comes_when_its_process_dies_is_told_with_what_was_typed(
    server: Server, client: Client
) -> None:
    address = _form_of(client, SMOCK)
    body = b"audience=Typed+slowly"
    head = (
        f"POST {address} HTTP/1.1\r\n"
        f"Host: 127.0.0.1:{server.port}\r\nContent-Length: {len(body)}\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\nConnection: close\r\n\r\n"
    )
    processes = server.answering()
    with socket.create_connection(("127.0.0.1", server.port), timeout=30) as slow:
        slow.sendall(head.encode() + body[:12])
        time.sleep(0.3)
        for process in processes:
            os.kill(process, signal.SIGKILL)
            until(lambda process=process: state_of(process) in ENDED)
        assert not set(processes) & set(server.answering())  # both are begun again
        slow.sendall(body[12:])
        told = b"".join(iter(lambda: slow.recv(1 << 16), b"")).decode()
    assert told.startswith("HTTP/1.1 503")
    assert "is begun again" in told
    assert "Typed slowly" in told


@pytest.mark.sqlite
def test_a_form_that_nobody_heard_yet_is_read_as_it_comes() -> None:
    async def heard_again() -> list[Message]:
        parts = [(b"a=", True), (b"1&b=", True), (b"2", False)]
        come = iter(
            [{"type": "http.request", "body": one, "more_body": more} for one, more in parts]
        )

        async def receive() -> Message:
            return next(come)

        heard = Heard(receive)
        await heard()
        return [await heard.again() for _ in range(4)]

    *parts, end = run_apart(heard_again())
    assert b"".join(one["body"] for one in parts) == b"a=1&b=2"
    assert end == {"type": "http.disconnect"}


@pytest.mark.sqlite
def test_what_keeps_a_process_from_being_begun_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As when the process that it would fork from ends just then: multiprocessing's EOFError."""
    begun: list[int] = []

    class Never:
        def __init__(self, **_: object) -> None:
            begun.append(1)

        def start(self) -> None:
            raise EOFError("unexpected EOF")

    monkeypatch.setattr(worker.PROCESSES, "Process", Never, raising=False)
    monkeypatch.setattr("webapp.answering._PATIENCE_S", 0.01)

    async def tries() -> None:
        answering = Answering(Settings(data_dir=tmp_path, processes=2))
        async with answering.life(), asyncio.timeout(20):
            while len(begun) < 6:
                await asyncio.sleep(0.01)

    run_apart(tries())


@pytest.mark.sqlite
def test_a_signal_to_all_of_a_servers_processes_is_for_the_front(
    server: Server, client: Client
) -> None:
    """A service manager sends SIGTERM so; what is answered just then is answered."""
    for episode in EPISODES.values():
        client.get(f"/episodes/{episode.id}/brief")  # both are at work
    processes = server.answering()
    for process in processes:
        os.kill(process, signal.SIGTERM)
    for episode in EPISODES.values():
        client.get(f"/episodes/{episode.id}/brief")
    assert server.answering() == processes


@pytest.mark.sqlite
def test_a_process_that_does_not_end_is_killed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.answering._LONGEST_END_S", 0.5)
    settings = Settings(data_dir=tmp_path, processes=2)
    create_app(settings).state.house.close()
    before = set(active_children())

    async def hang() -> None:
        async with Answering(settings).life(), asyncio.timeout(40):
            while len(set(active_children()) - before) < 2:
                await asyncio.sleep(0.05)
            for process in set(active_children()) - before:
                assert process.pid
                os.kill(process.pid, signal.SIGSTOP)

    run_apart(asyncio.wait_for(hang(), 60))
    assert set(active_children()) <= before


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


@pytest.mark.sqlite
def test_a_process_that_is_begun_where_the_plans_are_gone_makes_no_new_ones(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="gone"):
        create_part(Settings(data_dir=tmp_path, processes=2), Share(0, 2))
    assert not list(tmp_path.iterdir())


@pytest.mark.sqlite
def test_a_process_behind_a_passphrase_offers_to_sign_out(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, listen="192.168.1.20")
    create_app(settings).state.house.close()
    part = create_part(settings, Share(0, 2))
    with TestClient(part, base_url="http://192.168.1.20") as client:
        assert "Sign out" in client.get("/episodes/none").text


@pytest.mark.sqlite
def test_nothing_is_left_of_one_whose_front_is_killed(tmp_path: Path) -> None:
    with served(str(tmp_path), "--processes", "2") as (_, front, _):
        processes = answering(front, 2)
        os.kill(front, signal.SIGKILL)
        for process in processes:
            until(lambda process=process: state_of(process) in ENDED)
