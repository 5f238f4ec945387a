"""Size charts against published ranges and body tables; each source stands beside its check."""

import itertools

import pytest

from webapp.draft.size_csv import read_sizes
from webapp.draft.size_finder import find_size
from webapp.draft.sizes import SizeChart, spans_mm
from webapp.draft.standard_sizes import STANDARD_CHARTS

INCH_MM = 25.4
WOMEN, MEN = STANDARD_CHARTS["women"], STANDARD_CHARTS["men"]

# EN 13402-3, cm, read at second hand in texts that cite it; the women's match memory, the men's
# S to XXL are in two such texts, 4XL and 5XL in one.
WOMENS_BUST = {
    "XXS": (66, 74), "XS": (74, 82), "S": (82, 90), "M": (90, 98), "L": (98, 107),
    "XL": (107, 119), "XXL": (119, 131), "3XL": (131, 143), "4XL": (143, 155), "5XL": (155, 167),
}  # fmt: skip
MENS_CHEST = {
    "XXS": (70, 78), "XS": (78, 86), "S": (86, 94), "M": (94, 102), "L": (102, 110),
    "XL": (110, 118), "XXL": (118, 129), "3XL": (129, 141), "4XL": (141, 154), "5XL": (154, 166),
}  # fmt: skip
# EN 13402-3, women's pairs of bust, waist and hip, cm, from memory.
WOMENS_PAIRS = [
    (76, 60, 84), (80, 64, 88), (84, 68, 92), (88, 72, 96), (92, 76, 100), (96, 80, 104),
    (100, 84, 108), (104, 88, 112), (110, 94, 117), (116, 100, 122), (122, 106, 127),
    (128, 112, 132),
]  # fmt: skip


@pytest.mark.parametrize(
    ("chart", "published"), [(WOMEN, WOMENS_BUST), (MEN, MENS_CHEST)], ids=["women", "men"]
)
def test_the_letters_cover_the_published_girths(
    chart: SizeChart, published: dict[str, tuple[float, float]]
) -> None:
    spans = spans_mm(chart, "bust")
    assert {name: (low / 10, high / 10) for name, (low, high) in spans.items()} == published
    for (_, before), (after, _) in itertools.pairwise(published.values()):
        assert before == after


def test_the_letters_begin_and_end_where_the_intervals_of_the_standard_do() -> None:
    """CRAN Anthropometry::bustSizesStandard, citing EN 13402-3 (read): 74 to 102 by 4, then 107 to
    131 by 6; search.r-project.org/CRAN/refmans/Anthropometry/html/bustSizesStandard.html."""
    edges = {*range(74, 103, 4), *range(107, 132, 6)}
    assert len(edges) == 8 + 5  # 12 sizes between them
    ends = {end / 10 for span in spans_mm(WOMEN, "bust").values() for end in span}
    assert {end for end in ends if 74 <= end <= 131} <= edges


def test_waist_and_hip_of_a_letter_span_its_pairs() -> None:
    """From halfway below the smallest pair whose bust it covers to halfway above the largest."""
    for place, measure in ((1, "waist"), (2, "hip")):
        figures = [pair[place] for pair in WOMENS_PAIRS]
        halves = [(one + other) / 2 for one, other in itertools.pairwise(figures)]
        low_end = figures[0] - (halves[0] - figures[0])
        high_end = figures[-1] + (figures[-1] - halves[-1])
        edges = [low_end, *halves, high_end]
        for name, (low, high) in WOMENS_BUST.items():
            covered = [k for k, pair in enumerate(WOMENS_PAIRS) if low <= pair[0] < high]
            span = spans_mm(WOMEN, measure).get(name)
            if not covered:
                assert span is None
                continue
            assert span == (edges[covered[0]] * 10, edges[covered[-1] + 1] * 10), (name, measure)


