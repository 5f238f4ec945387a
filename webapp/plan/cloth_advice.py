"""What another cloth asks of a draft: ease by how far it stretches, hems by how heavy it is.

Both are advice. Where a figure is read in a published table the table is named; the rest is
common practice, no source, and says so.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, NamedTuple

from webapp.cloth.weight import both_weights
from webapp.draft.expressions import LONGEST_TEXT, read
from webapp.draft.outline import Edge
from webapp.draft.recipe import Choice, Finish
from webapp.draft.results import Draft, Piece
from webapp.errors import FigureError
from webapp.units import MM_PER_INCH, System, both

Bulk = Literal["light", "medium", "heavy"]

COMMON_PRACTICE: Final = "Common practice, no source."
FOUR_H: Final = (
    "Oregon State University, 4-H Club Series 1-87: hems of heavy wool or cotton 2 in (5 cm) or "
    "less, circle hems 1/4 in (0.6 cm) or rolled, a narrow hem 1/4 in and as much turned in."
)
# Where cloth counts as light or heavy, about 3.5 and 8 oz/yd²; common practice, no source.
_LIGHT_BELOW_G: Final = 120.0
_HEAVY_FROM_G: Final = 270.0
_COATING_FROM_G: Final = 400.0
# 4-H Club Series 1-87; in centimetres as the trade pairs 2 in and 1/4 in.
_DEEPEST_HEAVY: Final[dict[System, tuple[float, str]]] = {
    "cm": (50.0, "5 cm"),
    "in": (2 * MM_PER_INCH, "2 in"),
}
_CIRCLE: Final[dict[System, tuple[float, str]]] = {
    "cm": (6.0, "0.6 cm"),
    "in": (MM_PER_INCH / 4, "1/4 in"),
}
_NARROW_MM: Final = MM_PER_INCH / 2  # up to this depth a hem is a narrow one
_CIRCLE_TURN: Final = math.pi / 4  # what an edge bends in all to count as part of a circle
_SAME_MM: Final = 0.01
_SAME_ANGLE: Final = 1e-6
# Cloth that gives less is cut as a woven one; from the other figure on it needs no wearing ease.
# Common practice, no source.
_GIVES_FROM: Final = 10.0
_GIVES_ALL_FROM: Final = 50.0


class WearingEase(NamedTuple):
    """The published range of wearing ease at a part of the body, on woven cloth, inches."""

    part: str
    words: tuple[str, ...]  # what a choice of that ease is called by
    least_in: float
    source: str


_TEXT: Final = "Central Washington University, costume text, chapter 16"
_GUIDE: Final = "New Mexico State University Extension, Guide C-228"
_AT_BUST: Final = (
    f"Woven cloth, at the bust: 1 1/2 to 2 in, 3.8 to 5.1 cm ({_TEXT}); 3 to 4 in, 7.6 to 10.2 cm "
    f"({_GUIDE})."
)
_AT_WAIST: Final = f"Woven cloth, at the waist: 1/2 to 1 in, 1.3 to 2.5 cm ({_TEXT})."
_AT_HIP: Final = f"Woven cloth, at the hip: 2 to 2 3/4 in, 5.1 to 7 cm ({_TEXT})."
WEARING_EASE: Final = (
    WearingEase("waist", ("waist",), 0.5, _AT_WAIST),
    WearingEase("hip", ("hip", "seat"), 2.0, _AT_HIP),
    WearingEase("bust", ("bust", "chest", "body"), 1.5, _AT_BUST),
)


@dataclass(frozen=True, slots=True)
class EaseAdvice:
    """Another figure for an ease, to be taken over as a choice on the cloth."""

    garment: str  # id
    choice: str
    old_mm: float
    value: str  # as it would be typed
    value_mm: float
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class HemAdvice:
    """Another finish for a hem."""

    garment: str  # id
    piece: str
    edge: str
    finish: Finish
    why: str
    source: str


def bulk_of(g_per_m2: float | None) -> Bulk | None:
    """Light, medium or heavy; None when the weight is not known."""
    if g_per_m2 is None:
        return None
    if g_per_m2 < _LIGHT_BELOW_G:
        return "light"
    return "medium" if g_per_m2 < _HEAVY_FROM_G else "heavy"


def gives(stretch_per_cent: float) -> float:
    """The share of the wearing ease that a cloth's stretch does the work of, from 0 to 1.

    Under 10 % none, at 50 % all, in proportion between; common practice, no source.
    """
    if stretch_per_cent < _GIVES_FROM:
        return 0.0
    return min(1.0, stretch_per_cent / _GIVES_ALL_FROM)


# --- Ease ------------------------------------------------------------------------------------


def ease_advice(
    draft: Draft, cloth: str, old_stretch: float, stretch: float, first: System
) -> Iterator[EaseAdvice]:
    """Eases of the garment that stretch makes smaller, or its lack larger.

    Only wearing ease is weighed, by the least of the published figures, so that nothing comes out
    tight: what is drafted beyond it is the style's own. Nothing without pieces of that cloth.
    """
    more = gives(stretch) - gives(old_stretch)
    if not more or not any(piece.cloth == cloth for piece in draft.pieces):
        return
    for choice in draft.recipe.choices:
        words = choice.name.lower().split()
        row = next((row for row in WEARING_EASE if set(row.words) & set(words)), None)
        drafted = draft.names.get(choice.name.lower())
        if row is None or "ease" not in words or drafted is None or drafted.dimension != 1:
            continue
        wearing_mm = row.least_in * MM_PER_INCH
        off_mm = more * (min(wearing_mm, max(drafted.value, 0.0)) if more > 0 else wearing_mm)
        value_mm = _in_range_mm(drafted.value - off_mm, choice, draft, first)
        if (drafted.value - value_mm) * more > _SAME_MM:
            why = _ease_why(row.part, more, stretch, both(wearing_mm, first))
            source = f"{row.source} How much of it stretch replaces: common practice, no source."
            value = _written(value_mm, first)
            yield EaseAdvice(
                draft.recipe.id, choice.name, drafted.value, value, value_mm, why, source
            )


def _ease_why(part: str, more: float, stretch: float, wearing: str) -> str:
    share = "all" if abs(more) == 1 else f"{abs(more) * 100:.0f} %"
    if more > 0:
        return (
            f"The cloth stretches {stretch:g} %, so {share} of the wearing ease at the "
            f"{part}, {wearing}, can go. What is more than that is room for the style and stays."
        )
    return (
        f"The cloth stretches {stretch:g} %, less than the other, so {share} of the "
        f"wearing ease at the {part}, {wearing}, is wanted on top."
    )


def _in_range_mm(mm: float, choice: Choice, draft: Draft, first: System) -> float:
    """Up to a step of the tape, then within the choice's limits."""
    step = _step_mm(first)
    value = step * math.ceil(mm / step - 1e-9)
    for limit, most in ((choice.least, False), (choice.most, True)):
        try:
            bound = read(limit).length_mm(draft.names)
        except FigureError:  # no limit, or one that cannot be read, which the draft tells
            continue
        if most:
            value = min(value, step * math.floor(bound / step + 1e-9))
        else:
            value = max(value, step * math.ceil(bound / step - 1e-9))
    return value


