"""Messages between two processes of ours over a socket: each whole, and in their order."""

import asyncio
import socket
from contextlib import suppress
from struct import Struct
from typing import Any, Final

import msgpack

_LENGTH: Final = Struct("!Q")
_ANY_TEXT: Final = "surrogatepass"  # half a letter, too


class Channel:
    """One end of it, for the event loop it was made in.

    A message is made of what MessagePack knows: of numbers, texts, bytes, lists (tuples arrive as
    such), dicts and None.
    """

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader, self._writer = reader, writer

    @classmethod
    async def over(cls, end: socket.socket) -> "Channel":
        """The channel over one end of a pair of sockets that nobody else holds."""
        end.setblocking(False)
        return cls(*await asyncio.open_connection(sock=end))

    def put(self, message: object) -> None:
        """Send a message. Where the other end is gone it is lost, which `take` tells."""
        content = msgpack.packb(message, unicode_errors=_ANY_TEXT)
        if self._writer.is_closing():  # uvloop would raise
            return
        self._writer.writelines((_LENGTH.pack(len(content)), content))

    async def take(self) -> Any:
        """The next message. EOFError once the other end is gone."""
        try:
            (length,) = _LENGTH.unpack(await self._reader.readexactly(_LENGTH.size))
            content = await self._reader.readexactly(length)
        except (asyncio.IncompleteReadError, ConnectionError) as error:
            raise EOFError from error
        return msgpack.unpackb(content, unicode_errors=_ANY_TEXT)

    def drop(self) -> None:
        """Let go of this end, the other being gone: what is not sent yet is for nobody."""
        self._writer.transport.abort()

    async def close(self) -> None:
        """Let go of this end once all is sent."""
        self._writer.close()
        with suppress(OSError):  # the other end is gone
            await self._writer.wait_closed()
