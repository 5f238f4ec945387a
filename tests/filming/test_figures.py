"""A text says what the draft says, in both units, and shows what it cannot fill in."""

import doctest
import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.filming import figures
from webapp.filming.figures import LiveText, Part, near, render, single_unit_measurements
from webapp.units import both

FIGURES = {"bust": 920.0, "body ease": 240.0, "front.hem": 610.0, "neck binding.free edge": 599.0}


def plain(text: str) -> str:
    return render(text, FIGURES, "cm").plain


# --- Live figures ------------------------------------------------------------------------------


def test_a_figure_is_shown_in_both_units_the_first_one_first() -> None:
    text = "The hem is {Front.hem} wide."
    assert render(text, FIGURES, "cm") == LiveText(
        (Part("The hem is "), Part("61 cm (24 in)", "figure"), Part(" wide."))
    )
    assert render(text, FIGURES, "in").plain == "The hem is 24 in (61 cm) wide."


@pytest.mark.parametrize(
    "name", ["Front.hem", "front.hem", "FRONT.HEM", " Front.hem ", "Front . hem", "\tFront.hem\n"]
)
def test_a_name_is_found_in_any_case_and_with_spaces_around_it(name: str) -> None:
    assert plain(f"{{{name}}}") == "61 cm (24 in)"


def test_names_of_several_words_are_found() -> None:
    assert plain("{body  ease}, {Neck binding.free edge}") == "24 cm (9 1/2 in), 60 cm (23 5/8 in)"


def test_a_figure_that_is_not_there_keeps_its_braces_and_is_told_once() -> None:
    live = render("{Front.hemm} {Bust} { Front.hemm } {ease}", FIGURES, "cm")
    assert live.plain == "{Front.hemm} 92 cm (36 1/4 in) { Front.hemm } {ease}"
    assert live.missing == ("Front.hemm", "ease")
    assert [part.kind for part in live.parts if part.kind != "text"] == [
        "missing", "figure", "missing", "missing",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "stray"),
    [
        ("{Hem all round", ("{Hem all round",)),
        ("Cut {} and { }.", ("{}", "{ }")),
        ("{Front.hem} and {Front", ("{Front",)),
        ("{Front {Bust} wide", ("{Front",)),
        ("Front.hem} wide", ("Front.hem}",)),
        ("{Front.hem} by {Front.hemm}", ()),  # missing, which is told elsewhere
        ("No figures at all.", ()),
        ("{Front hem and so on and on and on", ("{Front hem and so on and…",)),
        ("So on and on and on to the Front.hem}", ("…and on to the Front.hem}",)),
    ],
)
def test_a_brace_without_its_partner_is_told_with_the_words_beside_it(
    text: str, stray: tuple[str, ...]
) -> None:
    assert render(text, FIGURES, "cm").stray == stray


def test_the_nearest_name_is_suggested_as_it_is_written() -> None:
    written = ["bust", "Body ease", "Front.hem", "Back.hem"]
    assert near("front.HEMM", written) == "Front.hem"
    assert near(" body  eas", written) == "Body ease"
    assert near("zzz", written) is None


@pytest.mark.parametrize(
    "text", ["", "no figures", "{", "}", "{}", "{ }", "a } b { c", "}{", "{{}}"]
)
def test_braces_without_a_partner_or_a_name_are_plain_text(text: str) -> None:
    live = render(text, FIGURES, "cm")
    assert live.plain == text
    assert live.missing == ()


def test_of_nested_braces_the_inner_pair_holds_the_figure() -> None:
    assert plain("{{Front.hem}} {a {Front.hem}") == "{61 cm (24 in)} {a 61 cm (24 in)"


@given(st.text(st.sampled_from("ab. {}\n½é"), max_size=60))
def test_any_text_comes_through_with_only_its_figures_replaced(text: str) -> None:
    figures_mm = {"a": 610.0, "a.b": 15.875}
    live = render(text, figures_mm, "in")
    back = {both(mm, "in"): name for name, mm in figures_mm.items()}
    rebuilt = "".join(
        f"{{{back[part.text]}}}" if part.kind == "figure" else part.text for part in live.parts
    )
    squeezed = ["".join(t.split()) for t in (rebuilt, text)]
    assert squeezed[0] == squeezed[1]
    shown = {part.text for part in live.parts if part.kind == "figure"}
    in_braces = re.findall(r"\{([^{}]*)\}", text)
    quoted = {re.sub(r"\s*\.\s*", ".", name.strip()) for name in in_braces}
    assert {back[text] for text in shown} == quoted & set(figures_mm)


