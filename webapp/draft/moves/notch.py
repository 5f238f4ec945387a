"""Notch: a snip into the allowance that is matched with another when the seam is pinned."""

from typing import ClassVar, Literal

from webapp.draft.markings import Notch as Mark
from webapp.draft.moves.base import (
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
    switch_field,
)
from webapp.draft.moves.corners import along_from, edge_of, spoken
from webapp.draft.moves.marking import refuse_name
from webapp.draft.words import Sentence


class Notch(ShapingMove):
    """A notch at a distance from an end of an edge."""

    title: ClassVar[str] = "Notch"
    purpose: ClassVar[str] = "Mark where an edge meets another, or where its middle is."
    family = "mark"

    kind: Literal["notch"] = "notch"
    edge: EdgeName = edge_field("Edge", "The edge that is notched.", "side")
    corner: EdgeName = edge_field("Measured from the", "The edge it meets there.", "top")
    at: FigureText = figure_field("At", "Along the edge, as drawn; 0 cm marks the corner itself.")
    double: bool = switch_field("Double", "Two snips side by side; by custom on a back.", False)
    name: EdgeName = name_field("Name of the notch", "", "notch")

    def apply(self, work: Workpiece) -> Shaped:
        """Put the notch on the edge; the outline stays."""
        refuse_name(work, self.name)
        at = work.length_mm("at", self.at, or_zero=True)
        along, figure = along_from(work, self.edge, self.corner, at), f"{self.name} at"
        mark = Mark(self.name, self.edge, edge_of(work, self.edge).at(along)[0], self.double)
        what = "a double notch" if self.double else "a notch"
        name = self.name if self.name.lower().endswith("notch") else f"{self.name} notch"
        place = "at" if at == 0 else f"{{.{name}}} from"
        words = Sentence(
            f"Draw {what} out from the {spoken(work, self.edge)}, {place} its corner with the "
            f"{spoken(work, self.corner)}.",
            {name: at, figure: at},
            {name: self.at, figure: self.at},
        )
        return Shaped(work.outline, {figure: at}, (words,), (*work.markings, mark))
