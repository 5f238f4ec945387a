"""Size charts from CSV: what is understood, and every trouble with its row and column."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.draft.size_csv import LARGEST_CHARACTERS, MOST_ROWS, Reading, read_sizes, text_of
from webapp.draft.sizes import MeasuredRange


def ranges(reading: Reading) -> list[tuple[str, dict[str, tuple[str, str]]]]:
    """Each size with its ranges as typed."""
    assert reading.troubles == (), [each.sentence for each in reading.troubles]
    return [
        (row.name, {name: (each.least, each.most) for name, each in row.ranges.items()})
        for row in reading.sizes
    ]


PLAIN = [
    ("S", {"bust": ("82 cm", "90 cm"), "hip": ("90 cm", "90 cm")}),
    ("M", {"bust": ("90 cm", "98 cm"), "hip": ("98.5 cm", "98.5 cm")}),
]


@pytest.mark.parametrize(
    "text",
    [
        "size,bust (cm),hip (cm)\nS,82-90,90\nM,90-98,98.5\n",
        "Size;Bust;Hip\r\nS;82-90;90\r\nM;90–98;98.5",
        "size\tbust girth [cm]\thips\nS\t82 - 90\t90\nM\t90 to 98\t98.5",
        "\ufeff,chest,hip\n\nS,82-90 cm,90\n,,\nM,90-98 cm,98.5 cm,,",
        '"name","bust","hip"\n"S","82-90","90"\n"M","90-98","98.5"',
        "bust,size,hip\n82-90,S,90\n90-98,M,98.5",
    ],
    ids=["commas", "semicolons", "tabs", "no name, blank rows", "quoted", "size in the middle"],
)
def test_the_same_chart_is_read_however_it_is_parted(text: str) -> None:
    read = [
        (name, {measure: tuple(end.replace("cm cm", "cm") for end in ends)
                for measure, ends in found.items()})
        for name, found in ranges(read_sizes(text, "cm"))
    ]  # fmt: skip
    assert read == PLAIN


def test_decimal_commas_are_kept_as_typed() -> None:
    read = read_sizes("size;bust (cm)\nS;82,5-90,5\n", "in")
    assert ranges(read) == [("S", {"bust": ("82,5 cm", "90,5 cm")})]
    assert read.sizes[0].ranges["bust"].least_mm == 825


@pytest.mark.parametrize(
    ("cell", "ends"),
    [
        ("34", ("34 in", "34 in")),
        ("34 1/2 - 36", ("34 1/2 in", "36 in")),
        ("34-1/2", ("34-1/2 in", "34-1/2 in")),
        ("34-1/2-36-1/4 in", ("34-1/2 in", "36-1/4 in")),
        ("34½–36", ("34½ in", "36 in")),
    ],
)
def test_inches_are_read_with_their_fractions(cell: str, ends: tuple[str, str]) -> None:
    assert ranges(read_sizes(f"size,bust (in)\nS,{cell}", "cm")) == [("S", {"bust": ends})]


def test_the_default_unit_is_only_for_figures_whose_unit_stands_nowhere() -> None:
    text = "size,bust,waist (cm),hip\nS,33,66,92 cm"
    ((_, found),) = ranges(read_sizes(text, "in"))
    assert found == {
        "bust": ("33 in", "33 in"), "waist": ("66 cm", "66 cm"), "hip": ("92 cm", "92 cm")
    }  # fmt: skip


def test_a_figure_may_be_missing_where_the_chart_does_not_give_it() -> None:
    assert ranges(read_sizes("size,bust,hip\nS,84,\nM,,98\nL,96", "cm")) == [
        ("S", {"bust": ("84 cm", "84 cm")}),
        ("M", {"hip": ("98 cm", "98 cm")}),
        ("L", {"bust": ("96 cm", "96 cm")}),
    ]


TROUBLES = [
    ("", ["There is nothing here. The first row names the columns: size, bust, hip …"]),
    ("size,bust", ["There is no size below the names of the columns."]),
    ("size\nS", ["Row 1: No column gives a measure."]),
    ("bust,hip\n84,90", ["Row 1: No column is called “size”."]),
    ("size,bst\nS,84", ["Row 1, bst: “bst” is no measure Seamslate knows. Did you mean bust?"]),
    ("size,shoe\nS,3", ["Row 1, shoe: “shoe” is no measure Seamslate knows. It knows height"]),
    ("size,bust,,hip\nS,84,1,90", ["Row 1, column 3: This column has no name."]),
    ("size,bust,chest\nS,84,84", ["Row 1: 2 columns give bust; keep one."]),
    ("size,bust (ell)\nS,1", ["Row 1, bust (ell): “ell” is no unit for a chart; write cm or in."]),
    ("size,bust\n,84", ["Row 2, size: The size has no name."]),
    ("size,bust\nS,84\n\ns,90", ["Row 4, size: “s” is the name of row 2 too."]),
    (f"size,bust\n{'x' * 81},84", ["Row 2, size: A size's name is 80 characters long at most."]),
    ("size,bust\nS", ["Row 2: This size has no figure."]),
    ("size,bust\n84,\n", ["Row 2: This size has no figure."]),
    ("size,bust\nS,82,5", ["Row 2: This row has 3 cells, but only 2 columns are named."]),
    ("size,bust\nS,wide", ["Row 2, bust: “wide” cannot be read as a length"]),
    ("size,bust (in)\nS,n/a", ["Row 2, bust (in): “n/a” cannot be read as a length"]),
    ("size,bust\nS,=84", ["Row 2, bust: “=84” cannot be read as a length"]),
    ("size,bust\nS,-84", ["Row 2, bust: “-84” is less than zero"]),
    ("size,bust\nS,98-90", ["Row 2, bust: 98 cm is more than 90 cm; the smaller stands first."]),
    ("size,bust\nS,8.4", ["Row 2, bust: 8.4 cm is out of range for bust, which is from 35 cm"]),
    ("size,bust\nS,84-900", ["Row 2, bust: 900 cm is out of range for bust"]),
    (
        "size,bust\nS,84 cm\nM,36 in\nL,37 in",
        ["Row 3, bust: “36 in” is in inches, but the column is in centimetres"],
    ),
    ("size,bust (cm)\nS,33 in", ["Row 2, bust (cm): “33 in” is in inches, but the column is in"]),
    ('size,bust\nS,"84" cm', ["Row 2: A quotation mark stands where it does not fit."]),
    ('size,bust\nS,"84', ["Row 2: A quotation mark stands where it does not fit."]),
    ("size,bust\nS,8\x004", ["This is not plain text: it holds the character 0."]),
    ("x" * (LARGEST_CHARACTERS + 1), ["This is too long for a size chart"]),
    (
        "size,bust\n" + "\n".join(f"Size {n},{84 + n / 10}" for n in range(MOST_ROWS + 1)),
        ["There are 61 sizes; a chart holds 60 at most."],
    ),
    (
        "size,bust\n,9\nS,wide\nS,84",
        ["Row 2, size: The size has no name.", "Row 2, bust: 9 cm is out of range",
         "Row 3, bust: “wide” cannot", "Row 4, size: “S” is the name of row 3 too."],
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "sentences"), TROUBLES, ids=[f"{text[:24]!r}" for text, _ in TROUBLES]
)
def test_every_trouble_is_told_with_its_place_and_nothing_is_read(
    text: str, sentences: list[str]
) -> None:
    read = read_sizes(text, "cm")
    told = [each.sentence for each in read.troubles]
    assert len(told) == len(sentences), told
    for one, begins in zip(told, sentences, strict=True):
        assert one.startswith(begins)
        assert one.endswith((".", "?", "…"))
    assert read.sizes == ()
    with pytest.raises(ValueError, match=r"\w"):
        read.chart("Mine", "")


def test_a_cell_that_is_wrong_is_marked_in_the_table_as_it_was_read() -> None:
    read = read_sizes("size,bust\nS,84\nM,wide,3", "cm")
    assert read.header == ("size", "bust")
    assert read.rows == ((2, ("S", "84")), (3, ("M", "wide", "3")))
    assert read.wrong(3)
    assert not read.wrong(2)
    assert read_sizes("size,bust\nM,wide", "cm").wrong(2, 1)


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"size,bust\nS,84", "size,bust\nS,84"),
        ("\ufeffsize,bust".encode(), "size,bust"),
        ("size;größe".encode("cp1252"), "size;größe"),
        ("size\tbust".encode("utf-16"), "size\tbust"),
    ],
)
def test_a_file_is_read_as_spreadsheets_write_it(raw: bytes, text: str) -> None:
    assert text_of(raw) == text


@pytest.mark.parametrize("raw", [b"PK\x03\x04 and more", b"\xff\xfe\x00", b"a\x00b", b"\x81\xff"])
def test_a_file_that_is_no_text_is_refused(raw: bytes) -> None:
    with pytest.raises(ValueError, match="Save the sheet as CSV"):
        text_of(raw)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_sentences(text: str) -> None:
    for start in ("", "size,bust\n"):
        read = read_sizes(start + text, "in")
        assert bool(read.troubles) != bool(read.sizes)
        assert all(each.sentence for each in read.troubles)


names = st.text("abcdefghijklmnopqrstuvwxyzäß 0123456789", min_size=1, max_size=12).map(
    lambda text: " ".join(text.split())
)


@given(
    st.dictionaries(names.filter(bool), st.tuples(st.integers(350, 2000), st.integers(350, 2000)),
                    min_size=1, max_size=12),
    st.sampled_from([",", ";", "\t"]),
)  # fmt: skip
def test_a_chart_written_out_is_read_back(sizes: dict[str, tuple[int, int]], sign: str) -> None:
    lines = [sign.join(("size", "bust (cm)"))]
    for name, ends in sizes.items():
        low, high = sorted(ends)
        lines.append(sign.join((name, f"{low / 10:.1f}-{high / 10:.1f}")))
    read = read_sizes("\n".join(lines), "in")
    assert read.troubles == ()
    assert [row.name for row in read.sizes] == list(sizes)
    for row, ends in zip(read.sizes, sizes.values(), strict=True):
        found: MeasuredRange = row.ranges["bust"]
        assert [found.least_mm, found.most_mm] == pytest.approx(sorted(ends))
