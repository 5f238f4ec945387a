"""A page of another site that tries, by every way a browser has, to read or change the plans."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Final

ATTACKS: Final = Path(__file__).with_suffix(".js").read_text("utf-8")
PAGE: Final = f"<!doctype html><title>x</title><body><script type=module>{ATTACKS}</script>"


class _Elsewhere(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        content = PAGE.encode()
        self.send_response(200)
        self.send_header("content-type", "text/html; charset=utf-8")
        self.send_header("content-length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *_: object) -> None:
        """What it is asked for is of no interest."""


@contextmanager
def elsewhere() -> Iterator[int]:
    """A server of the page on a port of its own; its number."""
    with ThreadingHTTPServer(("127.0.0.1", 0), _Elsewhere) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_address[1]
        server.shutdown()
