"""Split: cut a piece in two along a line, for a yoke or a panel."""

from typing import ClassVar, Final, Literal

from webapp.draft.markings import Marking
from webapp.draft.moves.base import (
    Drafted,
    EdgeName,
    FigureText,
    Shaped,
    ShapingMove,
    Workpiece,
    edge_field,
    figure_field,
    name_field,
)
from webapp.draft.moves.corners import along_from, edge_of, spoken
from webapp.draft.moves.cutting import Cut, cut_between, lies_on, refuse_leaving, taken_share
from webapp.draft.names import edge_called
from webapp.draft.outline import Edge, Outline, straight
from webapp.draft.words import Sentence

_LINE: Final = "the line"
_TAKEN: Final = 1e-6  # a share of the cloth; less is arithmetic noise


class Split(ShapingMove):
    """Cut along a straight line; what is cut off can be a piece of its own."""

    title: ClassVar[str] = "Split"
    purpose: ClassVar[str] = "Cut the piece in two, for a yoke or a panel, with a seam between."
    family = "cloth"

    kind: Literal["split"] = "split"
    edge: EdgeName = edge_field("Starts on", "The edge the line starts on.")
    corner: EdgeName = edge_field("Counted from its corner with", "The edge it meets there.")
    at: FigureText = figure_field("Starts at", "Along the edge; 0 cm is the corner itself.")
    to: EdgeName = edge_field("Ends on", "The edge the line ends on.")
    to_corner: EdgeName = edge_field(
        "There counted from its corner with", "The edge it meets there."
    )
    to_at: FigureText = figure_field("Ends at", "Along that edge; 0 cm is the corner itself.")
    keep: EdgeName = edge_field("Keep the part with", "An edge that lies whole on one side.")
    name: EdgeName = name_field("Name of the new edge", "On both parts.", "seam")
    part: EdgeName = name_field(
        "Name of what is cut off", "A later piece starts from it by this name.", "part"
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Keep one part and hand on the other; edges that are cut keep their names on both."""
        at = work.length_mm("starts at", self.at, or_zero=True)
        to_at = work.length_mm("ends at", self.to_at, or_zero=True)
        self._refuse_names(work)
        start = self._along(work, self.edge, self.corner, at)
        end = self._along(work, self.to, self.to_corner, to_at)
        cut = cut_between(work.outline, work.markings, self.edge, start, self.to, end)
        refuse_leaving(work, cut, _LINE)
        ahead = (*cut.ahead, straight(self.name, cut.end, cut.start))
        behind = (*cut.behind, straight(self.name, cut.start, cut.end))
        kept, off = (ahead, behind) if self._keeps_ahead(work, cut) else (behind, ahead)
        markings, others = self._markings(work, kept), self._markings(work, off)
        for mark in work.markings:
            if mark not in markings and mark not in others:
                raise work.refusal(f"{_LINE} would cut “{mark.name}” in two")
        order = work.outline.names
        part = _in_order(off, order)
        on_fold = work.on_fold and any(edge.on_fold for edge in off)
        return Shaped(
            _in_order(kept, order),
            {},
            self._words(work, at, to_at),
            markings,
            {self.part: Drafted(part, others, on_fold)},
        )

    def _refuse_names(self, work: Workpiece) -> None:
        if self.edge == self.to:
            raise work.refusal(
                f"{_LINE} starts and ends on the {edge_called(self.edge)}; it must end on another"
            )
        if not self.name.strip() or not self.part.strip():
            raise work.refusal("give the new edge and what is cut off a name each")
        if self.name.lower() in {name.lower() for name in work.outline.names}:
            raise work.refusal(f"there is an edge called “{self.name}”; name the new one otherwise")

    def _along(self, work: Workpiece, name: str, corner: str, at: float) -> float:
        """How far along the edge; MoveError where a dart, pleats or gathers would be cut."""
        along = along_from(work, name, corner, at)
        if taken_share(edge_of(work, name), along, work.markings) > _TAKEN:
            raise work.refusal(
                f"{_LINE} would cut into a dart, a pleat or gathers of the {edge_called(name)}; "
                "split the piece before they are made"
            )
        return along

    def _keeps_ahead(self, work: Workpiece, cut: Cut) -> bool:
        edge_of(work, self.keep)
        ahead = self.keep in {edge.name for edge in cut.ahead}
        if ahead and self.keep in {edge.name for edge in cut.behind}:
            raise work.refusal(
                f"{_LINE} cuts the {edge_called(self.keep)} in two; to say which part is kept, "
                "name an edge that stays whole"
            )
        return ahead

    def _markings(self, work: Workpiece, edges: tuple[Edge, ...]) -> tuple[Marking, ...]:
        return tuple(mark for mark in work.markings if lies_on(mark, edges))

    def _words(self, work: Workpiece, at: float, to_at: float) -> tuple[Sentence, ...]:
        places = []
        start, end = f"{self.name} from", f"{self.name} to"
        for slot, mm, edge, corner in (
            (start, at, self.edge, self.corner),
            (end, to_at, self.to, self.to_corner),
        ):
            place = f"{{{slot}}} along the {spoken(work, edge)} from its corner"
            if mm == 0:
                place = f"the corner of the {spoken(work, edge)}"
            places.append(f"{place} with the {spoken(work, corner)}")
        lengths, formulas = {start: at, end: to_at}, {start: self.at, end: self.to_at}
        texts = (
            f"Mark two points: {places[0]}, and {places[1]}.",
            f"Draw a line from point to point and cut the piece in two along it: the {self.name}, "
            "a seam of both parts.",
            f"Keep the part with the {spoken(work, self.keep)}; the other is the {self.part}.",
        )
        return tuple(Sentence(text, lengths, formulas) for text in texts)


def _in_order(edges: tuple[Edge, ...], names: tuple[str, ...]) -> Outline:
    """The outline starting with the edge that stood first in the whole piece."""
    first = min(range(len(edges) - 1), key=lambda place: names.index(edges[place].name))
    return Outline((*edges[first:], *edges[:first]))
