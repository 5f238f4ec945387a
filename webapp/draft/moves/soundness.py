"""What every outline and its markings must be after every move."""

from collections.abc import Sequence
from typing import Final

import shapely

from webapp.draft.markings import MarkedLine, Marking, Notch
from webapp.draft.moves.base import SMALLEST_MM, Workpiece
from webapp.draft.names import edge_called
from webapp.draft.outline import ON_FOLD_MM, Outline, Point, bounds

_ON_LINE_MM: Final = 0.5  # a marking may leave its line by half a chalk line


def refuse_unsound(work: Workpiece, outline: Outline) -> None:
    """MoveError for edges of one name, an edge used up, a crossed outline, a lost fold."""
    names = [name.lower() for name in outline.names]
    for name in names:
        if names.count(name) > 1:
            raise work.refusal(f"two edges would be called “{name}”; name one differently")
    for edge in outline:
        if edge.length_mm < SMALLEST_MM:
            raise work.refusal(f"nothing would be left of the {edge_called(edge.name)}")
    points = outline.points()
    if outline.area_mm2 <= 0 or not shapely.is_valid(shapely.polygons(points)):
        raise work.refusal("the outline would cross itself")
    if work.on_fold:
        past = bounds(points)[0] < -ON_FOLD_MM
        if past or sum(edge.on_fold for edge in outline) != 1:
            raise work.refusal("a piece cut on the fold needs one straight edge along the fold")


def refuse_lost_markings(work: Workpiece, outline: Outline, markings: Sequence[Marking]) -> None:
    """MoveError for a notch or a fold that is not on its edge any more, a mark outside the piece.

    Edges are compared by name: a split or a copy hands on what lies on its own.
    """
    whole = shapely.Polygon(outline.points())
    taken_up = shapely.MultiLineString([edge.points() for edge in outline if edge.taken_mm])
    for marking in markings:
        if isinstance(marking, Notch):
            known = marking.edge in outline.names
            line = shapely.LineString(outline.edge(marking.edge).points()) if known else None
            lost = line is None or line.distance(shapely.Point(marking.at)) > _ON_LINE_MM
        else:
            lost = any(whole.distance(shapely.Point(at)) > _ON_LINE_MM for at in marking.points)
        if lost:
            raise work.refusal(
                f"“{marking.name}” was marked where the piece has no cloth any more; "
                "make this move before the marking"
            )
        for end in _fold_ends(marking):
            # The edge is sewn shorter by what the fold takes up, so it must start where that is.
            if taken_up.is_empty or taken_up.distance(shapely.Point(end)) > _ON_LINE_MM:
                raise work.refusal(
                    f"“{marking.name}” would not start on its edge any more; make this move "
                    "before it"
                )


def _fold_ends(marking: Marking) -> tuple[Point, ...]:
    """Where a dart, a pleat or a tuck starts on its edge; nothing for other markings."""
    if not isinstance(marking, MarkedLine) or marking.kind not in ("dart", "pleat", "tuck"):
        return ()
    return (marking.points[0], marking.points[-1]) if marking.kind == "dart" else marking.points[:1]
