"""How a cloth is washed and pressed; only what the sheet promises is checked."""

import pytest

from webapp.cloth.cloths import EpisodeCloth
from webapp.handouts.companion_care import care_of


@pytest.mark.parametrize(
    ("description", "stretch", "says", "says_not"),
    [
        ("Washed linen, slate blue", 0, "still damp", "Dry it flat"),
        ("Linen and polyester, half each", 0, "cool iron", "hot while"),
        ("Brushed wool flannel", 0, "by hand in cool water", "as it was washed before"),
        ("Cotton jersey", 30, "Dry it flat", "still damp"),
        ("Something blue", 0, "no hotter", "iron"),
    ],
)
def test_care_goes_by_what_the_cloth_is_called(
    description: str, stretch: float, says: str, says_not: str
) -> None:
    care = care_of(EpisodeCloth(description=description, stretch=stretch))
    assert says in care
    assert says_not not in care
    assert care.endswith(".")
