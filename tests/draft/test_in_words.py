"""Formulas in plain words: a table of them, and words that read back as the same sum."""

import re
from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.specimens import RECTANGLE, WREN, smock_draft
from webapp.draft.evaluate import evaluate
from webapp.draft.expressions import read
from webapp.draft.in_words import Teller
from webapp.draft.instructions import instructions
from webapp.draft.recipe import Recipe
from webapp.draft.results import Draft
from webapp.draft.words import Sentence
from webapp.units import System

GARMENT = Recipe.model_validate({
    "id": "bib", "name": "Bib", "measures": ["bust", "hip"],
    "choices": [
        {"name": "ease", "value": "12 cm"},
        {"name": "half ease", "value": "ease / 2"},
        {"name": "fullness", "value": "1.5"},
        {"name": "body width", "value": "max(bust, hip) / 2 + ease"},
    ],
    "pieces": [{"name": "Front", "moves": [
        {"kind": "rectangle", "width": "bust / 2", "length": "bust"},
        {"kind": "scoop", "edge": "top", "corner": "left side", "width": "ease",
         "depth": "half ease", "name": "neck"}]}],
})  # fmt: skip
DRAFT = evaluate(GARMENT, WREN)

# Inches to the nearest 1/8 over 15 cm, 1/16 below: 12 cm = 4.72 in, 24 = 9.45, 4 = 1.57, 2 = 0.79.
WORDS = {
    "bust / 2 + ease": "half your bust, plus 12 cm or 4 3/4 in",
    "ease + bust / 2": "half your bust, plus 12 cm or 4 3/4 in",
    "bust / 2 + ease + ease": "half your bust, plus 24 cm or 9 1/2 in",
    "24 cm - bust / 4": "24 cm or 9 1/2 in, less a quarter of your bust",
    "bust / 4": "a quarter of your bust",
    "bust * 1/4": "a quarter of your bust",
    "bust / 2 / 4": "an eighth of your bust",
    "hip / 5": "your hip divided by 5",
    "hip * 2 / 3": "two thirds of your hip",
    "bust * 4 / 3": "4 times your bust divided by 3",
    "0.3 * bust": "0.3 times your bust",
    "bust * fullness": "1.5 times your bust",
    "2 * Front.neck": "twice the neck of your Front",
    "Front.neck width + hip": "the neck width of your Front, plus your hip",
    "max(bust, hip)": "the larger of your bust and your hip",
    "max(bust, hip, waist)": "the largest of your bust, your hip and your waist",
    "min(bust, hip) / 2": "half of the smaller of your bust and your hip",
    "max(bust, 80 cm)": "your bust, but no less than 80 cm or 31 1/2 in",
    "min(bust / 4 - 2 cm, ease)":
        "(a quarter of your bust, less 2 cm or 13/16 in), but no more than 12 cm or 4 3/4 in",
    "max(min(bust / 4, ease), 2 cm)":
        "a quarter of your bust, but no more than 12 cm or 4 3/4 in, and no less than "
        "2 cm or 13/16 in",
    # Here the least is more than the most, so the order counts.
    "max(min(bust / 4, 2 cm), ease)":
        "(a quarter of your bust, but no more than 2 cm or 13/16 in), but no less than "
        "12 cm or 4 3/4 in",
    "max(bust, 80 cm) / 2": "half of (your bust, but no less than 80 cm or 31 1/2 in)",
    "bust + max(hip - waist, 2 cm)":
        "your bust, plus ((your hip, less your waist), but no less than 2 cm or 13/16 in)",
    "Front.neck drawn * 2": "twice the neck of your Front as it is drawn",
    "max(bust / 2, hip - 2 cm)":
        "the larger of half your bust and (your hip, less 2 cm or 13/16 in)",
    "(max(bust, hip) + ease) / 4 + 4 cm":
        "a quarter of (the larger of your bust and your hip, plus 12 cm or 4 3/4 in), "
        "plus 4 cm or 1 9/16 in",
    "bust - (hip - 4 cm)": "your bust, less (your hip, less 4 cm or 1 9/16 in)",
    "-(bust - hip)": "your hip, less your bust",
    "-bust / 4 + hip": "your hip, less a quarter of your bust",
    "bust / (hip / waist)": "your bust times your waist divided by your hip",
    "abs(bust - hip)": "the difference between your bust and your hip",
    "abs((bust - hip) / 2)": "half of the difference between your bust and your hip",
    "sqrt(bust * hip)": "the square root of (your bust times your hip)",
    "pi * bust": "3.142 times your bust",
    "waist / (2 * pi * (1/2))": "your waist divided by 3.142",
    "(waist / 2) / (2 * pi * (1/4))": "your waist divided by 3.142",
    "body width / 2": "half the body width",
    "half ease + 2 cm": "8 cm or 3 1/8 in",
    "seam allowance": "1.5 cm or 5/8 in",  # the trade's pair, where 1.5 cm alone is 9/16 in
}  # fmt: skip


