"""The thread of an episode, against sums written out here."""

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.plan.same_plan import episode_of
from webapp.build.rates import RATES
from webapp.cloth.stitches import HAND_STITCHES
from webapp.cloth.thread import ThreadChoices
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.results import Plan
from webapp.plan.thread_use import ThreadPlan, ThreadRow, bought, thread_use
from webapp.store.starters import starters

LAYER = 0.4  # mm
STEP = "shoulders"


@pytest.fixture(scope="module")
def plan(smock: Episode) -> Plan:
    return evaluate(smock)


@pytest.fixture(scope="module")
def used(plan: Plan) -> ThreadPlan:
    return thread_use(plan)


def rows_of(used: ThreadPlan, step_id: str, kind: str = "machine") -> list[ThreadRow]:
    return [row for row in used.rows if (row.step_id, row.kind) == (step_id, kind)]


def smock_with(smock: Episode, step: dict[str, Any] | None = None, **garment: Any) -> Episode:
    """The smock whose shoulder step is changed, or other parts of its first garment."""
    document = smock.model_dump()
    first = document["garments"][0]
    first.update(garment)
    if step is not None:
        next(each for each in first["steps"] if each["id"] == STEP).update(step)
    return Episode.model_validate(document)


def used_with(smock: Episode, *work: dict[str, Any]) -> ThreadPlan:
    """What it takes when the shoulder step is that work."""
    return thread_use(evaluate(smock_with(smock, {"work": work})))


def thread_with(plan: Plan, **choices: Any) -> ThreadPlan:
    """What it takes with a maker's own choices."""
    episode = plan.episode.model_copy(update={"thread": ThreadChoices(**choices)})
    return thread_use(replace(plan, episode=episode))


def printed(mm: float) -> list[Fraction]:
    """Metres and yards as they are printed."""
    pair = bought(mm, "cm").removesuffix(" yd)").split(" m (")
    return [sum((Fraction(part) for part in each.split()), Fraction(0)) for each in pair]


def lockstitch_mm(length_mm: float, layers: int, stitch_mm: float = 2.5) -> float:
    """2 + 2TS, textilecalculations.com."""
    return length_mm * (2 + 2 * layers * LAYER / stitch_mm)


def overedge_mm(length_mm: float, layers: int, stitch_mm: float = 2.5) -> float:
    """3 + 4WS + 4TS, textilecalculations.com, of the width that makes it 14 at 7 stitches/cm."""
    width = 2.75 / 0.7 - 0.25 / 0.7
    return length_mm * (3 + 4 * (width + layers * LAYER) / stitch_mm)


def test_the_smocks_thread_is_the_sum_of_its_seams(plan: Plan, used: ThreadPlan) -> None:
    """Each seam and edge of the demo, its length from the draft and its layers by hand."""
    mm = plan.figures_mm
    heads, cuffs = 2 * mm["sleeve.cap"], 2 * mm["sleeve.cuff"]
    shoulders, neck = 2 * mm["front.shoulder"], 2 * (mm["front.neck"] + mm["back.neck"])
    long = 2 * (mm["front.side"] + mm["front.underarm"] + mm["sleeve.right seam"])
    hems = 2 * (mm["front.hem"] + mm["back.hem"])
    pockets = 2 * (mm["pocket.right side"] + mm["pocket.foot"] + mm["pocket.left side"])
    lockstitch = sum(
        (
            lockstitch_mm(neck, 1, 2.0),  # staystitched
            lockstitch_mm(shoulders, 2),
            lockstitch_mm(2 * mm["front.neck"], 1, 2.0),  # staystitched again
            lockstitch_mm(mm["neck binding.right end"], 2),
            lockstitch_mm(neck, 2),
            lockstitch_mm(2 * mm["pocket.mouth"], 3),
            lockstitch_mm(pockets, 2),
            lockstitch_mm(heads, 2),
            lockstitch_mm(long, 2),
            lockstitch_mm(2 * mm["front.underarm"], 2, 2.0),
            lockstitch_mm(cuffs, 3),
            lockstitch_mm(hems, 3),
        )
    )
    overedge = sum(overedge_mm(length, 2) for length in (shoulders, heads, long))
    hemming, tails = 2 * neck, 150 * math.ceil(2 * neck / 500)
    of_smock = used.garments[0].use
    # A seam's two sides agree within 3 mm, and either may be the one that is measured along.
    assert of_smock.bobbin_mm == pytest.approx(lockstitch / 2, rel=1e-3)
    assert of_smock.looper_mm == pytest.approx(0.8 * overedge, rel=1e-3)
    assert of_smock.needle_mm == pytest.approx(lockstitch / 2 + 0.2 * overedge + hemming, rel=1e-3)
    assert of_smock.waste_mm == pytest.approx(0.15 * (lockstitch + overedge) + tails, rel=1e-3)


