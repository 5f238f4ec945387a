"""Times against published figures; each check names its source."""

import pytest
import scipy

from tests.specimens import draft_of
from tests.step_minutes import step_minutes
from webapp.build.rates import RATES, Rate
from webapp.build.work_time import Estimate, product, stitches, total
from webapp.draft.construction import Step, Work
from webapp.filming.running_time import SPEAKING, spoken_seconds

INCH_MM = 25.4


def _machine_minutes(length: str, stitch_mm: float, speed: float, share: float = 1.0) -> float:
    """A step that sews one edge of that length, as if handling it took no time."""
    panel = draft_of({"kind": "rectangle", "width": length, "length": "10 cm"})
    work = {"kind": "machine", "edges": [{"edge": "Panel.top"}], "stitch_length_mm": stitch_mm}
    step = Step(id="s", name="Sew", work=(Work.model_validate(work),))
    figures = dict.fromkeys(RATES, 1e-12) | {"machine: speed": speed, "machine: share": share}
    rates = {key: Rate(key, "as given", each, each, each, "-") for key, each in figures.items()}
    return step_minutes(step, [panel], rates).likely


def test_machine_time_is_stitches_over_speed() -> None:
    """P. Sarkar, machine time of a seam: 50 in at 10 spi and 2000 rpm is 0.25 min, 15 s."""
    assert stitches(50 * INCH_MM, INCH_MM / 10) == pytest.approx(500)
    assert _machine_minutes("50 in", INCH_MM / 10, 2000) == pytest.approx(0.25)
    assert _machine_minutes("50 in", INCH_MM / 10, 1000) * 60 == pytest.approx(30)


def test_a_fast_machine_sews_the_yards_a_minute_that_are_published() -> None:
    """katieskitchenblog.com: 5000 stitches a minute at 14 spi is 9.9 yd a minute."""
    assert 1 / _machine_minutes("1 yd", INCH_MM / 14, 5000) == pytest.approx(9.9, abs=0.05)


def test_stitch_lengths_agree_with_stitches_an_inch() -> None:
    """melgeecrafts.com: mid-weight cloth 2.5 mm, 10 spi; fine cloth 2 mm, 13 spi (12.7)."""
    assert stitches(INCH_MM, 2.5) == pytest.approx(10, abs=0.2)
    assert stitches(INCH_MM, 2.0) == pytest.approx(13, abs=0.4)


def test_a_metre_at_two_and_a_half_millimetres() -> None:
    """By arithmetic: 400 stitches; at 800 a minute and 40 % of the time, 1.25 min."""
    assert stitches(1000, 2.5) == 400
    assert _machine_minutes("1 m", 2.5, 800, 0.4) == pytest.approx(1.25)


def test_the_machine_speed_is_that_of_published_domestic_machines() -> None:
    """250 to 1,000 (katieskitchenblog.com); up to 1,500 (kids.britannica.com, sewing)."""
    speed = RATES["machine: speed"]
    assert 250 <= speed.low < speed.high <= 1000
    assert RATES["overlock: speed"].high <= 1500


def test_plain_hand_sewing_is_as_quick_as_it_was_measured() -> None:
    """Cooper, Smithsonian Bulletin 254 (1968): 23 a minute in fine linen, 30 in fine silk.

    Patent leather took 7 and hat binding 33: nothing here is outside those but tacking stitches,
    which load several on the needle (up to 50 a minute published, at second hand).
    """
    assert (RATES["hand: plain"].likely, RATES["hand: plain"].high) == (23, 30)
    for key, rate in RATES.items():
        if key.startswith("hand: ") and rate.unit == "stitches/min":
            assert rate.high <= 50
    assert RATES["hand: buttonhole stitch"].likely >= 7


def test_hand_and_machine_differ_as_in_the_study_of_1861() -> None:
    """Same source: fine linen 23 by hand, 640 by machine, without stops, 28 times as fast.

    The domestic machine at its likely speed is 35 times as fast without stops, and with stops and
    starts still 14 times, so between the whole garments' 6 times and the bare seams' 28.
    """
    hand = RATES["hand: plain"].likely
    machine, share = RATES["machine: speed"].likely, RATES["machine: share"].likely
    assert machine / hand > 640 / 23
    whole_garment = (16 * 60 + 35) / (2 * 60 + 38)  # a frock coat, 16 h 35 against 2 h 38
    assert whole_garment < machine * share / hand < 640 / 23


def _deciles_of_pert(least: float, likeliest: float, most: float) -> Estimate:
    """The points passed by 9, 5 and 1 in 10 of the beta distribution between the least and the
    most that has PERT's mean (a + 4m + b) / 6 and deviation (b - a) / 6."""
    mean, deviation = (least + 4 * likeliest + most) / 6, (most - least) / 6
    share, variance = (mean - least) / (most - least), (deviation / (most - least)) ** 2
    weight = share * (1 - share) / variance - 1
    pert = scipy.stats.beta(share * weight, (1 - share) * weight, least, most - least)
    return Estimate(*(float(pert.ppf(passed)) for passed in (0.1, 0.5, 0.9)))


def test_three_points_give_the_mean_and_deviation_of_pert() -> None:
    """maxwideman.com/issacons3/iac1312/tsld010.htm: 4, 6, 12 give 6.67 and 1.33.

    PERT's points are the least and the most that there can be; ours 1 in 10 pass either way. The
    mean comes back to half a per cent, the deviation to 4 %.
    """
    estimate = _deciles_of_pert(4, 6, 12)
    assert estimate.mean == pytest.approx(6.67, rel=0.005)
    assert estimate.deviation == pytest.approx(1.33, rel=0.04)


def test_a_total_has_the_mean_and_deviation_of_pert() -> None:
    """Same source: 25 such steps in a row have 25 times the mean and 5 times the deviation."""
    whole = total([_deciles_of_pert(4, 6, 12)] * 25)
    assert whole.mean == pytest.approx(25 * 6.67, rel=0.005)
    assert whole.deviation == pytest.approx(5 * 1.33, rel=0.04)


def test_what_is_unsure_of_a_product_adds_in_squares() -> None:
    """JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.6 (from memory):
    of products and quotients the relative uncertainties add in squares; 3 and 4 % make 5 %."""
    three, four = (Rate(str(part), "as given", 100 - part, 100, 100 + part, "-") for part in (3, 4))
    for found in (product(1, three, four), product(1, three, over=[four])):
        assert found.low / found.likely == pytest.approx(0.95, abs=0.002)
        assert found.high / found.likely == pytest.approx(1.05, abs=0.002)


def test_narration_is_spoken_at_a_published_rate() -> None:
    """Lucas, The Art of Public Speaking, 8th ed., p. 300: 125 to 150 words a minute."""
    assert (SPEAKING.low, SPEAKING.high) == (125, 150)
    text = " ".join(["seam"] * 300)
    assert 300 / 150 * 60 <= spoken_seconds(text) <= 300 / 125 * 60
