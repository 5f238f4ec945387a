"""The shaping moves, one a file. To add one: write its file, list it here, test it."""

from typing import Annotated, Final

from pydantic import Field

from webapp.draft.moves.band import Band
from webapp.draft.moves.base import Drafted, Shaped, ShapingMove, Workpiece
from webapp.draft.moves.bow import Bow
from webapp.draft.moves.buttonholes import Buttonholes
from webapp.draft.moves.copy_piece import Copy
from webapp.draft.moves.cut_in import CutIn
from webapp.draft.moves.dart import Dart
from webapp.draft.moves.drill_hole import DrillHole
from webapp.draft.moves.extend import Extend
from webapp.draft.moves.facing import Facing
from webapp.draft.moves.flared_panel import FlaredPanel
from webapp.draft.moves.fullness import Fullness
from webapp.draft.moves.notch import Notch
from webapp.draft.moves.part import SplitPart
from webapp.draft.moves.pocket_place import PocketPlace
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.moves.ring_sector import RingSector
from webapp.draft.moves.round_corner import RoundCorner
from webapp.draft.moves.scoop import Scoop
from webapp.draft.moves.slope import Slope
from webapp.draft.moves.split import Split
from webapp.draft.moves.spread import Spread
from webapp.draft.moves.taper import Taper
from webapp.draft.moves.trouser_leg import TrouserLeg
from webapp.draft.moves.unfold import Unfold
from webapp.draft.moves.vee import Vee

# In the order a page offers them.
Move = Annotated[
    Rectangle
    | FlaredPanel
    | RingSector
    | TrouserLeg
    | Band
    | Copy
    | SplitPart
    | Facing
    | Scoop
    | Vee
    | Slope
    | CutIn
    | Extend
    | Taper
    | Bow
    | RoundCorner
    | Dart
    | Fullness
    | Spread
    | Split
    | Unfold
    | Notch
    | DrillHole
    | PocketPlace
    | Buttonholes,
    Field(discriminator="kind"),
]

_ALL: Final[tuple[type[ShapingMove], ...]] = (
    Rectangle,
    FlaredPanel,
    RingSector,
    TrouserLeg,
    Band,
    Copy,
    SplitPart,
    Facing,
    Scoop,
    Vee,
    Slope,
    CutIn,
    Extend,
    Taper,
    Bow,
    RoundCorner,
    Dart,
    Fullness,
    Spread,
    Split,
    Unfold,
    Notch,
    DrillHole,
    PocketPlace,
    Buttonholes,
)
MOVES: Final = {move.model_fields["kind"].default: move for move in _ALL}

__all__ = ["MOVES", "Drafted", "Move", "Shaped", "ShapingMove", "Workpiece"]
