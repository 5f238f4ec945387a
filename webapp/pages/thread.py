"""Thread: what each seam takes, the spools, and the figures they are counted with."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, get_args

from fastapi import APIRouter, Request, Response

from webapp.cloth.stitches import (
    GUIDE_STITCH_MM,
    HAND_STITCHES,
    STITCHES,
    HandStitch,
    StitchType,
)
from webapp.cloth.thread import (
    LAYER_G_M2,
    LAYER_MM,
    LEAST_RATIO,
    MOST_RATIO,
    MOST_WASTE_PER_CENT,
    TAIL_MM,
    THREADED_MM,
    WASTE_SOURCE,
    SpoolMetres,
)
from webapp.cloth.weight import both_weights
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    Reader,
    one_of,
    read_form,
    refuse_gone,
    status_of,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.wording import summed, unbroken
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.thread_and_needles import thread_of
from webapp.plan.thread_use import (
    LAYERS_RULE,
    GarmentThread,
    ThreadPlan,
    ThreadRow,
    bought,
    spool_called,
)
from webapp.units import MM_PER_INCH, System, both

router = APIRouter(prefix="/episodes/{episode_id}/thread")

_LONGEST_NUMBER: Final = 6  # characters: as many as are shown again


@dataclass(frozen=True)
class StitchAsked:
    """A stitch whose ratio may be the maker's own, and what is published of it."""

    key: str
    called: str
    own: str  # as a number; empty while the published ratio is taken
    published: str
    note: str

    @property
    def field(self) -> str:
        """What its field is called in the form."""
        return f"ratio {self.key}"


@dataclass(frozen=True)
class Sums:
    """Several seams together, each sum that of the figures as they are printed.

    Waste is one figure for each garment. `bought` is the exact total, in metres and yards.
    """

    needle: str
    bobbin: str
    looper: str
    sewn: str
    waste: str
    total: str
    bought: str


@dataclass(frozen=True)
class ThreadView:
    """The thread as planned, the choices it rests on, and what was typed wrong."""

    thread: ThreadPlan
    stitches: tuple[StitchAsked, ...]
    first: System
    answers: Answers = UNANSWERED

    layers_rule = LAYERS_RULE
    waste_source = WASTE_SOURCE

    @property
    def machine_stitches(self) -> list[StitchType]:
        """Those that are called by a number."""
        return [one for one in self.thread.stitches if isinstance(one, StitchType)]

    @property
    def spools(self) -> list[tuple[str, str]]:
        """The lengths of spool to choose from."""
        return [(str(each), spool_called(each, self.first)) for each in get_args(SpoolMetres)]

    @property
    def spool(self) -> str:
        """What the chosen spool holds."""
        return unbroken(spool_called(self.thread.choices.spool_m, self.first))

    @property
    def thickness(self) -> str:
        """How thick a layer is taken to be, in a sentence."""
        layer = _fine(LAYER_MM, self.first)
        weight = both_weights(LAYER_G_M2, self.first)
        return (
            f"A layer is taken as {layer} thick at {weight}, and thicker or thinner as the cloth "
            "is heavier or lighter; a cloth without a weight is taken as that one."
        )

    @property
    def by_hand(self) -> str:
        """What is lost by hand, in a sentence."""
        return (
            f"By hand, {both(TAIL_MM, self.first)} is lost at each threading: one for each "
            f"beginning, and one for every {both(THREADED_MM, self.first)} sewn."
        )

    @property
    def has_hand(self) -> bool:
        """True when something is sewn by hand."""
        return any(row.kind == "hand" for row in self.thread.rows)

    def length(self, mm: float) -> str:
        """Thread in centimetres and inches; a dash for none."""
        return self._sum([mm])

    def bought(self, mm: float) -> str:
        """Thread in metres and yards, as it is bought."""
        return unbroken(bought(mm, self.first))

    def stitch_length(self, row: ThreadRow) -> str:
        """The length of a stitch, and how many go to the inch; empty by hand."""
        return "" if row.stitch_length_mm is None else _stitch(row.stitch_length_mm, self.first)

    @property
    def guide_stitch(self) -> str:
        """The stitch that published ratios are for."""
        return _stitch(GUIDE_STITCH_MM, self.first)

    def sums(self, garments: Sequence[GarmentThread]) -> Sums:
        """What the seams of those garments take together."""
        uses = [row.use for garment in garments for row in garment.rows]
        needle = [use.needle_mm for use in uses]
        bobbin = [use.bobbin_mm for use in uses]
        looper = [use.looper_mm for use in uses]
        waste = [garment.use.waste_mm for garment in garments]
        sewn = [*needle, *bobbin, *looper]
        return Sums(
            needle=self._sum(needle),
            bobbin=self._sum(bobbin),
            looper=self._sum(looper),
            sewn=self._sum(sewn),
            waste=self._sum(waste),
            total=self._sum([*sewn, *waste]),
            bought=self.bought(sum(garment.use.total_mm for garment in garments)),
        )

    def _sum(self, parts_mm: Sequence[float]) -> str:
        return summed(parts_mm, self.first)[1] if sum(parts_mm) > 0 else "–"


