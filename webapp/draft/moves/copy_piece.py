"""Copy: start a piece from another, such as a back from a front."""

from typing import ClassVar, Literal

from webapp.draft.moves.base import (
    EdgeName,
    Shaped,
    ShapingMove,
    Workpiece,
    piece_field,
)
from webapp.draft.words import Sentence


class Copy(ShapingMove):
    """The outline and the markings of an earlier piece; what differs is moved afterwards."""

    title: ClassVar[str] = "Copy of a piece"
    purpose: ClassVar[str] = "Start from an earlier piece, and then change what differs."
    starts_a_piece: ClassVar[bool] = True

    kind: Literal["copy"] = "copy"
    of: EdgeName = piece_field(
        "Copy of", "A piece drawn before this one. A half stays a half: unfold it to open it."
    )

    def apply(self, work: Workpiece) -> Shaped:
        """Take the outline and the markings over as they are."""
        work.refuse_second_shape()
        piece = work.earlier_piece(self.of)
        half = ", half of it as it lies on the fold" if piece.on_fold else ""
        marks = ", with everything marked on it" if piece.markings else ""
        words = Sentence(f"Trace the {self.of}{half}{marks}.")
        return Shaped(piece.outline, {}, (words,), piece.markings)
