"""Rules that protect children, as published; each check names its source.

check-values.md §8 says which were read and which are from memory.
"""

import math

import pytest

from webapp.draft.construction import Step
from webapp.draft.recipe import Recipe
from webapp.filming.every_rate import EDITING
from webapp.plan import care_threads
from webapp.plan.care_threads import fits_small_parts_cylinder
from webapp.plan.episode import Brief, Episode, Wearer
from webapp.plan.evaluate import evaluate

INCH_MM = 25.4


def _told(wearer: Wearer, words: str) -> str:
    steps = (Step(id="it", name="Do it", words=words, cautions=("cords",)),)
    episode = Episode(
        id="e",
        title="E",
        brief=Brief(wearer=wearer),
        garments=(Recipe(id="g", name="G", steps=steps),),
    )
    (thread,) = care_threads.cords_on_childrens_clothes(evaluate(episode))
    return f"{thread.severity}: {thread.sentence}"


def test_the_cylinder_is_the_published_one() -> None:
    """16 CFR 1501.4, Fig. 1 (from memory): 1.25 in across, 1 in deep sloping to 2.25 in."""
    for mm, inches in (
        (care_threads.CYLINDER_ACROSS_MM, 1.25),
        (care_threads.CYLINDER_LEAST_DEPTH_MM, 1),
        (care_threads.CYLINDER_MOST_DEPTH_MM, 2.25),
    ):
        assert mm == pytest.approx(inches * INCH_MM, abs=0.06)


@pytest.mark.parametrize(
    ("across_mm", "thick_mm", "fits"),
    [
        (11.5, 2, True),  # a shirt button, 18 lines of 1/40 in: common practice, no source
        (25, 5, True),
        (31.7, 3, True),
        (31.7, 25.4, True),  # a plug of the whole upper part
        (31.8, 3, False),
        (38, 2, False),  # no turn makes its breadth less
        (200, 1, False),
        (30, 30, False),
    ],
)
def test_what_the_small_parts_cylinder_holds(across_mm: float, thick_mm: float, fits: bool) -> None:
    """16 CFR 1501: nothing that fits wholly within it, in any direction, under three years."""
    assert fits_small_parts_cylinder(across_mm, thick_mm) is fits


@pytest.mark.parametrize("across_mm", [5.0, 12.0, 20.0, 28.0, 31.0])
def test_a_disc_laid_flat_agrees_with_the_slope_drawn_out(across_mm: float) -> None:
    """Against the deep wall, by the depth at each point of the disc's rim, point by point."""
    radius, wall = across_mm / 2, care_threads.CYLINDER_ACROSS_MM
    across = [wall - radius + radius * math.cos(math.radians(a)) for a in range(360)]
    depth = min(25.4 + (57.1 - 25.4) * x / wall for x in across)
    if depth - 0.01 <= across_mm:
        assert fits_small_parts_cylinder(across_mm, depth - 0.01)
    if depth + 0.01 <= across_mm:
        assert not fits_small_parts_cylinder(across_mm, depth + 0.01)
    assert fits_small_parts_cylinder(across_mm, min(across_mm, depth - 0.01))


@pytest.mark.parametrize(("across_mm", "thick_mm"), [(0, 0), (10, 0), (10, 11), (-1, -2)])
def test_what_is_no_disc_is_refused(across_mm: float, thick_mm: float) -> None:
    with pytest.raises(ValueError, match="broader than it is thick"):
        fits_small_parts_cylinder(across_mm, thick_mm)


@pytest.mark.parametrize("wearer", ["under 3", "3 to 6"])
def test_no_cord_at_hood_or_neck_up_to_seven(wearer: Wearer) -> None:
    """EN 14682 as told by tukes.fi: up to 7 years or 134 cm no cords there, no halter ties."""
    for words in ("Thread the cord through the hood.", "Sew the halter ties to the front."):
        told = _told(wearer, words)
        assert told.startswith("must: ")
        assert "in Europe up to 7 years or 134 cm (52 3/4 in) tall" in told


def test_no_free_ends_at_hood_or_neck_from_seven_to_fourteen() -> None:
    """EN 14682 as told by tukes.fi."""
    told = _told("7 to 13", "Thread the drawstring through the neck.")
    assert told.startswith("must: ")
    assert "in Europe from 7 to 14 years: none with free ends" in told


def test_at_the_waist_three_inches_may_hang_out() -> None:
    """16 CFR 1120.3 / ASTM F1816, cpsc.gov: 3 in at full width, no knots or toggles, bar-tacked."""
    assert pytest.approx(3 * INCH_MM) == care_threads.CORD_OUTSIDE_MM
    told = _told("7 to 13", "Thread the drawstring through the waist.")
    assert told.startswith("should: ")
    for words in ("7.5 cm (3 in)", "full width", "no knot or toggle", "bar-tacked", "2T to 16"):
        assert words in told


def test_editing_a_three_minute_video_takes_what_a_beginner_took() -> None:
    """thescientistvideographer.com, 3 minutes: 2 h for the rough edit, 2 h more for the polish; 2
    to 3 h a finished minute when design and filming are counted in, which is the most."""
    assert 3 * EDITING.low == pytest.approx(2)
    assert 3 * EDITING.likely == pytest.approx(2 + 2)
    assert EDITING.high == 3
