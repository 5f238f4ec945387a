"""What is served on, to whom, and how long the server waits for a request."""

import argparse
import contextlib
import io
import re
import resource
import shutil
import socket
import ssl
import subprocess
import sys
import threading
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import httpx
import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from webapp import listening, passphrase
from webapp.app import create_app
from webapp.cli import main
from webapp.errors import SeamslateError
from webapp.listening import address_to_open, server, who_can_open
from webapp.settings import Settings, add_options, from_options

WORDS = "tack the lantern sleeve twice"


@contextlib.contextmanager
def served(
    settings: Settings, app: Callable[[Settings], ASGIApp] = lambda _: PlainTextResponse("here")
) -> Iterator[int]:
    """A server, of one small page where no other app is named; its port."""
    serving = server(app(settings), settings)
    with listening.listening(settings) as listener:
        thread = threading.Thread(target=serving.run, kwargs={"sockets": [listener]})
        thread.start()
        while not serving.started:
            time.sleep(0.005)
        try:
            yield listener.getsockname()[1]
        finally:
            serving.should_exit = True
            thread.join()


@pytest.fixture
def port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    monkeypatch.setattr(listening, "HEAD_SECONDS", 0.2)
    with served(Settings(data_dir=tmp_path, port=0)) as port:
        yield port


def _until_closed(connection: socket.socket, drip: bytes) -> bytes:
    """What comes back while a byte is sent now and then; for five seconds at most."""
    connection.settimeout(0.05)
    heard = b""
    end = time.monotonic() + 5
    while time.monotonic() < end:
        try:
            connection.sendall(drip)
            got = connection.recv(4096)
        except TimeoutError:
            continue
        except ConnectionError:
            return heard
        if not got:
            return heard
        heard += got
    pytest.fail("the connection is still open")


@pytest.mark.parametrize("start", [b"", b"GET / HTTP/1.1\r\nHost: localhost\r\nX-A: "])
def test_who_does_not_ask_in_time_is_let_go(port: int, start: bytes) -> None:
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(start)
        assert _until_closed(connection, b"a" if start else b"") == b""


