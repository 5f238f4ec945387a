"""Figures: what people write is computed exactly, or refused in a sentence; never anything else."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from webapp.draft.expressions import LONGEST_TEXT, Quantity, read
from webapp.draft.names import Figures
from webapp.errors import FigureError, WaitingError

NAMES = {
    "bust": Quantity(920.0),
    "hip": Quantity(980.0),
    "body ease": Quantity(240.0),
    "front.neck": Quantity(173.1),
    "neck binding.free edge": Quantity(600.0),
    "fullness": Quantity(2.5, 0),
    "broken": Quantity(float("nan")),
    "endless": Quantity(float("inf")),
}

COMPUTED = {  # mm: the ways to write it
    125.0: ["12.5 cm", "12,5 cm", "125 mm", "0.125 m", "12½ cm", "12 1/2 cm", "25/2 cm"],
    120.65: ["4 3/4 in", "4 3/4\"", "4¾″", "4.75 inches", "4 3/4 inch", "19/4 in"],
    914.4: ["1 yd", "3 ft", "36 in"],
    460.0: ["bust / 2", "BUST / 2", "bust*1/2", "bust*0.5", "-bust/-2", "+bust / +2",
            "+".join(["bust/4"] * 2)],
    305.0: ["(max(bust, hip) + body ease) / 4", "(max(bust,hip)+body ease)/4",
            "max(bust / 4, hip / 4) + Body Ease / 4"],
    980.0: ["max(bust,hip)", "max(bust, 5 cm, hip)", "min(hip, 2 m)", "abs(-hip)",
            "sqrt(hip * hip)"],
    920.0: ["max(bust,5 cm)"],
    346.2: ["Front.neck * 2", "2 × front.neck"],
    600.0: ["Neck binding.free edge"],
    2300.0: ["bust * fullness"],
    -20.0: ["-2 cm", "—2 cm", "‒2 cm", "‐2 cm", "−2 cm", "–2 cm", "\u20112 cm"],
    100.0: ["20 cm - 5 cm - 5 cm", "10 cm - (5 cm - 5 cm)", "2 * 3 cm + 4 cm"],
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "mm"), [(text, mm) for mm, texts in COMPUTED.items() for text in texts]
)
def test_a_figure_comes_to_its_length(text: str, mm: float) -> None:
    assert read(text).length_mm(NAMES) == pytest.approx(mm, abs=1e-9)


REFUSED = {
    "": "There is no figure here",
    "   ": "There is no figure here",
    "bust +": "“bust +” lacks a figure at the end",
    "* bust": "lacks a figure before “*”",
    "2 bust": "an operator (+ - * /) is missing",
    "max(bust": "lacks a closing bracket",
    "(bust": "lacks a closing bracket",
    "bust)": "cannot be read at “)”",
    "max()": "lacks a figure",
    "abs(bust, hip)": "abs takes one figure",
    "bust ^ 2": "“^ 2” cannot be read",
    "import os": "There is no figure called “import os”",
    "__import__('os')": "cannot be read",
    "bsut / 2": "There is no figure called “bsut”. Did you mean “bust”?",
    "nan": "There is no figure called “nan”",
    "bust / 0": "“bust / 0” divides by zero",
    "bust / (2 - 2)": "divides by zero",
    "3/0 in": "divides by zero",
    "1 3/0 in": "divides by zero",
    "bust + 2": "adds a length to a bare number",
    "bust * bust + bust": "adds figures of different kinds",
    "max(bust, 2)": "compare lengths with lengths",
    "sqrt(bust)": "sqrt needs an area",
    "sqrt(-4)": "sqrt needs an area or a plain number that is not negative",
    "12": "“12” is a number without a unit. Write 12 cm or 12 in.",
    "64 + 5": "“64 + 5” is a number without a unit. Give each figure a unit, like 64 cm + 5 cm.",
    "bust / hip": "“bust / hip” is a number without a unit. A length has a unit.",
    "bust * hip": "does not come to a length",
    "1 / bust": "does not come to a length",
    "broken": "does not come to a usable figure",
    "broken * 2": "does not come to a usable figure",
    "endless - endless": "does not come to a usable figure",
    "1,250 mm": "“1,250” could mean two figures",
    "max(1,5 cm)": "“1,5 cm” could be one number or two figures here",
    "(" * 30 + "bust" + ")" * 30: "too many brackets",
    "abs(" * 25 + "bust" + ")" * 25: "too many brackets",
    "1 cm +" * 1700 + " 1 cm": f"{LONGEST_TEXT} characters long at most",  # 10 kB
}


@pytest.mark.parametrize(("text", "part"), REFUSED.items(), ids=lambda text: str(text)[:20])
def test_a_figure_that_cannot_be_computed_is_refused_in_a_sentence(text: str, part: str) -> None:
    with pytest.raises(FigureError) as refused:
        read(text).length_mm(NAMES)
    assert part in refused.value.sentence
    assert refused.value.sentence.endswith((".", "?"))


@pytest.mark.parametrize(
    "number",
    ["64", "-3", "—3", "‐3", "+3", "64.5", "64,5", ".5", "1/2", "28 1/2", "½", "28½", "28 ½"],
)
def test_the_advice_for_a_plain_number_can_be_followed(number: str) -> None:
    with pytest.raises(FigureError) as refused:
        read(number).length_mm({})
    assert refused.value.sentence.endswith(f"Write {number} cm or {number} in.")
    cm, inch = (read(f"{number} {unit}").length_mm({}) for unit in ("cm", "in"))
    assert inch == pytest.approx(2.54 * cm)  # 1 in = 2.54 cm


@pytest.mark.parametrize("text", ["64 + 5", "2 * 3", "(64)", "max(1, 2)", "1/2 + 1", "1/2/3"])
def test_the_advice_for_a_sum_can_be_followed(text: str) -> None:
    with pytest.raises(FigureError) as refused:
        read(text).length_mm({})
    *_, advice = refused.value.sentence.split("like ")
    assert read(advice.rstrip(".")).length_mm({}) == 690  # 64 cm + 5 cm


def test_a_misspelt_name_is_told_before_one_that_is_lacking() -> None:
    names = Figures({"hip": Quantity(980)})
    names.lacking = {"waist"}
    with pytest.raises(WaitingError, match="“Waist” has no figure yet; see to that first"):
        read("Waist / 2 + hip").length_mm(names)
    with pytest.raises(FigureError, match="There is no figure called “hpi”"):
        read("Waist / 2 + hpi").length_mm(names)


def test_a_long_sum_and_many_signs_are_within_bounds() -> None:
    assert read("+".join(["1 mm"] * 39)).length_mm({}) == 39
    assert read("-" * 150 + "1 cm").length_mm({}) == 10


def test_what_is_composed_of_typed_figures_may_be_longer_and_deeper_than_they() -> None:
    longest = "+".join(["1 mm"] * 40)[-LONGEST_TEXT:]
    deepest = "(" * 20 + "1 mm" + ")" * 20
    for figure in (longest, deepest):
        assert read(f"(({figure}) + ({figure})) / 2", composed=True).length_mm({}) == read(
            figure
        ).length_mm({})
    with pytest.raises(FigureError, match="characters long at most"):
        read("1 cm +" * 1700 + " 1 cm", composed=True)


def test_a_share_is_a_plain_number() -> None:
    assert read("1/2").number(NAMES) == 0.5
    assert read("bust / (2 * bust)").number(NAMES) == 0.5
    with pytest.raises(FigureError, match="should be a plain number, without a unit"):
        read("bust").number(NAMES)


def test_a_figure_tells_which_names_it_quotes() -> None:
    assert read("max(Bust, hip) + 2 * Front.neck - pi * 1 cm").names == {
        "bust",
        "hip",
        "front.neck",
    }


@given(
    st.one_of(
        st.text(max_size=60),
        st.text(alphabet="0123456789.,/½¾ +-*×()cmin\"″bustmaxsqrtabs", max_size=LONGEST_TEXT),
        st.lists(
            st.sampled_from([*"+-*/(),.", "bust", "hip", "fullness", "max(", "sqrt(", "abs(", "1/2",
                             "3", "0", "4 1/2", "2,5", "cm", "in", "pi", "broken"]),
            max_size=40,
        ).map(" ".join),
    )
)  # fmt: skip
@example("²")
@example("٣ cm")
@example("1 ²/3 in")
@example("İ")
def test_any_text_is_computed_or_refused_and_never_raises_anything_else(text: str) -> None:
    try:
        quantity = read(text).quantity(NAMES)
    except FigureError as refused:
        assert refused.sentence
    else:
        assert isinstance(quantity.value, float | int)


# Small binary fractions, so that floats hold every result exactly.
_LEAVES = st.one_of(
    st.integers(0, 9).map(lambda n: (f"{n}", f"F({n})")),
    st.integers(0, 35).map(lambda n: (f"{n / 4}", f"F({n}, 4)")),
    st.integers(1, 7).map(lambda n: (f"3 {n}/8", f"F({24 + n}, 8)")),
)
_DIVISORS = st.sampled_from([("2", "F(2)"), ("0.25", "F(1, 4)"), ("8", "F(8)"), ("0", "F(0)")])
Pair = tuple[str, str]


def _larger(inner: st.SearchStrategy[Pair]) -> st.SearchStrategy[Pair]:
    def joined(sign: str, one: Pair, other: Pair) -> Pair:
        return f"{one[0]} {sign} {other[0]}", f"{one[1]} {sign} {other[1]}"

    def called(name: str, one: Pair, other: Pair) -> Pair:
        return f"{name}({one[0]}, {other[0]})", f"{name}({one[1]}, {other[1]})"

    return st.one_of(
        st.builds(joined, st.sampled_from("+-*"), inner, inner),
        st.builds(joined, st.just("/"), inner, _DIVISORS),
        st.builds(called, st.sampled_from(["min", "max"]), inner, inner),
        inner.map(lambda pair: (f"({pair[0]})", f"({pair[1]})")),
        inner.map(lambda pair: (f"-{pair[0]}", f"-{pair[1]}")),
        inner.map(lambda pair: (f"abs({pair[0]})", f"abs({pair[1]})")),
    )


@given(st.recursive(_LEAVES, _larger, max_leaves=7).filter(lambda p: len(p[0]) <= LONGEST_TEXT))
def test_arithmetic_agrees_with_exact_fractions(pair: Pair) -> None:
    """Python's own grammar and its fractions are the reference, brackets or none."""
    text, python = pair
    try:
        exact = eval(python, {"F": Fraction, "min": min, "max": max, "abs": abs})
    except ZeroDivisionError:
        with pytest.raises(FigureError, match="divides by zero"):
            read(text).number({})
        return
    assert read(text).number({}) == float(exact)
