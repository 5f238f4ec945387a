"""At a glance: the whole plan of an episode in one view, and what to do next."""

from collections.abc import Hashable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request, Response
from markupsafe import Markup

from webapp.build.work_time import Estimate, minutes, total
from webapp.cloth.laid import Lay
from webapp.cloth.small_lay import draw_small_lay, fitting_scale
from webapp.draft.names import plural
from webapp.draft.results import Piece
from webapp.draft.small_drawings import draw_outline, one_scale
from webapp.errors import RefusedError
from webapp.filming.publishing import told_chance
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_day
from webapp.pages.garment_drawings import draw_nothing_yet, draw_plan, waits_for_measures
from webapp.pages.house import InHouse
from webapp.pages.places import address
from webapp.pages.wording import bought, typed_in_both, usually
from webapp.plan.date_strip import draw_days
from webapp.plan.editions import changes_since_last, figures_in, last_edition
from webapp.plan.episode import Edition
from webapp.plan.filming_total import FilmingTotal, filming_total
from webapp.plan.hours_bar import draw_hours
from webapp.plan.lays import LayPlan
from webapp.plan.next_acts import NextAct, next_acts
from webapp.plan.publishing import Outlook, outlook
from webapp.plan.results import LooseThread, Place, Plan
from webapp.plan.screen_time import Video, video
from webapp.plan.shopping import Line, not_bought
from webapp.plan.video_strip import draw_strip
from webapp.remembered import Same
from webapp.units import System

router = APIRouter(prefix="/episodes/{episode_id}")

_PIECE_WIDE, _PIECE_HIGH = 130.0, 110.0  # px that the largest piece is drawn in
_WORST: Final = 3
_FEW: Final = 6  # things to buy that are named
_AFTER: Final = 3  # acts told after the next
_FOR_A_DAY: Final = "private, max-age=86400"
_FOR_GOOD: Final = "private, max-age=31536000, immutable"  # the address tells which change


@dataclass(frozen=True)
class ActRow:
    """Something to do and the address where it is done."""

    act: NextAct
    address: str


@dataclass(frozen=True)
class PieceRow:
    """A piece in miniature and the address of its page."""

    name: str
    address: str
    drawing: Markup


@dataclass(frozen=True)
class LaidRow:
    """What to buy of one cloth and how wide, in both units, and its lay; or why there is none."""

    cloth: str
    buy: str
    wide: str
    drawing: Markup
    problem: str


@dataclass(frozen=True)
class ThreadRow:
    """A loose thread and the address of its place."""

    thread: LooseThread
    address: str
    where: str


@dataclass(frozen=True)
class ClothView:
    """What to buy of each cloth."""

    rows: tuple[LaidRow, ...]