def test_those_who_ask_nothing_keep_nobody_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "FEW_CONNECTIONS", 8)
    monkeypatch.setattr(listening, "MOST_CONNECTIONS", 12)

    async def reads(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            await Request(scope, receive).body()
            await PlainTextResponse("here")(scope, receive, send)

    with (
        served(Settings(data_dir=tmp_path, port=0), lambda _: reads) as port,
        contextlib.ExitStack() as open_ones,
        socket.create_connection(("127.0.0.1", port)) as at_work,
    ):
        at_work.sendall(b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\n\r\na")
        silent = [
            open_ones.enter_context(socket.create_connection(("127.0.0.1", port)))
            for _ in range(40)
        ]
        assert httpx.get(f"http://127.0.0.1:{port}/").text == "here"
        assert silent[0].recv(1) == b""
        at_work.sendall(b"a")  # who asks is not let go
        at_work.settimeout(5)
        assert b"here" in at_work.recv(4096)


def test_a_server_may_hold_more_files_than_is_usual() -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    try:
        resource.setrlimit(resource.RLIMIT_NOFILE, (min(1024, hard), hard))
        listening.hold_many_files()
        now, still = resource.getrlimit(resource.RLIMIT_NOFILE)
        assert (now > 1024 or hard <= 1024) and still == hard
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


def test_nor_is_who_asks_once_and_then_drips(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\nGET / HT")
        assert b"here" in _until_closed(connection, b"T")


@pytest.mark.parametrize(("patience", "is_whole"), [(0.2, False), (60.0, True)])
def test_who_takes_nothing_of_an_answer_is_let_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, patience: float, is_whole: bool
) -> None:
    monkeypatch.setattr(listening, "TAKING_SECONDS", patience)
    size, heard = 40_000_000, 0  # more than the system holds for a connection
    with (
        served(Settings(data_dir=tmp_path, port=0), lambda _: Response(b"a" * size)) as port,
        socket.create_connection(("127.0.0.1", port)) as connection,
    ):
        connection.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
        time.sleep(0.6)
        with contextlib.suppress(ConnectionError):
            while part := connection.recv(1 << 20):
                heard += len(part)
    assert (heard > size) == is_whole


def test_a_head_that_is_too_large_is_refused(port: int) -> None:
    for head in (b"X-A: " + b"a" * 40_000, b"X-A: a\r\n" * 5000):
        with socket.create_connection(("127.0.0.1", port)) as connection:
            connection.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n" + head)
            with contextlib.suppress(ConnectionError):
                assert connection.recv(100).split()[1] in (b"400", b"431")


def test_nothing_is_taken_for_a_second_request_behind_one_of_two_lengths(tmp_path: Path) -> None:
    """RFC 9112, 6.1: a message with both lengths may be an attempt to smuggle another in."""
    with served(Settings(data_dir=tmp_path, port=0), create_app) as port:
        host = f"Host: 127.0.0.1:{port}\r\n".encode()
        for how in (b"chunked", b"Chunked", b"xchunked", b"gzip, chunked"):
            with socket.create_connection(("127.0.0.1", port)) as connection:
                connection.sendall(
                    b"POST /settings HTTP/1.1\r\n" + host + b"Content-Length: 5\r\n"
                    b"Transfer-Encoding: " + how + b"\r\n\r\n0\r\n\r\n"
                    b"GET /settings HTTP/1.1\r\n" + host + b"\r\n"
                )
                heard = _until_closed(connection, b"")
            assert heard.startswith((b"HTTP/1.1 411", b"HTTP/1.1 400")), how
            assert heard.count(b"HTTP/1.1 ") == 1, how


@pytest.mark.parametrize(
    "head",
    [
        b"Content-Length: 5\r\nContent-Length: 6\r\n",
        b"Content-Length: +5\r\n",
        b"Content-Length: 5, 5\r\n",
        b"Content-Length : 5\r\n",
        b"Transfer-Encoding : chunked\r\n",
        b"Transfer-Encoding:\r\n chunked\r\n",
        b"Transfer-Encoding: chunked\r\n",
        b"Host: studio.example\r\nContent-Length: 5\r\nConnection: close\r\n",
        b"X-A: a\rContent-Length: 5\r\n",
        b"X-A: a\0\r\nContent-Length: 5\r\n",
    ],
)
def test_what_others_might_read_otherwise_is_refused(tmp_path: Path, head: bytes) -> None:
    """RFC 9112, 2.2, 3.2, 5.1, 6.1 and 6.3; RFC 9110, 5.5: nothing behind it is answered."""
    with served(Settings(data_dir=tmp_path, port=0), create_app) as port:
        host = f"Host: 127.0.0.1:{port}\r\n".encode()
        ask = b"POST /settings HTTP/1.1\r\n" + host + head + b"\r\n0\r\n\r\n"
        with socket.create_connection(("127.0.0.1", port)) as connection:
            connection.sendall(ask + b"GET /settings HTTP/1.1\r\n" + host + b"\r\n")
            heard = _until_closed(connection, b"")
    assert heard.startswith(b"HTTP/1.1 4")
    assert b"HTTP/1.1 200" not in heard


def test_few_requests_may_wait_behind_one(port: int) -> None:
    ask = b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(ask * 5)
        heard = b""
        while heard.count(b"here") < 5:
            heard += connection.recv(4096)
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(ask * 50)  # read in one go: else the refusal may be lost on its way
        assert b"HTTP/1.1 400" in _until_closed(connection, b"")


def test_no_socket_is_opened_and_no_server_is_named(port: int) -> None:
    ask = {"connection": "upgrade", "upgrade": "websocket", "sec-websocket-version": "13",
           "sec-websocket-key": "dGhlIHNhbXBsZSBub25jZQ=="}  # fmt: skip
    answer = httpx.get(f"http://127.0.0.1:{port}/", headers=ask)
    assert answer.status_code == 200
    assert "server" not in answer.headers


def _spoken(port: int, version: ssl.TLSVersion) -> str | None:
    """What is spoken with a client that knows that version of TLS alone; None if nothing."""
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.check_hostname, client.verify_mode = False, ssl.CERT_NONE
    client.set_ciphers("ALL:@SECLEVEL=0")  # else it would not know an old one itself
    with warnings.catch_warnings(action="ignore", category=DeprecationWarning):
        client.minimum_version = client.maximum_version = version
    try:
        with (
            socket.create_connection(("127.0.0.1", port)) as plain,
            client.wrap_socket(plain) as secured,
        ):
            return secured.version()
    except (ssl.SSLError, ConnectionError):
        return None


def test_https_is_served_with_a_certificate(tmp_path: Path) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("openssl, which makes the certificate, is not here")
    certificate, key = tmp_path / "c.pem", tmp_path / "k.pem"
    command = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256",
               "-nodes", "-days", "2", "-subj", "/CN=localhost", "-addext",
               "subjectAltName=DNS:localhost,IP:127.0.0.1",
               "-keyout", str(key), "-out", str(certificate)]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True)
    settings = Settings(data_dir=tmp_path, port=0, tls_certificate=certificate, tls_key=key)
    with served(settings) as port:
        trust = ssl.create_default_context(cafile=str(certificate))
        assert httpx.get(f"https://127.0.0.1:{port}/", verify=trust).text == "here"
        with (
            socket.create_connection(("127.0.0.1", port)) as plain,
            trust.wrap_socket(plain, server_hostname="localhost") as secured,
        ):
            assert secured.version() == "TLSv1.3"
        assert _spoken(port, ssl.TLSVersion.TLSv1_2) == "TLSv1.2"
        assert _spoken(port, ssl.TLSVersion.TLSv1_1) is None
        with pytest.raises(httpx.HTTPError):  # nothing is told in clear text
            httpx.get(f"http://127.0.0.1:{port}/")
    for wrong in ((certificate, certificate), (tmp_path / "gone.pem", key), (certificate, None)):
        broken = Settings(data_dir=tmp_path, tls_certificate=wrong[0], tls_key=wrong[1])
        with pytest.raises(SeamslateError, match=r"\.$"):
            server(PlainTextResponse(""), broken)


