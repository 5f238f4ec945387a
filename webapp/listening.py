"""The socket that is served on, and the server with what it waits for and how much it takes."""

import asyncio
import errno
import socket
import ssl
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from webapp.errors import SeamslateError
from webapp.settings import Settings

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp

HEAD_SECONDS: Final = 30.0  # for the head of a request; browsers open connections before they ask
TAKING_SECONDS: Final = 120.0  # for whoever takes nothing of an answer, as a backup
LARGEST_HEAD: Final = 32 * 1024  # bytes of a request's address and headers
MOST_CONNECTIONS: Final = 400  # open at once
FEW_CONNECTIONS: Final = 300  # beyond these, one more takes the place of one that asks nothing
# Of no machine: RFC 5737 and RFC 3849. By what a machine is served on, an address outside of it.
_OUTSIDE: Final = {"0.0.0.0": "192.0.2.1", "::": "2001:db8::1"}
_WAITING: Final = 128  # connections that wait to be taken
_FILES: Final = 16 * 1024  # a connection is one, also one of TLS that never says a word
_MOST_BEHIND: Final = 8  # requests sent before an answer has come; browsers send none
_LONG_HEAD: Final = "The address, or what is told with it, is too long to read."


def listening(settings: Settings) -> socket.socket:
    """The socket that is served on. SeamslateError when its address or port cannot be used."""
    family = socket.AF_INET6 if ":" in settings.listen else socket.AF_INET
    # asyncio sends at once only on sockets that say they are TCP; else an answer waits 40 ms.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((settings.listen, settings.port))
    except OSError as error:
        listener.close()
        if error.errno == errno.EADDRNOTAVAIL:
            raise SeamslateError(
                f"{settings.listen} is no address of this machine. Use one that it has, or "
                "0.0.0.0 for all of them."
            ) from error
        if error.errno == errno.EADDRINUSE:
            raise SeamslateError(
                f"Port {settings.port} is taken: another program is served there, perhaps "
                "Seamslate with another folder. Start this one with --port and another number, or "
                "--port 0 for any free one."
            ) from error
        at = "" if settings.is_local else f" of {settings.listen}"
        raise SeamslateError(
            f"Port {settings.port}{at} cannot be used: {error.strerror}. "
            "Try another, or --port 0 for any free one."
        ) from error
    listener.listen(_WAITING)
    return listener


def hold_many_files() -> None:
    """Let this process hold more files than the usual 1,024, as far as the system lets it."""
    with suppress(ImportError, OSError, ValueError):  # not on every system
        import resource  # noqa: PLC0415

        soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
        most = _FILES if hard == resource.RLIM_INFINITY else min(_FILES, hard)
        if soft != resource.RLIM_INFINITY and soft < most:
            resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))


def address_to_open(listener: socket.socket, settings: Settings) -> str:
    """The address under which a browser reaches it: by its first name, where it has one."""
    address, port = listener.getsockname()[:2]
    name = settings.names[0] if settings.names else address
    if name in ("0.0.0.0", "::"):  # every address of this machine; this one it surely has
        name = "127.0.0.1" if name == "0.0.0.0" else "::1"
    return _written(settings, name, port)


def who_can_open(listener: socket.socket, settings: Settings) -> str:
    """Who can reach what is served, in a sentence."""
    if settings.is_local:
        return (
            "It can be opened on this machine alone, by whoever is logged in here; no passphrase "
            "is asked."
        )
    at = address_elsewhere(listener, settings) or address_to_open(listener, settings)
    return f"Other machines open it at {at} with the passphrase."


def address_elsewhere(listener: socket.socket, settings: Settings) -> str:
    """The address by which other machines reach it, where it is not the one that is opened here.

    Empty where it is, and where this machine has no way to others just now.
    """
    address, port = listener.getsockname()[:2]
    if settings.names or address not in _OUTSIDE:
        return ""
    with socket.socket(listener.family, socket.SOCK_DGRAM) as way:
        try:
            way.connect((_OUTSIDE[address], port))  # sends nothing; it only chooses the way out
        except OSError:
            return ""
        return _written(settings, way.getsockname()[0], port)


def _written(settings: Settings, name: str, port: int) -> str:
    scheme = "https" if settings.tls_certificate else "http"
    return f"{scheme}://{f'[{name}]' if ':' in name else name}:{port}/"


