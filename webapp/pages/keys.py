"""Keys and words: what the keyboard does, and each word of the app in a sentence."""

from dataclasses import dataclass
from typing import Final

from fastapi import APIRouter, Request, Response

from webapp.pages.house import InHouse

router = APIRouter()


@dataclass(frozen=True)
class Keys:
    """What some keys do in one part of the app: pairs of the keys and what they do."""

    where: str
    id: str
    rows: tuple[tuple[str, str], ...]


_KEYS: Final = (
    Keys(
        "On every page of an episode",
        "pages",
        (
            ("Access key + N", "On to the next page, in the order of the work"),
            ("Access key + P", "Back to the page before"),
            ("Access key + G", "At a glance: the whole plan"),
            ("Access key + T", "Loose threads"),
            ("Access key + A", "At the table"),
            ("Access key + F", "Find a step, a shot, a figure or a text"),
            ("Access key + K", "This page"),
            ("Ctrl + S, on a Mac ⌘ S", "Save what you typed, also what could not be saved before"),
            ("Ctrl + Z, on a Mac ⌘ Z", "Undo the last change; in a field, the last typing"),
            ("Ctrl + Shift + Z or Ctrl + Y, on a Mac ⌘ Shift Z", "Redo: make it again"),
            (
                "Tab, Shift + Tab",
                "The next or the last field; what you typed is saved",
            ),
            ("Enter", "In a field of one line: save it now"),
            ("Esc", "Close what hangs open"),
        ),
    ),
    Keys(
        "At the table",
        "table",
        (
            ("← or →", "The step before, or the next one"),
            ("Page Up or Page Down", "The same, once the page is read to its end"),
            ("Space or Enter", "Press the button or tick the shot that Tab has reached"),
            ("Access key + G", "Back to the plan, where the other access keys work"),
        ),
    ),
    Keys(
        "Lists put in order by hand",
        "lists",
        (
            ("Tab to the handle, then ↑ or ↓", "Move the row one place up or down"),
            ("Home, End", "Move it to the first or the last place it can have"),
            ("Alt + ↑ or ↓ on anything else in the row", "The same as ↑ or ↓ on its handle"),
            ("Stop pressing", "The row is put down and the new order saved"),
            ("Esc", "Put it back where it was"),
        ),
    ),
    Keys(
        "Texts with live figures",
        "texts",
        (
            ("{", "Offers the figures you can quote; go on typing to narrow them"),
            ("↑ or ↓, then Enter", "Take one of them"),
            ("Esc", "Close the list and go on typing"),
        ),
    ),
    Keys(
        "Drawings and pages that fold",
        "drawings",
        (
            ("Space or Enter", "Open or fold a line that has a small triangle before it"),
            ("← → ↑ ↓", "Look around in a drawing wider than its frame, once Tab has reached it"),
            ("The list of edges in a move", "Chooses what a click on a drawn edge chooses"),
        ),
    ),
)

_WORDS: Final = (
    ("backup", "A file with all plans and pictures that the command makes, for another disk."),
    ("body", "A named set of measurements that a garment is drafted for."),
    ("card", "The words shown on the screen during a shot."),
    ("choice", "A figure of the garment that you decide, such as its ease or its length."),
    ("companion", "The sheet that viewers print and sew by."),
    ("copy of your plans", "All plans as they were on a day; put back on the page “Copies”."),
    ("edition", "What viewers have: the companion with a number, kept as it went out."),
    ("episode", "One video with all that is made for it."),
    ("figure", "A measurement that the draft gives, told in centimetres and inches."),
    ("fitting", "What was found on the body, and the changes to the draft it asks for."),
    ("handout", "Any sheet or file that leaves the house."),
    ("lay", "The pieces placed on the cloth; it says how much to buy."),
    ("leave out", "Keep something in the plan but not in the video."),
    ("live figure", "A figure quoted in a text, like {Front.hem}; it follows the draft."),
    (
        "longest chain",
        "The steps that wait on each other and take longest: late there is late in all.",
    ),
    ("look", "What the wearer has on and how far the garment is made when a shot is taken."),
    ("loose thread", "Something in the plan that does not hold together."),
    ("members’ extra", "What only members of the channel see: shots of a second garment."),
    ("move", "One act that shapes a piece; each move changes the piece."),
    ("narration", "What is said over a shot or into the camera."),
    ("no way back", "A step that cannot be undone at the table, such as cutting."),
    ("notion", "What is needed besides the cloth, such as thread, elastic or a button."),
    ("offcut", "What the lay leaves of the cloth, where it is large enough to use."),
    ("piece", "One part of the pattern, with its cut line and how many to cut."),
    ("place", "Where the camera stands, with its light."),
    ("rate", "How long a unit of work takes, such as a metre of seam."),
    ("recipe", "How a garment is drafted and sewn, for whichever body."),
    ("revision", "The draft as it was recorded after a fitting."),
    ("running time", "How long the video is, shot by shot."),
    ("series", "Episodes that belong together and share bodies and cloths."),
    ("shoot day", "A day of filming with its shots in order and at clock times."),
    ("shot", "One thing to film."),
    ("step", "One act of making the garment, with what it must come after."),
    ("take out", "Put an entry out of the plan; undo brings it back."),
    ("time", "Minutes: how long a step or a shot takes, worked out or taken."),
    ("usually", "The range a time falls in 4 times in 5."),
)


@dataclass(frozen=True)
class KeysView:
    """The keys by where they work, and the words in the order of the alphabet."""

    keys: tuple[Keys, ...] = _KEYS
    words: tuple[tuple[str, str], ...] = _WORDS


@router.get("/keys")
def keys(request: Request, house: InHouse) -> Response:
    return house.show(request, "keys/keys.html", KeysView())
