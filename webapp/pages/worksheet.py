"""Worksheet: every piece in words, in a size or blank, for viewers who draft it themselves."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from webapp.draft.evaluate import Draft
from webapp.draft.instructions import Instructions, instructions
from webapp.handouts.cautions import CAUTIONS, CautionText
from webapp.handouts.companion_pieces import cutting_line
from webapp.handouts.companion_sizes import measures
from webapp.handouts.companion_view import MeasureToTake
from webapp.pages.shell import InHouse

router = APIRouter(prefix="/episodes/{episode_id}/worksheet")


@dataclass(frozen=True)
class WorksheetView:
    """The garments in words. `blank` leaves the figures for the reader to work out."""

    size: str
    sizes: tuple[str, ...]  # the body on camera first
    blank: bool
    measures: tuple[MeasureToTake, ...]
    copied: tuple[str, ...]  # measures of this size taken from a garment that fits
    garments: tuple[tuple[Draft, Instructions], ...]
    caution: CautionText

    def cutting_line(self, place: int, piece: int) -> str:
        """How many of a garment's piece to cut."""
        return cutting_line(self.garments[place][0].pieces[piece])


@router.get("")
def worksheet(
    request: Request,
    episode_id: str,
    house: InHouse,
    size: Annotated[str, Query(max_length=80)] = "",
    blank: bool = False,
) -> Response:
    shell = house.shell(episode_id, "companion")
    plan = house.plan(episode_id, size)
    first = shell.episode.first_unit
    view = WorksheetView(
        size=plan.episode.body.name,
        sizes=tuple(body.name for body in (shell.episode.body, *shell.episode.sizes)),
        blank=blank,
        measures=tuple(measures(plan)),
        copied=plan.episode.body.copied,
        garments=tuple((draft, instructions(draft, first)) for draft in plan.drafts),
        caution=CAUTIONS["blades"],
    )
    return house.show(request, "worksheet/worksheet.html", view, shell=shell)
