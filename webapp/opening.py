"""What is served: the pages, or, while the plans cannot be opened, one that says why.

That page offers the copies there are. Once one is put back, or what kept the plans from being
opened is over, the pages are served without a restart.
"""

import asyncio
import contextlib
import sqlite3
import time
from pathlib import Path
from typing import Final

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.types import Receive, Scope, Send

from webapp.app import create_app, create_closed_app
from webapp.command import to_type
from webapp.errors import NamedDatabaseError, SeamslateError, StoreError
from webapp.log import LOGGER
from webapp.pages.house import House
from webapp.pages.plan_copies import PAGE
from webapp.settings import Settings
from webapp.sign_in import SignIn
from webapp.store.backup import forget_unsent, restore, write_backup
from webapp.store.database import database_path, refuse_damaged, served_by
from webapp.store.demo import add_demo
from webapp.store.kept_copies import copies_in, copy_called
from webapp.store.refusals import of_database, of_disk

_LONGEST_ANSWER_S: Final = 10.0
_NO_PLANS: Final = (
    "There are no plans in {folder}, though there are copies of plans. The file {name} may have "
    "been deleted or moved."
)


class Opening:
    """ASGI: the pages over the plans in a folder, whether these can be opened yet or not."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.why: StoreError | None = None  # the plans are not open
        self._may_be_empty = False
        self._known: SignIn | None = None  # whoever is signed in stays so
        self._answering = 0  # requests, but for those of the copies
        self._life = contextlib.AsyncExitStack()
        self._one_at_a_time = asyncio.Lock()
        self._backing_up = asyncio.Lock()
        self._began = False
        self._app = self._opened()
        self._began = True

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand the request to what is served now."""
        if scope["type"] != "lifespan":
            await self._answer(scope, receive, send)
            return
        await receive()
        await self._begin()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        house: House = self._app.state.house
        if house.daily is not None:
            await run_in_threadpool(house.daily.make_last)
        await self._life.aclose()
        await send({"type": "lifespan.shutdown.complete"})

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        # Whoever asks for a copy waits until the others are answered, so it is none of them.
        counts = not scope["path"].startswith(f"{PAGE}/")
        self._answering += counts
        try:
            await self._app(scope, receive, send)
        finally:
            self._answering -= counts

    @property
    def data_dir(self) -> Path:
        """The folder that keeps the plans."""
        return self.settings.data_dir

    @property
    def is_empty(self) -> bool:
        """Whether the plans are not open because there are none, though there are copies."""
        return self.why is not None and self._lacks_plans()

    def to_type(self, *words: str) -> str:
        """The command of those words, as it is typed for these plans."""
        return to_type(self.data_dir, *words, database=self.settings.database)

    async def try_again(self, *, may_be_empty: bool = False) -> None:
        """Open the plans if they are not; a new folder is begun with none if that `may_be`."""
        async with self._one_at_a_time:
            if self.why is not None:
                self._may_be_empty = may_be_empty
                await self._open()

    async def back_up(self, target: Path) -> tuple[str, ...]:
        """Write all plans and pictures to `target`. Returns the damaged pictures it lacks."""
        async with self._backing_up:  # each takes as much room as all the plans
            named = self.settings.database
            return await run_in_threadpool(write_backup, self.data_dir, target, named)

    async def put_back(self, name: str) -> None:
        """Put the plans of a copy in place of those there are, which are kept as a copy too.

        The pages are not served meanwhile. NotThereError when there is no such copy, StoreError
        when it cannot be put back; then the plans are as they were.
        """
        copy = await run_in_threadpool(copy_called, self.data_dir, name)
        async with self._one_at_a_time:
            try:
                if self.why is None:
                    await self._close()
                named = self.settings.database
                await run_in_threadpool(restore, self.data_dir, copy.path, named=named)
                LOGGER.info("A copy was put back: %s", copy.name)
            finally:
                await self._open()

    async def _close(self) -> None:
        self.why = StoreError("A copy is being put back just now. Try again in a moment.")
        self._app = self._closed()
        # What is being saved just now is told as saved, and then is in what is kept.
        until = time.monotonic() + _LONGEST_ANSWER_S
        while self._answering and time.monotonic() < until:
            await asyncio.sleep(0.02)
        await self._life.aclose()

    async def _open(self) -> None:
        self._life = contextlib.AsyncExitStack()
        self._app = await run_in_threadpool(self._opened)
        await self._begin()

    async def _begin(self) -> None:
        life = self._app.router.lifespan_context(self._app)
        await self._life.enter_async_context(life)

    def _opened(self) -> FastAPI:
        try:
            return self._with_plans()
        except (StoreError, OSError, sqlite3.Error) as error:
            if isinstance(error, NamedDatabaseError) and not self._began:
                raise  # told where it was named
            self.why = _told(error, self.data_dir)
            LOGGER.warning("The plans cannot be opened: %s", self.why.sentence)
        return self._closed()

    def _closed(self) -> FastAPI:
        app = create_closed_app(self, self._known)
        self._known = app.state.sign_in
        return app

    def _with_plans(self) -> FastAPI:
        if self._lacks_plans() and not self._may_be_empty:
            file = database_path(self.data_dir)
            raise StoreError(_NO_PLANS.format(folder=self.data_dir, name=file.name))
        refuse_damaged(database_path(self.data_dir))  # else one page tells of it and others do not
        app = create_app(self.settings, self._known, alone=True)
        app.state.opening, self._known = self, app.state.sign_in
        forget_unsent(self.data_dir)
        house: House = app.state.house
        store = house.store
        if self.settings.demo and not store.list():
            add_demo(store)
        self.why = None
        return app

    def _lacks_plans(self) -> bool:
        if served_by(database_path(self.data_dir), self.settings.database):
            return False
        try:
            has = database_path(self.data_dir).stat().st_size > 0
        except FileNotFoundError:
            has = False
        except OSError:  # told when it is opened
            return False
        return not has and bool(copies_in(self.data_dir))


def _told(error: Exception, data_dir: Path) -> StoreError:
    told: SeamslateError | None = None
    if isinstance(error, StoreError):
        told = error
    elif isinstance(error, OSError):
        told = of_disk(error, data_dir)
    elif isinstance(error, sqlite3.Error):
        told = of_database(error, database_path(data_dir))
    if isinstance(told, StoreError):
        return told
    return StoreError(f"The plans in {data_dir} cannot be opened: {error}.")
