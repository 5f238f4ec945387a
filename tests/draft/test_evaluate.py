"""Drafting a whole recipe: its pieces, its seams, and whether it passes over the body."""

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import RECTANGLE, SMOCK, STARTERS, WREN, smock_draft, starter, with_choices
from webapp.draft.construction import EdgeUse
from webapp.draft.evaluate import evaluate
from webapp.draft.expressions import Quantity
from webapp.draft.recipe import Body, Recipe

Json = dict[str, Any]


# --- The smock on Wren ------------------------------------------------------------------------


def test_the_smock_is_drafted_on_wren_without_a_problem() -> None:
    draft = smock_draft()
    assert draft.problems == ()
    assert draft.unfinished == ()
    assert [piece.name for piece in draft.pieces] == [
        "Front", "Back", "Sleeve", "Pocket", "Neck binding"
    ]  # fmt: skip


#  The front, in cm. Width (max(92, 98) + 24) / 4 + 4 = 34.5; below the arm 34.5 - 4 = 30.5.
#
#             (12, 0)╲
#   (0, 10)╯           (34.5, 3.5)
#     │                     │             3.5 + 24 = 27.5
#     │           (30.5, 31.5)╯(34.5, 27.5)     27.5 + 4 = 31.5
#   (0, 68)───────(30.5, 68)
FRONT = [(0, 10), (12, 0), (34.5, 3.5), (34.5, 27.5), (30.5, 31.5), (30.5, 68), (0, 68)]


def test_the_smocks_front_has_the_corners_its_choices_ask_for() -> None:
    front = smock_draft().piece("Front")
    found = [(edge.start[0] / 10, edge.start[1] / 10) for edge in front.outline]
    assert found == [pytest.approx(corner) for corner in FRONT]
    # Cut size: 34.5 + 1.5; the shoulder's allowance at the neck, 68, and 2.5 + 1 of hem.
    assert front.cut_size_mm == pytest.approx((360, 15 + 680 + 35), abs=0.3)


def test_the_smocks_seams_agree_and_it_passes_over_the_body() -> None:
    draft = smock_draft()
    assert all(seam.agrees for seam in draft.seams)
    assert all(check.holds for check in draft.checks)
    seams = {seam.name: seam for seam in draft.seams}
    assert seams["sleeve heads"].one_mm == pytest.approx(480)  # 2 * 24 cm of arm
    assert draft.finished_mm["Girth all round"] == pytest.approx(1220)  # 98 + 24
    assert draft.edge_mm(EdgeUse(edge="Front.hem", times=2)) == pytest.approx(610)


def test_the_sleeve_follows_the_body_it_is_sewn_to() -> None:
    sleeve = evaluate(with_choices(SMOCK, arm_depth="27 cm"), WREN).piece("Sleeve")
    assert sleeve.figures_mm["cap"] == pytest.approx(540)  # 2 * 27
    assert sleeve.figures_mm["cuff"] == pytest.approx(320)


def test_drafting_twice_gives_the_same() -> None:
    one, other = smock_draft(), smock_draft()
    assert one == other
    assert [p.cut_points for p in one.pieces] == [p.cut_points for p in other.pieces]


@pytest.mark.parametrize("name", sorted(path.stem for path in STARTERS.glob("*.json")))
def test_every_starter_is_drafted_on_wren_and_holds_together(name: str) -> None:
    draft = evaluate(starter(name), WREN)
    assert draft.problems == ()
    assert [seam.told("cm") for seam in draft.seams if not seam.agrees] == []
    assert [check.told("cm") for check in draft.checks if not check.holds] == []


# --- Scale ------------------------------------------------------------------------------------