def _step_mm(first: System) -> float:
    return 5.0 if first == "cm" else MM_PER_INCH / 4


def _written(mm: float, first: System) -> str:
    """A whole number of steps as it is typed."""
    if first == "cm":
        return f"{mm / 10:g} cm"
    whole, quarters = divmod(round(mm / _step_mm("in")), 4)
    part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[quarters]
    return " ".join(filter(None, (str(whole) if whole or not part else "", part, "in")))


# --- Hems ------------------------------------------------------------------------------------


def hem_advice(
    draft: Draft, cloth: str, old_g: float | None, g_per_m2: float | None, first: System
) -> Iterator[HemAdvice]:
    """Hems of the pieces cut from the cloth that another one of that weight has otherwise.

    Nothing when its weight is not known, or when it is in the same class as the cloth it replaces.
    """
    bulk = bulk_of(g_per_m2)
    if g_per_m2 is None or bulk in ("medium", bulk_of(old_g)):
        return
    for piece in draft.pieces:
        for edge in piece.outline if piece.cloth == cloth else ():
            is_hem = piece.finishes[edge.name].kind.endswith("hem")
            if not is_hem or edge.name not in piece.allowances:
                continue
            advised = _heavy if bulk == "heavy" else _light
            if found := advised(piece, edge, g_per_m2, first):
                finish, why, source = found
                yield HemAdvice(draft.recipe.id, piece.name, edge.name, finish, why, source)


