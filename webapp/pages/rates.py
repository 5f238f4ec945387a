"""The rates that every estimate comes from: where each is from, and hers in its place."""

from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.build.rates import OwnRate, Rate, can_be_used
from webapp.build.time_kinds import KIND_WORDS, rates_by_kind
from webapp.build.time_log import TimeKind
from webapp.filming.every_rate import EVERY_RATE
from webapp.pages.forms import UNANSWERED, Answers, read_form, status_of
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.rate_words import rate_called, rate_name
from webapp.pages.time_fields import RATE_FIELDS
from webapp.plan.moved_minutes import MovedMinutes, moved_minutes
from webapp.plan.results import Plan
from webapp.plan.time_edits import with_own_rate, without_own_rate
from webapp.plan.time_rows import KindRow
from webapp.plan.times import TimesReport, times_report

router = APIRouter(prefix="/episodes/{episode_id}/rates")

_FIGURES: Final = ("low", "likely", "high")
_YARD_M: Final = 0.9144
_BY_THE_YARD: Final = {
    "mm": (1 / 25.4, "inches"),
    "mm a minute": (1 / 25.4, "inches a minute"),
    "min a metre": (_YARD_M, "minutes a yard"),
    "pins a metre": (_YARD_M, "pins a yard"),
}
_UNITS_IN_WORDS: Final = {
    "min": "minutes",
    "min a metre": "minutes a metre",
    "min a take": "minutes a take",
    "min each": "minutes each",
    "s": "seconds",
    "s a pin": "seconds a pin",
    "stitches/min": "stitches a minute",
    "share": "a share, 0 to 1",
    "× screen time": "times the time on screen",
    "× spoken time": "times the time spoken",
    "h a minute": "hours a finished minute",
}  # the others are words


@dataclass(frozen=True)
class RateRow:
    """A rate of the table, and hers if she has one."""

    table: Rate
    own: OwnRate | None
    kind: TimeKind

    @property
    def id(self) -> str:
        """Its element on the page."""
        return rate_id(self.table.key)

    @property
    def unit(self) -> str:
        """What its figures count, in words."""
        return unit_in_words(self.table)

    def in_yards(self, *values: float) -> str:
        """Figures of it by the inch or yard, where the unit is metric; else empty."""
        return in_yards(self.table, *values)

    @property
    def used_in_yards(self) -> str:
        """All three that estimates are made from, by the inch or yard; else empty."""
        return self.in_yards(self.used.low, self.used.likely, self.used.high)

    @property
    def of_the_table(self) -> str:
        """The table's three figures with their units, for where hers stand in their place."""
        return in_both_units(self.table, self.table.low, self.table.likely, self.table.high)

    @property
    def used(self) -> Rate | OwnRate:
        """The three figures that estimates are made from."""
        return self.own or self.table

    @property
    def name(self) -> str:
        """What it is called."""
        return rate_name(self.table.key)


@dataclass(frozen=True)
class RateGroup:
    """The rates of a kind of work, with what her times say of it."""

    title: str
    of: KindRow
    rows: tuple[RateRow, ...]

    @property
    def id(self) -> str:
        """Its element on the page."""
        return self.of.kind.replace(" ", "-")

    @property
    def own(self) -> int:
        """How many of them are hers."""
        return sum(row.own is not None for row in self.rows)

    @property
    def moved(self) -> str:
        """How far her times move what these rates give, in a few words; empty while they do not."""
        off = round(100 * (self.of.learned.factor - 1))
        way = "longer" if off > 0 else "shorter"
        return f"by your times {abs(off)}\u00a0% {way} than by these" if off else ""

    @property
    def told(self) -> str:
        """How her times move what these rates give; empty while they do not."""
        row = self.of
        if row.own_pace:
            return " ".join((row.told_pace, row.told_move, row.told_width, row.told_aside))
        moved = row.told_move if row.learned.factor != 1 else ""
        return f"{moved} {row.told_aside}".strip()


@dataclass(frozen=True)
class RatesView:
    """The page of rates."""

    groups: tuple[RateGroup, ...]
    report: TimesReport
    rate: str  # the key of the one that is being changed
    moved: tuple[MovedMinutes, ...] | None = None  # by the last change, if it was one of rates
    saved: str = ""  # the key of the one whose form this answers
    answers: Answers = UNANSWERED

    @property
    def own(self) -> int:
        """How many are hers."""
        return sum(group.own for group in self.groups)

    def told_aside(self, key: str) -> str:
        """That times will not count once this rate has other figures, in a sentence; empty when
        none is concerned."""
        count = self.report.timed_by(key)
        if not count:
            return ""
        what, it = ("1 time was", "it does") if count == 1 else (f"{count} times were", "they do")
        return (
            f"{what} worked out from this rate: with other figures {it} not count any more, until "
            "you put these back."
        )

    def number(self, value: float) -> str:
        """A figure as she could type it."""
        return number(value)

    def why_unused(self, own: OwnRate) -> str:
        """Why nothing is worked out from a rate of hers, in a sentence."""
        if own.key not in EVERY_RATE:
            return "Seamslate has no such rate."
        return (
            f"Its figures can be from {_bounds(EVERY_RATE[own.key])}; until you write others the "
            "table’s are used."
        )

    def called(self, key: str) -> str:
        """What a rate is called, also one that no table has."""
        return rate_name(key)


