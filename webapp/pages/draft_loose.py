"""What does not hold together in a garment, told on its own pages with what mends it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from webapp.draft.evaluate import Draft
from webapp.draft.names import name_key
from webapp.draft.results import SeamFinding
from webapp.pages.places import address
from webapp.plan.draft_threads import (
    checks_on_the_body,
    choices_out_of_range,
    hems_that_do_not_meet,
    notches_that_do_not_meet,
    pieces_cut_too_few,
    pieces_of_one_hand,
    seams_that_differ,
)
from webapp.plan.loose_threads import Rule, found_by
from webapp.plan.results import LooseThread, Mend, Plan

_RULES: Final[tuple[Rule, ...]] = (
    seams_that_differ,
    checks_on_the_body,
    pieces_cut_too_few,
    pieces_of_one_hand,
    hems_that_do_not_meet,
    notches_that_do_not_meet,
    choices_out_of_range,
)


@dataclass(frozen=True)
class LooseHere:
    """A loose thread of the draft: what mends it at once, and where else it can be mended."""

    thread: LooseThread
    id: str  # of the element that tells it; empty for one that is shown without
    links: tuple[tuple[str, str], ...]  # addresses and their words

    @property
    def sentence(self) -> str:
        """What is loose."""
        return self.thread.sentence

    @property
    def mends(self) -> tuple[Mend, ...]:
        """What mends it at once."""
        return self.thread.mends


def loose_here(plan: Plan, draft: Draft, piece: str = "") -> tuple[LooseHere, ...]:
    """What of the garment does not hold together; of one piece, what that piece has part in."""
    return tuple(
        LooseHere(thread, _id(draft, thread), tuple(_links(plan, draft, thread, piece)))
        for rule in _RULES
        for thread in found_by(rule, plan)
        if thread.place.garment == draft.recipe.id
        and (not piece or name_key(piece) in map(name_key, _pieces(draft, thread)))
    )


def _seam(draft: Draft, thread: LooseThread) -> SeamFinding | None:
    if thread.place.part != "seam":
        return None
    return next((seam for seam in draft.seams if seam.name == thread.place.item), None)


def _pieces(draft: Draft, thread: LooseThread) -> tuple[str, ...]:
    """The pieces that have part in it."""
    seam = _seam(draft, thread)
    if seam:
        return seam.pieces
    alike = [mend.args[2] for mend in thread.mends if mend.act == "hem alike"]
    return tuple(alike) or tuple(filter(None, (thread.place.piece,)))


def _id(draft: Draft, thread: LooseThread) -> str:
    seam = _seam(draft, thread)
    if seam is None or seam.agrees:
        return ""
    return f"seams-{[one.name for one in draft.recipe.seams].index(seam.name)}-apart"


def _links(plan: Plan, draft: Draft, thread: LooseThread, here: str) -> Iterator[tuple[str, str]]:
    base = f"/episodes/{plan.episode.id}/draft"
    for name in _pieces(draft, thread):
        query = urlencode({"garment": draft.recipe.id, "piece": name})
        if name_key(name) == name_key(here):
            yield "#moves", f"Change how {name} is drawn"
        else:
            yield f"{base}?{query}", f"Go to {name}"
    if thread.place.part in ("seam", "check", "choice"):
        where, words = address(plan, thread.place)
        yield where.replace("-apart", "-form"), words
