"""Printed files: ordered, made in a process of their own, looked at page by page, taken out."""

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from typing import Annotated, Any, Final

from fastapi import APIRouter, Query, Response
from fastapi.responses import RedirectResponse

from webapp.errors import NotThereError, SeamslateError
from webapp.jobs import Again, Job
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.house import House, InHouse
from webapp.pages.page_images import ImageSize, PageSize, page_image
from webapp.pages.places import address
from webapp.pages.print_orders import Order, PrintedKind, attachment, state_of
from webapp.pages.print_work import PAGES_OF, called_as, print_it
from webapp.pages.printed_files import Printed, PrintedFile
from webapp.pages.shell import ToMend
from webapp.plan.editions import edition_state
from webapp.plan.edits import as_printed
from webapp.plan.misleading import misleading_threads
from webapp.plan.results import LooseThread, Plan
from webapp.units import System, centimetres, in_order, inches

router = APIRouter(prefix="/episodes/{episode_id}/prints")

_MISLEADS: Final = (
    "What is listed below would mislead whoever cuts by the sheet, so nothing was made. "
    "Mend it, or say that it is to be made all the same."
)
_TELL_EDITION: Final = ("companion", "pattern", "pattern-sheet", "all")
_LONGEST_WAIT_S: Final = 60.0
_FOR_GOOD: Final = "private, max-age=31536000, immutable"  # the address names the content

LookAt = Annotated[int, Query(ge=0, le=10_000)]  # the page shown large; 0 for all of them small


@dataclass(frozen=True)
class Printing:
    """How it stands with one file: made, being made, out of date, or not to be made yet."""

    order: Order
    file: PrintedFile | None  # the one ordered, or the last made before a change
    job: Job | None  # at work on this file, or failed or stopped with it
    misleading: tuple[ToMend, ...]  # what keeps it from being made without a further word
    state: str  # what such a word holds for
    look: int = 0
    draft: str = ""  # Draft of edition 2: what the file says of its edition

    @property
    def called(self) -> str:
        """The companion, the call sheet …"""
        return called_as(self.order)

    @property
    def is_current(self) -> bool:
        """True when the file is just what would be made now."""
        return self.file is not None and self.file.order.key == self.order.key

    @property
    def is_going_on(self) -> bool:
        """True while it is being made."""
        return self.job is not None and self.job.is_going_on

    @property
    def is_stopped(self) -> bool:
        """True when she stopped the making of just this file."""
        return self.job is not None and self.job.state == "cancelled"

    @property
    def is_behind(self) -> bool:
        """True when what is being made is of the plan before a change."""
        return self.job is not None and self.job.is_going_on and self.job.key != job_key(self.order)

    @property
    def error(self) -> str:
        """Why it could not be made."""
        return self.job.error if self.job is not None and self.job.state == "failed" else ""

    @property
    def technical(self) -> str:
        """The same for whoever mends Seamslate; empty for what she can mend."""
        return self.job.technical if self.error and self.job is not None else ""

    @property
    def pages(self) -> tuple[PageSize, ...]:
        """The size of every page there is to look at."""
        return self.file.printed.pages if self.file else ()

    @property
    def notes(self) -> tuple[str, ...]:
        """What is to be known of the file: what was left out of it, or could not be printed."""
        return self.file.printed.notes if self.file else ()

    @property
    def shown(self) -> int:
        """The page shown large; 0 for all of them small."""
        return self.look if self.look <= len(self.pages) else 0

    @property
    def path(self) -> str:
        """The address of the file; its pages are below."""
        assert self.file is not None
        order = self.file.order
        return f"/episodes/{order.episode.id}/prints/{order.key}"

    def image(self, number: int, size: ImageSize = "small") -> str:
        """The address of a page's picture."""
        assert self.file is not None
        return f"{self.path}/{number}.png?size={size}&v={self.file.digest}"

    @property
    def measured(self) -> str:
        """How large a sheet for a print shop is, in both units; empty for pages at home."""
        if self.file is None or self.file.order.kind != "pattern-sheet":
            return ""
        first = as_printed(self.file.order.episode).first_unit
        return "; ".join(dict.fromkeys(_measured(page, first) for page in self.pages))

    @property
    def weight(self) -> str:
        """How large the file is, in words."""
        bytes_ = len(self.file.printed.content) if self.file else 0
        return f"{bytes_ / 1e6:.1f} MB" if bytes_ >= 1e6 else f"{max(1, round(bytes_ / 1e3))} kB"


def _measured(page: PageSize, first: System) -> str:
    """Width and length in both units: 91.4 × 142 cm (36 × 55 7/8 in)."""
    sides_mm = [side / 72.0 * 25.4 for side in page]
    metric = " × ".join(centimetres(side, 0.1).removesuffix(" cm") for side in sides_mm) + " cm"
    imperial = " × ".join(inches(side).removesuffix(" in") for side in sides_mm) + " in"
    return f"{metric} ({imperial})" if first == "cm" else f"{imperial} ({metric})"


