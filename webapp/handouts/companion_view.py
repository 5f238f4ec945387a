"""What the companion shows, worked out from a plan: the template's only data.

Lengths are mm; the template's filters show them in both units. Each field says what it holds.
"""

from dataclasses import dataclass
from typing import Annotated

from markupsafe import Markup

from webapp.cloth.laid import WayOfLaying
from webapp.cloth.yardage import Purchase
from webapp.handouts.cautions import CautionText
from webapp.handouts.printing import PaperName
from webapp.units import System


@dataclass(frozen=True)
class SizeTable:
    """A table with a row for every size."""

    title: Annotated[str, "what the figures are"]
    columns: Annotated[tuple[str, ...], "the measures across the top"]
    rows: Annotated[tuple[tuple[str, tuple[float | None, ...]], ...], "size and its figures, mm"]


@dataclass(frozen=True)
class MeasureToTake:
    """A measure the garments are drafted from."""

    name: Annotated[str, "the measure"]
    how: Annotated[str, "how it is taken; empty when the recipe alone knows"]
    ours_mm: Annotated[float | None, "the measure of the garment shown, mm; None when not given"]


@dataclass(frozen=True)
class Length:
    """A length as it is bought."""

    metres: Annotated[str, "up to the next 0.1 m"]
    yards: Annotated[str, "up to the next 1/8 yd"]


@dataclass(frozen=True)
class WidthCell:
    """What to buy for one size in one width."""

    buy: Annotated[Length | None, "the length; None when the pieces cannot be laid on it"]
    laid: Annotated[str, "how it is laid for that length; empty when it cannot be"]


@dataclass(frozen=True)
class OtherWidths:
    """What to buy where the cloth is sold in other widths."""

    widths: Annotated[
        tuple[tuple[str, str], ...], "across the top: each width's name and the other unit's"
    ]
    rows: Annotated[
        tuple[tuple[str, tuple[WidthCell, ...]], ...], "sizes alike and their cells by width"
    ]
    holds: Annotated[str, "a sentence saying what each length holds beside the pieces"]


@dataclass(frozen=True)
class SizesToBuy:
    """Sizes that buy the same length of a cloth, or for which it will not do."""

    sizes: Annotated[tuple[str, ...], "their names"]
    buy: Annotated[Purchase | None, "the length to buy; None when it is not known"]
    why: Annotated[str, "why there is none, or why it is laid otherwise; may be empty"]


@dataclass(frozen=True)
class ClothToBuy:
    """A cloth and how much of it."""

    name: Annotated[str, "what the plan calls it"]
    description: Annotated[str, "what it is; may be empty"]
    width_mm: Annotated[float | None, "its full width; None when it cannot be read"]
    margin_mm: Annotated[float, "left free at each selvedge"]
    shrinks_along: Annotated[float, "per cent lost in length in the first wash"]
    shrinks_across: Annotated[float, "per cent lost in width"]
    one_way: Annotated[bool, "True when every piece must lie the same way up"]
    purchases: Annotated[tuple[SizesToBuy, ...], "every size with its length, or why it has none"]
    other_widths: Annotated[OtherWidths | None, "None when they are not worked out"]
    size: Annotated[str, "the size the lay is drawn for"]
    drawing: Annotated[Markup, "the lay as SVG; empty without a lay"]
    laid: Annotated[WayOfLaying, "how the cloth of the lay drawn is laid"]
    otherwise: Annotated[str, "how, in words, if not as the other sizes lay it; else empty"]


@dataclass(frozen=True)
class FigureChange:
    """A choice or a finished measure that is another one on another cloth."""

    what: Annotated[str, "what it is, with its garment when there are several"]
    old_mm: Annotated[float | None, "as drafted; None when it is no length, or not known"]
    new_mm: Annotated[float | None, "on the other cloth; None likewise"]
    old: Annotated[str, "as typed, where there is no length; may be empty"]
    new: Annotated[str, "likewise on the other cloth"]


@dataclass(frozen=True)
class OtherClothSheet:
    """A cloth that would do in place of one of the episode's."""

    name: Annotated[str, "what the plan calls it"]
    instead_of: Annotated[str, "the cloth it stands in for"]
    description: Annotated[str, "what it is; may be empty"]
    effect: Annotated[str, "what becomes of the garment; may be empty"]
    width_mm: Annotated[float | None, "its full width; None when it cannot be read"]
    weight: Annotated[str, "of an area, in both units; empty when it is not known"]
    stretch: Annotated[float, "per cent across, stretched by hand"]
    figures: Annotated[tuple[FigureChange, ...], "choices, then finished measures that change"]
    hems: Annotated[
        tuple[tuple["EdgeFinish", "EdgeFinish"], ...], "edges as drafted and on this cloth"
    ]
    hem_why: Annotated[tuple[str, ...], "why they are finished otherwise, a sentence or two each"]
    purchases: Annotated[
        tuple[tuple[str, tuple[SizesToBuy, ...]], ...],
        "this cloth, then others that change in length, with every size",
    ]
    held_under: Annotated[
        tuple[tuple[str, str], ...],
        "this cloth, then the one it stands in for: how each is laid and what its length allows",
    ]
    needle: Annotated[str, "size and point"]
    needle_why: Annotated[str, "why this one"]


