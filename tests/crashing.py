"""Servers that are killed at random moments while four clients edit, and a look at what is left.

Run by itself it is the process that the servers are forked from, so that a round takes no longer
than opening the plans: a line on stdin is a data folder, the answer the server's process and port.
"""

import hashlib
import http.client
import io
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlencode

from PIL import Image

from webapp.app import create_app, open_house
from webapp.listening import listening, server
from webapp.plan.episode import Episode
from webapp.settings import Settings
from webapp.store.database import database_path, open_database
from webapp.store.photos import photos_folder
from webapp.store.repository import EpisodeStore

# Two clients share an episode; the third and the fourth have one each.
TYPISTS: Final = (("shared", "audience"), ("shared", "notes"), ("alone", "promise"))
PICTURED: Final = "pictured"
_LONGEST_S: Final = 0.25  # from the first change that is taken to the kill


@dataclass
class Tally:
    """What was done in all rounds, and what was found missing."""

    rounds: int = 0
    changes: int = 0  # acknowledged
    pictures: int = 0  # acknowledged
    cut_off: int = 0  # sent, and not answered when the server died
    seconds: float = 0.0
    lost: list[str] = field(default_factory=list)


@dataclass
class _Client:
    """One client: what was answered as saved, in order, and what was sent last."""

    episode: str
    acknowledged: list[str] = field(default_factory=list)
    sent: str = ""
    refused: str = ""  # the answer to it, where it was not taken


def crash(folder: Path, rounds: int, seed: int = 9) -> Tally:
    """Kill a server as many times, each time at another moment; look at the plans after each."""
    chance, tally, begun = random.Random(seed), Tally(), time.monotonic()
    engine = open_database(database_path(folder))
    for name in {episode for episode, _ in TYPISTS} | {PICTURED}:
        EpisodeStore(engine).add(Episode(id=name, title=name))
    engine.dispose()
    with _servers() as fork:
        for number in range(rounds):
            clients = _round(fork(folder), number, chance.uniform(0, _LONGEST_S))
            tally.rounds += 1
            for client in clients:
                done = len(client.acknowledged)
                tally.pictures += done if client.episode == PICTURED else 0
                tally.changes += done
                tally.cut_off += client.sent not in ("", *client.acknowledged[-1:])
            tally.lost += [f"round {number}: {one}" for one in _missing(folder, clients)]
    tally.seconds = time.monotonic() - begun
    return tally


def _round(process_and_port: tuple[int, int], number: int, seconds: float) -> list[_Client]:
    process, port = process_and_port
    typists = [(_Client(episode), name) for episode, name in TYPISTS]
    photographer = _Client(PICTURED)
    clients = [*(client for client, _ in typists), photographer]
    threads = [
        threading.Thread(target=_type, args=(port, client, name, number))
        for client, name in typists
    ]
    threads.append(threading.Thread(target=_photograph, args=(port, photographer, number)))
    for thread in threads:
        thread.start()
    while not any(client.acknowledged for client in clients):
        time.sleep(0.002)
        if not any(thread.is_alive() for thread in threads):
            break  # what was answered instead is told
    time.sleep(seconds)
    os.kill(process, signal.SIGKILL)
    for thread in threads:
        thread.join()
    return clients


def _type(port: int, client: _Client, name: str, number: int) -> None:
    def form(count: int) -> tuple[str, str, bytes]:
        value = f"{name} {number}-{count}"
        return value, "application/x-www-form-urlencoded", urlencode({name: value}).encode()

    _send(port, f"/episodes/{client.episode}/brief", client, form)


def _photograph(port: int, client: _Client, number: int) -> None:
    def form(count: int) -> tuple[str, str, bytes]:
        value = f"photo {number}-{count}"
        picture = io.BytesIO()
        Image.new("RGB", (8, 8), (number % 256, count % 256, 7)).save(picture, "PNG")
        parts = (
            b'--cut\r\ncontent-disposition: form-data; name="alt"\r\n\r\n',
            value.encode(),
            b'\r\n--cut\r\ncontent-disposition: form-data; name="file"; filename="a.png"\r\n',
            b"content-type: image/png\r\n\r\n",
            picture.getvalue(),
            b"\r\n--cut--\r\n",
        )
        return value, "multipart/form-data; boundary=cut", b"".join(parts)

    _send(port, f"/episodes/{client.episode}/brief/sketch", client, form)