_Advised = tuple[Finish, str, str]


def _heavy(piece: Piece, edge: Edge, g_per_m2: float, first: System) -> _Advised | None:
    """Folded once, not deeper than heavy cloth takes."""
    finish, width_mm = piece.finishes[edge.name], piece.allowances[edge.name].width_mm
    written = finish.allowance or "seam allowance"
    most_mm, most = (_CIRCLE if bends(edge) else _DEEPEST_HEAVY)[first]
    why, source = [f"The cloth is heavy, {both_weights(g_per_m2, first)}."], [COMMON_PRACTICE]
    too_deep = width_mm > most_mm + _SAME_MM
    if too_deep:
        written, width_mm = f"min({written}, {most})", most_mm
        deepest = both(most_mm, first, allowance=True)
        why.append(
            f"An edge cut as part of a circle takes a hem of {deepest} at most."
            if bends(edge)
            else f"A hem of it is {deepest} deep at most."
        )
        source = [FOUR_H]
    if finish.kind == "double fold hem":
        coating = g_per_m2 >= _COATING_FROM_G
        turn_mm, turn = _turn(first, coating=coating)
        written, width_mm = f"{written} + {turn}", width_mm + turn_mm
        why.append(
            "Folded twice it would be three layers thick: it is folded once, its edge neatened, "
            f"with {both(turn_mm, first, allowance=True)} more for the turn of the cloth."
        )
        source = [COMMON_PRACTICE, *source] if too_deep else source
    elif not too_deep:
        return None
    if len(written) > LONGEST_TEXT:
        written = f"{width_mm:.1f} mm"
    return Finish(kind="single fold hem", allowance=written), " ".join(why), " ".join(source)


def _light(piece: Piece, edge: Edge, g_per_m2: float, first: System) -> _Advised | None:
    """Folded twice, so that no raw edge shows through."""
    finish, width_mm = piece.finishes[edge.name], piece.allowances[edge.name].width_mm
    if finish.kind == "double fold hem":
        return None
    narrow = _CIRCLE[first][1]
    if width_mm > _NARROW_MM + _SAME_MM:  # a depth that was chosen, such as that of a casing
        advised = Finish(kind="double fold hem", allowance=finish.allowance, turn_under=narrow)
    else:
        advised = Finish(kind="double fold hem", allowance=narrow, turn_under=narrow)
    why = (
        f"The cloth is light, {both_weights(g_per_m2, first)}: an edge folded once shows through "
        "and frays. It is folded twice, which so thin a cloth takes without bulk."
    )
    return advised, why, f"{COMMON_PRACTICE} The turn: {FOUR_H}"


def _turn(first: System, *, coating: bool) -> tuple[float, str]:
    """What a fold takes up of thick cloth: mm, and as typed. Common practice, no source."""
    if first == "cm":
        return (6.0, "0.6 cm") if coating else (3.0, "0.3 cm")
    return (MM_PER_INCH / 4, "1/4 in") if coating else (MM_PER_INCH / 8, "1/8 in")


def bends(edge: Edge) -> bool:
    """True for an edge that bends like a part of a circle skirt's hem, 45 degrees or more."""
    ways = [segment.heading(t) for segment in edge.segments for t in (0.0, 0.25, 0.5, 0.75, 1.0)]
    angles = [math.atan2(dy, dx) for dx, dy in ways]
    turns = (math.remainder(after - before, math.tau) for before, after in pairwise(angles))
    return abs(math.fsum(turns)) >= _CIRCLE_TURN - _SAME_ANGLE