HOSTILE = ["{" * 20_000, "{a" * 10_000, "{" + "a" * 20_000, "{" + " " * 20_000, "1" * 20_000,
    "1 " * 10_000, "1/" * 10_000, "1 1/1 " * 4_000, "2 in " * 4_000, "2 in" + " " * 20_000,
    "1 cm (" * 4_000, "1-" * 10_000, "stitch " * 3_000, "12 in" * 4_000, "{a}" * 7_000,
    "1 to " * 4_000, "½" * 20_000]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_text_takes_no_time_to_speak_of(text: str) -> None:
    """20 kB within a second on a slow machine: a quadratic reading would take minutes."""
    start = time.process_time()
    assert render(text, FIGURES, "cm").plain == text
    single_unit_measurements(text)
    assert time.process_time() - start < 1


# --- Lengths typed in one unit only ------------------------------------------------------------

ALONE = {
    "Cut 12 in of elastic.": ["12 in"], "Press in 1 1/2 in pleats": ["1 1/2 in"],
    "Fold up 2½ in, then press.": ["2½ in"], 'Mark 28 1/2" down.': ['28 1/2"'],
    "a 12-inch square": ["12-inch"], "a 12-in pleat": ["12-in"],
    "2.5 cm and 3 in": ["2.5 cm", "3 in"],
    "Buy 2 m of linen or 2 1/4 yd": ["2 m", "2 1/4 yd"], "turn in 72,5 mm": ["72,5 mm"],
    "5-8 cm wide": ["5-8 cm"], "1 yd 4 in long": ["1 yd 4 in"], "12cm": ["12cm"],
    "It ends 5 in.": ["5 in"], "cut 5 cm × 10 cm": ["5 cm × 10 cm"],
    "1.5 cm (15 mm)": ["1.5 cm", "15 mm"],  # two units of one system
    "1.5 cm, that is 5/8 in": ["1.5 cm", "5/8 in"],  # not in brackets
    "1.5 cm (not 2 in)": ["1.5 cm", "2 in"], "3 feet of tape": ["3 feet"], "½ in": ["½ in"],
}  # fmt: skip
PAIRED_OR_NO_LENGTH = [
    "1.5 cm (5/8 in)", "1.5 cm (≈ 5/8 in)", "5/8 in (1.5 cm) seams", "61 cm (24 in)",
    "about 2 yd (about 1.8 m)",
    '12" (30 cm)', "5 ft 6 in (167.5 cm)", "2 in. (5 cm)", "1 to 2 in (2.5 to 5 cm)",
    "5 cm × 10 cm (2 in × 4 in)", "24 in (61 cm) wide, 28 1/2 in (72.5 cm) long",
    "Cut 2 in lining.", "Fold it in 2 in the end", "Cut 1 or 2 in linen", "Sew 3 in place",
    "Size 12", "needle 80/12", "5 min", "10 stitches per inch", "20 cm²", "3 metric", "",
    "{12 in}", "{Front.hem}", "stitch length 2.5 mm", "Set a 3 mm stitch", "a 4 mm long stitch",
    "5 mice, 3 insets", "v1.5 cm",
]  # fmt: skip


@pytest.mark.parametrize(("text", "alone"), ALONE.items())
def test_a_length_in_one_unit_only_is_found(text: str, alone: list[str]) -> None:
    assert single_unit_measurements(text) == tuple(alone)


@pytest.mark.parametrize("text", PAIRED_OR_NO_LENGTH)
def test_a_pair_in_brackets_a_live_figure_or_another_number_is_not(text: str) -> None:
    assert single_unit_measurements(text) == ()


@given(st.floats(1, 5000), st.sampled_from(["in", "cm"]), st.booleans())
def test_what_a_live_figure_shows_is_never_found(mm: float, first: str, allowance: bool) -> None:
    shown = both(mm, first, allowance=allowance)  # type: ignore[arg-type]
    assert single_unit_measurements(f"Cut {shown} wide and {shown}.") == ()


def test_the_examples_in_the_docstrings_hold() -> None:
    failed, attempted = doctest.testmod(figures)
    assert failed == 0 < attempted
