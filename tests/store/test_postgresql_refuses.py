"""A PostgreSQL server that lets nobody in is told in our words, each with what helps.

Outside: PostgreSQL's documentation, "Message Formats" and appendix A, of which the server here
speaks as much as libpq hears until it is refused.
"""

import socket
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread
from typing import BinaryIO, Final

import pytest

from webapp.errors import StoreError
from webapp.store.postgresql import engine_at, stored_revision

_ASKS_FOR_PASSWORD: Final = b"R" + struct.pack("!ii", 8, 3)  # AuthenticationCleartextPassword


@contextmanager
def refusing(code: str, words: str, *, asks: bool) -> Iterator[int]:
    """The port of a server that refuses whoever comes, with that SQLSTATE and those words."""
    fields = b"".join(f"{of}\0".encode() for of in ("SFATAL", "VFATAL", f"C{code}", f"M{words}"))
    error = b"E" + struct.pack("!i", len(fields) + 5) + fields + b"\0"
    with socket.create_server(("127.0.0.1", 0)) as server:

        def refuse() -> None:
            while True:
                try:
                    came, _ = server.accept()
                except OSError:  # it is closed
                    return
                with came, came.makefile("rwb") as talk:
                    _took(talk)
                    if asks:
                        talk.write(_ASKS_FOR_PASSWORD)
                        talk.flush()
                        if not talk.read(1):  # none was sent
                            continue
                        _took(talk)
                    talk.write(error)

        Thread(target=refuse, daemon=True).start()
        yield server.getsockname()[1]
        server.shutdown(socket.SHUT_RDWR)


def _took(talk: BinaryIO) -> None:
    (length,) = struct.unpack("!i", talk.read(4))
    talk.read(length - 4)


_WHENCE = "Seamslate reads it as psql does: from the address, PGPASSWORD or ~/.pgpass."


@pytest.mark.parametrize(
    ("user", "code", "words", "told"),
    [
        (
            "ann:tea",
            "28P01",
            'password authentication failed for user "ann"',
            f"the password for “ann” is wrong. {_WHENCE}",
        ),
        ("ann", "28P01", "", f"it asks for the password of “ann”, and none was found. {_WHENCE}"),
        (
            "ann",
            "28000",
            'no pg_hba.conf entry for host "10.0.0.9", user "ann", database "plans"',
            "it does not let “ann” in from here. Check the name you log in with, or ask whoever "
            "looks after the server.",
        ),
    ],
)
def test_who_is_not_let_in_is_told_why_and_where_the_password_is_read(
    user: str, code: str, words: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PGPASSWORD", raising=False)
    monkeypatch.setenv("PGPASSFILE", str(tmp_path / "none"))
    with refusing(code, words, asks=code == "28P01") as port:
        address = f"postgresql://{user}@127.0.0.1:{port}/plans?sslmode=disable&gssencmode=disable"
        with pytest.raises(StoreError) as refused:
            stored_revision(engine_at(address))
    assert refused.value.sentence == (f"The database “plans” on 127.0.0.1 cannot be opened: {told}")
