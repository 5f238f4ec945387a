"""The demo's sizes and the starters it sews against published figures, each beside its check."""

import math

import pytest

from tests.demo_documents import BODIES, SIZES, STARTERS
from tests.specimens import with_choices
from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body
from webapp.units import parse_length


@pytest.mark.parametrize(
    ("letter", "least", "most"),
    [("XS", 74, 82), ("S", 82, 90), ("M", 90, 98), ("L", 98, 107), ("XL", 107, 119)],
)
def test_size_letters_follow_the_standard(letter: str, least: float, most: float) -> None:
    """Bust girth, cm: EN 13402-3, women (read at second hand)."""
    bust = parse_length(SIZES[letter].measures["bust"]).mm
    assert least * 10 <= bust < most * 10


def test_heads_are_those_of_the_standard() -> None:
    """Head girth of misses 00 to 20: 21 1/4 to 22 1/2 in, ASTM D5585-11e1."""
    heads = [parse_length(body.measures["head"]).mm for body in SIZES.values()]
    assert heads == sorted(heads)
    assert heads[0] == pytest.approx(21.25 * 25.4)
    assert heads[-1] == pytest.approx(22.5 * 25.4)


def test_the_skirt_front_is_half_of_a_half_circle_skirt() -> None:
    """A waist of 26 in has the radius W / pi = 8.276 in: prettyquirkypants.com gives 8.2."""
    skirt = with_choices(STARTERS["half-circle-skirt"], waist_ease="0 cm")
    front = evaluate(skirt, Body(name="26", measures={"waist": "26 in", "hip": "36 in"})).pieces[0]
    assert front.figures_mm["radius"] / 25.4 == pytest.approx(26 / math.pi)
    assert front.figures_mm["radius"] / 25.4 == pytest.approx(8.2, abs=0.1)
    assert 2 * front.figures_mm["waist"] == pytest.approx(13 * 25.4, abs=0.01)


def test_the_skirt_hangs_for_a_day_before_its_hem() -> None:
    """24 hours, above all on the bias: New Mexico State University Guide C-314."""
    steps = {step.id: step for step in STARTERS["half-circle-skirt"].steps}
    assert "24 hours" in steps["skirt-hang"].words
    assert steps["skirt-level"].after == ("skirt-hang",)
    assert steps["skirt-hem"].after == ("skirt-level",)


def test_the_skirts_hem_is_a_narrow_hem() -> None:
    """1/4 in folded twice: Oregon State University 4-H Club Series 1-87."""
    skirt = evaluate(STARTERS["half-circle-skirt"], BODIES["M"])
    for name in ("Skirt front", "Skirt back"):
        allowance = skirt.piece(name).allowances["hem"]
        assert allowance.width_mm == pytest.approx(6.35, abs=0.5)
        assert allowance.turn_under_mm == pytest.approx(6.35, abs=0.5)


def test_the_band_is_wide_enough_for_its_elastic() -> None:
    """The elastic's width and 1/4 to 1/2 in: a how-to read in a copy (lightsalmonsweet)."""
    names = evaluate(STARTERS["half-circle-skirt"], BODIES["M"]).names
    room = names["band width"].value - names["elastic width"].value
    assert 6.35 - 0.5 <= room <= 12.7


def test_a_cowl_comes_out_as_a_scarf_of_its_cut_size_does() -> None:
    """Cut 70 × 20 in at 1/2 in seams: a 69 in loop, 9 1/2 in wide (L - 2s and W/2 - s).

    The cut size is published at simply-crafting.co.uk; the result is its geometry.
    """
    cowl = with_choices(STARTERS["tube-cowl"], cowl_ease="47 in", cowl_height="9 1/2 in")
    cowl = cowl.model_copy(update={"seam_allowance": "1/2 in"})
    draft = evaluate(cowl, Body(name="22", measures={"head": "22 in"}))
    assert draft.piece("Cowl").cut_size_mm == pytest.approx((70 * 25.4, 20 * 25.4))
    assert [mm / 25.4 for mm in draft.finished_mm.values()] == pytest.approx([69, 9.5])
