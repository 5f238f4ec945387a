"""Work takes the time of its lengths."""

import math
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

import webapp
from tests.step_minutes import step_minutes
from webapp.build.rates import RATES, Rate, table
from webapp.build.work_time import TENTH, Estimate, total
from webapp.draft.construction import Step, Work, WorkKind
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.recipe import Body, Recipe
from webapp.errors import FigureError, WaitingError

STARTER = Path(webapp.__file__).parent / "draft" / "starters" / "drop-shoulder-smock.json"
MEASURES = {"bust": "92 cm", "hip": "100 cm", "head": "56 cm", "upper arm": "29 cm"}


@pytest.fixture(scope="module")
def smock() -> Draft:
    recipe = Recipe.model_validate_json(STARTER.read_text(encoding="utf-8"))
    return evaluate(recipe, Body(name="A body", measures=MEASURES))


@pytest.fixture(scope="module")
def mat() -> Draft:
    """A square of 40 cm cut twice and a half on the fold: 20 x 30 cm, no allowances."""
    moves = {"edges": ["top", "side", "foot", "centre"], "kind": "rectangle"}
    return evaluate(
        Recipe.model_validate(
            {
                "id": "mat", "name": "Mat", "seam_allowance": "0 cm",
                "pieces": [
                    {"name": "Square", "cut_count": 2,
                     "moves": [moves | {"width": "40 cm", "length": "40 cm"}]},
                    {"name": "Half", "on_fold": True,
                     "moves": [moves | {"width": "20 cm", "length": "30 cm"}]},
                ],
                "seams": [{"name": "join", "sewn": 3, "one": [{"edge": "Square.top"}],
                           "other": [{"edge": "Half.top", "times": 2}]}],
            }
        ),
        Body(name="Nobody"),
    )  # fmt: skip


def flat(**figures: float) -> dict[str, Rate]:
    """Every rate as good as nought or endlessly fast, but for the ones given (no range)."""
    fast = ("stitches/min", "mm a minute", "share", "mm")
    idle = {key: fixed(key, 1e12 if rate.unit in fast else 1e-12) for key, rate in RATES.items()}
    return idle | {key: fixed(key, figure) for key, figure in figures.items()}


def fixed(key: str, figure: float) -> Rate:
    return Rate(key, "as given", figure, figure, figure, "-")


def minutes(draft: Draft, rates: dict[str, Rate], **work: Any) -> float:
    step = Step(id="s", name="Sew", work=(Work.model_validate(work),))
    return step_minutes(step, [draft], rates).likely


# --- From lengths to minutes -------------------------------------------------------------------


def test_every_kind_of_work_has_a_time(smock: Draft) -> None:
    for kind in get_args(WorkKind):
        work = Work(kind=kind, pieces=("Pocket",), seams=("shoulder seams",))
        time = step_minutes(Step(id="s", name="Sew", work=(work,)), [smock])
        assert 0 < time.low < time.likely < time.high, kind


def test_a_step_without_work_takes_no_time(smock: Draft) -> None:
    assert step_minutes(Step(id="s", name="Talk"), [smock]) == Estimate(0, 0, 0)


def test_a_seam_takes_one_side_times_the_number_sewn(mat: Draft, smock: Draft) -> None:
    """40 cm three times at 2.5 mm: 480 stitches; at 800 a minute and 40 %, 1.5 min."""
    rates = flat(**{"machine: speed": 800, "machine: share": 0.4})
    assert minutes(mat, rates, kind="machine", seams=["join"]) == pytest.approx(1.5)
    assert minutes(mat, rates, kind="machine", seams=["join"], stitch_length_mm=5) == pytest.approx(
        0.75
    )
    shoulders_mm = 2 * smock.piece("Front").outline.edge("shoulder").length_mm
    assert minutes(smock, rates, kind="machine", seams=["shoulder seams"]) == pytest.approx(
        shoulders_mm / 2.5 / 320
    )


def test_each_seam_is_handled_and_each_seam_it_crosses_slows_it(mat: Draft) -> None:
    """Sewn three times; one side is two edges, so each time it crosses one seam."""
    assert minutes(mat, flat(**{"machine: handling": 2}), kind="machine", seams=["join"]) == (
        pytest.approx(6)
    )
    corners = flat(**{"machine: corner": 0.5})
    assert minutes(mat, corners, kind="machine", seams=["join"]) == pytest.approx(1.5)
    two_squares = minutes(mat, corners, kind="machine", pieces=["Square"])
    assert two_squares == pytest.approx(4)  # 8 corners