def test_other_machines_are_let_in_by_a_passphrase_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    listen = ["--data", str(tmp_path), "--listen", "0.0.0.0", "--port", "0", "--no-browser"]
    assert main(listen) == 2
    assert f"seamslate passphrase --data {tmp_path}" in capsys.readouterr().err
    monkeypatch.setattr(passphrase, "_N", 2**4)
    for typed in ("short", "password1234"):
        monkeypatch.setattr(sys, "stdin", io.StringIO(f"{typed}\n"))
        assert main(["passphrase", "--data", str(tmp_path)]) == 2
        assert typed not in "".join(capsys.readouterr())
    assert list(tmp_path.glob("passphrase*")) == []
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{WORDS}\n"))
    assert main(["passphrase", "--data", str(tmp_path)]) == 0
    assert WORDS not in "".join(capsys.readouterr())
    found = passphrase.kept(tmp_path)
    assert found is not None and found.is_it(WORDS)


def test_at_a_terminal_it_is_typed_twice_and_not_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr(passphrase, "_N", 2**4)
    monkeypatch.setattr(sys, "stdin", Terminal())
    for answers, status in (([WORDS, WORDS + "s"], 2), ([WORDS, WORDS], 0)):
        typed = iter(answers)
        monkeypatch.setattr("getpass.getpass", lambda _, typed=typed: next(typed))
        assert main(["passphrase", "--data", str(tmp_path)]) == status
    assert "not the same" in capsys.readouterr().err


def _settings(*arguments: str) -> Settings:
    parser = argparse.ArgumentParser()
    add_options(parser)
    return from_options(parser.parse_args(arguments))


def test_where_it_listens_and_how_it_is_called() -> None:
    assert _settings().is_local and _settings("--listen", "localhost").is_local
    # RFC 1122, 3.2.1.3: all of 127.0.0.0/8 stays within the machine; RFC 4291, 2.5.3: so does ::1.
    for loopback in ("127.0.0.2", "127.255.255.254", "::1", "[::1]"):
        assert _settings("--listen", loopback).is_local
    assert not _settings("--listen", "0.0.0.0").is_local
    assert not _settings("--listen", "192.168.1.20").is_local
    assert _settings("--name", "Studio.local", "--name", "b").names == ("studio.local", "b")
    for wrong in (("--listen", "studio"), ("--name", "a b"), ("--name", "a:80"), ("--listen", "")):
        with pytest.raises(SystemExit):
            _settings(*wrong)


def test_it_is_told_at_the_start_who_can_open_it(tmp_path: Path) -> None:
    for address in ("127.0.0.1", "127.0.0.2"):
        settings = Settings(data_dir=tmp_path, port=0, listen=address)
        with listening.listening(settings) as listener:
            told = who_can_open(listener, settings)
        assert "on this machine alone" in told and "no passphrase is asked" in told
    settings = Settings(data_dir=tmp_path, port=0, listen="0.0.0.0")
    with listening.listening(settings) as listener:
        port = listener.getsockname()[1]
        told = who_can_open(listener, settings)
        assert re.fullmatch(
            rf"Other machines open it at http://[0-9.]+:{port}/ with the passphrase\.", told
        )
        named = replace(settings, names=("studio.example",))
        assert f"at http://studio.example:{port}/ with" in who_can_open(listener, named)


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with listening.listening(Settings(data_dir=tmp_path, port=0)) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(SeamslateError, match=f"^Port {port} is taken: .+ --port 0"):
            listening.listening(Settings(data_dir=tmp_path, port=port))


def test_the_address_to_open(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path, port=0, listen="0.0.0.0")
    with listening.listening(settings) as listener:
        port = listener.getsockname()[1]
        assert address_to_open(listener, settings) == f"http://127.0.0.1:{port}/"
        named = Settings(data_dir=tmp_path, names=("studio.example",), tls_certificate=tmp_path)
        assert address_to_open(listener, named) == f"https://studio.example:{port}/"
    with pytest.raises(SeamslateError, match=r"192\.0\.2\.9"):  # RFC 5737: no machine's
        listening.listening(Settings(data_dir=tmp_path, listen="192.0.2.9", port=0))
