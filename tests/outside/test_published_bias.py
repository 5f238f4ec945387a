"""Bias strips from a square of cloth, against published examples."""

import pytest

from webapp.draft.bias import square_for_strip_mm, strip_from_square_mm

INCH = 25.4


def test_a_square_gives_its_area_over_the_width_of_the_strip() -> None:
    """A square of 20 in gives 200 in of a strip of 2 in: 400 / 2.

    mydecozo.co.uk, soft furnishing FAQ, making continuous piping strips (read).
    """
    assert strip_from_square_mm(20 * INCH, 2 * INCH) == pytest.approx(200 * INCH)


@pytest.mark.parametrize(
    ("length_in", "width_in", "square_in"),
    [
        (250, 2, 23),  # root of 500 = 22.36; the same page (read)
        (100, 3.5, 19),  # root of 350 = 18.71; quiltersquestiontime.com (read)
        (450, 2.25, 32),  # root of 1012.5 = 31.8; victoryautony.com (read, low)
    ],
)
def test_the_square_for_a_strip_is_the_root_of_its_area(
    length_in: float, width_in: float, square_in: int
) -> None:
    assert square_for_strip_mm(length_in * INCH, width_in * INCH) == pytest.approx(square_in * INCH)


@pytest.mark.parametrize(("square_in", "real_in"), [(12, 60), (13, 72), (15, 100)])
def test_small_squares_give_less_than_their_area_says(square_in: int, real_in: int) -> None:
    """Strips of 2 in really had from small squares; ronbd.com (an aggregator; read, low)."""
    by_area = strip_from_square_mm(square_in * INCH, 2 * INCH)
    assert 0.8 * by_area < real_in * INCH < by_area


@pytest.mark.parametrize("bad", [0, -1])
def test_a_strip_without_a_size_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="must have"):
        square_for_strip_mm(bad, 10)
    with pytest.raises(ValueError, match="must have"):
        strip_from_square_mm(10, bad)
