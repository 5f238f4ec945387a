"""What a request has sent, so that its form can be read once more and shown again."""

from typing import Final

from starlette.types import Message, Receive

_REMEMBERED: Final = 1 << 20  # bytes of a body; a picture is more and is chosen again


class Heard:
    """ASGI's `receive`, which remembers what it gave."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._size, self._is_over = receive, 0, False
        self._heard: list[Message] = []

    async def __call__(self) -> Message:
        """The next message."""
        message = await self._next()
        self._size += len(message.get("body", b""))
        if self._size > _REMEMBERED:
            self._heard.clear()
        else:
            self._heard.append(message)
        return message

    async def again(self) -> Message:
        """The messages from the first on, then those that nobody heard yet; the end of the
        connection where it was too much."""
        if self._heard:
            return self._heard.pop(0)
        if self._is_over or self._size > _REMEMBERED:
            return {"type": "http.disconnect"}
        return await self._next()

    async def _next(self) -> Message:
        message = await self._receive()
        self._is_over = not message.get("more_body", False)
        return message
