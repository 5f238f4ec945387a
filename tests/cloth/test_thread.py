"""Thread for a seam: the published ratio where it holds, and what changes it."""

import math
from itertools import pairwise

import pytest

from webapp.cloth.stitches import (
    GUIDE_STITCH_MM,
    GUIDE_THICKNESS_MM,
    HAND_STITCHES,
    STITCHES,
    StitchType,
    edited,
    stitch_called,
)
from webapp.cloth.thread import (
    LAYER_MM,
    TAIL_MM,
    ThreadUse,
    hand_thread_for,
    layer_mm,
    ratio_for,
    spools,
    thread_for,
    together,
)

each_stitch = pytest.mark.parametrize("stitch", STITCHES.values(), ids=STITCHES)
WITH_FORMULA = ("101", "301", "401", "504")


def ratio(number: str, stitch_length_mm: float, layers: int) -> float:
    """In medium cloth."""
    stitch = STITCHES[number]
    return ratio_for(stitch, stitch_length_mm=stitch_length_mm, thickness_mm=layers * LAYER_MM)


@each_stitch
def test_at_the_guides_conditions_the_published_ratio_comes_back(stitch: StitchType) -> None:
    use = thread_for(
        stitch, 1000, stitch_length_mm=GUIDE_STITCH_MM, thickness_mm=GUIDE_THICKNESS_MM, waste=0
    )
    assert use.sewn_mm == pytest.approx(1000 * stitch.ratio, rel=1e-12)
    assert use.needle_mm == pytest.approx(stitch.needle_share * 1000 * stitch.ratio)


@each_stitch
def test_words_say_the_machine_that_its_threads_ask_for(stitch: StitchType) -> None:
    """A bobbin is a sewing machine's; edges are wrapped by the 500 class alone (ISO 4915)."""
    assert ("overlocker" in stitch.in_words) == stitch.number.startswith("5")
    assert ("bobbin" in stitch.in_words) == stitch.has_bobbin


@each_stitch
def test_the_under_thread_is_a_bobbins_or_a_loopers_by_the_class(stitch: StitchType) -> None:
    """ISO 4915: 100 chain stitch of one thread, 300 lockstitch, 400, 500 and 600 with loopers."""
    use = thread_for(stitch, 1000, stitch_length_mm=2.5, thickness_mm=0.8)
    under = {"1": (False, False), "3": (True, False)}.get(stitch.number[0], (False, True))
    assert (use.bobbin_mm > 0, use.looper_mm > 0) == under
    assert (stitch.loopers > 0) == under[1]


@pytest.mark.parametrize("number", WITH_FORMULA)
def test_a_longer_stitch_takes_less_and_another_layer_more(number: str) -> None:
    for layers in (1, 2, 3):
        by_length = [ratio(number, stitch_mm, layers) for stitch_mm in (0.5, 1, 2, 2.5, 4, 10)]
        assert all(longer < shorter for shorter, longer in pairwise(by_length))
    by_layers = [ratio(number, 2.5, layers) for layers in (1, 2, 3, 4)]
    assert all(more > fewer for fewer, more in pairwise(by_layers))


@pytest.mark.parametrize("number", sorted(STITCHES.keys() - set(WITH_FORMULA)))
def test_a_type_without_a_formula_keeps_its_ratio_and_says_so(number: str) -> None:
    assert ratio(number, 1, 4) == ratio(number, 10, 1) == STITCHES[number].ratio
    assert "No formula is published" in STITCHES[number].note


@pytest.mark.parametrize("number", WITH_FORMULA)
def test_never_less_than_the_threads_that_lie_along_the_seam(number: str) -> None:
    """Of 301 one lies on each side, 2 times the seam, however long the stitch and thin the cloth;
    a maker's own ratio that is smaller yet is taken at its word."""
    formula = STITCHES[number].formula
    assert formula is not None
    assert ratio(number, 10, 0) >= formula.along - 1e-9
    own = edited({number: 1.2})[number]
    assert ratio_for(own, stitch_length_mm=10, thickness_mm=0) == pytest.approx(1.2)


