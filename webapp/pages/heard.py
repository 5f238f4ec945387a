"""What a request has sent, so that its form can be read once more and shown again."""

from typing import Final

from starlette.types import Message, Receive

_REMEMBERED: Final = 1 << 20  # bytes of a body; a picture is more and is chosen again


class Heard:
    """ASGI's `receive`, which remembers what it gave."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._size = receive, 0
        self._heard: list[Message] = []

    async def __call__(self) -> Message:
        """The next message."""
        message = await self._receive()
        self._size += len(message.get("body", b""))
        if self._size > _REMEMBERED:
            self._heard.clear()
        else:
            self._heard.append(message)
        return message

    async def again(self) -> Message:
        """The messages from the first on; the end of the connection where it was too much."""
        return self._heard.pop(0) if self._heard else {"type": "http.disconnect"}