def _send(
    port: int, address: str, client: _Client, form: Callable[[int], tuple[str, str, bytes]]
) -> None:
    """Send one form after another until the server is gone."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    count = 0
    try:
        while True:
            value, kind, body = form(count)
            client.sent, count = value, count + 1
            connection.request("POST", address, body, {"content-type": kind})
            answer = connection.getresponse()
            told = answer.read()
            if answer.status != 303:
                client.refused = f"{answer.status} {told.decode()}"
                return
            client.acknowledged.append(value)
    except (OSError, http.client.HTTPException):
        connection.close()


def _missing(folder: Path, clients: list[_Client]) -> Iterator[str]:
    """What is not as it was told, in the plans and the pictures that the server left behind."""
    path = database_path(folder)
    texts: set[str] = set()  # that any change which can be undone brought
    with closing(sqlite3.connect(path)) as connection:
        if (found := connection.execute("PRAGMA integrity_check").fetchall()) != [("ok",)]:
            yield f"damaged: {found}"
        last = "SELECT after FROM changes WHERE NOT undone ORDER BY id DESC LIMIT 300"
        for (after,) in connection.execute(last):
            texts |= _texts(json.loads(zlib.decompress(after)))
    engine = open_database(path)
    try:
        store = EpisodeStore(engine)
        for client in clients:
            yield from _missing_of(store, texts, client)
        pictures = photos_folder(folder)
        if sketch := store.get(PICTURED).brief.sketch:
            content = (pictures / sketch.file).read_bytes()
            if hashlib.sha256(content).hexdigest() != Path(sketch.file).stem:
                yield "a picture is not what it was"
        now = store.get("shared")
        if store.standing("shared").to_undo is not None:
            store.undo("shared")
            if store.get("shared") == now:
                yield "undo does nothing"
            store.redo("shared")
            if store.get("shared") != now:
                yield "redo does not bring back what was undone"
    finally:
        engine.dispose()


def _missing_of(store: EpisodeStore, texts: set[str], client: _Client) -> Iterator[str]:
    """Every change that was answered as saved was made, and the last of them, or what came next,
    is how the plan stands."""
    if client.refused:
        yield f"“{client.sent}” was refused: {client.refused}"
    for value in client.acknowledged:
        if value not in texts:
            yield f"“{value}” was answered as saved and is in no change"
    last_two = (*client.acknowledged[-1:], client.sent)
    now = _texts(store.get(client.episode).model_dump(mode="json"))
    if client.acknowledged and not now.intersection(last_two):
        yield f"“{client.acknowledged[-1]}” was answered as saved and is not in the plan"


def _texts(episode: dict[str, Any]) -> set[str]:
    """What the clients type, as it is in an episode's document."""
    brief = episode["brief"]
    typed = (brief.get(name, "") for _, name in TYPISTS)
    return {*typed, (brief.get("sketch") or {}).get("alt", "")}


@contextmanager
def _servers() -> Iterator[Callable[[Path], tuple[int, int]]]:
    """What forks a server for a folder; returns its process and port."""
    command = [sys.executable, "-m", "tests.crashing"]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, bufsize=1) as host:
        stdin, stdout = host.stdin, host.stdout
        assert stdin is not None and stdout is not None

        def fork(folder: Path) -> tuple[int, int]:
            stdin.write(f"{folder}\n")
            process, port = stdout.readline().split()
            return int(process), int(port)

        try:
            yield fork
        finally:
            host.terminate()


def _serve() -> None:
    import uvicorn.protocols.http.httptools_impl  # noqa: F401, PLC0415 - loaded when first used

    with tempfile.TemporaryDirectory() as nowhere:
        app = create_app(Settings(data_dir=Path(nowhere)))
        app.state.house.close()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for them
    for line in sys.stdin:
        if os.fork():
            continue
        settings = Settings(data_dir=Path(line.rstrip("\n")), port=0)
        app.state.house = open_house(settings)
        with listening(settings) as listener:
            print(os.getpid(), listener.getsockname()[1], flush=True)
            server(app, settings).run(sockets=[listener])
        os._exit(0)


if __name__ == "__main__":
    _serve()
