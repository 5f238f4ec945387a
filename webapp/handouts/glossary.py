"""Words of the trade in plain words, for the sheet that uses them.

Common practice, no source: every meaning is in our own words. A term is told where a text of the
sheet uses it, in whichever form; where it stands only for an ordinary word it is not looked for.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Final


@dataclass(frozen=True, slots=True)
class Term:
    """A word of the trade and what it means."""

    name: str
    words: str


# The term, what finds it in a text (case aside, from word to word), and what it means.
_TERMS: Final[tuple[tuple[str, str, str], ...]] = (
    ("allowance", "allowances?", "Cloth outside the seam line or fold line, for sewing or hemming; "
     "the pieces are cut with it."),
    ("armhole", "armholes?", "The edge of the body that a sleeve is sewn to."),
    ("back and forth", "back and forth|backstitch(?:es|ed|ing)?", "A few stitches backwards and "
     "forwards again at either end of a seam, so that it does not come undone."),
    ("ballpoint needle", "ballpoint", "A machine needle with a round point, which parts the "
     "threads of a knit where a sharp one would cut them."),
    ("basting", "bast(?:e|ed|es|ing)", "Long stitches, by hand or machine, that hold cloth for a "
     "while and are pulled out again."),
    ("bias", "bias", "Aslant to the grain. Exactly half way between lengthwise and crosswise, the "
     "true bias, woven cloth stretches most and bends round a curve."),
    ("binding", "bind(?:ing|ings)?|bound", "A strip folded over a raw edge, so that it covers the "
     "edge on both sides; or the sewing on of it."),
    ("bobbin", "bobbins?", "The small spool under the needle plate of the sewing machine, which "
     "holds the lower thread."),
    ("bodkin", "bodkins?", "A blunt, thick needle that draws elastic or cord through a casing."),
    ("casing", "casings?", "A tunnel of cloth for elastic or a cord."),
    ("clip", "clip(?:s|ped|ping)?", "To snip into an allowance towards the stitches, so that a "
     "curve can spread or turn."),
    ("crosswise", "crosswise|weft", "From selvedge to selvedge, across the length of the cloth."),
    ("dart", "darts?", "A wedge of cloth that is folded out and sewn shut, so that flat cloth "
     "takes a round shape."),
    ("ease", r"ease(?! (?:the|it|them|this|that|in|off)\b)",
     "What a garment measures more than the body, for room to move."),
    ("easing in", "eased|easing", "Sewing a slightly longer edge to a shorter one, without a "
     "pleat or a pucker."),
    ("edge-stitching", "edge.?stitch(?:es|ed|ing)?", "A row of stitches close beside an edge or "
     "a seam, seen from outside."),
    ("facing", "facings?(?! each)|faced", "A piece of cloth shaped like the edge it is sewn "
     "to and turned to the inside, which finishes that edge."),
    ("fell", "fell(?:s|ed|ing)? (?:its|the|it|this|that|them|down)|to fell",
     "To sew a folded edge down by hand with small slanting stitches."),
    ("gathers", "gather(?:s|ed|ing)?", "Many small folds, made by drawing cloth together along a "
     "thread or onto elastic."),
    ("grain", "grain", "The direction of the threads in cloth. Along the grain means along the "
     "selvedge; the arrow on a piece lies that way."),
    ("gusset", "gussets?", "A small piece let into a seam for room to move."),
    ("hem", "hem(?:s|med|ming)?", "An edge that is turned up to the inside and sewn; or the edge "
     "itself, at the foot of a garment."),
    ("interfacing", "interfac(?:ings?|ed)", "A second layer that stiffens cloth, sewn "
     "in or ironed on."),
    ("lay", r"(?:the|a|its|each) lays?(?! (?:it|the|them|each|every|out)\b)|lays? shows?",
     "The plan of how the pieces lie on the cloth for cutting."),
    ("lengthwise", "lengthwise|warp", "Along the cloth, as the selvedges run."),
    ("lining", "lin(?:ing|ings|ed)", "A layer of thin cloth, made up on its own and "
     "sewn inside, that hides the seams."),
    ("nap", "nap|pile", "Hairs or loops that lie one way, so that cloth looks lighter or darker "
     "by the way it lies."),
    ("neaten", "neaten(?:s|ed|ing)?", "To sew over a raw edge, by overlocker or zigzag, so that it "
     "does not fray."),
    ("notch", "notch(?:es|ed)?", "A small snip or mark at an edge that meets another one when two "
     "pieces are pinned."),
    ("on the fold", "(?:on|beside|along|from) (?:the|a) fold", "Only half of the piece is drawn: "
     "its line marked fold lies where the cloth is folded, or is where the half is turned over."),
    ("overlocker", "overlock(?:er|ers|ed|ing)?", "A machine that trims an edge and wraps thread "
     "around it. A zigzag stitch on a sewing machine does instead."),
    ("placket", "plackets?", "A finished slit that lets a garment open wide enough to put on."),
    ("pleat", "pleat(?:s|ed|ing)?", "A fold of cloth laid over and held at one edge."),
    ("press", "press(?:es|ed|ing)?(?! foot)", "To set the iron down and lift it again, instead of "
     "pushing it."),
    ("raw edge", "raw", "An edge as it was cut, not finished in any way."),
    ("right side", "right sides?|wrong sides?", "The face of the cloth that is seen when the "
     "garment is worn; the other is the wrong side. Right sides together: face to face."),
    ("seam line", "seam lines?", "Where a seam is sewn: the cutting line less the allowance."),
    ("selvedge", "selvedges?", "The woven edge on either side of cloth, which does not fray."),
    ("slip stitch", "slip.?stitch(?:es|ed|ing)?|slip the needle", "Small stitches by hand that run "
     "inside two folded edges and hardly show."),
    ("square the end", "square(?:s|d)? (?:its|the|one|both|an?)? ?ends?|square the ends",
     "To cut the end of cloth at right angles to its selvedge."),
    ("staystitch", "stay.?stitch(?:es|ed|ing)?", "A row of stitches inside the allowance that "
     "keeps an edge from stretching while it is handled."),
    ("tack", r"(?<!bar )(?<!bar-)tack(?:s|ed|ing)?", "To hold cloth in place with stitches that "
     "need not be seen later, until it is sewn for good."),
    ("topstitching", "top.?stitch(?:es|ed|ing)?", "A row of stitches that is meant to be seen on "
     "the right side."),
    ("trim", "trim(?:s|med|ming)?", "To cut an allowance narrower after its seam is "
     "sewn."),
    ("tuck", r"tucks?(?! (?:the|it|them|its|in|under|inside|away)\b)",
     "A narrow fold that is sewn down along its length."),
    ("turn in", "turn(?:ed)? in\\b", "What is folded under first in a hem folded twice, so that no "
     "raw edge is left to see."),
    ("understitch", "under.?stitch(?:es|ed|ing)?", "To sew a facing to its allowances close to the "
     "seam, so that it rolls to the inside."),
    ("universal needle", "universal", "A machine needle with a slightly rounded point, for most "
     "woven cloth."),
    ("waistband", "waistbands?", "The band of cloth that finishes a waist."),
    ("yoke", "yokes?", "A flat piece at shoulder or hip from which the rest hangs."),
    ("zigzag", "zigzags?", "A stitch that goes from side to side; over a raw edge it neatens it."),
)  # fmt: skip


def terms_in(texts: Iterable[str]) -> tuple[Term, ...]:
    """The terms that these texts use, by the alphabet."""
    text = "\n".join(texts)
    return tuple(Term(name, words) for name, found, words in _compiled() if found.search(text))


@cache
def _compiled() -> tuple[tuple[str, re.Pattern[str], str], ...]:
    rows = sorted(_TERMS, key=lambda row: row[0].casefold())
    return tuple(
        (name, re.compile(rf"\b(?:{pattern})(?!\w)", re.IGNORECASE), words)
        for name, pattern, words in rows
    )
