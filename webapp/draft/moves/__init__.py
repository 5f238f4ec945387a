"""The shaping moves, one a file. To add one: write its file, list it here, test it."""

from typing import Annotated, Final

from pydantic import Field

from webapp.draft.moves.band import Band
from webapp.draft.moves.base import Drafted, Shaped, ShapingMove, Workpiece
from webapp.draft.moves.cut_in import CutIn
from webapp.draft.moves.extend import Extend
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.moves.ring_sector import RingSector
from webapp.draft.moves.scoop import Scoop
from webapp.draft.moves.slope import Slope
from webapp.draft.moves.taper import Taper

Move = Annotated[
    Rectangle | Band | RingSector | Scoop | Slope | CutIn | Extend | Taper,
    Field(discriminator="kind"),
]

MOVES: Final[dict[str, type[ShapingMove]]] = {
    move.model_fields["kind"].default: move
    for move in (Rectangle, Band, RingSector, Scoop, Slope, CutIn, Extend, Taper)
}

__all__ = ["MOVES", "Drafted", "Move", "Shaped", "ShapingMove", "Workpiece"]
