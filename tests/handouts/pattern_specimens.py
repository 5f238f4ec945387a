"""A small apron to print patterns of, and panels of any size."""

from collections.abc import Sequence
from typing import Any, Literal

from tests.specimens import RECTANGLE, WREN
from webapp.draft.recipe import Body, Recipe
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan

Paper = Literal["a4", "letter", "sheet"]

BIB = Recipe.model_validate(
    {
        "id": "bib",
        "name": "Bib apron",
        "seam_allowance": "1.5 cm",
        "measures": ["bust"],
        "pieces": [
            {
                "name": "Front",
                "on_fold": True,
                "moves": [
                    RECTANGLE | {"width": "bust / 4 + 1 cm", "length": "33 cm"},
                    {"kind": "scoop", "corner": "centre", "width": "8 cm", "depth": "11 cm"},
                    {"kind": "notch", "edge": "hem", "corner": "side", "at": "6 cm"},
                    {"kind": "pocket place", "edge": "neck", "corner": "centre",
                     "across": "8 cm", "down": "8 cm", "width": "9 cm", "length": "6 cm"},
                ],
                "finishes": {"hem": {"kind": "double fold hem", "allowance": "3 cm",
                                     "turn_under": "1 cm"}},
            },
            {"name": "Strap", "cut_count": 2, "pair": True,
             "moves": [RECTANGLE | {"width": "7 cm", "length": "40 cm"},
                       {"kind": "taper", "edge": "right side", "end": "hem", "by": "2 cm"}]},
            {"name": "Loop", "moves": [RECTANGLE | {"width": "1 cm", "length": "2 cm"}],
             "cut_count": 2},
        ],
    }
)  # fmt: skip
SMALL = WREN.model_copy(update={"name": "Tern", "measures": WREN.measures | {"bust": "84 cm"}})
LARGE = WREN.model_copy(update={"name": "Swan", "measures": WREN.measures | {"bust": "100 cm"}})


def planned(
    *pieces: dict[str, Any],
    sizes: tuple[Body, ...] = (),
    title: str = "Bib",
    cloths: Sequence[dict[str, Any]] = (),
    **choices: Any,
) -> Plan:
    recipe = BIB
    if pieces:
        recipe = Recipe.model_validate(BIB.model_dump() | {"pieces": pieces})
    episode = Episode(id="bib", title=title, body=WREN, sizes=sizes, garments=(recipe,))
    told: dict[str, Any] = {"print_choices": choices} | ({"cloths": cloths} if cloths else {})
    return evaluate(Episode.model_validate(episode.model_dump() | told))


def panel(width: str, length: str, **more: Any) -> dict[str, Any]:
    """A rectangle to take the place of the apron's pieces; 1.5 cm are added around it."""
    return {"name": "Panel", "moves": [RECTANGLE | {"width": width, "length": length}], **more}
