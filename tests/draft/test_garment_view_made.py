"""Garments of other kinds than the starters, made up here, put together from their pieces."""

from typing import Any, Final

import pytest
import shapely

from tests.draft.test_garment_view import area, foot, head, height, near, outside
from tests.specimens import WREN
from webapp.draft.evaluate import evaluate
from webapp.draft.garment_view import GarmentView, views_of
from webapp.draft.recipe import Recipe
from webapp.draft.results import Draft

Part = dict[str, Any]
BODY: Final = ["shoulder", "side", "hem", "centre"]


def rectangle(width: str, length: str, *edges: str) -> Part:
    """The move that starts from a rectangle."""
    return {"kind": "rectangle", "width": width, "length": length, "edges": list(edges)}


def piece(name: str, *moves: Part, **how: Any) -> Part:
    """A piece of moves."""
    return {"name": name, "moves": list(moves), **how}


def seam(one: str, other: str, **how: Any) -> Part:
    """A seam between edges, each written as it is typed: `Back.arm backwards`."""
    sides = [
        [
            {"edge": use.strip().removesuffix(" backwards"), "backwards": "backwards" in use}
            for use in side.split(",")
        ]
        for side in (one, other)
    ]
    return {"name": f"{one} to {other}"[:80], "one": sides[0], "other": sides[1], **how}


def bodice(name: str, neck: str) -> Part:
    """Half a bodice with a neck and an armhole of two edges."""
    return piece(
        name,
        rectangle("24 cm", "42 cm", *BODY),
        {"kind": "scoop", "edge": "shoulder", "corner": "centre", "width": "8 cm",
         "depth": neck, "name": "neck"},
        {"kind": "slope", "edge": "shoulder", "end": "side", "drop": "4 cm"},
        {"kind": "cut in", "edge": "side", "corner": "shoulder", "depth": "18 cm", "by": "5 cm",
         "shape": "rounded", "radius": "5 cm", "upper": "armhole", "under": "underarm"},
        on_fold=True,
    )  # fmt: skip


def gathered(name: str) -> Part:
    """Half a skirt, gathered at the waist."""
    return piece(
        name,
        rectangle("19 cm", "60 cm", "waist", "side", "hem", "centre"),
        {"kind": "fullness", "edge": "waist", "how": "gathers", "by": "14 cm"},
        on_fold=True,
    )


DRESS: Final[dict[str, list[Part]]] = {
    "pieces": [
        bodice("Bodice front", "8 cm"),
        bodice("Bodice back", "2 cm"),
        gathered("Skirt front"),
        gathered("Skirt back"),
        piece(
            "Sleeve",
            rectangle("50 cm", "30 cm", "cap", "right seam", "lower edge", "left seam"),
            {"kind": "bow", "edge": "cap", "by": "9 cm"},
            cut_count=2,
        ),
        piece(
            "Cuff",
            {"kind": "band", "length": "Sleeve.lower edge", "width": "5 cm", "folded": True},
            cut_count=2,
        ),
    ],
    "seams": [
        seam("Bodice front.shoulder", "Bodice back.shoulder", sewn=2),
        seam("Bodice front.side", "Bodice back.side", sewn=2),
        seam("Skirt front.side", "Skirt back.side", sewn=2),
        seam("Bodice front.hem", "Skirt front.waist", turned=True),
        seam("Bodice back.hem", "Skirt back.waist", turned=True),
        seam(
            "Sleeve.cap",
            "Bodice back.underarm backwards, Bodice back.armhole backwards, "
            "Bodice front.armhole, Bodice front.underarm",
            sewn=2,
        ),
        seam("Sleeve.right seam", "Sleeve.left seam", sewn=2, turned=True),
        seam("Cuff.join", "Sleeve.lower edge", sewn=2),
    ],
}


def drafted(parts: dict[str, list[Part]]) -> Draft:
    """The draft of made-up parts on Wren."""
    recipe = {"id": "made-up", "name": "Made up", "seam_allowance": "1 cm", **parts}
    draft = evaluate(Recipe.model_validate(recipe), WREN)
    assert [problem.sentence for problem in draft.problems] == []
    return draft


def sides(parts: dict[str, list[Part]]) -> dict[str, GarmentView]:
    """Its views by side."""
    return {view.side: view for view in views_of(drafted(parts))}


def test_a_bodice_stands_on_its_skirt_with_its_sleeves_and_their_cuffs() -> None:
    front = sides(DRESS)["front"]
    assert set(front.pieces) == {"Bodice front", "Skirt front", "Sleeve", "Cuff"}
    bodice_front = area(front, "Bodice front")
    assert bodice_front.bounds[3] == near(area(front, "Skirt front").bounds[1])
    assert foot(bodice_front) == near(head(area(front, "Skirt front")), 3)
    assert height(shapely.union(bodice_front, area(front, "Skirt front"))) == near(1020, 4)
    assert area(front, "Bodice back", inside=True).area > 0
    cuffs = area(front, "Cuff")
    assert cuffs.area == pytest.approx(2 * 250 * 50, rel=0.02)  # half of each is seen


@pytest.mark.parametrize("wrong", range(len(DRESS["seams"])))
def test_a_seam_told_the_wrong_way_round_looks_the_same(wrong: int) -> None:
    seams = [dict(one) for one in DRESS["seams"]]
    seams[wrong]["turned"] = not seams[wrong].get("turned", False)
    right, told = (outside(sides(parts)["front"]) for parts in (DRESS, DRESS | {"seams": seams}))
    assert float(shapely.symmetric_difference(right, told).area) < 0.01 * right.area


def test_half_of_the_gores_stand_side_by_side() -> None:
    (skirt,) = views_of(
        drafted(
            {
                "pieces": [
                    piece(
                        "Gore",
                        rectangle("12 cm", "60 cm", "waist", "right", "hem", "left"),
                        {"kind": "taper", "edge": "right", "end": "hem", "by": "-6 cm"},
                        {"kind": "taper", "edge": "left", "end": "hem", "by": "-6 cm"},
                        cut_count=6,
                    )
                ],
                "seams": [seam("Gore.right", "Gore.left", sewn=6, turned=True)],
            }
        )
    )
    assert skirt.side == "both"
    assert outside(skirt).area == pytest.approx(3 * 600 * (120 + 240) / 2, rel=1e-3)


def test_half_of_a_side_panel_is_seen_from_each_side() -> None:
    pieces = [
        piece(name, rectangle("20 cm", "60 cm", "top", "side", "hem", "centre"), on_fold=True)
        for name in ("Front", "Back")
    ]
    edges = ("top", "back seam", "hem", "front seam")
    panel = piece("Side panel", rectangle("12 cm", "60 cm", *edges), cut_count=2, pair=True)
    seams = [
        seam("Front.side", "Side panel.front seam", sewn=2, turned=True),
        seam("Back.side", "Side panel.back seam", sewn=2),
    ]
    views = sides({"pieces": [*pieces, panel], "seams": seams})
    for view in views.values():
        assert area(view, "Side panel").area == pytest.approx(120 * 600, rel=1e-3)
        assert foot(outside(view)) == near(400 + 120)
