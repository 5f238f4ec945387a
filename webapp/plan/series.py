"""A series: the episodes that bear its name, and the bodies and cloths they share.

An episode has a copy of its own. When the series' body or cloth changes, nothing in an episode
does: it is told that its copy is older, and takes the new figures when she says so.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, Protocol

from pydantic import Field

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.weight import both_weights, read_weight
from webapp.draft.construction import ShortText
from webapp.draft.measures import MEASURES
from webapp.draft.recipe import Body, Frozen
from webapp.plan.cloth_edits import with_cloth
from webapp.plan.edits import changed, shifted, with_bodies
from webapp.plan.episode import Episode
from webapp.units import System, both_as_cut, parse_length

Standing = Literal["same", "older", "otherwise"]
_KEPT_BEFORE: Final = 20
# What of a cloth is the cloth's own, wherever it is laid, with its words; the price is with `per`.
_OF_CLOTH: Final[Mapping[str, str]] = {
    "description": "what it is",
    "width": "width",
    "edge_margin": "left free at each selvedge",
    "shrinks_along": "shrinks along, per cent",
    "shrinks_across": "shrinks across, per cent",
    "one_way": "one way only",
    "weight": "weight",
    "stretch": "stretches across, per cent",
    "repeat_along": "stripes around the body repeat every",
    "repeat_across": "stripes up and down repeat every",
    "price": "price",
    "price_per": "the price is for",
}
_LENGTHS: Final = frozenset({"width", "edge_margin", "repeat_along", "repeat_across"})


class KeptBody(Frozen):
    """A body that the episodes of a series share, and what it was before, the latest last."""

    series: ShortText
    one: Body
    before: Annotated[tuple[Body, ...], Field(max_length=_KEPT_BEFORE)] = ()


class KeptCloth(Frozen):
    """A cloth that the episodes of a series share: what it is, not how one of them lays it."""

    series: ShortText
    currency: str = Field("EUR", pattern=r"^[A-Z]{3}$")  # of its price, ISO 4217
    one: EpisodeCloth
    before: Annotated[tuple[EpisodeCloth, ...], Field(max_length=_KEPT_BEFORE)] = ()


Kept = KeptBody | KeptCloth


class Listed(Protocol):
    """What is known of an episode without reading its plan."""

    @property
    def series(self) -> str:
        """The name of its series; empty for none."""

    @property
    def number(self) -> int | None:
        """Its number in the series."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that the episode has otherwise than the series, as each is shown."""

    what: str
    here: str
    there: str


def series_key(name: str) -> str:
    """A series as it is told from others: capitals and further spaces make none of their own."""
    return " ".join(name.casefold().split())


def next_number(episodes: Iterable[Listed], series: str) -> int | None:
    """The number after the highest of that series; None where none of its episodes has one."""
    own = [one.number for one in episodes if series_key(one.series) == series_key(series)]
    numbers = [number for number in own if number is not None]
    return max(numbers) + 1 if numbers else None


def of_the_series(cloth: EpisodeCloth) -> EpisodeCloth:
    """The cloth without what is this episode's alone: how it is laid, and how much is at hand."""
    return EpisodeCloth(name=cloth.name, **_own(cloth))


def _own(cloth: EpisodeCloth) -> dict[str, Any]:
    return {field: getattr(cloth, field) for field in _OF_CLOTH}


def priced_for(kept: KeptCloth, cloth: EpisodeCloth | None, currency: str) -> KeptCloth:
    """As an episode takes it that counts in that currency, in place of that cloth of its own.

    A price in another currency stays behind: the episode keeps its own, or has none yet.
    """
    if kept.currency == currency:
        return kept
    own = cloth or EpisodeCloth()
    price = {"price": own.price, "price_per": own.price_per}
    one, *before = (changed(each, **price) for each in (kept.one, *kept.before))
    return changed(kept, one=one, before=tuple(before))


def kept_of(episode: Episode, one: Body | EpisodeCloth, there: Kept | None) -> Kept:
    """What its series keeps once a body or cloth of the episode is kept, `there` what it has of
    that name."""
    if there is not None:
        kept = kept_anew(there, one)
        return changed(kept, currency=episode.currency) if isinstance(kept, KeptCloth) else kept
    if isinstance(one, Body):
        return KeptBody(series=episode.series, one=one)
    return KeptCloth(series=episode.series, one=one, currency=episode.currency)