def test_an_eased_seam_is_sewn_along_the_shorter_side() -> None:
    recipe = Recipe.model_validate(
        {
            "id": "cap", "name": "Cap",
            "pieces": [{"name": name, "moves": [{"kind": "rectangle", "width": width,
                        "length": "10 cm", "edges": ["top", "side", "foot", "other side"]}]}
                       for name, width in (("Crown", "50 cm"), ("Brim", "40 cm"))],
            "seams": [{"name": "gathers", "one": [{"edge": "Crown.top"}],
                       "other": [{"edge": "Brim.top"}], "eased_in": "10 cm"}],
        }
    )  # fmt: skip
    cap = evaluate(recipe, Body(name="Nobody"))
    rates = flat(**{"machine: speed": 160, "machine: share": 1})
    assert minutes(cap, rates, kind="machine", seams=["gathers"]) == pytest.approx(1)


def test_pieces_are_cut_all_round_as_often_as_they_are_cut(mat: Draft) -> None:
    """Two squares of 40 cm: 3.2 m. The half, opened out, is 40 x 30 cm: 1.4 m, no fold cut."""
    by_hand = flat(**{"cut: scissors": 1000})
    assert minutes(mat, by_hand, kind="cut", pieces=["Square"]) == pytest.approx(3.2)
    assert minutes(mat, by_hand, kind="cut", pieces=["Half"]) == pytest.approx(1.4)
    by_wheel = flat(**{"cut: rotary cutter": 2000})
    assert minutes(mat, by_wheel, kind="cut", pieces=["Half", "Square"], tool="rotary cutter") == (
        pytest.approx(2.3)
    )
    assert minutes(mat, flat(**{"cut: handling": 2}), kind="cut", pieces=["Half", "Square"]) == (
        pytest.approx(6)
    )


def test_an_edge_is_handled_as_often_as_used_but_once_where_the_fold_joins_it(mat: Draft) -> None:
    rates = flat(**{"press: handling": 1})
    for edge, times, handled in (("Square.foot", 2, 2), ("Half.foot", 2, 1), ("Half.side", 2, 2)):
        use = {"edge": edge, "times": times}
        assert minutes(mat, rates, kind="press", edges=[use]) == pytest.approx(handled), edge


def test_an_edge_is_worked_on_along_its_length_as_often_as_used(mat: Draft) -> None:
    use = {"edge": "Half.foot", "times": 2}  # 20 cm twice: 0.4 m
    per_metre = [("press", "press: line"), ("turn", "turn: line"), ("draw", "draw: line")]
    for kind, key in per_metre:
        assert minutes(mat, flat(**{key: 10}), kind=kind, edges=[use]) == pytest.approx(4)
    pins = flat(**{"pin: spacing": 10, "pin: one": 6})  # 4 pins of 6 s
    assert minutes(mat, pins, kind="pin", edges=[use]) == pytest.approx(0.4)
    overlock = flat(**{"overlock: speed": 1000, "machine: share": 0.5})  # 160 stitches at 500
    assert minutes(mat, overlock, kind="overlock", edges=[use]) == pytest.approx(0.32)


def test_every_copy_is_drawn_as_it_lies_in_the_open_and_its_figures_are_marked_once(
    mat: Draft, smock: Draft
) -> None:
    """The half opened out is 40 x 30 cm, 1.4 m around and no fold; two squares of 40 cm, 3.2 m.

    The smock's front has 7 figures beside its edges.
    """
    line = flat(**{"draw: line": 1})
    assert minutes(mat, line, kind="draw", pieces=["Half"]) == pytest.approx(1.4)
    assert minutes(mat, line, kind="draw", pieces=["Square"]) == pytest.approx(3.2)
    front = smock.piece("Front")
    mark = flat(**{"draw: figure": 1})
    assert minutes(mat, mark, kind="draw", seams=["join"]) == pytest.approx(3)
    assert minutes(mat, mark, kind="draw", edges=[{"edge": "Half.side"}]) == pytest.approx(1)
    assert front.marked == {"width", "length", "neck width", "neck depth", "shoulder drop",
                            "arm depth", "underarm width"}  # fmt: skip
    assert minutes(smock, mark, kind="draw", pieces=["Front"]) == (pytest.approx(7))


