"""The needle for a cloth follows its weight and its stretch, and says why."""

import pytest

from webapp.cloth.needles import needle_for, nm, seems_to_stretch

# The weights' limits are common practice, no source: what is checked is their order.
RISING_G_PER_M2 = (50, 110, 185, 250, 350, 450)


def test_a_heavier_cloth_takes_a_thicker_needle() -> None:
    sizes = [needle_for(weight, 0).us for weight in RISING_G_PER_M2]
    assert sizes == [8, 10, 12, 14, 16, 18]


def test_it_is_asked_for_in_both_systems() -> None:
    assert needle_for(185, 0).words == "80/12, universal"


@pytest.mark.parametrize(
    ("stretch", "point"), [(0, "universal"), (9, "universal"), (10, "ballpoint"), (60, "stretch")]
)
def test_the_point_follows_how_far_the_cloth_stretches(stretch: float, point: str) -> None:
    needle = needle_for(185, stretch)
    assert needle.point == point
    assert needle.why.endswith(".")


def test_a_dense_cloth_takes_a_sharp_point_unless_it_stretches() -> None:
    assert needle_for(400, 0).words == "100/16, sharp, for jeans"
    assert needle_for(400, 20).point == "ballpoint"


def test_without_a_weight_the_point_is_told_and_the_size_asked_for() -> None:
    needle = needle_for(None, 25)
    assert (needle.us, needle.words) == (None, "ballpoint point")
    assert "the weight of the cloth" in needle.why


def test_what_is_said_of_the_stretch_is_what_its_card_says() -> None:
    assert "As long as the cloth does not stretch, an all-round point" in needle_for(185, 0).why
    assert "hardly stretches (5 %), an" in needle_for(185, 5).why


@pytest.mark.parametrize(
    ("called", "word"),
    [
        ("Jersey", "jersey"),
        ("Main cloth Cotton rib, navy", "rib"),
        ("A soft INTERLOCK", "interlock"),
        ("Sweatshirting", "sweatshirting"),
        ("Viscose with elastane", "elastane"),
        ("Fine knit", "knit"),
        ("Linen ribbon", ""),
        ("Corduroy with a broad rib", ""),
        ("Woven cotton", ""),
    ],
)
def test_a_cloth_that_is_called_one_that_stretches_is_asked_about(called: str, word: str) -> None:
    """Common practice, no source."""
    assert seems_to_stretch(called) == word
    why = needle_for(185, 0, called).why
    assert (f"“{word}” probably stretches" in why) == bool(word)
    assert needle_for(185, 5, called).why == needle_for(185, 5).why


@pytest.mark.parametrize("us", [7, 19])
def test_the_rule_for_sizes_holds_no_further_than_it_is_published(us: int) -> None:
    with pytest.raises(ValueError, match="from 8 to 18"):
        nm(us)
