"""Where a piece's figures come from: the formulas behind them."""

from collections.abc import Iterator
from typing import Final

from webapp.draft.expressions import read
from webapp.draft.names import name_key
from webapp.draft.results import Draft, Piece
from webapp.draft.tree import Name, Node
from webapp.draft.working import rebuilt
from webapp.errors import FigureError

_SAME_MM: Final = 0.01  # a formula that is out by more does not say what the figure is


class Sources:
    """The formulas of the figures that the moves and the finishes of a draft make."""

    def __init__(self, draft: Draft) -> None:
        self._draft = draft
        self._found = {
            name_key(f"{piece.name}.{figure}"): node
            for piece in draft.pieces
            for figure, node in self._of(piece)
        }

    def told_by(self, node: Node) -> Node:
        """The formula with every figure of a piece, but for its edges, told by its own formula."""
        return rebuilt(node, self._instead)

    def _instead(self, name: Name) -> Node:
        source = self._found.get(name.key)
        return self.told_by(source) if source else name

    def _of(self, piece: Piece) -> Iterator[tuple[str, Node]]:
        texts = [pair for sentence in piece.words for pair in sentence.formulas.items()]
        for edge, finish in piece.finishes.items():
            text = finish.allowance or self._draft.recipe.seam_allowance
            texts += [(f"{edge} allowance", text), (f"{edge} turn under", finish.turn_under)]
        for figure, text in texts:
            mm = piece.figures_mm.get(figure)
            if mm is None or figure in piece.outline.names:
                continue
            try:
                found = read(text, composed=True)
                comes_to = found.length_mm(self._draft.names)
            except FigureError:
                continue
            if abs(comes_to - mm) <= _SAME_MM:
                yield figure, found.compute
