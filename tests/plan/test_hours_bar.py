"""The bar of hours is to scale: what is drawn is what the tape under it says."""

from itertools import pairwise
from xml.etree import ElementTree

import pytest

from webapp.build.work_time import Estimate, total
from webapp.plan.hours_bar import draw_hours

SVG = "{http://www.w3.org/2000/svg}"


def _figures(root: ElementTree.Element) -> dict[str, float]:
    """The x of each figure of the tape."""
    return {str(one.text): float(one.attrib["x"]) for one in root.iter(f"{SVG}text")}


@pytest.mark.parametrize(
    ("work", "filming", "one", "other"),
    [
        ((180, 240, 300), (60, 120, 200), "2 h", "4 h"),
        ((8, 11, 18), (40, 58, 80), "30 min", "1 h"),
        ((3000, 4200, 6000), (600, 900, 1500), "40 h", "80 h"),
    ],
)
def test_the_bar_ends_where_the_tape_says(
    work: tuple[float, ...], filming: tuple[float, ...], one: str, other: str
) -> None:
    at_work, at_filming = Estimate(*work), Estimate(*filming)
    root = ElementTree.fromstring(draw_hours(at_work, at_filming, "words", 560))
    figures = _figures(root)
    minutes = {"2 h": 120, "4 h": 240, "30 min": 30, "1 h": 60, "40 h": 2400, "80 h": 4800}
    scale = (figures[other] - figures[one]) / (minutes[other] - minutes[one])
    start = figures[one] - scale * minutes[one]
    full, hatched = root.findall(f"{SVG}rect")
    ends = [float(rect.attrib["x"]) + float(rect.attrib["width"]) for rect in (full, hatched)]
    assert ends[0] == pytest.approx(start + scale * work[1], abs=0.01)
    assert ends[1] == pytest.approx(start + scale * (work[1] + filming[1]), abs=0.01)
    together = total([at_work, at_filming])
    line = next(path for path in root.findall(f"{SVG}path") if path.attrib["stroke-width"] == "2")
    low, high = (float(pair.split()[0].lstrip("ML")) for pair in line.attrib["d"].split(" L")[:2])
    assert low == pytest.approx(start + scale * together.low, abs=0.01)
    assert high == pytest.approx(start + scale * together.high, abs=0.01)


def test_nothing_is_drawn_of_no_time() -> None:
    assert draw_hours(Estimate(), Estimate(), "words", 560) == ""


def test_every_figure_stands_inside_the_drawing() -> None:
    for likely in (5, 20, 61, 130, 700, 5000, 60_000):
        one = Estimate(0.8 * likely, likely, 1.3 * likely)
        for width in (320, 560):
            root = ElementTree.fromstring(draw_hours(one, one, "words", width))
            xs = sorted(_figures(root).values())
            assert xs[0] >= 0 and xs[-1] <= width - 20
            assert all(b - a >= 36 for a, b in pairwise(xs)), likely
