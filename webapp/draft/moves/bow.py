"""Bow: curve a straight edge out or in, such as a hip, a hem or a sleeve head."""

from fractions import Fraction
from typing import ClassVar, Literal

from webapp.draft.moves.base import (
    SMALLEST_MM,
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    share_field,
)
from webapp.draft.moves.corners import direction, outward, spoken, straight_edge
from webapp.draft.outline import Cubic
from webapp.draft.words import Sentence


class Bow(ShapingMove):
    """A smooth curve between the ends of a straight edge, furthest from it at its peak."""

    title: ClassVar[str] = "Bow"
    purpose: ClassVar[str] = "Curve a straight edge out, or in with a minus sign."

    kind: Literal["bow"] = "bow"
    edge: EdgeName = edge_field("Edge", "The straight edge to curve.", "side")
    by: FigureText = figure_field("By", "How far it bows out; write -1 cm to hollow it.")
    peak: FigureText = share_field(
        "Peak at", "Where it is furthest out, clockwise along the edge: 1/2 is its middle.", "1/2"
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Draw one cubic whose controls stand 4/3 of `by` off the edge, so that it bows by `by`.

        At its middle (t = 1/2) a cubic is 3/4 as far out as two controls at one height.
        """
        edge = straight_edge(work, self.edge)
        by = work.signed_mm("by", self.by)
        if abs(by) < SMALLEST_MM:
            raise work.refusal("by comes to nothing; write how far the edge is to curve")
        peak = work.share("peak", self.peak, 0.25, 0.75)
        length = edge.length_mm
        if abs(by) > length / 2:
            raise work.limit("", abs(by), "more than half as long as the edge", length / 2)
        (ux, uy), (nx, ny) = direction(edge), outward(edge)
        off, shift = by * 4 / 3, (peak - 0.5) * 4 / 3 * length
        x, y = edge.start
        controls = [
            (x + along * ux + off * nx, y + along * uy + off * ny)
            for along in (length / 3 + shift, 2 * length / 3 + shift)
        ]
        curve = Cubic(edge.start, controls[0], controls[1], edge.end)
        outline = work.outline.replaced(self.edge, edge.redrawn(curve))
        name = f"{self.edge} bow"
        mark = f"Mark {{{name}}} {'out' if by > 0 else 'in'} from the {spoken(work, self.edge)} at "
        mark += _share(peak)
        corner = f"from the {spoken(work, work.outline.before(self.edge).name)}"
        drawn = "and draw a smooth curve from end to end through the mark."
        words = Sentence(
            f"{mark}, {{at}} {corner}, {drawn}",
            {name: abs(by), "at": peak * length},
            {name: self.by if by > 0 else f"-({self.by})"},
            own=f"{mark}, counted {corner}, {drawn}",
        )
        return Shaped(outline, {name: abs(by)}, (words,))


def _share(peak: float) -> str:
    """How far along, as a fraction that can be folded or measured off; else a decimal."""
    near = Fraction(peak).limit_denominator(16)
    if abs(near - peak) >= 1e-3:
        return f"{peak:.2f} of its length"
    return "its middle" if near == Fraction(1, 2) else f"{near} of its length"
