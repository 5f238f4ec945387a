"""Series: its episodes in order, and the bodies and cloths they share."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Body
from webapp.errors import ChangedElsewhereError, NotThereError
from webapp.pages.forms import UNANSWERED, Answers, Field, one_of, read_form, text
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.recipes import Offered, offered
from webapp.pages.sent_again import AskedOnce
from webapp.pages.series_keeping import (
    SHOWN,
    SharedKind,
    put_in_series,
    refuse_unless_shown,
)
from webapp.pages.series_shared import (
    NO_SERIES,
    Copy,
    Shared,
    copy_of,
    series_address,
    series_kept,
    series_slug,
    shared_of,
    shared_one,
    taken_out_of,
)
from webapp.plan.edits import changed, free_id
from webapp.plan.episode import Episode
from webapp.plan.series import (
    KeptBody,
    in_order,
    kept_as_before,
    next_number,
    series_key,
    with_body_of_series,
)
from webapp.plan.starters import episode_from
from webapp.store.library import Entry
from webapp.store.repository import EpisodeSummary
from webapp.units import System

router = APIRouter()

_UNNAMED: Final = "No series"


@dataclass(frozen=True)
class SeriesRow:
    """One series on the list."""

    name: str
    address: str
    episodes: tuple[EpisodeSummary, ...]


@dataclass(frozen=True)
class UsedIn:
    """An episode of the series, and how its copy of something stands."""

    episode: EpisodeSummary
    page: str  # the address where that is seen to
    copy: Copy


@dataclass(frozen=True)
class SharedRow:
    """A shared body or cloth, with the episodes that have a copy."""

    shared: Shared
    kind: SharedKind
    used: tuple[UsedIn, ...]


@dataclass(frozen=True)
class SeriesView:
    """One series."""

    name: str
    address: str
    episodes: tuple[EpisodeSummary, ...]
    first: System
    bodies: tuple[SharedRow, ...] = ()
    cloths: tuple[SharedRow, ...] = ()
    out: tuple[tuple[SharedKind, Entry], ...] = ()  # taken out of late, to be put back
    offered: Offered = field(default_factory=lambda: Offered((), ()))
    answers: Answers = UNANSWERED
    refused: tuple[str, str] = ("", "")  # the id of something shared, and why it is as it was

    @property
    def is_named(self) -> bool:
        """False for the episodes of no series: they share nothing."""
        return bool(self.name)

    @property
    def body_options(self) -> tuple[tuple[str, str], ...]:
        """Which body a new episode can start on."""
        own = ((row.shared.id, row.shared.name) for row in self.bodies)
        return (("", "Measure anew"), *own)


@router.get("/series")
def series_list(request: Request, house: InHouse) -> Response:
    names: dict[str, str] = {}
    known = house.store.list()
    for one in sorted(known, key=lambda one: one.series):
        names.setdefault(series_key(one.series), one.series)
    for name in series_kept(house.library):
        names.setdefault(series_key(name), name)
    rows = [
        SeriesRow(name or _UNNAMED, series_address(name), _episodes(known, name))
        for _, name in sorted(names.items(), key=lambda pair: (not pair[0], pair[0]))
    ]
    return house.show(request, "series/list.html", tuple(rows))


@router.get("/series/{name:path}")
def series(request: Request, name: str, house: InHouse) -> Response:
    return _show(request, house, _named(house, name))


@router.post("/series/{name:path}/episodes")
def start(request: Request, name: str, sent: Sent, house: InHouse, once: AskedOnce) -> Response:
    called, offer = _named(house, name), offered(house)
    bodies, _ = shared_of(house.library, called)
    fields = (
        Field("title", text(80, required=True), needed=True),
        offer.field,
        Field("body", one_of(("", *(one.id for one in bodies)))),
    )
    answers = read_form(sent, fields)
    if answers.errors:
        return _show(request, house, called, answers)
    known, title = house.store.list(), answers.values["title"]
    new = episode_from(offer.picked(answers), title, free_id(title, set()))
    new = changed(new, series=called, number=next_number(known, called))
    latest_first = [one for one in known if series_key(one.series) == series_key(called)]
    for _, like in islice(house.readable(latest_first), 1):
        new = changed(new, channel=like.channel, first_unit=like.first_unit)
    picked = next((one for one in bodies if one.id == answers.values.get("body")), None)
    if picked is not None and isinstance(picked.kept, KeptBody):
        new = with_body_of_series(new, picked.kept)
    return _to(f"/episodes/{house.store.add(new, once=once)}")


@router.post("/series/{name:path}/kept/{kind}/{entry}/{act}")
def change_kept(
    request: Request, name: str, kind: str, entry: str, act: str, sent: Sent, house: InHouse
) -> Response:
    """Take a shared body or cloth out, put it back, or give it the figures it had before."""
    if kind not in ("body", "cloth") or act not in ("take-out", "put-back", "as-before"):
        raise NotThereError("A series shares bodies and cloths.")
    if act == "take-out":
        house.library.take_out(kind, entry)  # type: ignore[arg-type]
    elif act == "put-back":
        house.library.put_back(kind, entry)  # type: ignore[arg-type]
    else:
        one, shown = shared_one(house.library, kind, entry), read_form(sent, (SHOWN,)).values
        try:
            refuse_unless_shown(one, shown.get("shown"), one.name)
            put_in_series(house, kept_as_before(one.kept), one)
        except ChangedElsewhereError as error:
            called = _named(house, name)
            return _show(request, house, called, refused=(entry, error.sentence))
    return _to(series_address(_named(house, name)) + "#shared")


def _named(house: House, sent: str) -> str:
    """The series of an address, as its name is written there. NotThereError if there is none.

    One that all was taken out of is still there: on its page it is put back.
    """
    if sent == NO_SERIES:
        return ""
    kept, out = (sorted(series_kept(house.library, taken_out=way)) for way in (False, True))
    for name in (*(one.series for one in house.store.list()), *kept, *out):
        if name and series_slug(name) == sent:
            return name
    raise NotThereError(f"There is no series “{sent[:80]}” (any more).")


def _episodes(known: Sequence[EpisodeSummary], series: str) -> tuple[EpisodeSummary, ...]:
    return in_order([one for one in known if series_key(one.series) == series_key(series)])


def _show(
    request: Request,
    house: House,
    name: str,
    answers: Answers = UNANSWERED,
    refused: tuple[str, str] = ("", ""),
) -> Response:
    episodes = _episodes(house.store.list(), name)
    plans = tuple(house.readable(episodes))
    first = house.preferred.first(plans[0][1].first_unit if plans else "cm")
    more: dict[str, Any] = {}
    if name:
        bodies, cloths = shared_of(house.library, name)
        more = {
            "bodies": tuple(
                SharedRow(one, "body", _used(plans, one, first, "brief", lambda e: (e.body,)))
                for one in bodies
            ),
            "cloths": tuple(
                SharedRow(one, "cloth", _used(plans, one, first, "cloth", lambda e: e.cloths))
                for one in cloths
            ),
            "out": tuple(_taken_out(house, name)),
            "offered": offered(house),
        }
    view = SeriesView(
        name, series_address(name), episodes, first, **more, answers=answers, refused=refused
    )
    status = 422 if refused[0] else answers.status
    return house.show(request, "series/series.html", view, status=status)


def _used(
    plans: Sequence[tuple[EpisodeSummary, Episode]],
    shared: Shared,
    first: System,
    page: str,
    of: Callable[[Episode], Sequence[Body | EpisodeCloth]],
) -> tuple[UsedIn, ...]:
    return tuple(
        UsedIn(summary, f"/episodes/{summary.id}/{page}", copy)
        for summary, episode in plans
        for one in of(episode)
        if (copy := copy_of(one, (shared,), episode, first)).shared
    )


def _taken_out(house: House, name: str) -> list[tuple[SharedKind, Entry]]:
    kinds: tuple[SharedKind, ...] = ("body", "cloth")
    return [(kind, one) for kind in kinds for one in taken_out_of(house.library, kind, name)]


def _to(address: str) -> Response:
    return RedirectResponse(address, status_code=303)
