"""A server that is killed while work goes on and waits: the next one does it."""

import http.client
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.processes import ENDED, state_of, until
from webapp.doctor.machine import port as look_at_port
from webapp.settings import Settings

_KINDS = ("companion", "worksheet", "call-sheets")
_PRINTED = {"companion": "companion", "worksheet": "worksheet", "call-sheets": "call-sheet"}
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")


@contextmanager
def _server(folder: Path, seconds: float) -> Iterator[tuple[subprocess.Popen[str], int]]:
    command = [sys.executable, "-m", "tests.asked_server", str(folder / "data")]
    slow = {"SLOW_SECONDS": str(seconds), "SLOW_NOTES": str(folder / "notes")}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=os.environ | slow
    ) as server:
        assert server.stdout is not None
        port = int(server.stdout.readline().rstrip("/\n").rsplit(":", 1)[1])
        try:
            yield server, port
        finally:
            server.kill()


def _asked(port: int, method: str, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    form = {"content-type": "application/x-www-form-urlencoded"}
    body = urlencode({"size": "", "day": ""}) if method == "POST" else None
    connection.request(method, f"/episodes/small-wardrobe-3/{path}", body, form)
    answer = connection.getresponse()
    content = answer.read().decode()
    connection.close()
    return answer.status, content


def _notes(folder: Path) -> list[list[str]]:
    file = folder / "notes"
    return [line.split() for line in file.read_text().splitlines()] if file.exists() else []


def test_all_that_was_asked_for_is_done_once_by_the_next_server(tmp_path: Path) -> None:
    with _server(tmp_path, 60) as (server, port):
        for kind in _KINDS:
            status, told = _asked(port, "POST", f"{kind}/print")
            assert status == 303, told
        until(lambda: _notes(tmp_path))  # the first is at work, the others wait
        assert "Waits for 2 others." in _asked(port, "GET", "call-sheets")[1]
        server.send_signal(signal.SIGKILL)
        server.wait(20)
    ((sign, first, process),) = _notes(tmp_path)
    assert (sign, first) == ("+", "companion")
    until(lambda: state_of(int(process)) in ENDED)  # its work is for nobody
    (tmp_path / "notes").unlink()
    with _server(tmp_path, 0) as (server, port):
        (found,) = look_at_port(Settings(port=port))
        assert (found.state, found.words) == ("well", f"Seamslate answers on {port}.")
        until(lambda: len(_notes(tmp_path)) == 2 * len(_KINDS))
        for kind in _KINDS:
            until(lambda kind=kind: "Download" in _asked(port, "GET", kind)[1])
        server.terminate()
        assert server.wait(20) == -signal.SIGTERM
    done = [(sign, kind) for sign, kind, _ in _notes(tmp_path)]
    assert done == [(sign, _PRINTED[kind]) for kind in _KINDS for sign in "+-"]
