"""A left and a right from the recipe to the lay, the kept lay, plan.json and the words."""

from typing import Any

import pytest
import shapely

from webapp.cloth.cloths import KeptLay, KeptPlacement
from webapp.draft.drawing import described
from webapp.handouts.companion_pieces import cutting_line, laying
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan


def yoke(**fields: Any) -> Episode:
    """A yoke half whose right side slants: 30 cm at the top, 20 cm at the foot."""
    moves = [
        {"kind": "rectangle", "width": "30 cm", "length": "15 cm",
         "edges": ["top", "right side", "foot", "left side"]},
        {"kind": "taper", "edge": "right side", "end": "foot", "by": "10 cm"},
    ]  # fmt: skip
    piece = {"name": "Yoke", "moves": moves, **fields}
    garment = {"id": "g", "name": "G", "seam_allowance": "0 cm", "pieces": [piece]}
    document = {"id": "e", "title": "E", "garments": [garment], "cloths": [{"width": "62 cm"}]}
    return Episode.model_validate(document)


def shapes(plan: Plan) -> list[tuple[bool, shapely.Polygon]]:
    lay = plan.lays[0].lay
    assert lay is not None
    return [(p.flipped, shapely.Polygon(lay.placed_points(p))) for p in lay.placements]


def slant(shape: shapely.Polygon) -> float:
    """Of which hand a yoke is, however it is turned by halves: 1 or -1.

    In a right-angled trapezium the slanting side leads from the long side to the short one to
    the right or to the left of the way from the long side to the short one.
    """
    corners = shapely.get_coordinates(shapely.remove_repeated_points(shape.exterior, 0.01))[:-1]
    level = sorted((c for c in corners), key=lambda c: (c[1], c[0]))
    low, high = level[:2], level[2:]
    wide, narrow = (low, high) if low[1][0] - low[0][0] > high[1][0] - high[0][0] else (high, low)
    right = abs(wide[0][0] - narrow[0][0]) < 1  # flush on the left: it slants on the right
    down = narrow[0][1] > wide[0][1]
    return 1 if right == down else -1


def test_of_two_one_lies_mirrored_and_without_a_pair_neither() -> None:
    """Told from the polygons on the cloth alone, as shapely has them."""
    pair = shapes(evaluate(yoke(cut_count=2, pair=True)))
    assert sorted(slant(shape) for _, shape in pair) == [-1, 1]
    assert [flipped for flipped, shape in pair if slant(shape) == -1] == [True]
    assert pair[0][1].intersection(pair[1][1]).area < 0.05
    assert {slant(shape) for _, shape in shapes(evaluate(yoke(cut_count=2)))} == {1}


def test_a_kept_lay_of_a_pair_comes_back() -> None:
    episode = yoke(cut_count=4, pair=True)
    plan = evaluate(episode).lays[0]
    assert plan.lay is not None
    kept = KeptLay(
        cloth=plan.cloth.name,
        key=plan.key,
        placements=tuple(
            KeptPlacement(
                name=p.name,
                copy_number=p.copy,
                turn_degrees=p.turn_degrees,
                flipped=p.flipped,
                x_mm=p.x_mm,
                y_mm=p.y_mm,
            )
            for p in plan.lay.placements
        ),
    )
    again = evaluate(changed(episode, kept_lays=(kept,))).lays[0]
    assert again.kept
    assert again.lay == plan.lay
    alike = changed(yoke(cut_count=4), kept_lays=(kept,))
    assert not evaluate(alike).lays[0].kept  # another piece: another key


def test_plan_json_tells_the_pair_and_which_copies_are_flipped() -> None:
    document = plan_json(evaluate(yoke(cut_count=4, pair=True)))
    assert document["pieces"][0]["pair"] is True
    flipped = {p["copy"]: p["flipped"] for p in document["lays"][0]["placements"]}
    assert flipped == {0: False, 1: True, 2: False, 3: True}


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        ({"cut_count": 2, "pair": True}, "Cut 2, a left and a right"),
        ({"cut_count": 4, "pair": True}, "Cut 4, 2 left and 2 right"),
        ({"cut_count": 2}, "Cut 2"),
        ({"cut_count": 2, "pair": True, "on_fold": True}, "Cut 2 on the fold"),
    ],
)
def test_the_cutting_words_say_a_left_and_a_right(fields: dict[str, Any], line: str) -> None:
    (piece,) = evaluate(yoke(**fields)).pieces
    assert cutting_line(piece) == line
    assert described(piece, "cm").startswith(f"Yoke, c{line[1:]}. ")


def test_on_the_bias_the_grain_is_said_after_the_hands() -> None:
    (piece,) = evaluate(yoke(cut_count=2, pair=True, grain="bias")).pieces
    assert "cut 2, a left and a right, on the bias" in described(piece, "cm")


def test_the_companion_says_to_turn_the_piece_over_only_for_a_pair() -> None:
    for pair in (True, False):
        episode = yoke(cut_count=2, pair=pair)
        (*said,) = laying(evaluate(episode).pieces, [("Main cloth", "open")])
        assert any("face down to chalk its other hand" in line for line in said) == pair
