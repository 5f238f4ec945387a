"""Ways of laying: what to buy by width, way of laying and size, and why folding costs more."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Final, get_args

from fastapi import APIRouter, Request, Response

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.laid import WayOfLaying
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    Reader,
    length,
    one_of,
    read_form,
    status_of,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.ways_work import Known, begin, known, stop
from webapp.pages.wording import both_unbroken
from webapp.plan.cloth_edits import with_way, with_width, without_width
from webapp.plan.edits import shifted
from webapp.plan.kept_ways import lacking_widths, table_asked
from webapp.plan.results import SizePlan
from webapp.plan.too_narrow import too_narrow
from webapp.plan.ways import WIDTHS, ClothWidth, Way, WayCell, WaysAsked, WaysRow, width_among
from webapp.units import System, parse_length

router = APIRouter(prefix="/episodes/{episode_id}/ways")

_NARROWEST_MM: Final = 100.0
_WIDEST_MM: Final = 4000.0
_SAME_MM: Final = 0.5


@dataclass(frozen=True)
class ClothWays:
    """One cloth, as it stands, and what is known of its table."""

    place: int
    cloth: EpisodeCloth
    asked: WaysAsked
    known: Known
    unit: System
    marks: Mapping[str, str]  # by size, what is the matter with it

    @property
    def has_pieces(self) -> bool:
        """True when something is cut from it."""
        return any(size.pieces for size in self.asked.sizes)

    @property
    def lacking(self) -> tuple[ClothWidth, ...]:
        """The widths that the table of this draft does not hold yet."""
        table = None if self.known.is_older else self.known.table
        return lacking_widths(table, self.asked)

    @property
    def added(self) -> tuple[tuple[str, str], ...]:
        """The widths that were added: as typed, and as they are shown."""
        return tuple(
            (typed, self.called(width) if width else typed)
            for typed in self.cloth.more_widths
            for width in (width_among(self.asked.widths, typed),)
        )

    @property
    def own_row(self) -> WaysRow | None:
        """The row of this cloth's width."""
        rows = self.known.table.rows if self.known.table else ()
        return next((row for row in rows if self.is_own(row.width)), None)

    def is_own(self, width: ClothWidth) -> bool:
        """True for the width that this cloth has."""
        return abs(width.mm - _mm(self.cloth.width)) < _SAME_MM

    def is_laid_so(self, width: ClothWidth, way: Way) -> bool:
        """True when the cloth has this width and is laid this way now."""
        now = Way(self.cloth.laid, self.cloth.one_way)
        return self.is_own(width) and way == now

    def can_be_chosen(self, way: Way) -> bool:
        """True for the ways of this cloth; the others tell of one that runs another way."""
        return way.one_way == self.cloth.one_way

    def best(self, row: WaysRow, size: int = 0) -> tuple[Way, WayCell] | None:
        """The best way on this width for a size; None when it cannot be laid."""
        ways = self.known.table.ways if self.known.table else ()
        cells = zip(ways, row.cells[size], strict=True)
        return next(((way, cell) for way, cell in cells if cell.best), None)

    @property
    def usual_way(self) -> Way | None:
        """The way that is best for most sizes and widths, so that only another one is named."""
        rows = self.known.table.rows if self.known.table else ()
        best = [self.best(row, size) for row in rows for size in range(len(row.cells))]
        counted = Counter(one[0] for one in best if one)
        return counted.most_common(1)[0][0] if counted else None

    def as_good(self, row: WaysRow) -> tuple[Way, ...]:
        """The other ways on this width that buy the same length as the best, size on camera."""
        best = self.best(row)
        if best is None or self.known.table is None:
            return ()
        bought = best[1].purchase
        return tuple(
            way
            for way, cell in zip(self.known.table.ways, row.cells[0], strict=True)
            if way != best[0]
            and way.one_way == best[0].one_way
            and cell.purchase
            and bought
            and (cell.purchase.metres, cell.purchase.yards) == (bought.metres, bought.yards)
        )

    def laid_on(self, width: ClothWidth) -> str:
        """The width the pieces are laid on, where that is less than one of its names says."""
        if width not in WIDTHS:
            return ""
        named_mm = parse_length(width.cm, None).mm
        return both_unbroken(width.mm, self.unit) if abs(width.mm - named_mm) > _SAME_MM else ""

    def reasons(self, row: WaysRow) -> tuple[tuple[Way, tuple[str, ...]], ...]:
        """For the size on camera, why each way of folding this cloth costs more."""
        ways = self.known.table.ways if self.known.table else ()
        return tuple(
            (way, cell.why_more)
            for way, cell in zip(ways, row.cells[0], strict=True)
            if cell.why_more and way.one_way == ways[0].one_way
        )

    def rows_with_reasons(self, *, own: bool) -> tuple[WaysRow, ...]:
        """The rows where folding costs more: that of this cloth's width, or the others."""
        rows = self.known.table.rows if self.known.table else ()
        return tuple(r for r in rows if self.is_own(r.width) == own and self.reasons(r))

    def called(self, width: ClothWidth) -> str:
        """A width in both units, as the trade calls it."""
        one, other = (width.cm, width.inch) if self.unit == "cm" else (width.inch, width.cm)
        return f"{one} ({other})".replace(" ", "\u00a0").replace("\u00a0(", " (")

    def typed(self, width: ClothWidth) -> str:
        """The width that was laid on, as it is written in the cloth's form."""
        if self.is_own(width):
            return self.cloth.width
        names = (width.cm, width.inch.split("–")[0].removesuffix(" in") + " in")
        exact = (name for name in names if abs(_mm(name) - width.mm) < _SAME_MM)
        return next(exact, f"{width.mm:g} mm")


