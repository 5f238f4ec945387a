"""Find: everything in an episode that holds the words asked for, each with a link to its place."""

from dataclasses import dataclass
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.pages.house import InHouse
from webapp.pages.places import address
from webapp.pages.wording import unbroken
from webapp.plan.find import LONGEST_ASKED, Hit, find, near
from webapp.plan.find_in import examples
from webapp.plan.typed_edits import quotable

router = APIRouter(prefix="/episodes/{episode_id}/find")

_SHOWN: Final = 60  # more than that is no finding: another word narrows it


@dataclass(frozen=True)
class FoundRow:
    """Something found, with the address of its place and the words of the link."""

    hit: Hit
    address: str
    words: str


@dataclass(frozen=True)
class FindView:
    """What was asked for and what was found; what could be asked while nothing is."""

    asked: str
    rows: tuple[FoundRow, ...]
    count: int  # of all that was found, shown or not
    near: tuple[str, ...]
    examples: tuple[tuple[str, str], ...]
    only_said: bool = False
    figure: str = ""  # one of the episode's, as it is shown

    @property
    def more(self) -> int:
        """How many are not shown."""
        return self.count - len(self.rows)


@router.get("")
def finding(
    request: Request, episode_id: str, house: InHouse, q: str = "", said: str = ""
) -> Response:
    shell = house.shell(episode_id, "find")
    asked = " ".join(q[:LONGEST_ASKED].encode("utf-8", "replace").decode().split())
    found = find(shell.plan, asked, only_said=bool(said))
    view = FindView(
        asked,
        tuple(FoundRow(hit, *address(shell.plan, hit.place)) for hit in found[:_SHOWN]),
        len(found),
        () if found or not asked else near(shell.plan, asked),
        () if asked else examples(shell.plan),
        bool(said),
        next((unbroken(one.shown) for one in quotable(shell.plan) if "." in one.name), ""),
    )
    return house.show(request, "find/find.html", view, shell=shell)