def kept_anew(kept: Kept, one: Any) -> Kept:
    """What is kept, with another in its place; what it was is remembered."""
    if _plain(one, kept.one) == kept.one:
        return kept
    return changed(kept, one=one, before=(*kept.before, kept.one)[-_KEPT_BEFORE:])


def kept_as_before(kept: Kept) -> Kept:
    """What is kept, as it was before its last change; itself when it has none.

    What it is now becomes the first of what it was: pressed once too often, nothing is lost.
    """
    if not kept.before:
        return kept
    return changed(kept, one=kept.before[-1], before=(kept.one, *kept.before[:-1]))


def standing(kept: Kept, one: Body | EpisodeCloth) -> Standing:
    """How an episode's copy stands to what the series has now."""
    plain = _plain(one, kept.one)
    if plain == kept.one:
        return "same"
    return "older" if any(_plain(one, was) == was for was in kept.before) else "otherwise"


def _plain(one: Body | EpisodeCloth, like: Body | EpisodeCloth) -> Body | EpisodeCloth:
    """As the series would keep it, its name written as there."""
    plain = of_the_series(one) if isinstance(one, EpisodeCloth) else one
    return changed(plain, name=like.name)


def differences(kept: Kept, one: Body | EpisodeCloth, first: System) -> tuple[Difference, ...]:
    """What is otherwise here than in the series; lengths in both units.

    TypeError for a body beside a cloth.
    """
    if isinstance(one, Body) and isinstance(kept, KeptBody):
        return tuple(_of_bodies(one, kept.one, first))
    if isinstance(one, EpisodeCloth) and isinstance(kept, KeptCloth):
        return tuple(_of_cloths(one, kept.one, first))
    raise TypeError("A body is compared with a body, a cloth with a cloth.")


def _of_bodies(here: Body, there: Body, first: System) -> Iterator[Difference]:
    for name in MEASURES:
        own, theirs = (_measure(body, name, first) for body in (here, there))
        if own != theirs:
            yield Difference(name, own or "none", theirs or "none")


def _measure(body: Body, name: str, first: System) -> str:
    shown = _length(body.measures.get(name, ""), first)
    return f"{shown}, from a garment" if shown and name in body.copied else shown


def _of_cloths(here: EpisodeCloth, there: EpisodeCloth, first: System) -> Iterator[Difference]:
    for field, words in _OF_CLOTH.items():
        own, theirs = (_shown(getattr(cloth, field), field, first) for cloth in (here, there))
        if own != theirs:
            yield Difference(words, own or "none", theirs or "none")


def _shown(value: object, field: str, first: System) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if field == "price_per":
        return "a metre" if value == "m" else "a yard"
    if field == "weight":
        return _weight(str(value), first)
    return _length(str(value), first) if field in _LENGTHS else str(value)


def _weight(typed: str, first: System) -> str:
    """A typed weight in both units; as typed where it cannot be read."""
    try:
        return both_weights(read_weight(typed), first) if typed else ""
    except ValueError:
        return typed


def _length(typed: str, first: System) -> str:
    """A typed length in both units; as typed where it cannot be read."""
    try:
        return both_as_cut(parse_length(typed, None).mm, first, fine=True) if typed else ""
    except ValueError:
        return typed


def with_body_of_series(episode: Episode, kept: KeptBody) -> Episode:
    """The episode on the series' body; its further sizes stay."""
    return with_bodies(episode, kept.one, episode.sizes)


def with_cloth_of_series(episode: Episode, kept: KeptCloth, place: int | None) -> Episode:
    """The episode with the series' cloth in place of one of its cloths, or as one more.

    NotThereError when the cloth at that place is gone.
    """
    own = shifted(episode.cloths, place, 0)[place] if place is not None else None
    kept = priced_for(kept, own, episode.currency)
    if place is None:
        return changed(episode, cloths=(*episode.cloths, kept.one))
    return with_cloth(episode, place, {"name": kept.one.name, **_own(kept.one)})


def in_order(episodes: Sequence[Any]) -> tuple[Any, ...]:
    """The episodes of a series by number, those without one last, by date and title."""
    return tuple(
        sorted(
            episodes,
            key=lambda one: (
                one.number is None,
                one.number or 0,
                str(one.publish_date or "9999"),
                one.title.casefold(),
            ),
        )
    )
