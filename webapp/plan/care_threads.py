"""Loose threads about what can hurt: cords, small parts, sleepwear, blades, irons and needles.

They quote published rules and never replace the law of the place where she sews.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import Final

from webapp.build.cautions import cautions_of
from webapp.draft.construction import Caution
from webapp.draft.expressions import read
from webapp.draft.names import listed
from webapp.draft.recipe import Notion
from webapp.errors import FigureError
from webapp.plan.care_words import Said, cord_at_neck, cord_in, named_in, said, small_parts_in
from webapp.plan.episode import Wearer
from webapp.plan.notions import notion_names
from webapp.plan.results import LooseThread, Mend, Place, Plan, Severity
from webapp.units import MM_PER_INCH, both

# 16 CFR 1120.3 after ASTM F1816, told by cpsc.gov: at the waist or bottom, sizes 2T to 16.
CORD_OUTSIDE_MM: Final = 3 * MM_PER_INCH
# EN 14682 as told by tukes.fi: none at hood, head or neck up to 7 years or this height.
NO_CORD_TO_HEIGHT_MM: Final = 1340.0
# 16 CFR 1501.4, Fig. 1, from memory: 1.25 in across; 1 in deep, sloping to 2.25 in.
CYLINDER_ACROSS_MM: Final = 31.7
CYLINDER_LEAST_DEPTH_MM: Final = 25.4
CYLINDER_MOST_DEPTH_MM: Final = 57.1

_CHILDREN: Final[frozenset[Wearer]] = frozenset(("under 3", "3 to 6", "7 to 13"))
_UNDER_SEVEN: Final[frozenset[Wearer]] = frozenset(("under 3", "3 to 6"))
_LAW: Final = "The rules where you live come first."
_MOST_NAMED: Final = 4
_NOTHING_MM: Final = 1e-6


def cords_on_childrens_clothes(plan: Plan) -> Iterable[LooseThread]:
    """A cord on what a child will wear, and a companion that does not warn of it.

    EN 14682 as told by tukes.fi: up to 7 years or 134 cm none at hood, head or neck and no halter
    ties; from 7 to 14 none with free ends there. 16 CFR 1120.3 after ASTM F1816, told by cpsc.gov:
    none at hood or neck in sizes 2T to 12; at waist or bottom, 2T to 16, at most 3 in outside the
    channel at full width, no toggles or knots, bar-tacked.
    """
    wearer, first = plan.episode.brief.wearer, plan.episode.first_unit
    found = [one for one in said(plan) if cord_in(one)] if wearer in _CHILDREN else []
    if not found:
        return
    high = [one for one in found if cord_at_neck(one)]
    outside = both(CORD_OUTSIDE_MM, first)
    at_waist = (
        f"at waist or hem at most {outside} of a cord may hang out, the garment laid flat at its "
        "full width, with no knot or toggle at its ends, and the cord is bar-tacked"
    )
    if high or wearer in _UNDER_SEVEN:
        where = high or found
        none = (
            f"no cord at hood, head or neck (in Europe up to 7 years or "
            f"{both(NO_CORD_TO_HEIGHT_MM, first)} tall, 16 CFR 1120 in sizes 2T to 12)"
            if wearer in _UNDER_SEVEN
            else "no cord at hood, head or neck (in Europe from 7 to 14 years: none with free "
            "ends; 16 CFR 1120 in sizes 2T to 12: none)"
        )
        more = "" if high else f"; {at_waist}"
        yield LooseThread(
            "must", where[0].place, f"{_naming(where, cord_in)}: {none}{more}. {_LAW}"
        )
    else:
        yield LooseThread(
            "should",
            found[0].place,
            f"{_naming(found, cord_in)}: {at_waist} (16 CFR 1120, sizes 2T to 16). {_LAW}",
        )
    yield from _without_caution(
        plan, "cords", found, "A child will wear this with its cord", "must"
    )


def small_parts_for_the_smallest(plan: Plan) -> Iterable[LooseThread]:
    """Something small on what a child under three will wear.

    16 CFR 1501: nothing may fit wholly in the small parts cylinder, in any direction; paper,
    fabric, yarn, fuzz, elastic and string excepted.
    """
    if plan.episode.brief.wearer != "under 3":
        return
    small = partial(_small_part, plan, _large_buttons(plan))
    found = [one for one in said(plan) if small(one)]
    if found:
        across, deep, deepest = (
            both(mm, plan.episode.first_unit, fine=True)
            for mm in (CYLINDER_ACROSS_MM, CYLINDER_LEAST_DEPTH_MM, CYLINDER_MOST_DEPTH_MM)
        )
        yield LooseThread(
            "must",
            found[0].place,
            f"{_naming(found, small)}: for a child under three nothing may be on it, or come off "
            f"it, that fits wholly in a cylinder {across} across and {deep} to {deepest} deep "
            f"(16 CFR 1501). {_LAW}",
        )
        yield from _without_caution(
            plan, "small parts", found, "A child under three will wear this", "must"
        )


def fits_small_parts_cylinder(across_mm: float, thick_mm: float) -> bool:
    """Whether a disc, a button say, fits wholly in the small parts cylinder, mm.

    A disc's plane holds a level direction however it is turned, so it always needs its full
    breadth: one broader than the cylinder never fits. Any other goes in flat, against the deep
    wall. The bottom slopes evenly over the breadth, so under the disc's far side the depth is the
    most less the slope times how broad the disc is; it fits when that holds its thickness. No
    button is thick enough to fail that. ValueError for no disc: thicker than broad, or nothing.
    """
    if not 0 < thick_mm <= across_mm:
        raise ValueError("A disc is broader than it is thick, and neither is nothing.")
    if across_mm > CYLINDER_ACROSS_MM:
        return False
    slope = (CYLINDER_MOST_DEPTH_MM - CYLINDER_LEAST_DEPTH_MM) / CYLINDER_ACROSS_MM
    return thick_mm <= CYLINDER_MOST_DEPTH_MM - slope * across_mm + _NOTHING_MM


def sleepwear_and_flame(plan: Plan) -> Iterable[LooseThread]:
    """A child's sleepwear whose companion does not warn of flames.

    16 CFR 1615 (sizes to 6X) and 1616 (sizes 7 to 14): the cloth passes a flame test, or the
    garment fits tightly; sizes up to 9 months are exempt.
    """
    brief = plan.episode.brief
    if brief.sleepwear and brief.wearer in _CHILDREN:
        yield from _without_caution(
            plan,
            "flame",
            (),
            "Children’s sleepwear must pass a flame test or fit tightly (16 CFR 1615 to size 6X, "
            "1616 from 7 to 14; sizes up to 9 months are exempt)",
            "must",
        )


def blades_irons_and_needles(plan: Plan) -> Iterable[LooseThread]:
    """A blade, an iron, pins or a needle that a step names and the companion does not warn of."""
    cautions: tuple[Caution, ...] = ("blades", "iron", "needles")
    lacking = set(cautions) - set(_cautions(plan))
    for caution in cautions:
        for one in said(plan) if caution in lacking else ():
            word = named_in(f"{one.name}. {one.words}", caution) if one.step else ""
            if word:
                yield from _without_caution(
                    plan, caution, (one,), f"{one.called} says “{word}”", "should"
                )
                break


def _without_caution(
    plan: Plan, caution: Caution, found: Sequence[Said], why: str, severity: Severity
) -> Iterator[LooseThread]:
    """That the companion lacks a caution, with the step that can carry it; nothing if it has it."""
    if caution in _cautions(plan) or not plan.steps:
        return
    named = [one.step for one in found if one.step]
    row = next((row for row in plan.steps if row.step.id in named), plan.steps[0])
    law = f" {_LAW}" if severity == "must" else ""
    yield LooseThread(
        severity,
        Place("build", item=row.step.id),
        f"{why}, and the companion carries no caution “{caution}”.{law}",
        (Mend("caution", (row.step.id, caution), f"Add the caution to “{row.step.name}”"),),
    )


def _cautions(plan: Plan) -> tuple[Caution, ...]:
    return cautions_of(row.step for row in plan.steps)


def _small_part(plan: Plan, large: frozenset[str], one: Said) -> str:
    """The small part that a piece, step or notion names; not buttons known to be large.

    Where all buttons listed are large, the words about buttons are about them.
    """
    if one.kind == "buttons":
        return "" if one.name in large else "button"
    if one.kind == "zip":
        return "zip pull"
    if one.kind in ("thread", "needles"):
        return ""
    listed_buttons = {n.name for n in plan.episode.notions if n.kind == "buttons"}
    all_large = bool(listed_buttons) and listed_buttons <= large
    for word in small_parts_in(f"{one.name}. {one.words}"):
        if not (all_large and word.startswith("button")):
            return word
    return ""


def _large_buttons(plan: Plan) -> frozenset[str]:
    """The buttons, by name, whose size is known and which the cylinder does not hold.

    One of no thickness given is taken as a disc as thin as need be.
    """
    names = notion_names(plan.drafts, plan.figures_mm)

    def large(notion: Notion) -> bool:
        try:
            across = read(notion.length).length_mm(names)
            thick = read(notion.width).length_mm(names) if notion.width else across / 10
            return not fits_small_parts_cylinder(across, thick)
        except (FigureError, ValueError):
            return False

    buttons = (one for one in plan.episode.notions if one.kind == "buttons")
    return frozenset(one.name for one in buttons if large(one))


def _naming(found: Sequence[Said], word: Callable[[Said], str]) -> str:
    """The things, each with the word that was found in it."""
    named = [f"{one.called} ({word(one)})" for one in found[:_MOST_NAMED]]
    more = len(found) - _MOST_NAMED
    return listed([*named, f"{more} more"] if more > 0 else named)
