"""Asks tests/browser/servers.py, which one worker starts for all workers of a run, for servers."""

import fcntl
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path


@contextmanager
def started(of_the_run: Path) -> Iterator[Path]:
    """Where to ask; who is asked there ends when no worker is left that may."""
    place = of_the_run / "servers"
    with closing(_stay(place)):
        yield place


def _stay(place: Path) -> socket.socket:
    """A connection by which it knows that a worker is there."""
    with place.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # until it is closed: the others wait and find it there
        try:
            return _told(place, "stay")
        except OSError:  # nobody is there yet, or is about to go
            command = [sys.executable, "-m", "tests.browser.servers", str(place.parent)]
            subprocess.run(command, check=True)
            return _told(place, "stay")


def _told(place: Path, what: str) -> socket.socket:
    with ExitStack() as held:
        asked = held.enter_context(socket.socket(socket.AF_UNIX))
        asked.connect(os.path.relpath(place))  # such an address is 107 bytes at most
        asked.sendall(f"{what}\n".encode())
        if asked.recv(1) != b"+":
            raise ConnectionError
        held.pop_all()
        return asked


@contextmanager
def served(place: Path, folder: Path) -> Iterator[str]:
    """The address of a server on that folder, as it prints it when it is ready."""
    with closing(_told(place, str(folder))) as asked, asked.makefile() as lines:
        process, ready = lines.readline(), lines.readline()
        assert "http://127.0.0.1:" in ready, ready
        yield ready.split()[-1].rstrip("/")
        os.kill(int(process), signal.SIGTERM)