def test_the_garments_add_up_to_the_episode(plan: Plan, used: ThreadPlan) -> None:
    assert [each.garment for each in used.garments] == ["Lighthouse Smock", "Tube cowl"]
    smock, cowl = (each.use for each in used.garments)
    mm = plan.figures_mm
    cowl_mm = lockstitch_mm(mm["cowl.upper edge"] + mm["cowl.right end"], 2)
    assert cowl.total_mm == pytest.approx(1.15 * cowl_mm)
    assert used.total.total_mm == pytest.approx(smock.total_mm + cowl.total_mm)
    assert used.total.total_mm == pytest.approx(sum(row.use.total_mm for row in used.rows))
    assert sum(feed.total_mm for feed in used.feeds) == pytest.approx(used.total.total_mm)


def test_a_sewing_that_has_no_length_is_named(used: ThreadPlan) -> None:
    """The cowl's gap is closed in typed minutes: how long it is nobody said."""
    assert used.left_out == ("Close the gap by hand",)


def test_layers_are_those_of_seam_and_hem(used: ThreadPlan, smock: Episode) -> None:
    assert [row.layers for row in rows_of(used, STEP)] == [2]
    assert [row.layers for row in rows_of(used, STEP, "overlock")] == [2]
    hems = {"edges": [{"edge": "Front.hem", "times": 2}, {"edge": "Front.side"}]}
    several = used_with(smock, {"kind": "machine"} | hems, {"kind": "overlock"} | hems)
    by_machine = [(row.what, row.layers) for row in rows_of(several, STEP)]
    assert by_machine == [("Front.hem", 3), ("Front.side", 1)]  # its seam is sewn later
    assert [row.layers for row in rows_of(several, STEP, "overlock")] == [1]
    finishes = {"hem": {"kind": "single fold hem", "allowance": "2 cm"}}
    document = smock.model_dump()
    pieces = document["garments"][0]["pieces"]
    pieces[0]["finishes"].update(finishes)
    folded = smock_with(smock, {"work": [{"kind": "machine"} | hems]}, pieces=pieces)
    assert [row.layers for row in rows_of(thread_use(evaluate(folded)), STEP)] == [2, 1]


def test_an_edge_is_one_layer_until_its_seam_is_sewn(smock: Episode, used: ThreadPlan) -> None:
    """The neck is staystitched before it is bound; the underarm is sewn again after its seam."""
    assert [row.layers for row in used.rows if row.what == "Front.neck"] == [1]
    assert [row.layers for row in used.rows if row.what == "Front.underarm"] == [2]
    edges = {"edges": [{"edge": "Front.shoulder"}, {"edge": "Front.side"}, {"edge": "Pocket.foot"}]}
    gathered = {"kind": "machine", **edges}
    here = used_with(smock, {"kind": "machine", "seams": ["shoulder seams"]}, gathered)
    told = {row.what: row.layers for row in rows_of(here, STEP)}
    assert told == {"shoulder seams": 2, "Front.shoulder, Pocket.foot": 2, "Front.side": 1}


def test_an_edge_is_gathered_in_one_layer() -> None:
    """Two rows along the waist as it is drawn, before the band is sewn to it."""
    (skirt,) = [starter for starter in starters() if starter.id == "gathered-skirt"]
    rows = thread_use(evaluate(episode_of(skirt))).rows
    assert [row.layers for row in rows if "waist drawn" in row.what] == [1]


def test_a_row_counts_all_the_times_a_seam_is_sewn(plan: Plan, used: ThreadPlan) -> None:
    (row,) = rows_of(used, STEP)
    assert (row.what, row.times, row.stitch.called) == ("shoulder seams", 2, "301 lockstitch")
    assert row.length_mm == pytest.approx(2 * plan.figures_mm["front.shoulder"])
    assert row.use.sewn_mm == pytest.approx(lockstitch_mm(row.length_mm, 2))
    assert row.ratio == pytest.approx(2 + 2 * 0.8 / 2.5)