def number(value: float) -> str:
    """A figure as it could be typed."""
    return f"{value:.3g}" if value < 1000 else f"{value:.0f}"


def unit_in_words(rate: Rate) -> str:
    """What the figures of a rate count."""
    return _UNITS_IN_WORDS.get(rate.unit, rate.unit)


def in_yards(rate: Rate, *values: float) -> str:
    """Figures of a rate by the inch or yard, where its unit is metric; else empty."""
    factor, unit = _BY_THE_YARD.get(rate.unit, (0.0, ""))
    return f"{', '.join(number(factor * one) for one in values)} {unit}" if unit else ""


def in_both_units(rate: Rate, *values: float) -> str:
    """Figures of a rate with their unit, and by the inch or yard where that is metric."""
    told = f"{', '.join(map(number, values))} {unit_in_words(rate)}"
    yards = in_yards(rate, *values)
    return f"{told} ({yards})" if yards else told


def _bounds(rate: Rate) -> str:
    """From what to what a figure of hers can be, each bound in its units."""
    least, most = rate.limits
    return f"{in_both_units(rate, least)} to {in_both_units(rate, most)}"


def rate_id(key: str) -> str:
    """The element of a rate on the page."""
    return "rate-" + "".join(c if c.isalnum() else "-" for c in key)


@router.get("")
def rates(request: Request, episode_id: str, house: InHouse, rate: str = "") -> Response:
    return _show(request, house, episode_id, rate=rate)


@router.post("")
def save_rate(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = _rising(read_form(sent, RATE_FIELDS))
    key = str(answers.values.get("rate", ""))
    if not answers.errors:
        figures = {name: value for name, value in answers.values.items() if name != "rate"}
        answers = house.save(
            episode_id,
            f"the rate: {rate_called(key)}",
            answers,
            lambda e: with_own_rate(e, key, **figures),
        )
    return _done(request, house, episode_id, key, answers)


@router.post("/back")
def put_back(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    key = str(sent.get("rate", ""))
    answers = house.save(
        episode_id,
        f"the table’s rate: {rate_called(key)}",
        UNANSWERED,
        lambda e: without_own_rate(e, key),
    )
    return _done(request, house, episode_id, key, answers)


def _rising(answers: Answers) -> Answers:
    """Told beside the field that is out of place, or too far from the table's."""
    if answers.errors:
        return answers
    low, likely, high = (answers.values[name] for name in _FIGURES)
    if likely < low:
        answers = answers.failed("The likely figure is not smaller than the smallest.", "likely")
    if high < likely:
        answers = answers.failed("The largest figure is not smaller than the likely.", "high")
    rate = EVERY_RATE.get(str(answers.values["rate"]))
    if answers.errors or rate is None:
        return answers
    least, most = rate.limits
    for name in _FIGURES:
        if not least <= answers.values[name] <= most:
            likely = in_both_units(rate, rate.likely)
            answers = answers.failed(
                f"The table’s likely figure is {likely}: write one from {_bounds(rate)}.", name
            )
    return answers


def _done(request: Request, house: House, episode_id: str, key: str, answers: Answers) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/rates#{rate_id(key)}",
        (answers,),
        lambda: _show(
            request,
            house,
            episode_id,
            rate=key if answers.errors else "",
            saved="" if answers.errors else key,
            answers=answers,
        ),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "times")
    before = house.store.before_last(episode_id)
    changed = before is not None and before.rates != shell.episode.rates
    moved = moved_minutes(before, shell.plan) if before and changed else None
    view = RatesView(_groups(shell.plan), times_report(shell.plan), moved=moved, **told)
    return house.show(request, "times/rates.html", view, shell=shell, status=status_of(view))


def _groups(plan: Plan) -> tuple[RateGroup, ...]:
    own = {one.key: one for one in plan.episode.rates if can_be_used(one, EVERY_RATE)}
    kinds = {row.kind: row for row in times_report(plan).kinds}
    return tuple(
        RateGroup(
            KIND_WORDS[kind],
            kinds[kind],
            tuple(RateRow(rate, own.get(rate.key), kind) for rate in found),
        )
        for kind, found in rates_by_kind(EVERY_RATE).items()
    )