def _scaled(part: Any, by: float) -> Any:
    """A recipe or a body with every typed length, in cm throughout, multiplied."""
    if isinstance(part, dict):
        return {key: _scaled(value, by) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [_scaled(value, by) for value in part]
    if isinstance(part, str):
        return re.sub(r"([\d.]+) cm\b", lambda m: f"{float(m[1]) * by:.9f} cm", part)
    return part


@settings(max_examples=15, deadline=None)
@given(st.floats(0.3, 3), st.sampled_from(["drop-shoulder-smock", "half-circle-skirt"]))
def test_a_body_k_times_the_size_gets_a_garment_k_times_the_size(k: float, name: str) -> None:
    """Lengths grow by k, areas by k²; an exact rule of similar figures."""
    recipe = starter(name).model_dump(exclude={"steps"})
    one = evaluate(Recipe.model_validate(recipe), WREN)
    other = evaluate(
        Recipe.model_validate(_scaled(recipe, k)),
        Body.model_validate(_scaled(WREN.model_dump(), k)),
    )
    for small, large in zip(one.pieces, other.pieces, strict=True):
        for figure, value in small.figures_mm.items():
            assert large.figures_mm[figure] == pytest.approx(k * value, rel=1e-6), figure
        area = small.outline.area_mm2
        assert large.outline.area_mm2 == pytest.approx(k * k * area, rel=1e-6)
        assert large.cut_size_mm == pytest.approx(
            [k * side for side in small.cut_size_mm], rel=1e-3
        )
    for shorter, longer in zip(one.seams, other.seams, strict=True):
        assert longer.one_mm == pytest.approx(k * shorter.one_mm, rel=1e-6)


# --- Seams and checks -------------------------------------------------------------------------


def _joined(difference: str, eased: str = "") -> Json:
    """Two panels whose hems are sewn together, the upper one's longer by the difference."""

    def panel(name: str, width: str) -> Json:
        return {"name": name, "moves": [RECTANGLE | {"width": width}]}

    return {
        "id": "skirt",
        "name": "Skirt",
        "pieces": [panel("Upper", f"40 cm + {difference}"), panel("Lower", "40 cm")],
        "seams": [
            {"name": "tier", "one": [{"edge": "Upper.hem"}], "other": [{"edge": "Lower.top"}],
             "eased_in": eased}
        ],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("difference", "eased", "agrees"),
    [
        ("0 mm", "", True),
        ("3 mm", "", True),
        ("3.1 mm", "", False),
        ("20 cm", "", False),
        ("20 cm", "20 cm", True),
        ("20 cm", "Lower.top / 2", True),
        ("0 mm", "20 cm", False),
    ],
)
def test_a_seams_two_sides_agree_within_3_mm_of_what_is_eased_in(
    difference: str, eased: str, agrees: bool
) -> None:
    (seam,) = evaluate(Recipe.model_validate(_joined(difference, eased)), WREN).seams
    assert seam.agrees is agrees


def test_a_seam_that_does_not_agree_says_both_lengths() -> None:
    (seam,) = evaluate(Recipe.model_validate(_joined("2 cm")), WREN).seams
    assert seam.told("cm") == (
        "tier: Upper hem is 42 cm (16 1/2 in); Lower top is 40 cm (15 3/4 in). 2 cm (13/16 in) of "
        "Upper hem is left over."
    )


def test_lengths_that_read_alike_are_told_apart_by_what_is_left_over() -> None:
    (seam,) = evaluate(Recipe.model_validate(_joined("4 mm")), WREN).seams
    assert "Lower top is 40 cm (15 3/4 in). 0.4 cm (3/16 in) of Upper hem is" in seam.told("cm")


def test_a_garment_too_small_for_its_body_says_so_with_both_figures() -> None:
    draft = evaluate(SMOCK, Body(name="Rook", measures=WREN.measures | {"head": "60 cm"}))
    (failing,) = [check for check in draft.checks if not check.holds]
    assert failing.told("cm") == (
        "Neck opening is 60 cm (23 5/8 in); it needs at least 62 cm (24 3/8 in). "
        "It has no fastening, so the head must pass."
    )


def test_a_garment_may_quote_the_figures_of_one_drafted_before_it() -> None:
    cowl = starter("tube-cowl").model_dump(exclude={"steps"})
    cowl["pieces"][0]["moves"][0]["width"] = "Front.hem"
    draft = evaluate(Recipe.model_validate(cowl), WREN, smock_draft().names)
    assert draft.piece("Cowl").figures_mm["width"] == pytest.approx(305)
    assert evaluate(SMOCK, WREN, {"front.hem": Quantity(1.0)}) == smock_draft()


# --- The recipe itself ------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["pieces", "choices", "seams", "steps"])
def test_a_recipe_refuses_two_parts_of_one_name(part: str) -> None:
    recipe = json.loads(SMOCK.model_dump_json())
    recipe[part].append(recipe[part][0])
    with pytest.raises(ValueError, match="give one another name"):
        Recipe.model_validate(recipe)


def test_a_recipe_reads_back_as_it_was_written() -> None:
    assert Recipe.model_validate_json(SMOCK.model_dump_json()) == SMOCK
    with pytest.raises(ValueError, match="Extra inputs are not permitted"):
        Recipe.model_validate(SMOCK.model_dump() | {"colour": "blue"})