@pytest.mark.parametrize(
    ("kind", "of_work", "of_seam", "number"),
    [
        ("machine", "", "301", "301"),
        ("machine", "", "304", "304"),
        ("machine", "401", "304", "401"),
        ("machine", "something else", "", "301"),
        ("overlock", "", "301", "504"),
        ("overlock", "", "514", "514"),
        ("overlock", "no such stitch", "no such stitch", "504"),
        ("overlock", "503", "514", "503"),
    ],
)
def test_the_work_names_its_stitch_or_else_the_seam_does(
    smock: Episode, kind: str, of_work: str, of_seam: str, number: str
) -> None:
    seams = smock.model_dump()["garments"][0]["seams"]
    seams[0]["stitch"] = of_seam
    work = {"kind": kind, "seams": ["shoulder seams"], "stitch": of_work}
    changed = smock_with(smock, {"work": [work]}, seams=seams)
    (row,) = rows_of(thread_use(evaluate(changed)), STEP, kind)
    assert row.stitch.called.startswith(f"{number} ")


def test_by_hand_the_kinds_are_those_whose_time_is_known(smock: Episode) -> None:
    """What the page offers as a hand stitch has thread as well as a pace."""
    paces = {key.removeprefix("hand: ") for key in RATES if key.startswith("hand: ")}
    assert set(HAND_STITCHES) == paces - {"handling"}
    work = {"kind": "hand", "seams": ["shoulder seams"]}
    for stitch, name in (("Backstitch ", "backstitch"), ("feather stitch", "plain")):
        (row,) = rows_of(used_with(smock, work | {"stitch": stitch}), STEP, "hand")
        assert row.stitch is HAND_STITCHES[name]
        assert row.use.bobbin_mm == row.use.looper_mm == 0


def test_heavier_cloth_takes_more(plan: Plan, used: ThreadPlan) -> None:
    """320 g/m2 is twice as thick as the 160 that is assumed: 2 + 2 x 1.6 / 2.5."""
    heavy = thread_use(plan, weights_g_m2={"main CLOTH": 320, "Binding cloth": 0})
    (row,) = rows_of(heavy, STEP)
    assert row.thickness_mm == pytest.approx(1.6)
    assert row.use.sewn_mm == pytest.approx(row.length_mm * 3.28)
    (neck,) = [row for row in heavy.rows if row.what == "neck seam" and row.kind == "machine"]
    assert neck.thickness_mm == pytest.approx(0.8 + 0.4)  # the binding's weight is not known
    assert heavy.total.total_mm > used.total.total_mm