def test_a_hand_stitch_takes_its_own_pace_and_usual_length_unless_one_is_typed(mat: Draft) -> None:
    """40 cm: at 4 mm 100 stitches, at 5 mm 80; an unknown stitch goes as plain sewing."""
    rates = flat(**{
        "hand: slip stitch": 10, "hand length: slip stitch": 4, "hand: plain": 20,
        "hand length: plain": 2,
    })  # fmt: skip
    work: dict[str, Any] = {"kind": "hand", "edges": [{"edge": "Square.top"}]}
    assert minutes(mat, rates, **work, stitch=" Slip Stitch ") == pytest.approx(10)
    assert minutes(mat, rates, **work, stitch="slip stitch", stitch_length_mm=5) == pytest.approx(8)
    for other in ("", "feather", "handling"):
        assert minutes(mat, rates, **work, stitch=other) == pytest.approx(10)


@pytest.mark.parametrize(
    ("work", "ranged", "expected"),
    [
        ({"kind": "machine"}, ("machine: speed", "machine: share"), (0.8473, 1.25, 1.8776)),
        ({"kind": "pin"}, ("pin: spacing", "pin: one"), (0.4300, 0.8, 1.5358)),
        ({"kind": "hand", "stitch": "slip stitch"},
         ("hand: slip stitch", "hand length: slip stitch"), (7.2348, 13.8889, 24.6433)),
    ],
)  # fmt: skip
def test_a_metre_by_two_rates_is_ranged_as_both_together(
    mat: Draft, work: dict[str, Any], ranged: tuple[str, str], expected: tuple[float, float, float]
) -> None:
    """By hand, 40 cm two and a half times: 400 stitches over 800 a minute and 0.4 are 1.25 min;
    ln(1000 / 800) = 0.2231 and ln(0.55 / 0.4) = 0.3185 make 0.3888 together, 1.25 / 1.4753 =
    0.8473; 0.2877 twice make 0.4068, 1.25 x 1.5021 = 1.8776. 8 pins of 6 s are 0.8 min, over
    1.8603 and times 1.9197; 1 m by 12 stitches of 6 mm 13.8889, over 1.9197 and times 1.7743."""
    rates = flat() | {key: RATES[key] for key in ranged}
    edges = [{"edge": "Square.top", "times": 2}, {"edge": "Half.foot"}]  # 40, 40 and 20 cm
    step = Step(id="s", name="Sew", work=(Work.model_validate(work | {"edges": edges}),))
    found = step_minutes(step, [mat], rates)
    assert (found.low, found.likely, found.high) == pytest.approx(expected, abs=1e-4)


def test_typed_minutes_are_taken_as_typed(mat: Draft) -> None:
    for kind in ("try on", "other", "press"):
        work = Work.model_validate({"kind": kind, "minutes": {"low": 5, "likely": 9, "high": 20}})
        assert step_minutes(Step(id="s", name="Look", work=(work,)), [mat]) == Estimate(5, 9, 20)


def test_trying_on_and_other_work_have_minutes_of_their_own(mat: Draft) -> None:
    """6, 10, 18 and 2, 4, 8 min: common practice, no source."""
    for kind, expected in (("try on", Estimate(6, 10, 18)), ("other", Estimate(2, 4, 8))):
        step = Step(id="s", name="Look", work=(Work.model_validate({"kind": kind}),))
        assert step_minutes(step, [mat]) == expected


def test_the_kinds_of_work_of_a_step_add_up_as_independent(smock: Draft) -> None:
    pin, sew = (Work(kind=kind, seams=("sleeve heads",)) for kind in ("pin", "machine"))
    both = step_minutes(Step(id="s", name="Set in", work=(pin, sew)), [smock])
    alone = [step_minutes(Step(id="s", name="Set in", work=(w,)), [smock]) for w in (pin, sew)]
    assert both == total(alone)
    assert both.low > sum(e.low for e in alone)


def test_a_likely_sum_is_a_little_more_than_its_likely_parts(smock: Draft) -> None:
    """By hand, two shoulder seams of 232.65 mm: 186.1 stitches over 320 are 0.5816 min (0.3942 to
    0.8736), two handled 1.2 (0.6 to 2.4), 1.78 added. By 0.3, 0.4, 0.3 the means are 0.613 + 1.38
    = 1.993, the variances 0.0351 + 0.5076 = 0.5427, the third moments 0.0022 + 0.1737 = 0.1758:
    a deviation of 0.7367 and a skewness of 0.4397, which is 3 s - 5.25 s³ for s = 0.1528, and
    p = 1.2681. Likely is 1.993 - 1.5 s 0.7367 = 1.824, and the ends 1.171 and 3.040.
    Of as many draws of the two parts half are under it, to 2 in 100.
    """
    step = Step(id="s", name="Sew", work=(Work(kind="machine", seams=("shoulder seams",)),))
    found = step_minutes(step, [smock])
    assert (found.low, found.likely, found.high) == pytest.approx((1.171, 1.824, 3.040), abs=0.001)
    draw = np.random.default_rng(3)
    parts = []
    for low, likely, high in ((0.3942, 0.5816, 0.8736), (0.6, 1.2, 2.4)):
        z = draw.standard_normal(40_000)
        side = np.where(z < 0, math.log(likely / low), math.log(high / likely))
        parts.append(likely * np.exp(z / TENTH * side))
    assert np.mean(sum(parts) < 1.824) == pytest.approx(0.5, abs=0.02)


