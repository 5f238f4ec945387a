"""What is entered at the cutting table: shots ticked as filmed, and the clock's presses.

Each is a small change of its own that is made whatever else was changed meanwhile. It may be sent
long after it was made, so it carries its moment, and what the page showed then.
"""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from typing import Annotated, Final, Literal

from pydantic import AwareDatetime, BaseModel, Field, StringConstraints, model_validator
from pydantic_core import to_json

from webapp.build.time_log import Timed, TimeKind
from webapp.draft.recipe import Frozen
from webapp.errors import NotThereError
from webapp.filming.said import FIRSTS, as_filmed
from webapp.filming.shots import Filmed, SaidFigure, Shot
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.said_edits import (
    ticked_already,
    with_shot_filmed,
    with_shot_to_film,
    with_takes,
)
from webapp.plan.time_edits import (
    with_same_timer,
    with_time,
    with_timer,
    with_timer_paused,
    with_timer_resumed,
    with_timer_stopped,
)
from webapp.plan.time_rows import spelled_about
from webapp.remembered import Same

Act = Literal["filmed", "to film", "start", "pause", "go on", "stop"]
_LONGEST_KEPT: Final = timedelta(days=60)  # of an older entry the device's clock is not believed
_LEAST_SECONDS: Final = 1.0
_ENTERED: Final = frozenset({"timer", "time_log", "earlier_times", "bought"})
_KEPT_BESIDE: Final = frozenset({"kept_lays", "kept_ways", "editions", "revisions"})
_SHOWN: Final = tuple(
    name for name in Episode.model_fields if name not in {"shots", *_ENTERED, *_KEPT_BESIDE}
)


class TableEntry(Frozen):
    """One press at the table. `item` is a shot's id, or what `timed` is of."""

    id: Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9-]{8,64}$")]  # made by the browser
    act: Act
    item: Annotated[str, StringConstraints(max_length=64)] = ""
    timed: Timed = "step"
    kind: TimeKind | None = None  # when the clock runs for one kind of the step's work
    at: AwareDatetime | None = None  # by the clock of the device; None: just now
    said: Annotated[tuple[SaidFigure, ...], Field(max_length=400)] | None = None  # as it was shown
    narration: Annotated[str, StringConstraints(max_length=20_000)] | None = None  # likewise
    card: Annotated[str, StringConstraints(max_length=4_000)] | None = None
    goes_on: bool = False  # of a stop: it is not done yet
    start: Annotated[str, StringConstraints(max_length=64)] = ""  # the entry that began the clock
    seconds: float = Field(0.0, ge=0, le=3.6e6)  # of a stop: what the clock showed

    @model_validator(mode="after")
    def _can_be_printed(self) -> "TableEntry":
        said = (text for one in self.said or () for text in (one.name, one.cm, one.inch))
        for text in (self.narration or "", self.card or "", *said):
            if any(ord(c) < ord(" ") and c not in "\n\t" for c in text):
                raise ValueError("This holds a character that cannot be printed.")
        return self

    @property
    def is_recorded(self) -> bool:
        """True for a change of the plan, with a place in its history; a clock that runs is none."""
        return self.act in ("filmed", "to film", "stop")


def moment_of(at: datetime | None, sent: datetime | None, now: datetime) -> datetime:
    """When an entry was made, by the clock of this machine, on which it is `now`.

    `at` and `sent` are by the clock of the device: how far that is wrong makes no difference.
    """
    age = (sent or now) - at if at is not None else timedelta()
    return now - age if timedelta() < age <= _LONGEST_KEPT else now


def words_of(episode: Episode, entry: TableEntry) -> str:
    """The entry in words, for undo."""
    if entry.act == "stop":
        return f"the time of “{_title_of_time(episode, entry)}”, taken at the table"
    title = next((shot.title for shot in episode.shots if shot.id == entry.item), entry.item)
    if entry.act == "filmed":
        return f"Shot “{title}” ticked as filmed at the table"
    return f"Shot “{title}”: its tick taken out at the table"


def with_entry(
    episode: Episode, entry: TableEntry, moment: datetime, *, begun: bool = True
) -> Episode:
    """The episode with the entry, made at that moment (with the time zone of the work room).

    `begun` says whether the clock that is stopped had been accepted as running. NotThereError or
    ValueError with a sentence where the entry does not apply any more.
    """
    if entry.act == "filmed":
        return _filmed(episode, entry, moment.date())
    if entry.act == "to film":
        return _to_film(episode, entry)
    if entry.act == "start":
        return _started(episode, entry, moment)
    if entry.act == "stop":
        return _stopped(episode, entry, moment, begun=begun)
    if not begun and not _is_timed(episode, entry):
        return episode  # its own clock counts on at the table
    press = with_timer_paused if entry.act == "pause" else with_timer_resumed
    return press(with_same_timer(episode, entry.timed, entry.item, entry.kind), moment)


# --- Shots -------------------------------------------------------------------------------------


