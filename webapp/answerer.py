"""A process that answers for some of the episodes, from within: see `answering`."""

import asyncio
import signal
import socket
import threading
from asyncio import Queue
from contextlib import suppress
from typing import Final

from starlette.types import Message, Scope

from webapp import log
from webapp.channel import Channel
from webapp.log import LOGGER, request_id
from webapp.logged import pattern
from webapp.settings import Settings
from webapp.share import Share
from webapp.worker import end_with_the_server

REQUEST_ID: Final = "seamslate.request"
_LONGEST_ANSWER_S: Final = 5.0  # once this is to end
# What is sent besides ASGI's own messages: an answer is over, with the pattern of its address and
# whether it `failed` and so is not whole; a line for the log, with the request that it is about.
ENDED: Final = "seamslate.ended"
LINE: Final = "seamslate.line"


def run(end: socket.socket, settings: Settings, share: Share) -> None:
    """Answer what comes over `end` until the front lets go of it, or is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the front, which ends this
    # So is SIGTERM, which a service manager sends to all of a server's processes at once. Not
    # ignored, or jobs would inherit it, who are stopped by it.
    signal.signal(signal.SIGTERM, lambda *_: None)
    threading.Thread(target=end_with_the_server, daemon=True).start()
    asyncio.run(_answer(end, settings, share))


async def _answer(end: socket.socket, settings: Settings, share: Share) -> None:
    from webapp.app import create_part  # noqa: PLC0415 - it imports what begins this
    from webapp.cli import collect_seldom  # noqa: PLC0415

    channel, loop = await Channel.over(end), asyncio.get_running_loop()

    def handed_on(level: int, words: str) -> None:
        with suppress(RuntimeError):  # all is over by now
            line = {"type": LINE, "level": level, "words": words, "request": request_id.get()}
            loop.call_soon_threadsafe(channel.put, (0, line))

    log.hand_on(handed_on)
    app = create_part(settings, share)
    collect_seldom()
    asked: dict[int, Queue[Message]] = {}
    answering: set[asyncio.Task[None]] = set()

    async def answer(number: int, scope: Scope) -> None:
        request_id.set(scope.pop(REQUEST_ID))

        async def send(message: Message) -> None:
            channel.put((number, message))

        failed = False
        try:
            await app(scope, asked[number].get, send)
        except Exception as error:
            LOGGER.error("A fault of ours.", exc_info=error)
            failed = True
        finally:
            del asked[number]
            channel.put((number, {"type": ENDED, "pattern": pattern(scope), "failed": failed}))

    async with app.router.lifespan_context(app):
        with suppress(EOFError):  # the front is gone
            while told := await channel.take():
                number, message = told
                if message["type"] == "http":
                    asked[number] = Queue()
                    task = asyncio.create_task(answer(number, message))
                    answering.add(task)
                    task.add_done_callback(answering.discard)
                elif number in asked:  # else it was answered without it
                    asked[number].put_nowait(message)
        if answering:
            await asyncio.wait(answering, timeout=_LONGEST_ANSWER_S)
    await channel.close()
