"""How sheets are printed: which sizes, on which paper, which unit first; kept in the episode."""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from webapp.draft.construction import Name
from webapp.draft.recipe import Frozen
from webapp.units import System, parse_length

Paper = Literal["a4", "letter"]
SheetEdges = Literal["overlap", "butt"]

A0_WIDTH_MM = 841.0  # ISO 216
_NARROWEST_MM, _WIDEST_MM = 290.0, 2000.0  # of a print shop's rolls: common practice, no source


class PrintChoices(Frozen):
    """What was chosen for the printed sheets; what is left empty follows the episode."""

    paper: Literal["", "a4", "letter"] = ""  # empty: what goes with the unit that stands first
    first_unit: Literal["", "cm", "in"] = ""  # empty: the episode's
    drawn_for: Annotated[str, StringConstraints(max_length=80)] = ""  # empty: the body on camera
    sizes: tuple[Name, ...] = Field((), max_length=200)  # in the tables; none: every size
    nested: bool = False  # the pattern in those sizes over each other, not in one alone
    edges: SheetEdges = "overlap"  # how the pattern's pages are joined
    roll_width: Annotated[str, StringConstraints(max_length=40)] = ""  # as typed; empty: A0

    def paper_for(self, first: System) -> Paper:
        """The paper chosen, or the one that is usual where that unit is."""
        return self.paper or ("a4" if first == "cm" else "letter")

    def roll_width_mm(self, first: System) -> float:
        """The width of the large sheet, mm. ValueError with a sentence when it cannot be read."""
        if not self.roll_width.strip():
            return A0_WIDTH_MM
        width_mm = parse_length(self.roll_width, first).mm
        if not _NARROWEST_MM <= width_mm <= _WIDEST_MM:
            raise ValueError(
                "A roll of paper is between 29 cm (11 3/8 in) and 200 cm (78 3/4 in) wide."
            )
        return width_mm

    def for_bodies(self, called: Mapping[str, str]) -> "PrintChoices":
        """The choices with each body under its new name; `called` has it by the old one, in lower
        case. One that is gone is chosen no longer."""
        sizes = tuple(called[name.lower()] for name in self.sizes if name.lower() in called)
        drawn_for = called.get(self.drawn_for.lower(), "")
        return PrintChoices(**{**dict(self), "sizes": sizes, "drawn_for": drawn_for})
