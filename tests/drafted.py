"""Pieces made from other pieces, and what tests ask of a drawn piece: its corners, its words."""

from collections.abc import Iterable
from typing import Any

from tests.specimens import RECTANGLE, WREN, Move
from webapp.draft.evaluate import Draft, Piece, evaluate
from webapp.draft.outline import Point
from webapp.draft.recipe import Recipe


def corners(piece: Piece) -> list[tuple[float, float]]:
    """Where each edge starts, in cm."""
    return in_cm(edge.start for edge in piece.outline)


def in_cm(points: Iterable[Point]) -> list[tuple[float, float]]:
    return [(round(x / 10, 4) + 0.0, round(y / 10, 4) + 0.0) for x, y in points]


def words(piece: Piece) -> list[str]:
    """Its sentences, centimetres first."""
    return [sentence.show("cm") for sentence in piece.words]


def own_words(piece: Piece) -> list[str]:
    """Its sentences as those read them who draft it to their own measurements."""
    return [sentence.in_own_text().show("cm") for sentence in piece.words]


def front(*moves: Move, **piece: Any) -> dict[str, Any]:
    return {"name": "Front", "moves": [RECTANGLE, *moves], **piece}


def made(*moves: Move, **piece: Any) -> dict[str, Any]:
    return {"name": "Panel", "moves": moves, **piece}


def garment_of(*pieces: dict[str, Any]) -> Draft:
    """A recipe of these pieces on Wren, the later ones made from the earlier."""
    recipe = {"id": "panel", "name": "Panel", "seam_allowance": "0 cm", "pieces": pieces}
    return evaluate(Recipe.model_validate(recipe), WREN)


def last_of(*pieces: dict[str, Any]) -> Piece:
    """The last piece of such a garment, drafted without any problem."""
    draft = garment_of(*pieces)
    assert not draft.problems, draft.problems
    return draft.pieces[-1]
