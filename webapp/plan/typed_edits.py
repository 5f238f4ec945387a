"""The figures a text may quote, and what is done about a measurement typed in one unit.

It is made a live figure, or told in both units; the first that stands so in the text is changed.
"""

from dataclasses import dataclass
from typing import Final

from webapp.draft.names import name_key, piece_key
from webapp.errors import NotThereError
from webapp.filming.typed import TypedLength, matches, typed_lengths
from webapp.plan.episode import Episode
from webapp.plan.figures import as_written
from webapp.plan.results import Mend, Plan
from webapp.plan.texts import EpisodeText, TextKey, text_of, with_text
from webapp.units import both_called

MOST_OFFERED: Final = 3  # figures for one measurement


@dataclass(frozen=True, slots=True)
class FigureShown:
    """A figure by the name to quote it by, in both units."""

    name: str
    shown: str


@dataclass(frozen=True, slots=True)
class Offer:
    """A measurement typed in one unit, the live figures it may be, the likeliest first.

    `in_both` is empty where what was typed cannot be read as a length.
    """

    typed: str
    figures: tuple[FigureShown, ...]
    in_both: str
    lacks: str  # the unit that viewers miss: inches, centimetres


def offers(plan: Plan, key: TextKey) -> tuple[Offer, ...]:
    """An offer for each measurement of that text, one typed twice told once. NotThereError."""
    return _offers(plan, text_of(plan, key))


def quotable(plan: Plan, text: EpisodeText | None = None) -> tuple[FigureShown, ...]:
    """The figures a text can quote, its own garment's first; without a text, those of any."""
    drafts, figures_mm = plan.drafts, plan.figures_mm
    if text is not None:
        drafts, figures_mm = text.drafts, text.figures_mm
    first = plan.episode.first_unit
    written: dict[str, str] = {}
    for name in as_written(drafts):
        if name_key(name) in figures_mm:
            written.setdefault(name_key(name), name)
    return tuple(
        FigureShown(name, both_called(key, figures_mm[key], first)) for key, name in written.items()
    )


def mends_for(plan: Plan, text: EpisodeText, typed: str = "") -> tuple[Mend, ...]:
    """What mends the measurements of a text, or that one alone: the likeliest figure, both units.

    None for one that is only read in the text, where a live figure meets the words around it.
    """
    found = []
    for offer in _offers(plan, text):
        if typed in ("", offer.typed):
            for best in offer.figures[:1]:
                words = f"Make it {{{best.name}}}: {best.shown}"
                found.append(Mend("live figure", (*text.key, offer.typed, best.name), words))
            if offer.in_both:
                args = (*text.key, offer.typed)
                found.append(Mend("both units", args, f"Write {offer.in_both}"))
    return tuple(found)


def with_both_units(plan: Plan, key: TextKey, typed: str) -> Episode:
    """The episode with that measurement told in both units.

    NotThereError when it is not there any more; a ValueError (pydantic's) when the text grows
    longer than it may be.
    """
    text = text_of(plan, key)
    length = _typed(text, typed)
    told = length.in_both(plan.episode.first_unit)
    if not told:
        raise NotThereError(f"“{typed}” cannot be read as a length, so nothing was changed.")
    return with_text(plan.episode, key, length.replaced(text.typed, told))


def with_live_figure(plan: Plan, key: TextKey, typed: str, name: str) -> Episode:
    """The episode with a live figure in the place of that measurement.

    NotThereError when either is not there any more, or the figure is another length by now; a
    ValueError (pydantic's) when the text grows longer than it may be.
    """
    text = text_of(plan, key)
    if name_key(name) not in text.figures_mm:
        raise NotThereError(f"There is no figure “{name}” any more, so nothing was changed.")
    length = _typed(text, typed)
    offered = {one.typed: one.figures for one in _offers(plan, text)}[typed]
    if name_key(name) not in {name_key(one.name) for one in offered}:
        raise NotThereError(f"“{name}” is not {typed} any more, so nothing was changed.")
    return with_text(plan.episode, key, length.replaced(text.typed, f"{{{name}}}"))


def _typed(text: EpisodeText, typed: str) -> TypedLength:
    for length in typed_lengths(text.typed):
        if length.text == typed:
            return length
    raise NotThereError(f"“{typed}” is not in that text any more, so nothing was changed.")


def _offers(plan: Plan, text: EpisodeText) -> tuple[Offer, ...]:
    found = {length.text: length for length in reversed(typed_lengths(text.typed))}
    if not found:
        return ()
    known = {name_key(one.name): one for one in quotable(plan, text)}
    figures_mm = {name: text.figures_mm[name] for name in known}
    own = {
        piece_key(piece.name)
        for draft in text.drafts
        if draft.recipe.id == text.own
        for piece in draft.recipe.pieces
    }
    return tuple(
        Offer(
            length.text,
            tuple(known[name] for name in matches(length, figures_mm, own)[:MOST_OFFERED]),
            length.in_both(plan.episode.first_unit),
            "inches" if length.unit == "cm" else "centimetres",
        )
        for length in reversed(found.values())
    )
