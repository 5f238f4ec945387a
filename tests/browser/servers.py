"""Starts a server for each test as the command does, from a process that has it all loaded.

Its argument is the folder that the run shares, where it listens as `servers`; its command returns
once it does. A line sent there is a data folder, which gets the demo unless it is called `fresh`:
the answer is `+`, a line with the number of the server's process and, once it is ready, the line
that it prints itself. Of a worker that says `stay` the connection is held; with the last, it ends.
"""

import gc
import os
import select
import signal
import socket
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from multiprocessing import forkserver, resource_tracker, util
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NoReturn

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from tests.compiled import compile_once
from tests.every_page import SMOCK
from tests.shared_lays import kept_in
from tests.shared_prints import prints_kept_in
from webapp import opening
from webapp.app import create_app, open_house
from webapp.cli import main
from webapp.jobs import Jobs
from webapp.pages import house
from webapp.pages.templating import templates
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.remembered import Remembered, Same
from webapp.settings import Settings
from webapp.sign_in import SignIn
from webapp.store import repository
from webapp.store.demo import add_demo, demo_episodes
from webapp.store.documents import settle

SHOWN = ("/", *(SMOCK + page for page in ("", "/brief", "/draft", "/cloth", "/build", "/shots",
         "/days", "/table", "/threads")))  # fmt: skip


def _load(of_the_run: Path) -> None:
    """What each server would import, compile and lay anew; nothing of it is kept in a folder."""
    import uvicorn.protocols.http.httptools_impl  # noqa: F401, PLC0415 - loaded when first used

    import_module("webapp.handouts.warm")  # for jobs
    compile_once(of_the_run)
    environment = templates().env
    for name in environment.list_templates(extensions=("html",)):
        if not name.startswith("handouts/"):  # printed with filters of their own
            environment.get_template(name)
    _put_together_once()
    gc.freeze()  # or the first search for garbage writes to all of it, and so copies it


def _put_together_once() -> None:
    """All servers have one app, each with a house of its own.

    The demo's plans are values: what is worked out and drawn of them here, each of them finds.
    """
    plans: Remembered[Same, Plan] = Remembered(10)
    house.evaluate = lambda episode: plans.get(Same((episode,)), lambda: evaluate(episode))
    settled = [(episode, settle(episode)) for episode in demo_episodes()]

    def settled_once(episode: Episode, before: Episode | None = None) -> tuple[Episode, str]:
        known = (stored for one, stored in settled if before is None and one == episode)
        return next(known, None) or settle(episode, before)

    repository.settle = settled_once
    with pytest.MonkeyPatch.context() as patched, TemporaryDirectory() as folder:
        patched.setattr(Jobs, "warm", lambda _: None)
        app = create_app(Settings(data_dir=Path(folder)))
        add_demo(app.state.house.store)
        client = TestClient(app, base_url="http://127.0.0.1")
        for address in SHOWN:
            assert client.get(address).status_code == 200, address
        app.state.house.close()

    def with_its_house(settings: Settings, _: SignIn | None, *, alone: bool) -> FastAPI:
        app.state.house = open_house(settings, alone=alone)
        return app

    opening.create_app = with_its_house


def _spawned(_: object, command: Sequence[str], kept: Sequence[int]) -> int:
    """Run Python's `command` (`… -c code`) in a fork of this process instead of in a new one."""
    if process := os.fork():
        return process
    for number in {int(entry.name) for entry in Path("/proc/self/fd").iterdir()} - {0, 1, 2, *kept}:
        with suppress(OSError):
            os.close(number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)  # folders are for the servers
    try:
        exec(command[-1], {})
    finally:
        os._exit(0)


def _start_what_jobs_fork_from() -> None:
    """One for all servers, and from this process: it need not load all that is loaded here.

    Each server would start its own, which takes longer than most tests.
    """
    resource_tracker.ensure_running()
    spawn, util.spawnv_passfds = util.spawnv_passfds, _spawned
    forkserver.ensure_running()
    util.spawnv_passfds = spawn


def _is_running() -> None:
    """Not to be looked for by its number: it is no child of the server's."""


def serve(of_the_run: Path, ready: int) -> None:
    """Fork a server for each folder that is asked for, after a sign to the pipe `ready`.

    What one of them, or a test, has laid or printed, the others and their jobs find.
    """
    with kept_in(of_the_run / "first-lays"), prints_kept_in(of_the_run / "prints"):
        _load(of_the_run)
        _start_what_jobs_fork_from()
        place = of_the_run / "servers"
        place.unlink(missing_ok=True)  # of one that has ended
        listener = socket.socket(socket.AF_UNIX)
        listener.bind(os.path.relpath(place))
        listener.listen(64)
        os.write(ready, b"+")
        os.close(ready)
        _serve_each_folder(listener)


def _serve_each_folder(listener: socket.socket) -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for them
    workers: list[socket.socket] = []
    while True:
        for one in select.select([listener, *workers], [], [])[0]:
            if one is not listener:
                workers.remove(one)
                one.close()
                if not workers:
                    return
                continue
            asked, _ = listener.accept()
            folder = asked.makefile().readline().rstrip("\n")
            asked.sendall(b"+")
            if folder == "stay":
                workers.append(asked)
                continue
            if os.fork():
                asked.close()
                continue
            listener.close()
            _serve(folder, asked)


def _serve(folder: str, asked: socket.socket) -> NoReturn:
    os.dup2(asked.fileno(), 1)
    print(os.getpid(), flush=True)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    forkserver.ensure_running = forkserver._forkserver.ensure_running = _is_running
    demo = [] if folder.endswith("/fresh") else ["--demo"]
    sys.exit(main(["--data", folder, "--port", "0", "--no-browser", *demo]))


def _serve_all(of_the_run: Path) -> None:
    """In a process that outlives the worker that has begun it; this one ends when that serves."""
    here, there = os.pipe()
    if os.fork():
        os.close(there)
        sys.exit(0 if os.read(here, 1) else 1)
    serve(of_the_run, there)


if __name__ == "__main__":
    _serve_all(Path(sys.argv[1]))
