"""Split part: a piece that the split of another piece cut off."""

from typing import ClassVar, Literal

from webapp.draft.moves.base import (
    EdgeName,
    Shaped,
    ShapingMove,
    Workpiece,
    name_field,
    piece_field,
)
from webapp.draft.words import Sentence


class SplitPart(ShapingMove):
    """The part that a split of an earlier piece cut off, such as a yoke or a side panel."""

    title: ClassVar[str] = "Part that was split off"
    purpose: ClassVar[str] = "Start from what the split of an earlier piece cut off."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["split part"] = "split part"
    of: EdgeName = piece_field("Split off", "A piece drawn before this one.")
    part: EdgeName = name_field("Name of the part", "As the split calls it.", "part")

    def apply(self, work: Workpiece) -> Shaped:
        """Take the part's outline and markings over as they are."""
        work.refuse_second_shape()
        piece = work.earlier_piece(self.of)
        for name, part in piece.parts.items():
            if name.lower() == self.part.lower():
                marks = ", with everything marked on it" if part.markings else ""
                words = Sentence(f"Take the {name} that was cut off the {self.of}{marks}.")
                return Shaped(part.outline, {}, (words,), part.markings)
        if not piece.parts:
            raise work.refusal(f"nothing was split off {self.of}; give it the move “split” first")
        known = ", ".join(piece.parts)
        raise work.refusal(
            f"no part called “{self.part}” was split off {self.of}; what was: {known}"
        )
