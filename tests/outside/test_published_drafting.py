"""Drafting against published examples; each source stands beside its check."""

import math
from typing import Any

import pytest

from tests.specimens import SMOCK, WREN, draft_of, smock_draft
from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body

INCH_MM = 25.4


def _ring(inner: str, share: str, length: str = "60 cm") -> dict[str, float]:
    move: dict[str, Any] = {"kind": "ring sector", "inner": inner, "length": length, "share": share}
    draft = draft_of(move, allowance="0 cm")
    piece = draft.piece("Panel")
    return {**piece.figures_mm, "area": piece.outline.area_mm2}


# waist 26 in: full W / 2 pi, half W / pi, third 3 W / 2 pi, quarter 2 W / pi.
# prettyquirkypants.com/2014/03/07/diy-tips-circle-skirt-half-circle-skirt-formulas (read). The page
# cuts its figures short (8.2 for 8.276), hence the tolerance of a tenth of an inch. A full circle
# is drawn here as two halves, each on half of the waist.
@pytest.mark.parametrize(
    ("inner", "share", "published_in"),
    [
        ("13 in", "1/2", 4.13),
        ("26 in", "1/2", 8.2),
        ("26 in", "1/3", 12.4),
        ("26 in", "1/4", 16.56),
    ],
    ids=["full", "half", "third", "quarter"],
)
def test_a_circle_skirt_has_the_published_radius(
    inner: str, share: str, published_in: float
) -> None:
    assert _ring(inner, share)["radius"] / INCH_MM == pytest.approx(published_in, abs=0.1)


# The same formulas, exact: r = W / angle in radians, for a waist of 70 cm.
@pytest.mark.parametrize(
    ("inner", "share", "radius_cm"),
    [
        ("35 cm", "1/2", 11.14),
        ("70 cm", "3/4", 14.85),
        ("70 cm", "1/2", 22.28),
        ("70 cm", "1/3", 33.42),
        ("70 cm", "1/4", 44.56),
    ],
    ids=["full", "three quarters", "half", "third", "quarter"],
)
def test_a_circle_skirt_for_70_cm_has_the_exact_radius(
    inner: str, share: str, radius_cm: float
) -> None:
    assert round(_ring(inner, share)["radius"] / 10, 2) == radius_cm


@pytest.mark.parametrize(("text", "share"), [("1/2", 1 / 2), ("1/3", 1 / 3), ("1/4", 1 / 4)])
def test_a_circle_skirt_has_the_area_of_its_ring(text: str, share: float) -> None:
    """Area of an annulus, pi (R² - r²): any geometry book."""
    ring = _ring("70 cm", text)
    radius = 700 / (2 * math.pi * share)
    assert ring["area"] == pytest.approx(share * math.pi * ((radius + 600) ** 2 - radius**2))


def test_a_panel_is_a_quarter_of_the_girth_and_its_ease() -> None:
    """Common practice, no source: four quarters of (girth + ease) go around the body.

    Bust 92, hip 98, ease 24: (98 + 24) / 4 = 30.5 cm for half a front or half a back.
    """
    draft = smock_draft()
    for name in ("Front", "Back"):
        assert draft.piece(name).figures_mm["hem"] == pytest.approx(305)
    assert draft.finished_mm["Girth all round"] == pytest.approx(980 + 240)


# ASTM D5585-11e1, misses' head girth in inches, sizes 00 to 20 (read):
# astm.org/Standards/D5585.htm
HEAD_GIRTHS_IN = [21.25, 21.25, 21.5, 21.5, 21.75, 21.75, 22, 22, 22.25, 22.25, 22.5, 22.5]


@pytest.mark.parametrize("head_in", sorted(set(HEAD_GIRTHS_IN)))
def test_the_smocks_neck_passes_over_every_published_head(head_in: float) -> None:
    """A woven neck without a fastening is at least the head girth (the same table's use)."""
    body = Body(name="Misses", measures=WREN.measures | {"head": f"{head_in} in"})
    draft = evaluate(SMOCK, body)
    assert draft.finished_mm["Neck opening"] >= head_in * INCH_MM
    assert all(check.holds for check in draft.checks if check.name == "Neck opening")


# Narrow hem: 1/4 in turned under and 1/4 in hem. Oregon State University 4-H Club Series 1-87
# (Theta Johnson), "It's fun to sew a cotton school dress" (read).
def test_a_narrow_hem_takes_half_an_inch() -> None:
    hem = {"kind": "double fold hem", "allowance": "1/4 in", "turn_under": "1/4 in"}
    rectangle = {"kind": "rectangle", "width": "30 cm", "length": "50 cm"}
    piece = draft_of(rectangle, allowance="0 cm", finishes={"hem": hem}).piece("Panel")
    assert piece.cut_size_mm == pytest.approx((300, 500 + INCH_MM / 2))


# Home patterns allow 5/8 in, paired with 1.5 cm: en.wikipedia.org/wiki/Seam_allowance (read).
def test_a_seam_takes_the_home_sewing_allowance() -> None:
    assert SMOCK.seam_allowance == "1.5 cm"
    sleeve = smock_draft().piece("Sleeve")
    assert {sleeve.allowances[edge].total_mm for edge in ("cap", "right seam")} == {15}
    assert abs(15 - 5 / 8 * INCH_MM) < 1