def in_words(formula: str, draft: Draft, first: System) -> str:
    """The formula as a line of a worksheet that has no letters tells it."""
    return Teller(draft, first).told(read(formula).compute).words


@pytest.mark.parametrize(("formula", "words"), WORDS.items())
def test_a_formula_is_told_in_words(formula: str, words: str) -> None:
    assert in_words(formula, DRAFT, "cm") == words


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("sqrt(hip * hip + 10 cm * 10 cm)",
         "the square root of (your hip times your hip, plus 10 cm or 3 15/16 in times "
         "10 cm or 3 15/16 in)"),
        ("abs(slack)", "the slack without any minus sign"),
        ("abs(bust) / 2", "half your bust"),  # a measure has no minus sign
        ("abs(-bust * 2 cm / waist)", "your bust times 2 cm or 13/16 in divided by your waist"),
        ("abs(max(waist - hip, waist - bust))",
         "(the larger of (your waist, less your hip) and (your waist, less your bust)) without "
         "any minus sign"),
        ("abs(bust * (waist - hip) / hip)",
         "(your bust times (your waist, less your hip) divided by your hip) without any minus "
         "sign"),
    ],
)  # fmt: skip
def test_an_area_is_told_by_its_sides_and_a_sign_by_name(formula: str, words: str) -> None:
    slack = {"id": "bib", "name": "Bib", "choices": [{"name": "slack", "value": "hip - 105 cm"}]}
    assert in_words(formula, evaluate(Recipe.model_validate(slack), WREN), "cm") == words


@pytest.mark.parametrize("formula", WORDS)
def test_only_the_order_of_the_units_is_another_for_who_prefers_inches(formula: str) -> None:
    pair = re.compile(r"([\d.]+ cm) or ((?:\d+ )?[\d/]+ in)")
    assert in_words(formula, DRAFT, "in") == pair.sub(r"\2 or \1", WORDS[formula])


def test_a_figure_follows_the_body_through_the_choices_it_quotes() -> None:
    is_fixed = Teller(DRAFT, "cm").is_fixed
    assert not is_fixed(read("body width").compute)
    assert not is_fixed(read("Front.neck").compute)
    assert is_fixed(read("half ease + seam allowance").compute)


def test_what_has_a_letter_is_called_by_it_and_not_told_again() -> None:
    node = read("(Front.neck + bust - 4 cm) / 2").compute
    told = Teller(DRAFT, "cm").told(node, {read("Front.neck + bust").compute: "B"})
    assert told.words == "half of (B, less 4 cm or 1 9/16 in)"
    assert told.edges == ()


def test_a_number_says_which_choices_it_comes_from() -> None:
    told = Teller(DRAFT, "cm").told(read("bust * (fullness - 1) / 4").compute)
    assert (told.words, told.numbers) == ("an eighth of your bust", ())  # 0.5 is in no word
    told = Teller(DRAFT, "cm").told(read("(fullness - 1.3) * (bust / 4 + hip)").compute)
    assert told.words == "0.2 times (a quarter of your bust, plus your hip)"
    assert told.numbers == (("0.2", "the fullness, less 1.3"),)


