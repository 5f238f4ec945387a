"""Facings: the edges they finish, their depth, what is refused."""

from typing import Any

import pytest
import shapely

from tests.drafted import corners, front, garment_of, last_of, made, words
from tests.specimens import Move

SCOOP: Move = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
ROUNDED: Move = {"kind": "round corner", "edge": "hem", "corner": "side", "radius": "3 cm"}
NOTCH: Move = {"kind": "notch", "edge": "side", "corner": "top", "at": "5 cm"}
POCKET: Move = {"kind": "pocket place", "edge": "side", "corner": "hem", "across": "4 cm",
                "down": "4 cm", "width": "10 cm", "length": "12 cm"}  # fmt: skip
SPLIT: Move = {"kind": "split", "edge": "side", "corner": "top", "at": "12 cm", "to": "centre",
               "to_corner": "top", "to_at": "15 cm", "keep": "hem", "name": "yoke seam",
               "part": "yoke"}  # fmt: skip
# Cut from the top of the fold to the end of the hem; the half that is left is a triangle.
TRIANGLE: Move = SPLIT | {"edge": "top", "corner": "centre", "at": "0 cm", "to": "hem",
                          "to_corner": "side", "to_at": "0 cm", "keep": "centre"}  # fmt: skip
FACING: Move = {"kind": "facing", "of": "Front", "edges": ["neck"], "depth": "6 cm"}
GATHERS: Move = {"kind": "fullness", "by": "20 cm"}


def test_a_facing_of_a_straight_edge_is_a_strip() -> None:
    piece = last_of(front(), made(FACING | {"edges": ["right side"]}))
    assert piece.outline.names == ("right side", "hem", "inner", "top")
    assert corners(piece) == [(30, 0), (30, 50), (24, 50), (24, 0)]  # 30 - 6 = 24
    assert piece.outline.edge("inner").is_straight
    assert words(piece) == [
        "Trace the right side edge of the Front, and the beginnings of the top and hem edges.",
        "Mark 6 cm (2 3/8 in) from the right side edge in many places, square to it, and join "
        "the marks with a smooth line: the inner edge of the facing.",
    ]


@pytest.mark.parametrize(
    "edges", [["neck"], ["neck", "top"], ["top", "neck"], ["hem", "corner", "side"]]
)
@pytest.mark.parametrize("depth_cm", [0.8, 6, 9.5])
def test_a_facing_has_the_edges_of_the_garment_and_its_depth_all_along(
    edges: list[str], depth_cm: float
) -> None:
    """Against shapely's distances; 0.1 mm is finer than a pencil line.

    The rounded corner of 3 cm is tighter than the facing is deep: there its inner edge has a point.
    """
    garment = front(SCOOP | {"fullness": "0.5"}, ROUNDED, on_fold=True)
    move = FACING | {"edges": edges, "depth": f"{depth_cm} cm"}
    whole = last_of(garment)
    piece = last_of(garment, made(move, on_fold=True))
    for name in edges:
        assert piece.outline.edge(name) == whole.outline.edge(name)
    outer = shapely.union_all([
        shapely.LineString(whole.outline.edge(name).points(0.001)) for name in edges
    ])  # fmt: skip
    inner = piece.outline.edge("inner").points()
    away = [outer.distance(shapely.Point(point)) for point in inner]
    assert away == pytest.approx([depth_cm * 10] * len(inner), abs=0.1)
    cloth = shapely.Polygon(whole.outline.points(0.001))
    assert shapely.Polygon(piece.seam_points).difference(cloth).area < 5  # mm²: a line's rounding
    # Of all the cloth no further away than the depth, nothing is left out.
    near = shapely.intersection(cloth, shapely.buffer(outer, depth_cm * 10, quad_segs=180))
    assert piece.outline.area_mm2 == pytest.approx(near.area, rel=1e-3)


def test_a_neck_facing_measures_its_depth_along_the_shoulder_and_down_the_centre() -> None:
    piece = last_of(front(SCOOP, on_fold=True), made(FACING, on_fold=True))
    assert piece.outline.names == ("neck", "top", "inner", "centre")
    assert piece.figures_mm["top"] == pytest.approx(60, abs=0.1)
    assert piece.figures_mm["centre"] == pytest.approx(60, abs=0.1)
    assert piece.outline.edge("centre").on_fold


def test_a_facing_has_the_markings_that_lie_on_it() -> None:
    on_neck = {"kind": "notch", "edge": "neck", "corner": "centre", "at": "4 cm", "name": "middle"}
    garment = front(SCOOP, on_neck, NOTCH, POCKET, on_fold=True)
    piece = last_of(garment, made(FACING, on_fold=True))
    assert [mark.name for mark in piece.markings] == ["middle"]


def test_a_facing_of_a_piece_off_the_fold_speaks_of_no_fold() -> None:
    piece = last_of(front(), made(FACING | {"edges": ["top"]}))
    assert words(piece)[0] == (
        "Trace the top edge of the Front, and the beginnings of the left side and right side edges."
    )


FACINGS_REFUSED: list[tuple[str, dict[str, Any], str]] = [
    ("no edge", {"edges": []}, "name the edges it finishes."),
    ("unknown edge", {"edges": ["foot"]},
     "Front has no edge called “foot”; its edges are neck, top, side, hem, centre."),
    ("edges apart", {"edges": ["neck", "side"]},
     "the neck and side edges of Front do not follow on one another; draw a facing for each."),
    ("all but one", {"edges": ["neck", "top", "side", "hem"]},
     "leave out two edges of Front at least, for the facing to end on."),
    ("deeper than the piece", {"edges": ["top"], "depth": "50 cm"},
     "depth 50 cm (19 5/8 in) is more than there is up to the hem edge, 50 cm (19 5/8 in)."),
    ("deeper than a corner",
     {"edges": ["hem"], "depth": "51 cm"},
     "so deep, its inner edge would not run in one line beside the edges of Front; make it less "
     "deep."),
    ("gathered edge", {"edges": ["top"], "depth": "5 cm"},
     "the top edge of Front has darts, pleats or gathers, which a facing is drawn without."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("case", "facing", "why"), FACINGS_REFUSED, ids=[r[0] for r in FACINGS_REFUSED]
)
def test_a_facing_that_cannot_be_drawn_says_why(
    case: str, facing: dict[str, Any], why: str
) -> None:
    moves = {"gathered edge": [SCOOP, GATHERS], "deeper than a corner": [TRIANGLE]}
    garment = front(*moves.get(case, [SCOOP]), on_fold=True)
    draft = garment_of(garment, made(FACING | facing, on_fold=True))
    assert [problem.sentence for problem in draft.problems] == [f"Panel, facing: {why}"]
