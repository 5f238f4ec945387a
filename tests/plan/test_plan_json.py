"""plan.json tells the sizes, the checks on the body and the notions."""

from webapp.plan.edits import with_choice
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.units import both


def test_every_size_has_its_finished_measures_and_what_to_buy(smock: Episode) -> None:
    plan = evaluate(smock)
    sizes = plan_json(plan)["sizes"]
    assert [size["name"] for size in sizes] == [smock.body.name, *(b.name for b in smock.sizes)]
    assert sizes[0]["finished"] == plan_json(plan)["finished"]
    for size in sizes:
        # 24 cm of ease over the larger of bust and hip, as the recipe's choice says.
        girth = size["finished"]["Girth all round"]["mm"]
        assert girth > 800 + 240 - 1
        assert size["buy"].keys() == {cloth.name for cloth in smock.cloths}
        assert size["problems"] == []
    bought = [size["buy"]["Main cloth"]["mm"] for size in sizes[1:]]
    assert bought[-1] > bought[0]
    assert sizes[0]["buy"]["Main cloth"] == plan_json(plan)["lays"][0]["buy"]


def test_every_check_is_told_with_both_its_figures(smock: Episode) -> None:
    checks = {check["name"]: check for check in plan_json(evaluate(smock))["checks"]}
    assert checks.keys() == {check.name for garment in smock.garments for check in garment.checks}
    neck = checks["Neck opening"]
    assert neck["holds"] and neck["figure"]["mm"] > neck["at_least"]["mm"]
    assert neck["at_least"]["cm"] == "58 cm"  # a head of 56 cm, and 2 cm
    small = with_choice(smock, "lighthouse-smock", "neck half width", "7 cm")
    tight = {check["name"]: check for check in plan_json(evaluate(small))["checks"]}["Neck opening"]
    assert not tight["holds"]


def test_notions_are_told_with_their_figures_filled_in(smock: Episode) -> None:
    plan = evaluate(smock)
    notions = {notion["name"]: notion for notion in plan_json(plan)["notions"]}
    assert len(notions) == len(smock.notions)
    strip = both(plan.figures_mm["neck binding.length"], smock.first_unit)
    assert notions["Bias strip for the neck"]["amount"].startswith(f"{strip} long and ")