def test_what_stands_once_is_the_figure_itself() -> None:
    teller, neck = Teller(DRAFT, "cm"), read("Front.neck").compute
    assert teller.plain(read("(2 * Front.neck) / 2").compute) == neck
    assert teller.plain(read("Front.neck / 2").compute) == read("Front.neck / 2").compute
    assert teller.plain(read("hip * Front.neck / hip").compute) != neck


def test_edges_that_are_measured_are_named_with_their_piece() -> None:
    draft = smock_draft()
    told = Teller(draft, "cm").told(read("2 * (front.NECK + Back.neck)").compute)
    assert told.edges == (("Front", "neck"), ("Back", "neck"))


# --- Read back -------------------------------------------------------------------------------

_SHARES = {
    "half of": 1 / 2, "half": 1 / 2, "a third of": 1 / 3, "a quarter of": 1 / 4,
    "an eighth of": 1 / 8, "two thirds of": 2 / 3, "three quarters of": 3 / 4,
    "twice": 2.0, "three times": 3.0, "four times": 4.0,
}  # fmt: skip
_WORD = re.compile(
    r"\s*(, plus|, less|, but no less than|, but no more than|, and no less than|"
    r", and no more than|minus|the (?:larg|small)e(?:r|st) of|the difference between|divided by|"
    rf"{'|'.join(_SHARES)}|times|without any minus sign|your \w+|the slack|[A-Z](?![a-z])|"
    r"-?[\d.]+ cm or -?(?:\d+ )?[\d/]+ in|-?[\d.]+|and|,|\(|\))"
)
BODY: Mapping[str, float] = {"bust": 1010.0, "hip": 1130.0, "waist": 870.0}


class _Aloud:
    """Reads the words as a person would: brackets first, then parts and times, then sums."""

    def __init__(self, words: str, known: Mapping[str, float] | None = None) -> None:
        self.known = known or {}  # what has a line of its own, by what it is called
        self.words = _WORD.findall(words)
        assert "".join(self.words).replace(" ", "") == words.replace(" ", ""), words

    def take(self, *words: str) -> str:
        return self.words.pop(0) if self.words and self.words[0] in words else ""

    def sum(self) -> float:
        total = -self.product() if self.take("minus") else self.product()
        while sign := self.take(", plus", ", less"):
            total += self.product() if sign == ", plus" else -self.product()
        return self.limited(total)

    def limited(self, value: float) -> float:
        while limit := self.take(*(f", {word} no {than} than" for word in ("but", "and")
                                   for than in ("less", "more"))):  # fmt: skip
            value = (max if "less" in limit else min)(value, self.one())
        return value

    def product(self) -> float:
        if share := self.take(*_SHARES):
            return _SHARES[share] * self.product()
        value = self.one()
        while sign := self.take("times", "divided by"):
            value = value * self.product() if sign == "times" else value / self.one()
        return value

    def one(self) -> float:
        word = self.words.pop(0)
        if word == "(":
            value = self.sum()
            assert self.words.pop(0) == ")"
            return self.signed(value)
        if word in self.known:
            return self.signed(self.known[word])
        if word.startswith("your "):
            return self.signed(BODY[word.removeprefix("your ")])
        if word.startswith("the "):
            return self.several(word)
        number = float(word.split()[0])
        return 10 * number if " cm " in word else number

    def signed(self, value: float) -> float:
        return abs(value) if self.take("without any minus sign") else value

    def several(self, which: str) -> float:
        values = [self.product()]
        while self.take(",", "and"):
            values.append(self.product())
        if which == "the difference between":
            return abs(values[0] - values[1])
        return max(values) if "larg" in which else min(values)


# A formula with the most it can come to, whatever is taken off: the measure of what is lost
# where words round a constant to half a centimetre, or a number to four digits.
Sized = tuple[str, float]
_LEAVES = st.sampled_from([*BODY.items(), ("12 cm", 120.0), ("40 cm", 400.0)])


