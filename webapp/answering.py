"""Several processes answer for the episodes: each request goes to the one that has its episode.

What keeps strangers out, the list of episodes and all that is not of one episode stay with the
first process, the front. A process that ends is begun again.
"""

import asyncio
import socket
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from itertools import count
from typing import Any, Final

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.types import Message, Receive, Scope, Send

from webapp import answerer, worker
from webapp.channel import Channel
from webapp.errors import CutShortError
from webapp.log import LOGGER, request_id
from webapp.logged import PATTERN
from webapp.pages.heard import Heard
from webapp.pages.refused import refused
from webapp.settings import Settings
from webapp.share import Share, place_of

_READING: Final = ("GET", "HEAD")
_LONGEST_START_S: Final = 30.0
_LONGEST_END_S: Final = 10.0  # long work is being stopped
_CUT_SHORT: Final = "The answer was cut short."
_WHERE: Final = "this episode"
_UNKNOWN: Final = "whether this is too, its page shows when you open it again"
_PATIENCE_S: Final = 1.0  # before one that ended is begun again
# What a request is; the rest of a scope belongs to the process it is in.
_PASSED_ON: Final = (
    "type", "asgi", "http_version", "server", "client", "scheme", "method", "path", "raw_path",
    "query_string", "headers",
)  # fmt: skip


class Answering:
    """ASGI: what is below `/episodes`, answered by so many processes as the settings say."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._processes: list[_Process] = []

    @asynccontextmanager
    async def life(self) -> AsyncIterator[None]:
        """Have the processes at work; they have ended when it ends."""
        of = self._settings.processes
        self._processes = [_Process(self._settings, Share(number, of)) for number in range(of)]
        going = [asyncio.create_task(one.go_on()) for one in self._processes]
        try:
            yield
        finally:
            for one in self._processes:
                one.end()
            await asyncio.gather(*going)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The answer of the episode's process; of one that is cut short, a page that says so."""
        episode_id = scope["path"].removeprefix("/episodes/").partition("/")[0]
        process = self._processes[place_of(episode_id, len(self._processes))]
        heard, answer = Heard(receive), _Held(send)
        try:
            try:
                await process.answer(scope, heard, answer)
            except CutShortError:
                if answer.has_begun or scope["method"] not in _READING:
                    raise
                answer = _Held(send)
                await process.answer(scope, heard.again, answer)  # nothing was to be changed
        except CutShortError as error:
            if answer.has_begun:
                raise RuntimeError(_CUT_SHORT) from error  # which the browser notices
            request = Request(scope, heard.again)
            page = await refused(request, error)
            await page(scope, receive, send)
            await request.close()


class _Held:
    """ASGI's `send`, which begins an answer only when something of its body is there."""

    def __init__(self, send: Send) -> None:
        self._send, self._start = send, list[Message]()
        self.has_begun = False

    async def __call__(self, message: Message) -> None:
        """Send it, or hold it back."""
        if message["type"] == "http.response.start":
            self._start.append(message)
            return
        self.has_begun = True
        while self._start:
            await self._send(self._start.pop())
        await self._send(message)


