"""Size charts and the size finder: what a size is drafted on, and which one to make."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from tests.specimens import SMOCK, WREN, smock_draft, starter
from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body, Recipe
from webapp.draft.size_advice import Ease, advice, eases_of
from webapp.draft.size_finder import SizeAnswer, find_size
from webapp.draft.sizes import MeasuredRange, SizeChart, SizeRow, chart_of, spans_mm
from webapp.draft.standard_sizes import STANDARD_CHARTS

WOMEN = STANDARD_CHARTS["women"]


def chart(**sizes: dict[str, str]) -> SizeChart:
    """A chart of rows like S={"bust": "82-90"}, in cm."""
    rows = []
    for name, measures in sizes.items():
        ranges = {}
        for measure, text in measures.items():
            least, _, most = text.partition("-")
            ranges[measure] = MeasuredRange(least=f"{least} cm", most=f"{most or least} cm")
        rows.append(SizeRow(name=name, ranges=ranges))
    return SizeChart(name="A chart", rows=tuple(rows))


def found(person: dict[str, float], of: SizeChart = WOMEN) -> SizeAnswer:
    """The answer for measures in cm, in the order given."""
    return find_size(of, {name: cm * 10 for name, cm in person.items()}, list(person))


# --- Charts -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("least", "most", "middle"),
    [
        ("82 cm", "90 cm", "86 cm"),
        ("98 cm", "107 cm", "102.5 cm"),
        ("86 cm", "86 cm", "86 cm"),
        ("35 1/2 in", "36 in", "35 3/4 in"),
        ("106 cm", "114.5 cm", "110.25 cm"),
        ('36"', '37 1/2"', "36 3/4 in"),
    ],
)
def test_a_size_is_drafted_on_the_middle_of_its_range(least: str, most: str, middle: str) -> None:
    row = SizeRow(name="S", ranges={"bust": MeasuredRange(least=least, most=most)})
    assert row.body() == Body(name="S", measures={"bust": middle})


def test_a_range_that_falls_an_unknown_measure_and_twin_sizes_are_refused() -> None:
    with pytest.raises(ValidationError, match="the smaller stands first"):
        MeasuredRange(least="90 cm", most="82 cm")
    with pytest.raises(ValidationError, match="no measure Seamslate knows"):
        SizeRow(name="S", ranges={"shoe": MeasuredRange(least="1 cm", most="2 cm")})
    with pytest.raises(ValidationError, match="Two sizes are called"):
        SizeChart(name="Twins", rows=(SizeRow(name="S"), SizeRow(name="s")))


def test_single_figures_reach_halfway_to_their_neighbours() -> None:
    """84, 88 and 96: halves at 86 and 92; outwards as far as inwards, 82 and 100."""
    spans = spans_mm(chart(S={"bust": "84"}, M={"bust": "88"}, L={"bust": "96"}), "bust")
    assert spans == {"S": (820, 860), "M": (860, 920), "L": (920, 1000)}


def test_a_chart_of_bodies_leaves_out_what_is_no_length() -> None:
    bodies = (Body(name="S", measures={"bust": "84 cm", "hip": "wide"}), Body(name="M"))
    made = chart_of("Ours", bodies)
    assert made.measures == ("bust",)
    assert [row.name for row in made.rows] == ["S", "M"]


def test_a_chart_is_read_back_from_its_own_text() -> None:
    assert SizeChart.model_validate_json(WOMEN.model_dump_json(), strict=True) == WOMEN


# --- Finding a size ---------------------------------------------------------------------------


CASES = [
    # person, size, deciding measure, between sizes, where each falls
    ({"bust": 92, "hip": 100}, "M", "bust", False, ["in", "in"]),
    ({"bust": 92, "hip": 110}, "L", "hip", True, ["in", "in"]),
    ({"bust": 110, "hip": 100}, "XL", "bust", True, ["in", "in"]),
    ({"bust": 90, "hip": 94}, "S", "bust", True, ["edge", "in"]),
    ({"bust": 90.1, "hip": 100}, "M", "bust", False, ["in", "in"]),
    ({"bust": 60}, "", "", False, ["below"]),
    ({"bust": 170}, "", "", False, ["above"]),
    ({"bust": 92, "hip": 150}, "", "", False, ["in", "above"]),
    ({"bust": 70, "hip": 78}, "XXS", "bust", True, ["in", "below"]),
    ({"bust": 92, "head": 56}, "M", "bust", False, ["in", "not told"]),
    ({"head": 56}, "", "", False, ["not told"]),
    ({}, "", "", False, []),
]


@pytest.mark.parametrize(("person", "size", "deciding", "between", "where"), CASES)
def test_the_size_is_the_one_no_measure_exceeds(
    person: dict[str, float], size: str, deciding: str, between: bool, where: list[str]
) -> None:
    answer = found(person)
    assert (answer.size, answer.deciding, answer.between) == (size, deciding, between)
    assert [each.where for each in answer.placed] == where


def test_a_measure_in_a_gap_of_the_chart_goes_to_the_larger_size() -> None:
    gaps = chart(S={"bust": "82-86"}, M={"bust": "90-94"})
    answer = found({"bust": 88}, gaps)
    assert (answer.size, answer.between) == ("M", True)
    assert answer.placed[0].words == "between S and M"


def test_a_chart_listed_from_large_to_small_gives_the_same_answer() -> None:
    turned = SizeChart(name="Turned", rows=tuple(reversed(WOMEN.rows)))
    for bust, hip in itertools.product(range(70, 160, 7), range(80, 140, 7)):
        person = {"bust": float(bust), "hip": float(hip)}
        assert found(person, turned).size == found(person).size


def test_a_size_smaller_in_one_measure_than_the_one_before_is_passed_over() -> None:
    """By bust she is M; but M's hip ends at 96, and L's at 104 takes her 98."""
    odd = chart(
        S={"bust": "82-90", "hip": "90-100"},
        M={"bust": "90-98", "hip": "88-96"},
        L={"bust": "98-106", "hip": "96-104"},
    )
    assert found({"bust": 94, "hip": 98}, odd).size == "L"


@given(
    bust=st.floats(60, 170),
    hip=st.floats(75, 140),
    needed=st.permutations(["bust", "hip"]),
)
def test_no_measure_exceeds_the_size_found_and_the_next_smaller_is_exceeded(
    bust: float, hip: float, needed: list[str]
) -> None:
    person = {"bust": bust * 10, "hip": hip * 10}
    answer = find_size(WOMEN, person, needed)
    if not answer.size:
        return
    ends = {measure: spans_mm(WOMEN, measure) for measure in needed}
    for measure in needed:
        assert person[measure] <= ends[measure].get(answer.size, (0, 1e9))[1] + 0.5
    names = [row.name for row in WOMEN.rows]
    smaller = names[: names.index(answer.size)][-1:]
    for name in smaller:
        if all(name in ends[measure] for measure in needed):
            assert any(person[measure] > ends[measure][name][1] for measure in needed)


# --- Advice -----------------------------------------------------------------------------------


def words(person: dict[str, float], **eases: Ease) -> str:
    """The sentences, in centimetres first."""
    return " ".join(s.show("cm") for s in advice(WOMEN, found(person), eases))


def test_the_advice_says_which_measure_decides_and_what_ease_would_allow() -> None:
    """M is drafted on a hip of (98 + 106) / 2 = 102 cm; 110 is 8 cm more."""
    ease = Ease("body ease", 260, 80)
    assert words({"bust": 92, "hip": 110}, bust=ease, hip=ease) == (
        "Your hip decides: it asks for L, but your bust falls in M. "
        "M is drafted on a hip of 102 cm (40 1/8 in); yours is 8 cm (3 1/8 in) more. "
        "With 26 cm (10 1/4 in) of body ease it would do too, if you like it that much closer."
    )


@pytest.mark.parametrize(
    ("ease", "end"),
    [
        (Ease("hip ease", 60), "it would most likely be too tight."),
        (
            Ease("hip ease", 120, 80),
            "it would leave less room than the least that makes sense, 8 cm (3 1/8 in).",
        ),
        (None, "Whether it would do too depends on the ease: see the finished measurements."),
    ],
)
def test_a_smaller_size_is_judged_by_the_ease_it_would_leave(ease: Ease | None, end: str) -> None:
    """110 - 102 = 8 cm more: of 6 nothing is left, of 12 cm 4, less than the least, 8."""
    eases = {"hip": ease} if ease else {}
    assert words({"bust": 92, "hip": 110}, **eases).endswith(end)


def test_a_person_inside_one_size_is_told_how_it_sits_on_her() -> None:
    assert words({"bust": 92, "hip": 100}, bust=Ease("body ease", 260)) == (
        "Your bust and hip both ask for M. M is drafted on a bust of 94 cm (37 in), with 26 cm "
        "(10 1/4 in) of body ease; yours is 2 cm (13/16 in) less, so it sits looser by as much."
    )
    assert words({"bust": 94}).endswith("; yours is the same.")


def test_outside_the_chart_she_is_sent_to_her_own_measures() -> None:
    assert words({"bust": 92, "hip": 150}) == (
        "This chart has no size for you. Draft the garment to your own measures instead. "
        "Your hip is larger than it goes: XXL ends at 134.5 cm (53 in)."
    )
    assert "XXS begins at 66 cm (26 in)" in words({"bust": 60})


def test_what_the_chart_does_not_give_is_said() -> None:
    assert words({"bust": 94, "head": 56, "upper arm": 29}).endswith(
        "The chart does not give the head and upper arm: compare yours with the finished "
        "measurements."
    )


def test_how_closer_a_smaller_size_sits_is_what_drafting_both_shows() -> None:
    """The advice's “8 cm more” is the difference in room that the two drafts really have."""
    on_m, on_her = (
        evaluate(SMOCK, Body(name="B", measures={**WREN.measures, "bust": "92 cm", "hip": hip}))
        for hip in ("102 cm", "110 cm")
    )
    girth = "Girth all round"
    assert on_her.finished_mm[girth] - on_m.finished_mm[girth] == pytest.approx(80)


def test_the_ease_of_a_measure_is_the_choice_quoted_with_it() -> None:
    draft = smock_draft()
    ease = next(choice for choice in SMOCK.choices if choice.name == "body ease")
    eases = eases_of(draft)
    assert set(eases) == {"bust", "hip"}
    assert eases["bust"].choice == "body ease"
    assert eases["bust"].mm == pytest.approx(draft.names["body ease"].value)
    assert f"{eases['bust'].least_mm / 10:g} cm" == ease.least


def test_a_recipe_without_ease_has_none_to_tell() -> None:
    assert eases_of(evaluate(starter("tube-cowl"), WREN)).keys() <= {"head"}
    bare = Recipe.model_validate(
        {"id": "r", "name": "R", "measures": ["bust"],
         "choices": [{"name": "ease", "value": "nonsense +"}]}
    )  # fmt: skip
    assert eases_of(evaluate(bare, WREN)) == {}