def server(app: "ASGIApp", settings: Settings) -> "uvicorn.Server":
    """The server. SeamslateError when its certificate cannot be read."""
    import uvicorn  # noqa: PLC0415 - heavy, and only serving needs it

    tls: dict[str, Any] = {}
    if settings.tls_certificate or settings.tls_key:
        tls = _tls(settings)
    return uvicorn.Server(
        uvicorn.Config(
            app,
            log_config=None,  # see `log`
            log_level="warning",
            http=_protocol(),
            ws="none",
            limit_concurrency=MOST_CONNECTIONS,
            # Whom a request comes from is what the connection says, not what it tells itself.
            proxy_headers=False,
            server_header=False,
            **tls,
        )
    )


def _tls(settings: Settings) -> dict[str, str]:
    certificate, key = settings.tls_certificate, settings.tls_key
    if certificate is None or key is None:
        raise SeamslateError("--tls-certificate and --tls-key go together: give both files.")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
    except FileNotFoundError:
        gone = key if certificate.is_file() else certificate
        raise SeamslateError(f"{gone} is not there.") from None
    except (OSError, ValueError) as error:
        why = getattr(error, "reason", getattr(error, "strerror", None))  # ssl.SSLError has both
        raise SeamslateError(
            f"{certificate} and {key} are no certificate with its key that can be served with"
            f"{f' ({why})' if why else ''}. Both are PEM files, the key without a password."
        ) from None
    return {"ssl_certfile": str(certificate), "ssl_keyfile": str(key)}


def _protocol() -> type[asyncio.Protocol]:
    from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol  # noqa: PLC0415

    silent: dict[HttpToolsProtocol, None] = {}  # who has not asked yet, the longest silent first

    class Impatient(HttpToolsProtocol):
        """HTTP/1.1 as uvicorn speaks it; who does not ask, or take what is sent, in time is let go.

        uvicorn waits without end for the head of a request that comes bit by bit, or not at all,
        and for room to send the rest of an answer; it takes a head of any size, and any number of
        requests behind one that is not answered yet. Where many are silent, whoever comes next has
        the place of the one that has been so longest: they keep nobody out.
        """

        _asking: asyncio.TimerHandle | None = None
        _taking: asyncio.TimerHandle | None = None
        _head = 0  # bytes of one that is not whole yet
        _in_head = False

        def connection_made(self, transport: Any) -> None:
            super().connection_made(transport)
            if len(self.connections) > FEW_CONNECTIONS and (longest := next(iter(silent), None)):
                longest.transport.abort()
                silent.pop(longest)  # it is told that it is lost only in a moment
            self._wait_for_a_head()

        def data_received(self, data: bytes) -> None:
            before = self.cycle
            super().data_received(data)
            if self._in_head:
                self._head += len(data)
                if self._head > LARGEST_HEAD and not self.transport.is_closing():
                    self.send_400_response(_LONG_HEAD)
            if self.cycle is not before:
                self._heard()
            elif self.cycle is None or self.cycle.response_complete:
                self._wait_for_a_head()

        def on_message_begin(self) -> None:
            self._in_head, self._head = True, 0
            super().on_message_begin()

        def on_headers_complete(self) -> None:
            self._in_head = False
            if len(self.pipeline) >= _MOST_BEHIND:
                raise ValueError("Too many requests behind one.")  # answered as unreadable: 400
            super().on_headers_complete()

        def connection_lost(self, exc: Exception | None) -> None:
            self._heard()
            self._taken()
            super().connection_lost(exc)

        def pause_writing(self) -> None:
            self._taken()
            self._taking = self.loop.call_later(TAKING_SECONDS, self.transport.abort)
            super().pause_writing()

        def resume_writing(self) -> None:
            self._taken()
            super().resume_writing()

        def _taken(self) -> None:
            if self._taking is not None:
                self._taking.cancel()
                self._taking = None

        def _wait_for_a_head(self) -> None:
            if self._asking is None:
                self._asking = self.loop.call_later(HEAD_SECONDS, self.transport.abort)
                silent[self] = None

        def _heard(self) -> None:
            silent.pop(self, None)
            if self._asking is not None:
                self._asking.cancel()
                self._asking = None

    return Impatient
