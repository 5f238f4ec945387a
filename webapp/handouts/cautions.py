"""The usual cautions, one entry for each thing that can hurt.

They never replace the law of the place: where a rule exists it is named as the place to look.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from webapp.build.cautions import cautions_of
from webapp.draft.construction import Caution, Step


@dataclass(frozen=True, slots=True)
class CautionText:
    """What to print about one caution."""

    title: str  # as steps name it
    words: str
    look_up: str  # the rule that decides, printed; empty where common sense does
    source: str  # where the words come from


CAUTIONS: Final[dict[Caution, CautionText]] = {
    "blades": CautionText(
        "Blades",
        "Cut away from yourself, with your other hand clear of the line. Cover a rotary cutter "
        "every time you put it down, use it with a mat and a ruler with a raised edge, and keep "
        "old blades in a closed case. Hand scissors over closed.",
        "",
        "Rotary cutter: an Extension contest safety guide, pdfkiwi.com; scissors: common "
        "practice, no source",
    ),
    "iron": CautionText(
        "Iron",
        "Rest the iron on its heel, touch nothing but its handle, keep your hands and face out "
        "of the steam, and unplug it when you leave the board.",
        "",
        "An Extension contest safety guide, pdfkiwi.com",
    ),
    "needles": CautionText(
        "Needles and pins",
        "Keep your fingers beside the presser foot, never before it. Switch the machine off to "
        "thread it or to change the needle. Take pins out before the needle reaches them, and "
        "count them back into the cushion.",
        "",
        "sewciallyacceptableutah.wordpress.com/2018/03/01/sewing-safety; counting pins: common "
        "practice, no source",
    ),
    "cords": CautionText(
        "Cords on children’s clothing",
        "A cord, tie or drawstring can catch and strangle. Put none at the hood, head or neck of "
        "anything a child will wear, and keep the ends of any at the waist short, without knots "
        "or toggles.",
        "The rules where you live come first. Europe: EN 14682, for children to 14 years. United "
        "States: 16 CFR 1120.",
        "EN 14682 as told by tukes.fi and its scope at standards.iteh.ai; 16 CFR 1120.3 as told "
        "by cpsc.gov (Drawstrings in Children's Upper Outerwear)",
    ),
    "small parts": CautionText(
        "Small parts",
        "Buttons, snaps, beads and cord ends can choke a small child. Sew nothing small to "
        "anything for a child under three, and pull hard at every fastening before it is worn.",
        "The rules where you live come first. United States: 16 CFR 1501, for children under "
        "three.",
        "16 CFR 1501, ecfr.gov; the pull: common practice, no source",
    ),
    "flame": CautionText(
        "Flame",
        "Keep cloth, spray and fumes away from any flame, with a window open. Children’s "
        "sleepwear has rules of its own about how fast cloth may burn and how closely it must "
        "fit.",
        "The rules where you live come first. United States: 16 CFR 1615 and 1616.",
        "16 CFR 1615 and 1616, edocket.access.gpo.gov; fumes: from memory",
    ),
}


def cautions_for(steps: Iterable[Step]) -> tuple[CautionText, ...]:
    """What to print about the cautions of these steps, as stated and as their work brings."""
    return tuple(CAUTIONS[caution] for caution in cautions_of(steps))
