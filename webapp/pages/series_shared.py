"""What a series shares, as the brief, the cloth page and the series' own page show it."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal
from urllib.parse import quote

from webapp.cloth.cloths import EpisodeCloth
from webapp.draft.recipe import Body
from webapp.errors import NotThereError, StoreError
from webapp.plan.episode import Episode
from webapp.plan.series import (
    Difference,
    Kept,
    KeptBody,
    KeptCloth,
    Standing,
    differences,
    priced_for,
    series_key,
    standing,
)
from webapp.remembered import Same
from webapp.store.library import Entry, Library, understood
from webapp.units import System

NO_SERIES = "-"  # in an address, in the place of a name; no name is written so


@dataclass(frozen=True)
class Shared:
    """A body or a cloth of a series, with its id."""

    id: str
    kept: Kept
    state: str = ""  # as it is kept: see `store.library.Entry`

    @property
    def as_shown(self) -> str:
        """What a form sends to have it taken, as the page shows it."""
        return f"{self.id} {self.state}"

    @property
    def name(self) -> str:
        """What it is called."""
        return self.kept.one.name


@dataclass(frozen=True)
class Copy:
    """An episode's body or cloth beside what the series has of that name, if anything."""

    name: str
    place: int | None  # of the cloth among the episode's; None for the body on camera
    shared: Shared | None
    standing: Standing = "same"
    differences: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class SeriesHere:
    """What the series of an episode shares with it."""

    series: str
    bodies: tuple[Shared, ...]
    cloths: tuple[Shared, ...]
    body: Copy
    own_cloths: tuple[Copy, ...]

    @property
    def other_bodies(self) -> tuple[Shared, ...]:
        """The series' bodies that the episode is not on."""
        return tuple(one for one in self.bodies if one != self.body.shared)

    @property
    def other_cloths(self) -> tuple[Shared, ...]:
        """The series' cloths that the episode has not."""
        here = [copy.shared for copy in self.own_cloths]
        return tuple(one for one in self.cloths if one not in here)


def shown_of(here: SeriesHere | None) -> Hashable:
    """All that is shown of a series beside an episode, apart from the episode itself."""
    if here is None:
        return None
    shared = (*here.bodies, *here.cloths)
    return (
        here.series,
        tuple(one.as_shown for one in shared),
        Same((tuple(one.kept for one in shared),)),
    )


def series_address(name: str) -> str:
    """The address of a series: its name, every letter beyond a-z and digits escaped."""
    return f"/series/{series_slug(name)}"


def series_slug(name: str) -> str:
    """`Small Wardrobe` as `small-wardrobe`; two series never have the same."""
    plain = series_key(name).replace("~", "~7e").replace("-", "~2d").replace(" ", "-")
    return quote(plain, safe="~-").replace(".", "~2e").replace("%", "~") or NO_SERIES


def shared_of(library: Library, series: str) -> tuple[tuple[Shared, ...], tuple[Shared, ...]]:
    """The bodies and the cloths that a series shares; what cannot be read is left out."""
    bodies = tuple(_of(library.entries("body"), KeptBody, series))
    return bodies, tuple(_of(library.entries("cloth"), KeptCloth, series))


def series_kept(library: Library, *, taken_out: bool = False) -> set[str]:
    """The names of the series that anything is kept for, or was taken out of of late."""
    bodies = (_read(entry, KeptBody) for entry in library.entries("body", deleted=taken_out))
    cloths = (_read(entry, KeptCloth) for entry in library.entries("cloth", deleted=taken_out))
    return {kept.series for kept in (*bodies, *cloths) if kept}


def taken_out_of(library: Library, kind: Literal["body", "cloth"], series: str) -> list[Entry]:
    """What was taken out of a series of late, however its name was written then."""
    model = KeptBody if kind == "body" else KeptCloth
    out = library.entries(kind, deleted=True)
    kept = ((entry, _read(entry, model)) for entry in out)
    return [one for one, of in kept if of and series_key(of.series) == series_key(series)]


def shared_one(library: Library, kind: str, id: str) -> Shared:
    """A body or cloth by its id. NotThereError when it is not kept any more, StoreError when it
    cannot be read."""
    if kind not in ("body", "cloth"):
        raise NotThereError("A series shares bodies and cloths.")
    entry = library.get("body" if kind == "body" else "cloth", id)
    kept: Kept = understood(entry, KeptBody if kind == "body" else KeptCloth)  # type: ignore[assignment]
    return Shared(id, kept, entry.state)


def _of(
    entries: tuple[Entry, ...], model: type[KeptBody] | type[KeptCloth], series: str
) -> Iterator[Shared]:
    for entry in entries:
        kept = _read(entry, model)
        if kept and series_key(kept.series) == series_key(series):
            yield Shared(entry.id, kept, entry.state)


@lru_cache(maxsize=256)
def _read(entry: Entry, model: type[KeptBody] | type[KeptCloth]) -> Kept | None:
    try:
        return understood(entry, model)
    except StoreError:
        return None


def here(library: Library, episode: Episode, first: System) -> SeriesHere | None:
    """What the series shares with an episode; None for one of no series."""
    if not series_key(episode.series):
        return None
    bodies, cloths = shared_of(library, episode.series)
    return SeriesHere(
        episode.series,
        bodies,
        cloths,
        copy_of(episode.body, bodies, episode, first),
        tuple(copy_of(cloth, cloths, episode, first, i) for i, cloth in enumerate(episode.cloths)),
    )


def copy_of(
    one: Body | EpisodeCloth,
    shared: tuple[Shared, ...],
    episode: Episode,
    first: System,
    place: int | None = None,
) -> Copy:
    """A body or cloth of the episode beside that of its name."""
    same = next((each for each in shared if each.name.casefold() == one.name.casefold()), None)
    if same is None:
        return Copy(one.name, place, None)
    kept = same.kept
    if isinstance(kept, KeptCloth) and isinstance(one, EpisodeCloth):
        kept = priced_for(kept, one, episode.currency)
    told = differences(kept, one, first)
    return Copy(one.name, place, same, standing(kept, one) if told else "same", told)
