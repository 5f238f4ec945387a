"""What every outline must be after every move."""

import shapely

from webapp.draft.moves.base import SMALLEST_MM, Workpiece
from webapp.draft.outline import ON_FOLD_MM, Outline, bounds


def refuse_unsound(work: Workpiece, outline: Outline) -> None:
    """MoveError for edges of one name, an edge used up, a crossed outline, a lost fold."""
    names = [name.lower() for name in outline.names]
    for name in names:
        if names.count(name) > 1:
            raise work.refusal(f"two edges would be called “{name}”; name one differently")
    for edge in outline:
        if edge.length_mm < SMALLEST_MM:
            raise work.refusal(f"nothing would be left of the {edge.name} edge")
    points = outline.points()
    if outline.area_mm2 <= 0 or not shapely.Polygon(points).is_valid:
        raise work.refusal("the outline would cross itself")
    if work.on_fold:
        past = bounds(points)[0] < -ON_FOLD_MM
        if past or sum(edge.on_fold for edge in outline) != 1:
            raise work.refusal("a piece cut on the fold needs one straight edge along the fold")
