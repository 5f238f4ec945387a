"""The web application, made from settings; nothing is opened at import."""

import threading
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from sqlalchemy import create_engine
from starlette.exceptions import HTTPException

from webapp.answering import Answering
from webapp.errors import (
    AlreadyDoneError,
    DeletedError,
    NotThereError,
    RefusedError,
    SeamslateError,
    StoreError,
    TakenOutError,
)
from webapp.jobs import Jobs
from webapp.log import LOGGER, told_of_this
from webapp.logged import Logged
from webapp.pages import (
    at_work,
    brief,
    build_order,
    call_sheets,
    cloth,
    companion,
    comparing,
    copies,
    day_search,
    day_shots,
    draft,
    elsewhere,
    episodes,
    files,
    filmed,
    find,
    fittings,
    garments,
    glance,
    joins,
    keys,
    live_texts,
    offcuts,
    other_cloths,
    pattern_sheets,
    photos,
    pieces,
    plan_copies,
    prints,
    rates,
    running_time,
    series,
    series_keeping,
    set_ups,
    settings_page,
    shoot_days,
    shopping,
    shots,
    sign_in,
    size_charts,
    sizes,
    starting,
    table,
    thread,
    threads,
    times,
    ways,
    worksheet,
)
from webapp.pages.asked_again import begin_again
from webapp.pages.house import PLANS_KEPT, House, that_tells
from webapp.pages.our_faults import OurFaults
from webapp.pages.printed_files import PrintedFiles
from webapp.pages.refused import refused, refused_by_the_disk, taken_out
from webapp.pages.templating import templates
from webapp.pages.way_back import page_before
from webapp.remembered import Remembered
from webapp.routing import Below
from webapp.security import LocalOnly, TooSlow
from webapp.serving import OwnFiles, Packed
from webapp.settings import Settings, files_dir
from webapp.share import ALL, Share
from webapp.sign_in import SignedInOnly, SignIn
from webapp.store.asked_work import AskedWork
from webapp.store.database import database_path, open_database, served_by
from webapp.store.kept_copies import DailyCopies
from webapp.store.library import Library
from webapp.store.photos import Photos, photos_folder
from webapp.store.repository import EpisodeStore

if TYPE_CHECKING:
    from webapp.opening import Opening

# A piece's address is tried before that of a row of its garment.
_PAGES = (episodes, brief, draft, pieces, joins, cloth, build_order, shots, companion, threads)


def open_house(settings: Settings, *, alone: bool = False, share: Share = ALL) -> House:
    """Open the store in the data folder and put all that handlers need together.

    `alone` as for `open_database`. One of several processes has a `share` of the episodes.
    """
    path, among = database_path(settings.data_dir), settings.processes
    if share != ALL and not served_by(path, settings.database) and not path.exists():
        raise StoreError(f"{path} is gone.")  # the front made it: a new one would hide its loss
    engine = open_database(path, named=settings.database, alone=alone, among=among)
    asked = AskedWork(engine)
    return House(
        EpisodeStore(engine),
        Library(engine),
        Photos(photos_folder(settings.data_dir)),
        templates(),
        Jobs(settings.workers, asked, among=share.of),
        Remembered(PLANS_KEPT),
        Remembered(PLANS_KEPT),
        PrintedFiles(folder=settings.data_dir / "prints"),
        asked=asked,
        daily=DailyCopies(engine, settings.data_dir) if share == ALL else None,
        share=share,
    )


@asynccontextmanager
async def _life(app: FastAPI) -> AsyncIterator[None]:
    house: House = app.state.house
    is_front = house.share == ALL
    if is_front:
        LOGGER.info("Begun: %s", told_of_this(house.store.database))
    if house.daily is not None:
        house.daily.start()
    async with AsyncExitStack() as life:
        answering: Answering | None = app.state.answering
        if answering is not None:
            await life.enter_async_context(answering.life())
        else:
            threading.Thread(target=begin_again, args=(house,), daemon=True).start()
        yield
    house.close()
    if is_front:
        LOGGER.info("Ended.")


def create_app(settings: Settings, known: SignIn | None = None, *, alone: bool = False) -> FastAPI:
    """The pages, and the house that they are served from; it is closed when the app ends."""
    house = open_house(settings, alone=alone)
    app = _pages(house)
    _guard(app, settings, known)
    app.mount("/static", OwnFiles(files_dir("static")), name="static")
    if settings.processes > 1:
        app.state.answering = Answering(settings)
        app.mount("/episodes", app.state.answering, name="episodes")
    _include(app)
    return app


def create_part(settings: Settings, share: Share) -> FastAPI:
    """The pages as one of several processes has them, behind another that keeps strangers out."""
    app = _pages(open_house(settings, share=share))
    app.state.asks_who = not settings.is_local
    app.add_middleware(Packed)
    _include(app)
    return app