@dataclass(frozen=True)
class WaysView:
    """The cloths with their tables, and what was wrong with an answer for which."""

    called: ClassVar[Mapping[WayOfLaying, str]] = {
        "open": "Opened out",
        "folded": "Folded lengthwise",
        "folded across": "Folded across",
    }
    cloths: tuple[ClothWays, ...]
    place: int = -1
    answers: Answers = UNANSWERED

    def answers_for(self, place: int) -> Answers | None:
        """The answers if they belong to this cloth."""
        return self.answers if place == self.place else None


@router.get("")
def ways(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("/{place}/work-out")
def work_out(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    begin(house, episode_id, place)
    return _done(request, house, episode_id, place, UNANSWERED)


@router.post("/{place}/stop")
def stop_working(request: Request, episode_id: str, place: int, house: InHouse) -> Response:
    stop(house.jobs, episode_id, _asked(house, episode_id, place))
    return _done(request, house, episode_id, place, UNANSWERED)


@router.post("/{place}/widths")
def add_width(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    reader = _width(house, episode_id)
    answers = read_form(sent, (Field("more", reader, needed=True),))
    if not answers.errors:
        typed = answers.values["more"]
        words = f"{typed} among the widths"
        answers = house.save(
            episode_id, words, answers, lambda e: with_width(e, place, typed), beside="more"
        )
    if not answers.errors:
        begin(house, episode_id, place)
    return _done(request, house, episode_id, place, answers)


@router.post("/{place}/widths/take-out")
def take_width_out(
    request: Request, episode_id: str, place: int, sent: Sent, house: InHouse
) -> Response:
    typed = str(sent.get("more", ""))
    answers = house.save(
        episode_id,
        f"{typed} out of the widths",
        UNANSWERED,
        lambda e: without_width(e, place, typed),
    )
    return _done(request, house, episode_id, place, answers)


@router.post("/{place}/lay")
def lay_so(request: Request, episode_id: str, place: int, sent: Sent, house: InHouse) -> Response:
    fields = (
        Field("laid", one_of(get_args(WayOfLaying)), needed=True),
        Field("width", _width(house, episode_id), needed=True),
    )
    answers = read_form(sent, fields)
    if answers.errors:
        name, sentence = next(iter(answers.errors.items()))
        answers = answers.failed(f"This cannot be set as the {name}: {sentence}")
    else:
        answers = house.save(
            episode_id,
            "how the cloth is laid",
            answers,
            lambda e: with_way(e, place, answers.values["laid"], answers.values["width"]),
        )
    return _done(request, house, episode_id, place, answers)


def _width(house: House, episode_id: str) -> Reader:
    unit = house.store.get(episode_id).first_unit
    return length(unit, _NARROWEST_MM, _WIDEST_MM, required=True)


def _asked(house: House, episode_id: str, place: int) -> WaysAsked:
    plan = house.plan(episode_id)
    return table_asked(plan, shifted(plan.episode.cloths, place, 0)[place])


def _mark(size: SizePlan, cloth: str) -> str:
    """What is the matter with a size on a cloth, in a few words; empty when nothing is."""
    if any(one.about != "blank" for draft in size.drafts for one in draft.problems):
        return "not all pieces drawn"
    if not all(check.holds for draft in size.drafts for check in draft.checks):
        return "does not fit the body"
    for lay in size.lays:
        if lay.cloth.name == cloth and lay.problem:
            wide = too_narrow(lay)
            return f"{'too wide for' if wide else 'cannot be laid on'} the cloth as it is laid"
    return ""


def _mm(typed: str) -> float:
    """A stored width; zero when it is no length, as in a file edited by hand."""
    try:
        return parse_length(typed, None).mm
    except ValueError:
        return 0.0


def _done(
    request: Request, house: House, episode_id: str, place: int, answers: Answers
) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/ways#ways-{place}",
        (answers,),
        lambda: _show(request, house, episode_id, place=place, answers=answers),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "cloth")
    cloths = []
    for place, cloth in enumerate(shell.episode.cloths):
        asked = table_asked(shell.own, cloth)
        found = known(house.jobs, shell.episode, asked)
        marks = {s.body.name: words for s in shell.plan.sizes if (words := _mark(s, cloth.name))}
        cloths.append(ClothWays(place, cloth, asked, found, shell.first_unit, marks))
    view = WaysView(tuple(cloths), **told)
    return house.show(request, "ways/ways.html", view, shell=shell, status=status_of(view))