@pytest.mark.parametrize("pair", WOMENS_PAIRS, ids=str)
def test_a_pair_of_the_standard_is_one_size_and_nothing_between(
    pair: tuple[float, float, float],
) -> None:
    names = ("bust", "waist", "hip")
    person = {name: cm * 10 for name, cm in zip(names, pair, strict=True)}
    answer = find_size(WOMEN, person, names)
    low, high = WOMENS_BUST[answer.size]
    assert low <= pair[0] <= high
    assert not answer.between


# ASTM D5585-11e1, misses, inches, read at astm.org/Standards/D5585.htm: size, bust girth, waist
# girth (straight).
MISSES = [
    ("00", "31 1/8", "25 3/8"), ("0", "31 3/4", "26 1/8"), ("2", "33", "26 7/8"),
    ("4", "34 1/8", "27 5/8"), ("6", "35 1/4", "28 1/2"), ("8", "36 1/4", "29 1/2"),
    ("10", "37 1/4", "30 1/2"), ("12", "38 3/4", "32 1/4"), ("14", "40 3/8", "34"),
    ("16", "42 1/8", "36"), ("18", "44", "38 1/4"), ("20", "46", "40 1/2"),
]  # fmt: skip
# The letter whose published range holds the bust, by arithmetic: 31 1/8 in is 79.1 cm, and so on.
# 42 1/8 in is 107.0 cm, where L ends.
LETTERS = ["XS", "XS", "S", "S", "S", "M", "M", "L", "L", "L", "XL", "XL"]


def _inches(text: str) -> float:
    whole, _, part = text.partition(" ")
    top, _, bottom = part.partition("/")
    return float(whole) + (float(top) / float(bottom) if part else 0.0)


@pytest.mark.parametrize(
    ("row", "letter"), list(zip(MISSES, LETTERS, strict=True)), ids=[row[0] for row in MISSES]
)
def test_a_published_body_falls_in_the_letter_of_its_bust(
    row: tuple[str, str, str], letter: str
) -> None:
    answer = find_size(WOMEN, {"bust": _inches(row[1]) * INCH_MM}, ["bust"])
    assert answer.size == letter


def test_a_body_on_the_edge_of_two_letters_is_told_so() -> None:
    """Size 16: 42 1/8 in is 106.9975 cm, a quarter of a tenth of a millimetre below 107."""
    (placed,) = find_size(WOMEN, {"bust": 42.125 * INCH_MM}, ["bust"]).placed
    assert (placed.size, placed.other, placed.where) == ("L", "XL", "edge")


def test_every_body_of_a_published_table_finds_its_own_row() -> None:
    """The table brought in as a chart of single figures, in inches, as it is printed."""
    text = "size;bust (in);waist (in)\n" + "\n".join(";".join(row) for row in MISSES)
    chart = read_sizes(text, "cm").chart("Misses", "ASTM D5585-11e1")
    for name, bust, waist in MISSES:
        person = {"bust": _inches(bust) * INCH_MM, "waist": _inches(waist) * INCH_MM}
        answer = find_size(chart, person, ["bust", "waist"])
        assert answer.size == name
        assert not answer.between


# ASTM D5585-95, misses 2 to 20, from memory: hip - waist is 10 1/2 in at every size. In a public
# data set of 260 women it is 25.8 cm on average, between 5.1 and 36.7 (calculated from it).
@pytest.mark.parametrize(("difference_cm", "between"), [(26.7, False), (5.1, True), (36.7, True)])
def test_a_waist_and_hip_far_from_the_tables_difference_is_between_sizes(
    difference_cm: float, between: bool
) -> None:
    text = "size,waist (in),hip (in)\n" + "\n".join(
        f"{size},{waist},{waist + 10.5}"
        for size, waist in [(2, 24), (4, 25), (6, 26), (8, 27), (10, 28), (12, 29.5), (14, 31),
                            (16, 32.5), (18, 34.5), (20, 36.5)]
    )  # fmt: skip
    chart = read_sizes(text, "in").chart("Misses", "ASTM D5585-95, from memory")
    person = {"waist": 28 * INCH_MM, "hip": 28 * INCH_MM + difference_cm * 10}
    assert find_size(chart, person, ["waist", "hip"]).between is between
