"""Series: its episodes in order, and the bodies and cloths they share."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final, Literal

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Body
from webapp.errors import NotThereError
from webapp.pages import brief, cloth
from webapp.pages.forms import UNANSWERED, Answers, Field, one_of, read_form, text
from webapp.pages.house import House, InHouse, Sent
from webapp.pages.recipes import Offered, offered
from webapp.pages.sent_again import AskedOnce
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
from webapp.plan.cloth_edits import with_cloth
from webapp.plan.edits import changed, free_id
from webapp.plan.episode import Episode
from webapp.plan.series import (
    Kept,
    KeptBody,
    KeptCloth,
    in_order,
    kept_anew,
    kept_as_before,
    next_number,
    of_the_series,
    series_key,
    with_body_of_series,
    with_cloth_of_series,
)
from webapp.plan.starters import episode_from
from webapp.store.library import Entry
from webapp.store.repository import EpisodeSummary
from webapp.units import System

router = APIRouter()

SharedKind = Literal["body", "cloth"]
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
def change_kept(name: str, kind: str, entry: str, act: str, house: InHouse) -> Response:
    """Take a shared body or cloth out, put it back, or give it the figures it had before."""
    if kind not in ("body", "cloth") or act not in ("take-out", "put-back", "as-before"):
        raise NotThereError("A series shares bodies and cloths.")
    if act == "take-out":
        house.library.take_out(kind, entry)  # type: ignore[arg-type]
    elif act == "put-back":
        house.library.put_back(kind, entry)  # type: ignore[arg-type]
    else:
        kept = shared_one(house.library, kind, entry)
        back = kept_as_before(kept)
        _put(house, back, entry)
    return _to(series_address(_named(house, name)) + "#shared")


@router.post("/episodes/{episode_id}/series/body")
def keep_body(request: Request, episode_id: str, house: InHouse) -> Response:
    # Alters nothing: only figures that she was shown are kept for the others.
    _of_a_series(house, episode_id)
    answers = _saved(house, episode_id, "", UNANSWERED, lambda e: e, "entry")
    if answers.errors:
        return brief.show(request, house, episode_id, series_answers=answers)
    episode = house.store.get(episode_id)
    _keep(house, episode, episode.body)
    return _to(f"/episodes/{episode_id}/brief#series-bodies")


@router.post("/episodes/{episode_id}/series/cloths/{place}")
def keep_cloth(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    """Keep a cloth by the name it has in the series; it is called so in the episode, too."""
    episode = _of_a_series(house, episode_id)
    if not 0 <= place < len(episode.cloths):
        raise NotThereError("That cloth is not there any more.")
    answers = read_form(sent, (Field("name", text(80, required=True), needed=True),))
    name = answers.values.get("name", episode.cloths[place].name)
    if not answers.errors:  # called as before, it alters nothing
        words = f"{episode.cloths[place].name} is called {name}"
        answers = _saved(
            house,
            episode_id,
            words,
            answers,
            lambda e: with_cloth(e, place, {"name": name}),
            "name",
        )
    if answers.errors:
        return cloth.show(request, house, episode_id, form=f"keep {place}", answers=answers)
    episode = house.store.get(episode_id)
    _keep(house, episode, of_the_series(episode.cloths[place]))
    return _to(f"/episodes/{episode_id}/cloth#series-cloths")


@router.post("/episodes/{episode_id}/series/take/{kind}")
def take(request: Request, episode_id: str, kind: str, sent: Sent, house: InHouse) -> Response:
    """Take a body or a cloth of the series into the episode: one change, which can be undone."""
    wanted = (Field("entry", text(64, required=True), needed=True), Field("place", text(4)))
    answers = read_form(sent, wanted)
    if answers.errors:
        raise NotThereError("Choose what to take from the series.")
    kept = shared_one(house.library, kind, answers.values["entry"])
    place = answers.values.get("place", "")

    def edit(episode: Episode) -> Episode:
        if isinstance(kept, KeptBody):
            return with_body_of_series(episode, kept)
        return with_cloth_of_series(episode, kept, int(place) if place.isdecimal() else None)

    words = f"{kept.one.name} from the series"
    answers = _saved(house, episode_id, words, answers, edit, "entry")
    if answers.errors and kind == "body":
        return brief.show(request, house, episode_id, series_answers=answers)
    if answers.errors:
        return cloth.show(request, house, episode_id, form=f"take {place}", answers=answers)
    page = "brief#body-title" if kind == "body" else "cloth"
    return _to(f"/episodes/{episode_id}/{page}")


def _saved(
    house: House,
    episode_id: str,
    words: str,
    answers: Answers,
    edit: Callable[[Episode], Episode],
    beside: str,
) -> Answers:
    """Make the change, or say at the field `beside` why it cannot be made."""
    saved = house.save(episode_id, words, UNANSWERED, edit, as_shown=True)
    return answers.failed(saved.errors[""], beside) if saved.errors else answers


def _of_a_series(house: House, episode_id: str) -> Episode:
    """An episode that a series can keep something of. NotThereError where it has none."""
    episode = house.store.get(episode_id)
    if not series_key(episode.series):
        raise NotThereError("Give the episode a series on the brief first.")
    return episode


def _keep(house: House, episode: Episode, one: Body | EpisodeCloth) -> None:
    """Keep it for the series, in place of the one of that name if there is one."""
    bodies, cloths = shared_of(house.library, episode.series)
    is_body = isinstance(one, Body)
    there = next(
        (each for each in (bodies if is_body else cloths)
         if each.name.casefold() == one.name.casefold()),
        None,
    )  # fmt: skip
    if there is not None:
        kept = kept_anew(there.kept, one)
        if isinstance(kept, KeptCloth):
            kept = changed(kept, currency=episode.currency)
        _put(house, kept, there.id)
    elif isinstance(one, Body):
        _put(house, KeptBody(series=episode.series, one=one))
    else:
        _put(house, KeptCloth(series=episode.series, one=one, currency=episode.currency))


def _put(house: House, kept: Kept, entry: str | None = None) -> None:
    kind: SharedKind = "body" if isinstance(kept, KeptBody) else "cloth"
    name = f"{kept.series}: {kept.one.name}"
    house.library.put(kind, name, kept.model_dump_json(), entry)


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


def _show(request: Request, house: House, name: str, answers: Answers = UNANSWERED) -> Response:
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
    view = SeriesView(name, series_address(name), episodes, first, **more, answers=answers)
    return house.show(request, "series/series.html", view, status=answers.status)


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
