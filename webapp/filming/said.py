"""What was said when a shot was filmed, and which of its figures have become others since.

A figure has changed when it is shown otherwise, in either unit: what the shown rounding hides was
never said.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from webapp.draft.names import name_key
from webapp.filming.figures import filled, quoted
from webapp.filming.shots import AcceptedFigure, Filmed, SaidFigure, Shot
from webapp.units import System, both_called

Answer = Literal["", "card", "accepted"]
FIRSTS: Final[tuple[System, ...]] = ("cm", "in")  # a sheet may have been turned round since


@dataclass(frozen=True, slots=True)
class ChangedFigure:
    """A figure that was said and is shown otherwise now; `now` is None when it is no more."""

    was: SaidFigure
    now: SaidFigure | None
    answer: Answer = ""  # what was decided about it; empty while nothing is
    note: str = ""

    @property
    def name(self) -> str:
        """The figure, as it was quoted."""
        return self.was.name

    @property
    def called(self) -> str:
        """The figure in words: `Front hem`."""
        return called(self.name)

    def told(self, first: System) -> tuple[str, str]:
        """As it was said and as it is, in both units; the second is empty when it is no more."""
        return in_both(self.was, first), in_both(self.now, first) if self.now else ""


def called(name: str) -> str:
    """A figure's name in words: `Front hem`."""
    words = name.replace(".", " ")
    return words[:1].upper() + words[1:]


def in_both(figure: SaidFigure, first: System) -> str:
    """A said figure in both units, as live figures are shown."""
    cm, inch = figure.cm, figure.inch
    return f"{inch} ({cm})" if first == "in" else f"{cm} ({inch})"


def said(name: str, mm: float) -> SaidFigure:
    """A figure as it is shown now, in each unit."""
    cm, inch = both_called(name_key(name), mm, "cm").removesuffix(")").split(" (")
    return SaidFigure(name=name, cm=cm, inch=inch)


def as_filmed(
    shot: Shot,
    figures_mm: Mapping[str, float],
    first: System,
    day: date | None = None,
    before: Iterable[SaidFigure] = (),
) -> Filmed:
    """What is said and shown in the shot when it is filmed with these figures.

    A figure that was said `before` stays as it was said.
    """
    kept = {name_key(one.name): one for one in before}
    names = dict.fromkeys(map(name_key, (*quoted(shot.narration), *quoted(shot.card))))
    told = {
        name: kept.get(name) or said(name, figures_mm[name])
        for name in names
        if name in kept or name in figures_mm
    }
    shown = {name: in_both(one, first) for name, one in told.items()}
    return Filmed(
        day=day,
        narration=filled(shot.narration, shown),
        card=filled(shot.card, shown),
        said=tuple(told.values()),
    )


def retold(filmed: Filmed, shot: Shot) -> bool:
    """True when the shot's own words are others than those it was filmed with.

    Figures that have moved are no other words; nor are words where none were kept.
    """
    if not filmed.narration and not filmed.card:
        return False
    told = (as_filmed(shot, {}, first, before=filmed.said) for first in FIRSTS)
    return all((filmed.narration, filmed.card) != (one.narration, one.card) for one in told)


def changes_since(
    filmed: Filmed,
    figures_mm: Mapping[str, float],
    waits: Callable[[str], bool] = lambda _: False,
) -> tuple[ChangedFigure, ...]:
    """The said figures that are shown otherwise now, in the order they were said.

    One that `waits`, for something that the draft lacks for now, is told by the draft.
    """
    corrected = set(map(name_key, filmed.corrected))
    accepted = {name_key(one.name): one for one in filmed.accepted}
    found = []
    for was in filmed.said:
        key = name_key(was.name)
        mm = figures_mm.get(key)
        if mm is None and waits(was.name):
            continue
        now = said(was.name, mm) if mm is not None else None
        if now == was:
            continue
        answer, note = _answer(now, key in corrected, accepted.get(key))
        found.append(ChangedFigure(was, now, answer, note))
    return tuple(found)


def _answer(
    now: SaidFigure | None, corrected: bool, accepted: AcceptedFigure | None
) -> tuple[Answer, str]:
    """A card tells whatever the figure is now; it was accepted only as what it then was."""
    if corrected and now is not None:
        return "card", ""
    shown = (now.cm, now.inch) if now else ("", "")
    if accepted is not None and (accepted.cm, accepted.inch) == shown:
        return "accepted", accepted.note
    return "", ""


def accepted_as(figure: ChangedFigure, note: str) -> AcceptedFigure:
    """The changed figure accepted as it is shown now, or as gone."""
    cm, inch = (figure.now.cm, figure.now.inch) if figure.now else ("", "")
    return AcceptedFigure(name=figure.name, cm=cm, inch=inch, note=note)


def correction_card(figure: ChangedFigure, first: System) -> str:
    """The words of the card that puts a said figure right, old and new in both units."""
    was, now = figure.told(first)
    return f"Correction: {figure.called} is {now}, not {was}."