def printing(house: House, order: Order, plan: Plan, look: int = 0) -> Printing:
    """How it stands with that order; `plan` is the episode's as it is filmed."""
    house.jobs.warm()  # she is likely to have it made next
    # Copies, taken before the file is looked for: a job that ends meanwhile would else be over with
    # its file not there, and the page would neither look again nor offer it.
    started = [copy(job) for job in house.jobs.beginning(_any_key(order))]
    going_on = next((job for job in started if job.is_going_on), None)
    ended = next((job for job in started if job.key == job_key(order)), None)
    file, first = house.prints.newest(order), house.preferred.first(plan.episode.first_unit)
    is_current = file is not None and file.order.key == order.key
    edition = edition_state(plan) if is_current and order.kind in _TELL_EDITION else None
    return Printing(
        order=order,
        file=file,
        job=going_on or (ended if ended and ended.state in ("failed", "cancelled") else None),
        misleading=tuple(
            ToMend(in_order(thread.sentence, first), *address(plan, thread.place))
            for thread in _misleading(house, order)
        ),
        state=state_of(order.episode),
        look=look,
        draft=edition.called if edition is not None and edition.is_draft else "",
    )


def _misleading(house: House, order: Order) -> tuple[LooseThread, ...]:
    """What would mislead whoever cuts by that sheet, as it is printed: in its size and unit."""
    if not order.is_for_viewers:
        return ()
    episode_id = order.episode.id
    in_size = house.plan(episode_id, order.size) if order.size else None
    return misleading_threads(in_size or house.printed_plan(episode_id))


def order_of(house: House, episode_id: str, kind: PrintedKind, **more: Any) -> Order:
    """An order for the episode as it stands."""
    return Order(kind, house.plan(episode_id).episode, **more)


def begin(house: House, order: Order, sent: Mapping[str, Any]) -> Answers:
    """Start making the file, or say why not. What is made or being made is not made again."""
    if not confirmed(house, order, sent):
        return UNANSWERED.failed(_MISLEADS)
    for job in house.jobs.beginning(_any_key(order)):
        if job.key != job_key(order):  # begun before a change
            house.jobs.cancel(job.key)
    if house.prints.find(order.key) is None:
        _start(house, order, again=Again("print", _asked(order)))
    return UNANSWERED


def made_now(house: House, order: Order) -> PrintedFile:
    """The file, waited for while it is made: for a sheet that is never long.

    SeamslateError with a sentence when it cannot be made.
    """
    if house.prints.find(order.key) is None:
        job = _start(house, order, at_once=True)
        job.wait(_LONGEST_WAIT_S)
        if job.error:
            raise SeamslateError(job.error)
    file = house.prints.find(order.key)
    if file is None:
        raise SeamslateError("That takes longer than it should. Ask for it again.")
    return file


def _asked(order: Order) -> dict[str, str]:
    """What the order is made from again, for the plan as it then stands."""
    return {
        "episode": order.episode.id,
        "kind": order.kind,
        "size": order.size,
        "day": order.day.isoformat() if order.day else "",
        "pages": order.pages,
        "confirmed": state_of(order.episode),
    }


def _start(house: House, order: Order, **how: Any) -> Job:
    def keep(printed: Printed) -> None:
        house.prints.put(order, printed)

    return house.jobs.start(
        job_key(order),
        print_it,
        order,
        when_done=keep,
        hand_over=True,
        called=called_as(order),
        address=f"/episodes/{order.episode.id}/{PAGES_OF[order.kind]}",
        **how,
    )


def stop(house: House, order: Order) -> None:
    """Stop making the file, of whatever state of the plan."""
    for job in house.jobs.beginning(_any_key(order)):
        house.jobs.cancel(job.key)


def confirmed(house: House, order: Order, sent: Mapping[str, Any]) -> bool:
    """True when nothing misleads, or she said of this very state that it is to be made."""
    state = state_of(order.episode)
    return sent.get("confirmed") == state or not _misleading(house, order)


def taken_out(house: House, order: Order, otherwise: str) -> Response:
    """The file if it is made and nothing changed since; else the page where it is made."""
    file = house.prints.find(order.key)
    return answer_with(file) if file else RedirectResponse(otherwise, status_code=303)


@router.get("/{key}")
def download(episode_id: str, key: str, house: InHouse) -> Response:
    return answer_with(_found(house, episode_id, key))


@router.get("/{key}/{number}.png")
def picture(
    episode_id: str, key: str, number: int, house: InHouse, size: ImageSize = "small"
) -> Response:
    content = page_image(_found(house, episode_id, key).printed.content, number, size)
    return Response(content, media_type="image/png", headers={"cache-control": _FOR_GOOD})


def _found(house: House, episode_id: str, key: str) -> PrintedFile:
    file = house.prints.find(key)
    if file is None or file.order.episode.id != episode_id:
        raise NotThereError("That file was not kept; make it again on its page.")
    return file


def answer_with(file: PrintedFile) -> Response:
    """The file itself, under its own name."""
    kind = "application/zip" if file.order.kind == "all" else "application/pdf"
    headers = {**attachment(file.order.file_name), "cache-control": "no-cache"}
    return Response(file.printed.content, media_type=kind, headers=headers)


def _any_key(order: Order) -> str:
    return f"print {order.slot} "


def job_key(order: Order) -> str:
    return _any_key(order) + order.key