def _pages(house: House) -> FastAPI:
    app = FastAPI(title="Seamslate", lifespan=_life, docs_url=None, redoc_url=None)
    app.state.house, app.state.opening, app.state.answering = house, None, None
    app.add_middleware(OurFaults)  # the innermost: its page is sent as any other
    _tell(app)
    return app


def _include(app: FastAPI) -> None:
    for page in (
        episodes,
        starting,
        glance,
        brief,
        photos,
        draft,
        garments,
        pieces,
        joins,
        comparing,  # its address is tried before that of one fitting
        fittings,
        size_charts,  # its addresses are tried before that of one size
        sizes,
        cloth,
        offcuts,
        ways,
        other_cloths,
        shopping,
        thread,
        build_order,
        filmed,
        shots,
        set_ups,
        day_search,  # its address is tried before that of one day
        day_shots,
        shoot_days,
        running_time,
        times,
        rates,
        table,
        at_work,
        elsewhere,
        keys,
        companion,
        pattern_sheets,
        worksheet,
        call_sheets,
        files,
        prints,
        threads,
        live_texts,
        settings_page,
        copies,
        plan_copies,
        series,
        series_keeping,
        find,
    ):
        app.include_router(Below(page.router))
    app.include_router(Below(shots.order_router))


def create_closed_app(opening: "Opening", known: SignIn | None = None) -> FastAPI:
    """The one page there is while the plans cannot be opened, behind the same guards."""
    app = FastAPI(title="Seamslate", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.house = _closed_house(opening.data_dir)
    app.state.opening = opening
    app.add_middleware(OurFaults)
    _guard(app, opening.settings, known)
    app.mount("/static", OwnFiles(files_dir("static")), name="static")
    app.include_router(plan_copies.router)
    app.include_router(plan_copies.closed_router)
    _tell(app)
    return app


def _closed_house(data_dir: Path) -> House:
    """A house without plans, which still shows pages."""
    nothing = create_engine("sqlite://")
    return House(
        EpisodeStore(nothing),
        Library(nothing),
        Photos(photos_folder(data_dir)),
        templates(),
        Jobs(1),
        Remembered(1),
        Remembered(1),
        PrintedFiles(),
    )


def _guard(app: FastAPI, settings: Settings, known: SignIn | None) -> None:
    """Put around an app what keeps others out; who is `known` stays signed in."""
    app.state.sign_in, app.state.asks_who = None, not settings.is_local
    if app.state.asks_who:
        tls = settings.tls_certificate is not None
        app.state.sign_in = known or SignIn(settings.data_dir, tls=tls)
        app.add_middleware(SignedInOnly, sign_in=app.state.sign_in, refuse=_refuse)
        app.include_router(sign_in.router)
    app.add_middleware(LocalOnly, names=settings.names, refuse=_refuse)
    app.add_middleware(Packed)
    app.add_middleware(Logged)


def _tell(app: FastAPI) -> None:
    """Have every refusal told as a page."""
    app.add_exception_handler(AlreadyDoneError, _done_already)
    app.add_exception_handler(RefusedError, refused)
    app.add_exception_handler(OSError, refused_by_the_disk)
    app.add_exception_handler(TakenOutError, taken_out)
    app.add_exception_handler(NotThereError, _not_there)
    app.add_exception_handler(SeamslateError, _told)
    app.add_exception_handler(HTTPException, _told)
    app.add_exception_handler(RequestValidationError, _told)


def _done_already(request: Request, _: Exception) -> Response:
    """What was sent once more, and is done, is answered as done: by its page as it stands."""
    episode_id = request.path_params["episode_id"]
    return RedirectResponse(that_tells(request, page_before(request, episode_id)), status_code=303)


def _refuse(request: Request, status: int, sentence: str) -> Response:
    """What is refused before any page is asked, as a page of ours."""
    house: House = request.app.state.house
    return house.show(request, "error.html", sentence, status=status, stored=False)


async def _not_there(request: Request, error: Exception) -> Response:
    """As any refusal; but what was typed on a page that is open is kept, there or on the next."""
    was_typed = request.method == "POST" and "edition" in request.query_params
    if was_typed:
        deleted = error if isinstance(error, DeletedError) else None
        return await taken_out(request, TakenOutError(deleted))
    return _told(request, error)


def _told(request: Request, error: Exception) -> Response:
    """Any refusal as a page with one sentence and a way back."""
    house: House = request.app.state.house
    if isinstance(error, SeamslateError):
        status, sentence = (404 if isinstance(error, NotThereError) else 422), error.sentence
    elif isinstance(error, HTTPException):
        status, sentence = error.status_code, "There is no such page."
        if isinstance(error, TooSlow):
            sentence = error.detail
        elif error.status_code != 404:
            sentence = "Seamslate cannot do what that request asks."
    else:
        status, sentence = 422, "Seamslate cannot read that request."
    stored = isinstance(error, StoreError) and "episode_id" in request.path_params
    return house.show(request, "error.html", sentence, status=status, stored=stored)