@dataclass(frozen=True)
class NotionToHave:
    """A notion."""

    name: Annotated[str, "what it is"]
    amount: Annotated[str, "how much; may be empty"]
    why: Annotated[str, "what it is for; may be empty"]


@dataclass(frozen=True)
class EdgeFinish:
    """Edges that are finished alike."""

    edges: Annotated[str, "their names, joined by commas"]
    finish: Annotated[str, "how they are finished"]
    width_mm: Annotated[float, "allowance outside the seam or fold line; 0 for none"]
    turn_under_mm: Annotated[float, "what is turned in first, of a double fold; 0 for none"]


@dataclass(frozen=True)
class PieceSheet:
    """A pattern piece."""

    name: Annotated[str, "its name"]
    cut: Annotated[str, "its cutting line, such as Cut 2"]
    cloth: Annotated[str, "the cloth it is cut from; empty when there is only one"]
    grain: Annotated[str, "how it lies on the cloth's grain"]
    width_mm: Annotated[float, "across, as cut; opened out when cut on the fold"]
    length_mm: Annotated[float, "along, as cut"]
    finishes: Annotated[tuple[EdgeFinish, ...], "every edge, grouped by finish"]
    drawing: Annotated[Markup, "the piece with its dimensions, as SVG"]
    words: Annotated[tuple[str, ...], "how to draft it, a sentence each"]
    note: Annotated[str, "the maker's note; may be empty"]


@dataclass(frozen=True)
class GarmentSheet:
    """A garment's pieces."""

    place: Annotated[str, "where the contents point to"]
    name: Annotated[str, "the garment"]
    summary: Annotated[str, "what it is; may be empty"]
    is_extra: Annotated[bool, "True for what members get beside the episode's garment"]
    pieces: Annotated[tuple[PieceSheet, ...], "its finished pieces"]


@dataclass(frozen=True)
class StepSheet:
    """A step of construction."""

    number: Annotated[int, "its place in the whole order"]
    name: Annotated[str, "what is done"]
    words: Annotated[str, "how; may be empty"]
    minutes: Annotated[float, "a viewer's likely time, filming left out; 0 when unknown"]
    one_way: Annotated[bool, "True when it cannot be taken back"]
    spare: Annotated[str, "what to fall back on if it goes wrong; may be empty"]
    cautions: Annotated[tuple[str, ...], "titles of the cautions the maker gave it"]


@dataclass(frozen=True)
class StepRun:
    """Steps of one garment that follow each other."""

    place: Annotated[str, "where the contents point to"]
    heading: Annotated[str, "whose steps they are"]
    is_extra: Annotated[bool, "True for a members' extra"]
    steps: Annotated[tuple[StepSheet, ...], "the steps in order"]
    minutes: Annotated[float, "the likely time for these steps; 0 when unknown"]


@dataclass(frozen=True)
class ChangedSince:
    """A figure that the edition before this one tells otherwise."""

    what: Annotated[str, "what it is, in words"]
    sizes: Annotated[tuple[str, ...], "the sizes it changed in alike; none when it has no others"]
    was: Annotated[str, "as it was, in both units"]
    now: Annotated[str, "as it is, in both units"]


@dataclass(frozen=True)
class EditionLine:
    """Which edition this is, and what it changes."""

    called: Annotated[str, "Edition 2, or Draft of edition 2"]
    told: Annotated[str, "the same with its day, when that is known"]
    since: Annotated[int | None, "the number of the edition before it; None for the first"]
    changes: Annotated[tuple[ChangedSince, ...], "what changed since, as this sheet shows it"]
    cut_for: Annotated[str, "the size whose pieces are among them; empty with one size alone"]


@dataclass(frozen=True)
class Companion:
    """The whole handout."""

    paper: Annotated[PaperName, "the paper it is laid out for"]
    channel: Annotated[str, "who makes the video; may be empty"]
    issue: Annotated[str, "series and number; may be empty"]
    title: Annotated[str, "the episode's title"]
    edition: Annotated[EditionLine, "which edition it is"]
    promise: Annotated[str, "what the viewer will have made; may be empty"]
    first_unit: Annotated[System, "the unit that stands first"]
    cover: Annotated[Markup, "all pieces to one scale, as SVG; empty without pieces"]
    still_to_come: Annotated[tuple[str, ...], "what this edition does not have yet"]
    size_tables: Annotated[tuple[SizeTable, ...], "body measures by size, then finished measures"]
    measures: Annotated[tuple[MeasureToTake, ...], "body measures to take"]
    cloths: Annotated[tuple[ClothToBuy, ...], "cloths that pieces are cut from"]
    other_cloths: Annotated[tuple[OtherClothSheet, ...], "cloths that would do in their place"]
    notions: Annotated[tuple[NotionToHave, ...], "what else to have at hand"]
    garments: Annotated[tuple[GarmentSheet, ...], "garments that have pieces, the episode's first"]
    laying: Annotated[tuple[str, ...], "how the pieces are laid out, a sentence each"]
    cautions: Annotated[tuple[CautionText, ...], "the usual cautions for these steps"]
    runs: Annotated[tuple[StepRun, ...], "the steps, in order"]