def _filmed(episode: Episode, entry: TableEntry, day: date) -> Episode:
    shot = _shot(episode, entry.item)
    if shot.filmed is not None:
        raise ticked_already(shot)
    if entry.said is None:
        return with_shot_filmed(evaluate(episode), shot.id, day)
    return with_takes(episode, {shot.id: as_shown(episode, shot, entry, day)})


def as_shown(episode: Episode, shot: Shot, entry: TableEntry, day: date) -> Filmed:
    """The shot filmed as the page showed it, whatever became of its figures and words since."""
    figures = entry.said or ()
    ways = (episode.first_unit, *(one for one in FIRSTS if one != episode.first_unit))
    told = [as_filmed(shot, {}, first, day, before=figures) for first in ways]
    if entry.narration is None:
        return told[0]
    shown = (entry.narration, entry.card or "")
    for one in told:
        if _squeezed(one.narration, one.card) == _squeezed(*shown):
            return one  # as typed, with its line ends
    return Filmed(day=day, narration=shown[0], card=shown[1], said=figures)


def _squeezed(*texts: str) -> list[list[str]]:
    return [text.split() for text in texts]


def _to_film(episode: Episode, entry: TableEntry) -> Episode:
    shot = _shot(episode, entry.item)
    if shot.filmed is None:
        raise ValueError(f"Shot “{shot.title}” has no tick any more: it is still to film.")
    return with_shot_to_film(episode, shot.id)


def _shot(episode: Episode, shot_id: str) -> Shot:
    for shot in episode.shots:
        if shot.id == shot_id:
            return shot
    raise NotThereError("That shot is not in the plan any more, so there is nothing to tick.")


# --- The clock ---------------------------------------------------------------------------------


def _is_timed(episode: Episode, entry: TableEntry) -> bool:
    timer = episode.timer
    what = (entry.timed, entry.item, entry.kind)
    return timer is not None and (timer.timed, timer.item, timer.kind) == what


def _started(episode: Episode, entry: TableEntry, moment: datetime) -> Episode:
    """One that runs already is joined: it is the same work on the same cloth."""
    if _is_timed(episode, entry):
        return episode
    if episode.timer is not None:
        raise ValueError(f"“{episode.timer.title}” is being timed, on this or another device.")
    return _timed(entry, lambda: with_timer(
        episode, evaluate(episode), entry.timed, entry.item, entry.kind, moment
    ))  # fmt: skip


def _stopped(episode: Episode, entry: TableEntry, moment: datetime, *, begun: bool) -> Episode:
    """The time written down; of a clock that ran at the table alone, what that one showed."""
    goes_on = entry.goes_on
    if begun or _is_timed(episode, entry):
        same = with_same_timer(episode, entry.timed, entry.item, entry.kind)
        return with_timer_stopped(same, evaluate(same), moment, goes_on=goes_on)
    if entry.seconds < _LEAST_SECONDS:
        raise ValueError("The clock had only just been started: no time is kept of it.")
    return _timed(entry, lambda: with_time(
        episode, evaluate(episode), timed=entry.timed, item=entry.item, kind=entry.kind,
        minutes=entry.seconds / 60, day=moment.date(), goes_on=goes_on,
    ))  # fmt: skip


def _timed(entry: TableEntry, act: Callable[[], Episode]) -> Episode:
    """What comes of the act; what is not there any more is told with the time it cannot keep."""
    try:
        return act()
    except NotThereError as error:
        lost = ""
        if entry.act == "stop":
            lost = f" Its {spelled_about(entry.seconds / 60)} are kept nowhere: note them down."
        raise NotThereError(
            f"What was timed is not in the plan any more.{lost}" if lost else error.sentence
        ) from error


def _title_of_time(episode: Episode, entry: TableEntry) -> str:
    if episode.timer is not None and _is_timed(episode, entry):
        return episode.timer.title
    steps = (step for garment in episode.garments for step in garment.steps)
    return next((step.name for step in steps if step.id == entry.item), entry.timed)


# --- What the page is told of ------------------------------------------------------------------


def plan_print(episode: Episode) -> str:
    """A fingerprint of what a page at the table shows, without what is entered there."""
    shots = (_print_of_shot(Same((shot,))) for shot in episode.shots)
    parts = (getattr(episode, name) for name in _SHOWN)
    others = (
        _print_of(Same((part,))) if isinstance(part, BaseModel | tuple) else repr(part)
        for part in parts
    )
    return sha256("\n".join((*shots, *others)).encode()).hexdigest()[:16]


@lru_cache(maxsize=4000)  # most edits leave most parts as they are
def _print_of_shot(of: Same) -> str:
    shot: Shot
    (shot,) = of.values
    return sha256(to_json(shot.model_copy(update={"filmed": None, "earlier": None}))).hexdigest()


@lru_cache(maxsize=1000)
def _print_of(of: Same) -> str:
    return sha256(to_json(of.values)).hexdigest()