def test_a_longer_garment_takes_longer_to_sew(smock: Draft) -> None:
    """What the whole plan rests on: the work follows the draft."""
    choices = [
        choice.model_copy(update={"value": "120 cm"}) if choice.name == "smock length" else choice
        for choice in smock.recipe.choices
    ]
    longer = evaluate(smock.recipe.model_copy(update={"choices": tuple(choices)}), smock.body)
    step = Step(
        id="s",
        name="Close the sides",
        work=(Work(kind="machine", seams=("sleeve and side seams",)),),
    )
    grown_mm = 2 * (1200 - 680)
    grown = step_minutes(step, [longer]).likely - step_minutes(step, [smock]).likely
    assert grown == pytest.approx(grown_mm / 2.5 / 320, rel=0.05)  # likely moves with the skew


def test_names_are_looked_up_in_each_garment_in_any_case(mat: Draft, smock: Draft) -> None:
    work = Work.model_validate(
        {"kind": "pin", "seams": ["JOIN"], "pieces": ["half"], "edges": [{"edge": "square.top"}]}
    )
    step = Step(id="s", name="Pin", work=(work,))
    assert step_minutes(step, [smock, mat]) == step_minutes(step, [mat])


@pytest.mark.parametrize(
    "work",
    [
        {"pieces": ["Front"]},
        {"seams": ["Shoulder seams"]},
        {"edges": [{"edge": "Pocket.foot"}, {"edge": "Front.hem", "times": 2}]},
    ],
)
def test_work_on_what_only_waits_for_a_measure_says_so(work: dict[str, Any]) -> None:
    recipe = Recipe.model_validate_json(STARTER.read_text(encoding="utf-8"))
    nobody = evaluate(recipe, Body(name="Nobody"))
    waiting = Work.model_validate({"kind": "machine", **work})
    wrong = Work(kind="machine", pieces=("Frnt",))
    with pytest.raises(WaitingError, match="which is not drafted"):
        step_minutes(Step(id="s", name="Sew", work=(waiting,)), [nobody])
    with pytest.raises(FigureError, match="“Frnt”"):
        step_minutes(Step(id="s", name="Sew", work=(waiting, wrong)), [nobody])


@pytest.mark.parametrize(
    ("work", "sentence"),
    [
        ({"pieces": ["Frnt"]}, "“Sew” works on the piece “Frnt”, which is not drafted."),
        ({"seams": ["darts"]}, "“Sew” works on the seam “darts”, which is not drafted."),
        ({"edges": [{"edge": "Front.hemm"}]},
         "“Sew” works on the edge “Front.hemm”, which is not drafted."),
        ({"edges": [{"edge": "1 cm - Front.hem"}]},
         "“Sew” works on the edge “1 cm - Front.hem”, which is not drafted."),
        ({}, "“Sew”: say which piece, seam or edge its “machine” work is on."),
        ({"minutes": {"low": 5, "likely": 2, "high": 9}},
         "“Sew”: the minutes typed must rise from the least to the most."),
    ],
)  # fmt: skip
def test_work_that_cannot_be_timed_says_which_step_and_why(
    smock: Draft, work: dict[str, Any], sentence: str
) -> None:
    step = Step(id="s", name="Sew", work=(Work.model_validate({"kind": "machine"} | work),))
    with pytest.raises(FigureError) as refusal:
        step_minutes(step, [smock])
    assert refusal.value.sentence == sentence


def test_a_maker_may_have_rates_of_their_own(mat: Draft) -> None:
    step = Step(id="s", name="Cut", work=(Work(kind="cut", pieces=("Half",)),))
    scissors = Rate("cut: scissors", "slowly", 100, 200, 300, "mm a minute")
    slow = table(*RATES.values(), scissors)
    assert step_minutes(step, [mat], slow).likely > 3 * step_minutes(step, [mat]).likely