@router.get("")
def page(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("")
def save(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked = tuple(_asked(thread_of(house.plan(episode_id))))
    ratio = _number(
        LEAST_RATIO, MOST_RATIO, "times the seam, like 2.5; empty for the published one"
    )
    fields = (
        *(Field(one.field, _or_none(ratio)) for one in asked),
        Field("waste_per_cent", _number(0, MOST_WASTE_PER_CENT, "in per cent, like 15")),
        Field("spool_m", one_of(str(each) for each in get_args(SpoolMetres))),
    )
    refuse_gone(sent, fields, "ratio")
    answers = read_form(sent, fields)
    words = {one.field: f"the ratio of {one.called}" for one in asked}
    words |= {"waste_per_cent": "the waste of thread", "spool_m": "the spools of thread"}
    named = ", ".join(words[name] for name in answers.values) or "the thread"
    answers = house.save(
        episode_id,
        named if len(answers.values) < 3 else "how thread is counted",
        answers,
        lambda e: _with_choices(e, asked, answers.values),
    )
    return answered(
        request,
        f"/episodes/{episode_id}/thread",
        (answers,),
        lambda: _show(request, house, episode_id, answers),
    )


def _number(least: float, most: float, words: str) -> Reader:
    """A number in a range, both ends allowed; a decimal comma is understood."""

    def reader(typed: str) -> float:
        plain = typed.removesuffix("%").strip().replace(",", ".")
        digits = plain.replace(".", "", 1)
        if not (digits.isascii() and digits.isdigit()) or len(plain) > _LONGEST_NUMBER:
            raise ValueError(f"Write a number from {least:g} to {most:g}, {words}.")
        if not least <= float(plain) <= most:
            raise ValueError(f"{plain} is out of range: from {least:g} to {most:g}, {words}.")
        return float(plain)

    return reader


def _or_none(read: Reader) -> Reader:
    return lambda typed: read(typed) if typed else None


def _with_choices(
    episode: Episode, asked: Sequence[StitchAsked], values: Mapping[str, Any]
) -> Episode:
    """The thread counted as sent; a ratio that was emptied is the published one again."""
    ratios = dict(episode.thread.ratios)
    for one in asked:
        if one.field in values:
            ratios.pop(one.key, None)
            if values[one.field] is not None:
                ratios[one.key] = values[one.field]
    sent: dict[str, Any] = {"ratios": ratios}
    if "waste_per_cent" in values:
        sent["waste_per_cent"] = values["waste_per_cent"]
    if "spool_m" in values:
        sent["spool_m"] = int(values["spool_m"])
    return changed(episode, thread=changed(episode.thread, **sent))


def _asked(thread: ThreadPlan) -> Iterator[StitchAsked]:
    """The stitches that are used, and those with a ratio of the maker's own."""
    choices = thread.choices
    used: dict[str, StitchType | HandStitch] = {_key(each): each for each in thread.stitches}
    for key in choices.ratios:
        used.setdefault(key, choices.stitches.get(key) or choices.hand_stitches[key])
    for key, stitch in used.items():
        own = choices.ratios.get(key)
        yield StitchAsked(
            key, stitch.called, "" if own is None else f"{own:g}", _published(key), stitch.note
        )


def _key(stitch: StitchType | HandStitch) -> str:
    return stitch.name if isinstance(stitch, HandStitch) else stitch.number


def _published(key: str) -> str:
    if key in HAND_STITCHES:
        return f"Common practice: {HAND_STITCHES[key].ratio:g}."
    stitch = STITCHES[key]
    other = f"; elsewhere {stitch.other:g}" if stitch.other is not None else ""
    return f"Published: {stitch.ratio:g}{other}."


def _stitch(mm: float, first: System) -> str:
    metric, inch = f"{mm:.2g} mm", f"{MM_PER_INCH / mm:.0f} to the inch"
    return unbroken(f"{metric} ({inch})" if first == "cm" else f"{inch} ({metric})")


def _fine(mm: float, first: System) -> str:
    """A thickness, far below what lengths are shown in."""
    pair = (f"{mm:g} mm", f"{mm / MM_PER_INCH:.3f} in")
    one, other = pair if first == "cm" else pair[::-1]
    return f"{one} ({other})"


def _show(
    request: Request, house: House, episode_id: str, answers: Answers = UNANSWERED
) -> Response:
    shell = house.shell(episode_id, "shopping")
    thread = thread_of(shell.plan)
    view = ThreadView(thread, tuple(_asked(thread)), shell.first_unit, answers)
    return house.show(request, "thread/thread.html", view, shell=shell, status=status_of(view))