def _grown(inner: st.SearchStrategy[Sized]) -> st.SearchStrategy[Sized]:
    def added(sign: str, one: Sized, other: Sized) -> Sized:
        return f"({one[0]}) {sign} ({other[0]})", one[1] + other[1]

    def spun(sign: str, one: Sized, other: Sized) -> Sized:
        return f"{one[0]} {sign} {other[0]}", 2 * (one[1] + other[1])

    def scaled(how: tuple[str, float], one: Sized) -> Sized:
        return f"({one[0]}) {how[0]}", one[1] * how[1]

    def called(function: str, one: Sized, other: Sized) -> Sized:
        return f"{function}({one[0]}, {other[0]})", one[1] + other[1]

    ways = [("/ 2", 0.5), ("/ 3", 0.34), ("* 3/4", 0.75), ("* 2", 2.0), ("/ 5", 0.2), ("* 1", 1.0)]
    return st.one_of(
        st.builds(added, st.sampled_from("+-"), inner, inner),
        st.builds(spun, st.sampled_from("+-"), inner, inner),
        st.builds(scaled, st.sampled_from(ways), inner),
        st.builds(called, st.sampled_from(["max", "min"]), inner, inner),
        inner.map(lambda one: (f"-({one[0]})", one[1])),
        st.builds(lambda a, b: (f"abs(({a[0]}) - ({b[0]}))", a[1] + b[1]), inner, inner),
        st.builds(lambda a, b: (f"({a[0]}) * {b} / waist", 2 * a[1]), inner, st.just("hip")),
    )


OTHER = WREN.model_copy(update={"measures": {k: f"{v} mm" for k, v in BODY.items()}})


@given(st.recursive(_LEAVES, _grown, max_leaves=7).filter(lambda sized: len(sized[0]) <= 200))
def test_the_words_read_aloud_are_the_formula(sized: Sized) -> None:
    """No bracket is missing: whoever reads the words works out what the formula comes to."""
    formula, size = sized
    draft = evaluate(GARMENT, OTHER)
    aloud = _Aloud(in_words(formula, draft, "cm"))
    found = aloud.sum()
    assert aloud.words == []
    assert found == pytest.approx(read(formula).length_mm(draft.names), abs=0.01 * size + 8)


# With a choice that is less than nothing on this body: 1130 / 3 - 400 = -23 mm.
SLACK = {"id": "s", "name": "S", "choices": [{"name": "slack", "value": "hip / 3 - 40 cm"}],
         "pieces": [{"name": "Front", "moves": [RECTANGLE]}]}  # fmt: skip
TABLE = evaluate(Recipe.model_validate(SLACK), OTHER)
_OF_SHARED = ["({a})", "abs({a})", "max({a}, {b})", "({b}) - ({a})", "abs(({b}) - ({a}))",
              "abs(max({a}, {b}))", "abs(({a}) / 2) + slack", "abs(slack) + ({a})"]  # fmt: skip


@given(
    st.recursive(_LEAVES, _grown, max_leaves=4),
    st.recursive(_LEAVES, _grown, max_leaves=4),
    st.lists(st.sampled_from(_OF_SHARED), min_size=2, max_size=4, unique=True),
)
@example(("waist - hip", 2000), ("30 cm", 300), ["abs({a})", "max({a}, {b})"])
@example(("waist - hip", 2000), ("waist - bust", 1880), ["({a})", "abs(max({a}, {b}))"])
def test_a_whole_table_read_aloud_is_its_formulas(
    one: Sized, other: Sized, ways: list[str]
) -> None:
    """Line by line, each letter standing for what its own line was read as."""
    texts = {f"f{n}": way.format(a=one[0], b=other[0]) for n, way in enumerate(ways)}
    exact = {slot: read(text, composed=True).length_mm(TABLE.names) for slot, text in texts.items()}
    sentence = Sentence(" ".join(f"{{{slot}}}" for slot in texts), exact, texts)
    (front,) = TABLE.pieces
    told = instructions(replace(TABLE, pieces=(replace(front, words=(sentence,)),)), "cm")
    known = {"the slack": TABLE.names["slack"].value}
    for line in told.figures:
        aloud = _Aloud(line.formula, known)
        known[line.name] = aloud.sum()
        assert aloud.words == []
    (parts,) = told.pieces[0].lines
    for part, (slot, mm) in zip(parts[::2], exact.items(), strict=True):
        if part.kind == "letter":
            within = 0.02 * (one[1] + other[1]) + 16
            assert known[part.text] == pytest.approx(mm, abs=within), texts[slot]