@dataclass(frozen=True)
class GlanceView:
    """The plan in one view on a day. Its parts are worked out when they are first asked for."""

    plan: Plan
    today: date

    @cached_property
    def acts(self) -> tuple[ActRow, ...]:
        """What to do, the first first."""
        found = next_acts(self.plan, self.today)
        return tuple(ActRow(act, address(self.plan, act.place)[0]) for act in found)

    def kept_by(self, card: str, *more: Hashable) -> tuple[Hashable, ...]:
        """All that a card shows that tells of no shot, and what it shows `more`: see
        `kept_parts`."""
        return f"{card} at a glance", self.plan.but_shots, more

    @property
    def is_laid(self) -> bool:
        """True when no lay has to be made for `cloth`."""
        return all(lay.is_known for lay in self.plan.lays)

    @cached_property
    def cloth(self) -> ClothView:
        """What to buy of each cloth. Lays the pieces where that is not done yet."""
        scale = fitting_scale(lay.lay for lay in self.plan.lays if lay.lay)
        return ClothView(tuple(_row(lay, self.plan, scale) for lay in self.plan.lays))

    @property
    def unmeasured(self) -> tuple[ActRow, ...]:
        """The act of measuring what is missing, so that no length of cloth is firm; or nothing."""
        return tuple(row for row in self.acts if row.act.place.part == "measure")

    @property
    def rest_hours(self) -> float:
        """For how long steps hang, lie or dry, beside their work."""
        return sum(row.step.rest_hours for row in self.plan.steps)

    @property
    def not_laid(self) -> tuple[str, ...]:
        """The pieces that are not drawn yet, so that no cloth is counted for them."""
        drafts = self.plan.drafts
        drawn = [{piece.name for piece in draft.pieces} for draft in drafts]
        return tuple(
            piece.name
            for draft, known in zip(drafts, drawn, strict=True)
            for piece in draft.recipe.pieces
            if piece.name not in known
        )

    @cached_property
    def video(self) -> Video:
        """The video as it runs."""
        return video(self.plan)

    @cached_property
    def outlook(self) -> Outlook:
        """What is left before the publish date."""
        return outlook(self.plan, self.today)

    @cached_property
    def filming(self) -> FilmingTotal:
        """What filming adds in all."""
        return filming_total(self.plan)

    @cached_property
    def to_buy(self) -> tuple[Line, ...]:
        """What is not ticked yet on the shopping list."""
        return not_bought(self.plan)

    @property
    def drawing(self) -> Markup:
        """The garments front and back, or as they would be; draw_plan escapes every text in it."""
        return Markup(draw_plan(self.plan))

    @property
    def on_example(self) -> bool:
        """True when a garment is drawn on a body nobody has, as this one is not measured yet."""
        return any(waits_for_measures(draft) for draft in self.plan.drafts)

    @cached_property
    def pieces(self) -> tuple[PieceRow, ...]:
        """The pieces in miniature, all to one scale."""
        scale = one_scale(self.plan.pieces, _PIECE_WIDE, _PIECE_HIGH)
        return tuple(
            PieceRow(
                piece.name,
                address(self.plan, Place("draft", garment=draft.recipe.id, piece=piece.name))[0],
                _outline(Same((piece,)), scale),
            )
            for draft in self.plan.drafts
            for piece in draft.pieces
        )

    @property
    def next(self) -> ActRow | None:
        """The first thing to do; None when nothing is left."""
        return self.acts[0] if self.acts else None

    @property
    def after(self) -> tuple[ActRow, ...]:
        """The few after it."""
        return self.acts[1 : 1 + _AFTER]

    @property
    def filming_minutes(self) -> Estimate:
        """What filming adds, as the days go where every shot is on one."""
        return self.filming.first.minutes

    @property
    def hours(self) -> Estimate:
        """Work and filming together."""
        return total([self.plan.work, self.filming_minutes])

    @property
    def hours_told(self) -> tuple[Estimate, Estimate]:
        """What filming adds, and the hours in all: all that the shots make of the hours."""
        return self.filming_minutes, self.hours

    def hours_bar(self, width: int) -> Markup:
        """The hours as a bar, so many pixels wide."""
        words = (
            f"Work {minutes(self.plan.work.likely)}, {usually(self.plan.work)}. "
            f"Filming adds {minutes(self.filming_minutes.likely)}, "
            f"{usually(self.filming_minutes)}. "
            f"Together {usually(self.hours)}."
        )
        return Markup(draw_hours(self.plan.work, self.filming_minutes, words, width))

    def strip(self, width: int) -> Markup:
        """The video to scale, so many pixels wide."""
        return Markup(draw_strip(self.video, "The video to scale", width))

    def days(self, width: int) -> Markup:
        """The days to the publish date, so many pixels wide; empty without any to draw."""
        schedule = self.outlook.schedule
        shoot = tuple(one.day for one in self.outlook.filming.days)
        if schedule is None or self.outlook.is_past:
            return Markup()
        return Markup(draw_days(schedule, shoot, width))

    @property
    def chance(self) -> str:
        """How often she makes the date, in words; empty when it cannot be worked out."""
        schedule = self.outlook.schedule
        return told_chance(schedule.chance) if schedule and not self.outlook.is_past else ""

    @property
    def days_to_go(self) -> str:
        """How far off the publish date is; empty without one."""
        publish = self.plan.episode.brief.publish_date
        if publish is None:
            return ""
        days = (publish - self.today).days
        if days == 0:
            return f"It is to be out today, {told_day(publish)}."
        if days < 0:
            return f"Its date, {told_day(publish)}, is {plural(-days, 'day')} past."
        return f"{plural(days, 'day')} to {told_day(publish)}."

    @property
    def length(self) -> str:
        """How long the video runs, against its target."""
        target, over = self.video.target_s, self.video.over_s
        told = f"The video runs {clock(self.video.seconds)}"
        if target is None:
            return f"{told}. It has no target yet."
        if abs(over) < 0.5:
            return f"{told}, just its target."
        way = "over" if over > 0 else "under"
        return f"{told}, {clock(abs(over))} {way} its target of {clock(target)}."

    @property
    def filmed(self) -> int:
        """How many shots are filmed."""
        return sum(1 for one in self.plan.shots if one.shot.filmed is not None)

    @property
    def few_to_buy(self) -> tuple[str, ...]:
        """The first things to buy, by name."""
        return tuple(line.what for line in self.to_buy[:_FEW])

    @property
    def worst(self) -> tuple[ThreadRow, ...]:
        """The worst loose threads."""
        found = self.plan.loose_threads[:_WORST]
        return tuple(ThreadRow(one, *address(self.plan, one.place)) for one in found)

    @property
    def edition(self) -> Edition | None:
        """The edition of the companion that viewers have."""
        return last_edition(self.plan.episode)

    @property
    def outdated(self) -> int:
        """How many figures of that edition have changed since, as far as is known unlaid."""
        return figures_in(changes_since_last(self.plan)) if self.edition else 0


