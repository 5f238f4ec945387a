"""A team at work: browsers that look and edit at once over HTTP, and what is told as saved."""

import gzip
import re
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection
from random import Random
from threading import Event
from urllib.parse import urlencode

from tests.demo_documents import EPISODES, SMOCK

CLIENTS = 20
EDITION = re.compile(rb"edition=(\d+)")
_FORM = {"content-type": "application/x-www-form-urlencoded"}
_READ = ("", "/brief", "/draft", "/cloth", "/build", "/shots", "/days", "/table", "/threads")


@dataclass
class Client:
    """One browser: a connection that is kept, and what it was answered."""

    port: int
    statuses: Counter[int] = field(default_factory=Counter)
    sent_to: str = ""  # by the last answer

    def __post_init__(self) -> None:
        self._connection = HTTPConnection("127.0.0.1", self.port, timeout=60)

    def close(self) -> None:
        """Let go of its connection."""
        self._connection.close()

    def get(self, path: str) -> bytes:
        """The page."""
        return self._asked("GET", path)[1]

    def post(
        self, path: str, entries: dict[str, str], *, in_part: bool = False
    ) -> tuple[int, bytes]:
        """Status and answer of a form; `in_part` as htmx sends it."""
        more = {"hx-request": "true"} if in_part else {}
        return self._asked("POST", path, urlencode(entries), more)

    def _asked(
        self, method: str, path: str, body: str = "", more: dict[str, str] | None = None
    ) -> tuple[int, bytes]:
        headers = {"accept-encoding": "gzip", **(_FORM if body else {}), **(more or {})}
        self._connection.request(method, path, body or None, headers)
        answer = self._connection.getresponse()
        content = answer.read()
        self.statuses[answer.status] += 1
        self.sent_to = answer.getheader("location") or ""
        if answer.getheader("content-encoding") == "gzip":
            content = gzip.decompress(content)
        return answer.status, content


@contextmanager
def served(
    folder: str, *options: str, environment: Mapping[str, str] | None = None
) -> Iterator[tuple[int, int, float]]:
    """The port and the number of a server's process, and the seconds until it was ready."""
    command = [sys.executable, "-m", "webapp", "--data", folder, "--port", "0", "--no-browser"]
    start = time.perf_counter()
    with subprocess.Popen(
        [*command, *options], stdout=subprocess.PIPE, text=True, env=environment
    ) as server:
        assert server.stdout is not None
        line = server.stdout.readline()
        ready = time.perf_counter() - start
        try:
            yield int(line.rstrip("/\n").rsplit(":", 1)[1]), server.pid, ready
        finally:
            server.terminate()


@dataclass
class Member:
    """What one of the clients does, and what it was told is saved."""

    number: int
    client: Client
    episode_id: str
    shot: str
    saved: str = ""
    times: list[float] = field(default_factory=list)
    refused: int = 0  # edits, since another had changed the plan

    def go_on(self, ended: Event) -> None:
        """Four looks to an edit, until it is time to end."""
        chance = Random(self.number)
        count = 0
        while not ended.is_set():
            start = time.perf_counter()
            if chance.random() < 0.2:
                count += 1
                self._edit(f"Take {self.number}-{count}")
            elif chance.random() < 0.1:
                self.client.get("/")
            else:
                self.client.get(f"/episodes/{self.episode_id}{chance.choice(_READ)}")
            self.times.append(time.perf_counter() - start)

    def _edit(self, title: str) -> None:
        """As htmx sends it; what another changed meanwhile is looked at, and it is sent again."""
        base = f"/episodes/{self.episode_id}/shots"
        edition = EDITION.search(self.client.get(f"{base}?edit={self.shot}"))
        for _ in range(50):
            assert edition
            address = f"{base}/{self.shot}?edition={edition[1].decode()}"
            status, page = self.client.post(address, {"title": title}, in_part=True)
            if status == 200:
                self.saved = title
                return
            self.refused += 1
            edition = EDITION.search(page)
        raise RuntimeError("An edit was refused for ever")


@dataclass(frozen=True)
class Told:
    """What a team at work was answered in all, and what of it did not hold."""

    seconds: float
    statuses: Counter[int]
    times: tuple[float, ...]  # seconds, of a look or an edit
    refused: int  # edits, since another had changed the plan
    lost: tuple[str, ...]  # what was told as saved and is not there

    @property
    def errors(self) -> int:
        """Answers that are none; of another's change is told by 422."""
        return sum(n for status, n in self.statuses.items() if status >= 400 and status != 422)


def at_work(port: int, seconds: float) -> Told:
    """`CLIENTS` of them, two to an episode, for that long."""
    team, ended = _begun(port), Event()
    try:
        with ThreadPoolExecutor(CLIENTS) as pool:
            start = time.perf_counter()
            going = [pool.submit(one.go_on, ended) for one in team]
            time.sleep(seconds)
            ended.set()
            for one in going:
                one.result()
            took = time.perf_counter() - start
        statuses = sum((one.client.statuses for one in team), Counter[int]())
        lost = tuple(_lost(team))
    finally:
        for one in team:
            one.client.close()
    times = tuple(time for one in team for time in one.times)
    return Told(took, statuses, times, sum(one.refused for one in team), lost)


def _begun(port: int) -> list[Member]:
    client, team = Client(port), []
    shots = [shot.id for shot in EPISODES[SMOCK].shots[:2]]
    for number in range(CLIENTS // len(shots)):
        client.post("/episodes/small-wardrobe-3/copy", {"once": str(number)})
        own = client.sent_to.partition("?")[0].rpartition("/")[2]
        for shot in shots:
            team.append(Member(len(team), Client(port), own, shot))
    client.close()
    return team


def _lost(team: Sequence[Member]) -> Iterator[str]:
    for one in team:
        # A server lets go of a connection that nobody asks on: all before it are looked at first.
        one.client.close()
        page = one.client.get(f"/episodes/{one.episode_id}/shots").decode()
        if one.saved not in page:
            yield one.saved