class _Process:
    """One of them, and what it was asked and has not answered."""

    def __init__(self, settings: Settings, share: Share) -> None:
        self._settings, self._share = settings, share
        self._channel: asyncio.Future[Channel] = asyncio.get_running_loop().create_future()
        self._numbers = count(1)
        self._asked: dict[int, asyncio.Queue[Message | None]] = {}
        self._is_ending = asyncio.Event()

    async def go_on(self) -> None:
        """Begin it, and again whenever it ends, until it is to `end`."""
        while not self._is_ending.is_set():
            try:
                how = await self._begin_and_listen()
            except Exception as error:  # no memory for another process, what it forks from is gone
                why = getattr(error, "strerror", None) or type(error).__name__
                how = f"could not be begun ({why})"
            if self._is_ending.is_set():
                return
            number = self._share.number + 1
            LOGGER.warning("Process %d %s; it is begun again.", number, how)
            with suppress(TimeoutError):
                await asyncio.wait_for(self._is_ending.wait(), _PATIENCE_S)

    async def _begin_and_listen(self) -> str:
        """Until it has ended. Returns how it did."""
        ours, theirs = socket.socketpair()
        with ours, theirs:
            process = worker.PROCESSES.Process(
                target=answerer.run,
                args=(theirs, self._settings, self._share),
                name=f"seamslate {self._share.number + 1} of {self._share.of}",
            )
            begun_s = time.monotonic()
            await run_in_threadpool(process.start)
            theirs.close()
            channel = await Channel.over(ours)
            try:
                await self._listen(channel)
            except EOFError:
                pass
            except TimeoutError:
                process.kill()
            finally:
                self._channel = asyncio.get_running_loop().create_future()
                channel.drop()
                for waiting in self._asked.values():
                    waiting.put_nowait(None)
                await run_in_threadpool(_ended, process)
        lasted_s = time.monotonic() - begun_s
        return f"ended by itself (exit code {process.exitcode}) after {lasted_s:.0f} s"

    async def _listen(self, channel: Channel) -> None:
        """EOFError when it has ended, TimeoutError when it does not though it was to."""
        async with asyncio.timeout(None) as self._patience:
            self._channel.set_result(channel)
            if self._is_ending.is_set():  # meanwhile
                self._let_go(channel)
            while True:
                self._heard(await channel.take())

    def end(self) -> None:
        """Have it end; it stops its long work. One that does not is killed."""
        self._is_ending.set()
        if self._channel.done():
            self._let_go(self._channel.result())

    def _let_go(self, channel: Channel) -> None:
        channel.put(None)
        self._patience.reschedule(asyncio.get_running_loop().time() + _LONGEST_END_S)

    async def answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and its answer back. CutShortError when the process ends over it."""
        lost = "" if scope["method"] in _READING else _UNKNOWN
        try:
            channel = await self._there()
        except TimeoutError:
            raise CutShortError(_WHERE, lost) from None
        number, answers = next(self._numbers), asyncio.Queue[Message | None]()
        self._asked[number] = answers
        is_over = is_whole = False
        try:
            told = {name: scope[name] for name in _PASSED_ON if name in scope}
            channel.put((number, {**told, answerer.REQUEST_ID: request_id.get()}))
            await _pass_on(number, receive, channel)
            while not is_over:
                answered = await answers.get()
                if answered is None:
                    is_over = True
                    if not is_whole:
                        raise CutShortError(_WHERE, lost)
                    return  # it ended before it could say so
                if answered["type"] == answerer.ENDED:
                    is_over = True
                    scope[PATTERN] = answered["pattern"]
                    if answered["failed"]:
                        raise RuntimeError(_CUT_SHORT)
                else:
                    await send(answered)
                    is_body = answered["type"] == "http.response.body"
                    is_whole = is_body and not answered.get("more_body", False)
        finally:
            del self._asked[number]
            if not is_over:
                channel.put((number, {"type": "http.disconnect"}))

    async def _there(self) -> Channel:
        async with asyncio.timeout(_LONGEST_START_S):
            while not self._channel.done():  # it may have ended again before this goes on
                await asyncio.shield(self._channel)
        return self._channel.result()

    def _heard(self, told: tuple[int, Message]) -> None:
        number, message = told
        if message["type"] == answerer.LINE:
            named = request_id.set(message["request"])
            LOGGER.log(message["level"], "%s", message["words"])
            request_id.reset(named)
        elif number in self._asked:  # else nobody waits for it any more
            self._asked[number].put_nowait(message)


async def _pass_on(number: int, receive: Receive, channel: Channel) -> None:
    """The body of a request, as it comes."""
    is_whole = False
    while not is_whole:
        message = await receive()
        channel.put((number, message))
        is_whole = not message.get("more_body", False)


def _ended(process: Any) -> None:
    process.join(_LONGEST_END_S)
    if process.is_alive():
        process.kill()
        process.join()
