"""Messages between two processes of ours over a socket: each whole, and in their order."""

import asyncio
import pickle
import socket
from contextlib import suppress
from struct import Struct
from typing import Any, Final

_LENGTH: Final = Struct("!Q")


class Channel:
    """One end of it, for the event loop it was made in."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader, self._writer = reader, writer

    @classmethod
    async def over(cls, end: socket.socket) -> "Channel":
        """The channel over one end of a pair of sockets that nobody else holds."""
        end.setblocking(False)
        return cls(*await asyncio.open_connection(sock=end))

    def put(self, message: object) -> None:
        """Send a message. Where the other end is gone it is lost, which `take` tells."""
        # Pickled, as between a process and its jobs: only what we started ourselves writes here.
        content = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
        if self._writer.is_closing():  # uvloop would raise
            return
        self._writer.writelines((_LENGTH.pack(len(content)), content))

    async def take(self) -> Any:
        """The next message. EOFError once the other end is gone."""
        try:
            (length,) = _LENGTH.unpack(await self._reader.readexactly(_LENGTH.size))
            return pickle.loads(await self._reader.readexactly(length))
        except (asyncio.IncompleteReadError, ConnectionError) as error:
            raise EOFError from error

    def drop(self) -> None:
        """Let go of this end, the other being gone: what is not sent yet is for nobody."""
        self._writer.transport.abort()

    async def close(self) -> None:
        """Let go of this end once all is sent."""
        self._writer.close()
        with suppress(OSError):  # the other end is gone
            await self._writer.wait_closed()