def test_waste_comes_on_top() -> None:
    use = thread_for(STITCHES["304"], 1000, stitch_length_mm=2, thickness_mm=1, waste=0.1)
    assert (use.needle_mm, use.bobbin_mm, use.looper_mm) == (2750, 2750, 0)
    assert use.waste_mm == pytest.approx(550)
    assert use.total_mm == pytest.approx(6050)
    assert together([use, use]).total_mm == pytest.approx(12100)
    assert together([]) == ThreadUse()


@pytest.mark.parametrize(
    ("length_mm", "stitch_mm", "thickness_mm", "waste"),
    [(-1, 2.5, 1, 0.1), (1, 0, 1, 0.1), (1, 2.5, -1, 0.1), (1, 2.5, 1, -0.1), (math.inf, 1, 1, 0)],
)
def test_what_is_no_seam_is_refused(
    length_mm: float, stitch_mm: float, thickness_mm: float, waste: float
) -> None:
    with pytest.raises(ValueError, match="must"):
        thread_for(
            STITCHES["301"],
            length_mm,
            stitch_length_mm=stitch_mm,
            thickness_mm=thickness_mm,
            waste=waste,
        )


def test_by_hand_each_threading_leaves_its_tails() -> None:
    """Running stitch, 1 m: 1300 mm sewn, three threadings of 500 mm; begun five times, five."""
    running = HAND_STITCHES["running stitch"]
    assert hand_thread_for(running, 1000) == ThreadUse(needle_mm=1300, waste_mm=3 * TAIL_MM)
    assert hand_thread_for(running, 1000, 5).waste_mm == 5 * TAIL_MM
    assert hand_thread_for(running, 500 / 1.3).waste_mm == TAIL_MM
    with pytest.raises(ValueError, match="zero or more"):
        hand_thread_for(running, -1)


def test_a_hand_stitch_takes_more_than_its_seam() -> None:
    """A thread that goes in and out is longer than the line it follows; backstitch lies thrice."""
    assert min(stitch.ratio for stitch in HAND_STITCHES.values()) > 1
    assert HAND_STITCHES["backstitch"].ratio > 3
    for stitch in HAND_STITCHES.values():
        assert stitch.note.endswith("common practice, no source.")


def test_a_heavier_cloth_is_thicker() -> None:
    assert layer_mm() == layer_mm(160) == LAYER_MM
    assert layer_mm(80) == pytest.approx(LAYER_MM / 2)
    with pytest.raises(ValueError, match="more than zero"):
        layer_mm(0)


def test_spools_are_bought_whole() -> None:
    assert [spools(250_001, each) for each in (100_000, 250_000, 500_000, 1e6)] == [3, 2, 1, 1]
    assert spools(0, 100_000) == 0
    assert spools(100_000 * (1 + 1e-12), 100_000) == 1  # noise buys no second one
    with pytest.raises(ValueError, match="some thread"):
        spools(1, 0)


def test_a_makers_own_ratio_stands_beside_the_published_one() -> None:
    own = edited({"301": 2.8})
    assert own["301"].ratio == 2.8
    assert own["301"].note.startswith("2.8 times the seam: your own figure. Published: 2.5 in")
    assert (
        "Published: 5 in a public document on stitch types; 4 in" in edited({"101": 6})["101"].note
    )
    twice = edited({"301": 2.6}, own)["301"]
    assert (twice.ratio, twice.other) == (2.6, 2.5)
    assert own["504"] is STITCHES["504"]
    assert STITCHES["301"].ratio == 2.5


@pytest.mark.parametrize(
    ("number", "figure", "why"),
    [("999", 2, "is none of"), ("301", 0, "more than 0"), ("301", math.nan, "at most 100")],
)
def test_a_ratio_that_cannot_be_is_refused(number: str, figure: float, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        edited({number: figure})


@pytest.mark.parametrize("text", ["301", " 301 ", "ISO 301", "301 lockstitch"])
def test_a_stitch_is_found_by_its_number(text: str) -> None:
    assert stitch_called(text) is STITCHES["301"]


@pytest.mark.parametrize("text", ["", "lockstitch", "3011", "999"])
def test_a_text_without_a_known_number_is_no_stitch(text: str) -> None:
    assert stitch_called(text) is None