def test_waste_and_ratios_are_the_makers_to_change(plan: Plan, used: ThreadPlan) -> None:
    none = thread_with(plan, waste_per_cent=0)
    by_hand = sum(row.use.waste_mm for row in used.rows if row.kind == "hand")
    assert none.total.waste_mm == pytest.approx(by_hand)
    assert none.total.sewn_mm == pytest.approx(used.total.sewn_mm)
    more = thread_with(plan, ratios={"301": 3.5, "hemming stitch": 3})
    (row,) = rows_of(more, STEP)
    assert row.use.sewn_mm == pytest.approx(lockstitch_mm(row.length_mm, 2) + row.length_mm)
    hemmed = [row for row in more.rows if row.kind == "hand"]
    assert all(row.ratio == pytest.approx(3) for row in hemmed)
    assert hemmed[0].stitch.note.endswith("your own figure. Else 2: common practice, no source.")


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"ratios": {"301": 0.9}}, "greater than or equal to 1"),
        ({"ratios": {"301": 101}}, "less than or equal to 100"),
        ({"ratios": {"302": 3}}, "no stitch that is known"),
        ({"waste_per_cent": 51}, "less than or equal to 50"),
        ({"waste_per_cent": -1}, "greater than or equal to 0"),
        ({"spool_m": 200}, "100, 250, 500 or 1000"),
    ],
)
def test_choices_that_cannot_be_are_refused(wrong: dict[str, Any], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        ThreadChoices(**wrong)


def test_what_is_used_says_where_its_figures_come_from(used: ThreadPlan) -> None:
    notes = {stitch.called: stitch.note for stitch in used.stitches}
    assert set(notes) == {
        "301 lockstitch",
        "504 three-thread overedge",
        "hemming stitch, by hand",
    }
    assert "5 in place of its 3" in notes["504 three-thread overedge"]
    assert "no source" in notes["hemming stitch, by hand"]


@pytest.mark.parametrize("spool_m", [100, 250, 500, 1000])
@pytest.mark.parametrize("ratio", [14, 100])  # little, and several spools to a thread
def test_an_overlocker_has_a_spool_for_each_thread(plan: Plan, ratio: float, spool_m: int) -> None:
    sewing, overlocker = thread_with(plan, ratios={"504": ratio}, spool_m=spool_m).feeds
    assert (sewing.at_once, overlocker.at_once) == (1, 3)
    assert sewing.spools == math.ceil(sewing.total_mm / 1000 / spool_m)
    needle, looper = 0.2 * overlocker.total_mm / 1000, 0.4 * overlocker.total_mm / 1000
    assert overlocker.spools == sum(math.ceil(part / spool_m) for part in (needle, looper, looper))


def test_spools_hold_what_is_printed(plan: Plan) -> None:
    """Just under 100 m is 109 3/8 yd, rounded up: more than a spool, so two are told."""
    one, other = (thread_with(plan, ratios={"301": each}).feeds[0].total_mm for each in (5, 6))
    for short_mm, spools in ((10, 2), (200, 1)):
        ratio = 5 + (100_000 - short_mm - one) / (other - one)
        feed = thread_with(plan, ratios={"301": ratio}).feeds[0]
        assert feed.total_mm == pytest.approx(100_000 - short_mm)
        metres, yards = (float(each) for each in printed(feed.total_mm))
        assert max(metres, yards * 0.9144) <= feed.spools * 100
        assert feed.spools == spools


def test_plan_json_tells_the_thread_in_millimetres(plan: Plan) -> None:
    told = plan_json(plan)["thread"]
    parts = ("needle_mm", "bobbin_mm", "looper_mm", "waste_mm")
    for row in told["rows"]:
        assert row["length_mm"] * row["ratio"] == pytest.approx(sum(row[p] for p in parts[:3]))
    for part in (*parts, "total_mm"):
        assert told[part] == pytest.approx(sum(row[part] for row in told["rows"]))
        assert told[part] == pytest.approx(sum(each[part] for each in told["garments"]))
    assert told["total_mm"] == pytest.approx(sum(told[part] for part in parts))
    assert (told["waste"], told["spool_mm"]) == (0.15, 100_000)
    assert sum(each["total_mm"] for each in told["spools"]) == pytest.approx(told["total_mm"])
    assert told["left_out"] == ["Close the gap by hand"]
    first = told["rows"][0]
    assert (first["garment"], first["stitch"]) == ("Lighthouse Smock", "301 lockstitch")
    assert (first["layers"], first["stitch_length_mm"]) == (1, 2.0)


@pytest.mark.parametrize(
    "work",
    [
        {"kind": "machine"},
        {"kind": "machine", "seams": ["no such seam"]},
        {"kind": "hand", "pieces": ["Nothing"]},
        {"kind": "overlock", "edges": [{"edge": "Front.nowhere"}]},
        {"kind": "machine", "edges": [{"edge": "Front.1 +"}]},
    ],
)
def test_what_cannot_be_computed_is_left_out(smock: Episode, work: dict[str, Any]) -> None:
    sewn = {"kind": "machine", "seams": ["shoulder seams"]}
    found = used_with(smock, work, sewn)
    assert found.left_out == ("Sew the shoulder seams", "Close the gap by hand")
    assert [row.what for row in found.rows if row.step_id == STEP] == ["shoulder seams"]


def test_a_plan_without_a_draft_takes_no_thread(smock: Episode) -> None:
    empty = thread_use(evaluate(smock.model_copy(update={"garments": ()})))
    assert (empty.rows, empty.garments, empty.feeds, empty.left_out) == ((), (), (), ())
    assert empty.total.total_mm == 0
    unmeasured = smock.model_copy(update={"body": smock.body.model_copy(update={"measures": {}})})
    assert "Sew the shoulder seams" in thread_use(evaluate(unmeasured)).left_out


def test_what_to_buy_is_rounded_up_from_the_exact_length() -> None:
    """1.01 m is 1.1 m and 1 1/8 yd, 1.1046 yd exactly."""
    assert bought(1010, "cm") == "1.1 m (1 1/8 yd)"
    assert bought(2020, "in") == "2 1/4 yd (2.1 m)"
    assert bought(914.4, "cm") == "1 m (1 yd)"
    assert bought(0, "cm") == "0 m (0 yd)"