@router.get("")
def front(
    request: Request, episode_id: str, house: InHouse, laid: Annotated[str, Query()] = ""
) -> Response:
    with suppress(RefusedError):  # what is only read is shown where nothing can be written, too
        house.store.arrived(episode_id)
    shell = house.shell(episode_id, "glance")
    view = view_of(shell.plan, date.today())
    return house.show(
        request, "glance/glance.html", view, shell=shell, laid=view.is_laid or bool(laid)
    )


@router.get("/glance/cloth")
def cloth(request: Request, episode_id: str, house: InHouse) -> Response:
    """What to buy, asked for by the page when the pieces are not laid yet."""
    shell = house.shell(episode_id, "glance")
    view = view_of(shell.plan, date.today())
    return house.show(request, "glance/cloth.html", view, shell=shell)


@router.get("/glance/card")
def card(request: Request, episode_id: str, house: InHouse) -> Response:
    """What the list of episodes tells of one: what to do next, and how many threads are loose."""
    shell = house.shell(episode_id, "glance")
    view = view_of(shell.plan, date.today())
    return house.show(request, "glance/card.html", view, shell=shell)


@router.get("/glance/drawing.svg")
def drawing(episode_id: str, house: InHouse) -> Response:
    """The garments as an image; its address names the change it is of."""
    drawn = draw_plan(house.plan(episode_id), as_image=True) or draw_nothing_yet()
    return image(drawn)


def image(drawn: str, *, for_good: bool = True) -> Response:
    """A drawing as a file that a browser keeps: a day, unless its address tells what it is of."""
    headers = {"cache-control": _FOR_GOOD if for_good else _FOR_A_DAY}
    return Response(drawn, media_type="image/svg+xml", headers=headers)


def view_of(plan: Plan, today: date) -> GlanceView:
    """The view of a plan on that day, remembered with the plan: it is never altered."""
    known: GlanceView | None = vars(plan).get("_glance")
    if known is None or known.today != today:
        known = vars(plan)["_glance"] = GlanceView(plan, today)
    return known


@lru_cache(maxsize=500)  # an edit of the shots leaves the pieces as they are
def _outline(of: Same, scale: float) -> Markup:
    piece: Piece
    (piece,) = of.values
    return Markup(draw_outline(piece, scale))


@lru_cache(maxsize=50)
def _small_lay(of: Same, first: System, title: str, scale: float) -> Markup:
    lay: Lay
    (lay,) = of.values
    return Markup(draw_small_lay(lay, first, title, scale))


def _row(plan: LayPlan, of: Plan, scale: float) -> LaidRow:
    name, lay, purchase = plan.cloth.name, plan.lay, plan.purchase
    if lay is None or purchase is None:
        return LaidRow(name, "", "", Markup(), plan.problem)
    first = of.episode.first_unit
    drawn = _small_lay(Same((lay,)), first, f"The lay of {name}", scale)
    wide = f"{typed_in_both(plan.cloth.width, first)} wide"
    return LaidRow(name, bought(purchase, first), wide, drawn, "")
