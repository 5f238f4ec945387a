"""The named specimens every test may use: one garment, one body, and pieces drawn from moves."""

from pathlib import Path
from typing import Any

import webapp.draft
from webapp.draft.evaluate import Draft, Piece, evaluate
from webapp.draft.recipe import Body, Recipe
from webapp.units import parse_length

STARTERS = Path(webapp.draft.__file__).parent / "starters"

WREN = Body(
    name="Wren",
    measures={"bust": "92 cm", "hip": "98 cm", "waist": "76 cm", "head": "56 cm",
              "upper arm": "29 cm", "rise": "27 cm", "inside leg": "77 cm"},
)  # fmt: skip

# Shares of the height, for a body whose table has girths only; from memory.
PROPORTIONS = {"rise": 0.16, "inside leg": 0.46}


def completed(body: Body) -> Body:
    """The body with the lengths its table leaves out, by their share of its height."""
    height = parse_length(body.measures["height"]).mm
    lengths = {name: f"{share * height:.0f} mm" for name, share in PROPORTIONS.items()}
    return body.model_copy(update={"measures": lengths | body.measures})


def starter(name: str) -> Recipe:
    """A recipe that comes with Seamslate, by the name of its file."""
    return Recipe.model_validate_json((STARTERS / f"{name}.json").read_text(encoding="utf-8"))


SMOCK = starter("drop-shoulder-smock")

Move = dict[str, Any]

RECTANGLE: Move = {"kind": "rectangle", "width": "30 cm", "length": "50 cm"}


def smock_draft() -> Draft:
    """The smock on Wren."""
    return evaluate(SMOCK, WREN)


def smock_with(**fields: Any) -> Recipe:
    """The smock with some of its parts replaced."""
    return Recipe.model_validate(SMOCK.model_dump() | fields)


def with_choices(recipe: Recipe, **values: str) -> Recipe:
    """The recipe with other values; `waist_ease` names the choice “waist ease”."""
    new = {name.replace("_", " "): value for name, value in values.items()}
    assert new.keys() <= {choice.name for choice in recipe.choices}
    choices = tuple(
        choice.model_copy(update={"value": new.get(choice.name, choice.value)})
        for choice in recipe.choices
    )
    return recipe.model_copy(update={"choices": choices})


def draft_of(*moves: Move, allowance: str = "1.5 cm", **piece: Any) -> Draft:
    """A recipe of one piece, called Panel, on Wren."""
    panel = {"name": "Panel", "moves": moves, **piece}
    recipe = {"id": "panel", "name": "Panel", "seam_allowance": allowance, "pieces": [panel]}
    return evaluate(Recipe.model_validate(recipe), WREN)


def piece_of(*moves: Move, allowance: str = "1.5 cm", **piece: Any) -> Piece:
    """The one piece of such a recipe, drafted without any problem."""
    draft = draft_of(*moves, allowance=allowance, **piece)
    assert not draft.problems, draft.problems
    return draft.piece("Panel")


def sentences(draft: Draft) -> list[str]:
    """What a draft says of its problems."""
    return [problem.sentence for problem in draft.problems]


def refusal_of(*moves: Move, **piece: Any) -> str:
    """The one sentence such a recipe is refused with."""
    (sentence,) = sentences(draft_of(*moves, **piece))
    return sentence


def many_pieces() -> dict[str, Piece]:
    """Pieces of every kind: the starters' own, and one of each odd shape, by a telling name."""
    skirt = {"kind": "ring sector", "inner": "waist", "length": "60 cm", "share": "1/2"}
    narrow_hem = {"hem": {"kind": "double fold hem", "allowance": "0.6 cm", "turn_under": "0.6 cm"}}
    pieces = {
        f"{recipe.id}: {piece.name}": piece
        for recipe in map(starter, sorted(path.stem for path in STARTERS.glob("*.json")))
        for piece in evaluate(recipe, WREN).pieces
    }
    pieces["half circle skirt on the fold"] = piece_of(skirt, on_fold=True, finishes=narrow_hem)
    pieces["half circle skirt"] = piece_of(skirt, finishes=narrow_hem)
    pieces["long thin band"] = piece_of({"kind": "band", "length": "240 cm", "width": "2 cm"})
    pieces["band on the fold"] = piece_of(
        {"kind": "band", "length": "80 cm", "width": "3 cm"}, on_fold=True, grain="across"
    )
    pieces["tiny pocket"] = piece_of(RECTANGLE | {"width": "6 cm", "length": "7 cm"}, cut_count=4)
    pieces["square cut-in"] = piece_of(
        RECTANGLE,
        {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "5 cm", "shape": "square"},
    )
    pieces["short edges in a crowd"] = piece_of(
        RECTANGLE | {"width": "12 cm", "length": "16 cm"},
        {"kind": "scoop", "corner": "right side", "width": "1 cm", "depth": "1 cm"},
        {"kind": "cut in", "edge": "right side", "corner": "neck", "depth": "2 cm", "by": "1 cm",
         "radius": "0.5 cm"},
        {"kind": "slope", "edge": "hem", "end": "right side", "drop": "11 cm"},
    )  # fmt: skip
    pieces["flared, hem folded twice"] = piece_of(
        RECTANGLE,
        {"kind": "taper", "edge": "right side", "end": "hem", "by": "-8 cm"},
        {"kind": "taper", "edge": "left side", "end": "hem", "by": "6 cm"},
        finishes={"hem": {"kind": "double fold hem", "allowance": "3 cm", "turn_under": "1 cm"}},
    )
    return pieces
