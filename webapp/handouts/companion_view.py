"""What the companion shows, worked out from a plan: the template's only data.

Lengths are mm; the template's filters show them in both units. Each field says what it holds.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Final, TypeVar

from markupsafe import Markup

from webapp.build.work_time import Estimate
from webapp.cloth.laid import WayOfLaying
from webapp.cloth.yardage import Purchase
from webapp.handouts.cautions import CautionText
from webapp.handouts.difficulty import Difficulty
from webapp.handouts.glossary import Term
from webapp.handouts.printing import PaperName
from webapp.units import System

_WIDTH: Final = re.compile(r'<svg[^>]* width="([\d.]+)mm"')
_T = TypeVar("_T")
_NARROW: Final = 2  # columns
_ROOM_MM: Final = ((31.0, "little"), (48.0, "some"))  # up to so wide a drawing
_BESIDE_MM: Final = 170.0  # of paper, for lays side by side


def _drawn_mm(drawing: Markup) -> float:
    """How wide it is drawn, mm of paper; 0 for no drawing."""
    found = _WIDTH.search(drawing)
    return float(found[1]) if found else 0.0


def _two_and_two(things: Iterable[_T], fits: Callable[[_T], bool]) -> tuple[tuple[_T, ...], ...]:
    """In their order, one a row; two that follow each other share it where both fit."""
    rows: list[tuple[_T, ...]] = []
    for one in things:
        if fits(one) and rows and len(rows[-1]) == 1 and fits(rows[-1][0]):
            rows[-1] = (*rows[-1], one)
        else:
            rows.append((one,))
    return tuple(rows)


@dataclass(frozen=True)
class SizeTable:
    """A table with a row for every size."""

    title: Annotated[str, "what the figures are"]
    columns: Annotated[tuple[str, ...], "the measures across the top"]
    rows: Annotated[tuple[tuple[str, tuple[float | None, ...]], ...], "size and its figures, mm"]
    alike: Annotated[tuple[tuple[str, float], ...], "what is the same in every size, mm"] = ()

    @property
    def is_narrow(self) -> bool:
        """True for one that stands beside another."""
        return len(self.columns) <= _NARROW


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

    @property
    def usual(self) -> str:
        """How most of the lengths are laid: it is said once, and not in every cell."""
        ways = [cell.laid for _, cells in self.rows for cell in cells if cell.laid]
        return max(dict.fromkeys(ways), key=ways.count, default="")


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
    size: Annotated[str, "the size the lay is drawn for; empty where there is only one"]
    drawing: Annotated[Markup, "the lay as SVG; empty without a lay"]
    laid: Annotated[WayOfLaying, "how the cloth of the lay drawn is laid"]
    otherwise: Annotated[str, "how, in words, if not as the other sizes lay it; else empty"]
    care: Annotated[str, "how what is made of it is washed and pressed"]

    @property
    def drawn_mm(self) -> float:
        """How wide its lay is drawn, mm of paper; 0 without one."""
        return _drawn_mm(self.drawing)


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
    amount: Annotated[str, "how much in every size; may be empty"]
    why: Annotated[str, "what it is for; may be empty"]
    by_size: Annotated[tuple[tuple[str, str], ...], "sizes and how much, where they differ"] = ()


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
    half: Annotated[str, "where the half that is drawn ends; empty for a piece drawn whole"]
    cloth: Annotated[str, "the cloth it is cut from; empty when there is only one"]
    grain: Annotated[str, "how it lies on the cloth's grain"]
    width_mm: Annotated[float, "across, as cut; opened out when cut on the fold"]
    length_mm: Annotated[float, "along, as cut"]
    finishes: Annotated[tuple[EdgeFinish, ...], "every edge, grouped by finish"]
    drawing: Annotated[Markup, "the piece with its dimensions, as SVG"]
    words: Annotated[tuple[str, ...], "how to draft it, a sentence each"]
    note: Annotated[str, "the maker's note; may be empty"]
    is_small: Annotated[bool, "True when two such stand side by side"]


@dataclass(frozen=True)
class GarmentSheet:
    """A garment's pieces."""

    place: Annotated[str, "where the contents point to"]
    name: Annotated[str, "the garment"]
    summary: Annotated[str, "what it is; may be empty"]
    is_extra: Annotated[bool, "True for what members get beside the episode's garment"]
    pieces: Annotated[tuple[PieceSheet, ...], "its finished pieces"]

    @property
    def rows(self) -> tuple[tuple[PieceSheet, ...], ...]:
        """The pieces in their order, small ones that follow each other two and two."""
        return _two_and_two(self.pieces, lambda piece: piece.is_small)


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
    drawing: Annotated[Markup, "what it sews, drawn on the pieces, as SVG; empty without need"]

    @property
    def room(self) -> str:
        """How much room its drawing takes beside the words: little, some or empty for all."""
        width_mm = _drawn_mm(self.drawing)
        return next((room for most, room in _ROOM_MM if width_mm <= most), "")


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
class TimeToMake:
    """How long a garment takes a viewer, filming left out."""

    garment: Annotated[str, "the garment"]
    is_extra: Annotated[bool, "True for a members' extra"]
    minutes: Annotated[Estimate, "low, likely and high, of all its steps"]
    rest_hours: Annotated[float, "for which it hangs, lies or dries in between; 0 for none"]


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
    size: Annotated[str, "the size that the pieces are drawn for"]
    on_camera: Annotated[str, "the size that is worn in the video"]
    several_sizes: Annotated[bool, "True when the tables hold more sizes than that drawn for"]
    misleading: Annotated[tuple[str, ...], "what is wrong and would mislead; then it is a draft"]
    difficulty: Annotated[Difficulty | None, "how hard it is and why; None without steps"]
    times: Annotated[tuple[TimeToMake, ...], "by garment, those whose time is known"]
    cover: Annotated[Markup, "all pieces to one scale, as SVG; empty without pieces"]
    still_to_come: Annotated[tuple[str, ...], "what this edition does not have yet"]
    size_tables: Annotated[tuple[SizeTable, ...], "body measures by size, then finished measures"]
    measures: Annotated[tuple[MeasureToTake, ...], "body measures to take"]
    finder: Annotated[tuple[str, ...], "how to find one's size, a step each; none with one size"]
    cloths: Annotated[tuple[ClothToBuy, ...], "cloths that pieces are cut from"]
    other_cloths: Annotated[tuple[OtherClothSheet, ...], "cloths that would do in their place"]
    notions: Annotated[tuple[NotionToHave, ...], "what else to have at hand"]
    garments: Annotated[tuple[GarmentSheet, ...], "garments that have pieces, the episode's first"]
    laying: Annotated[tuple[str, ...], "how the pieces are laid out, a sentence each"]
    cautions: Annotated[tuple[CautionText, ...], "the usual cautions for these steps"]
    runs: Annotated[tuple[StepRun, ...], "the steps, in order"]
    glossary: Annotated[tuple[Term, ...], "the words of the trade that the sheet uses"] = ()

    @property
    def one_size(self) -> str:
        """What stands above figures that are told for one of several sizes; else empty."""
        if not self.several_sizes:
            return ""
        return f"Figures here are for size {self.size}: the worksheet tells how to work out yours."

    @property
    def step_count(self) -> int:
        """How many steps there are, numbered from 1."""
        return sum(len(run.steps) for run in self.runs)

    @property
    def table_rows(self) -> tuple[tuple[SizeTable, ...], ...]:
        """The tables, narrow ones that follow each other two and two."""
        return _two_and_two(self.size_tables, lambda table: table.is_narrow)

    @property
    def lays(self) -> tuple[tuple[ClothToBuy, ...], ...]:
        """The cloths whose lay is drawn, two whose drawings fit beside each other together."""
        rows: list[tuple[ClothToBuy, ...]] = []
        for cloth in (one for one in self.cloths if one.drawing):
            if rows and len(rows[-1]) == 1 and rows[-1][0].drawn_mm + cloth.drawn_mm <= _BESIDE_MM:
                rows[-1] = (*rows[-1], cloth)
            else:
                rows.append((cloth,))
        return tuple(rows)
