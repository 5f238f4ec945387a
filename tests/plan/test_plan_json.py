"""plan.json tells the sizes, the checks on the body, the notions and what is marked on a piece."""

from datetime import date

import pytest

from webapp.plan.edits import changed, with_choice, with_piece
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.plan.said_edits import with_correction_card, with_shot_filmed
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


def test_what_is_marked_on_a_piece_is_told_with_its_place(smock: Episode) -> None:
    """The front's side seam ends at the hem; its shoulder starts at the neck."""
    notch = {"kind": "notch", "edge": "side", "corner": "hem", "at": "10 cm", "double": True}
    hole = {"kind": "drill hole", "edge": "hem", "corner": "centre", "across": "5 cm",
            "down": "6 cm", "name": "tie"}  # fmt: skip
    marked = with_piece(
        smock, "lighthouse-smock", "Front", lambda p: changed(p, moves=(*p.moves, notch, hole))
    )
    front = next(p for p in plan_json(evaluate(marked))["pieces"] if p["name"] == "Front")
    edges = {edge["name"]: edge for edge in front["edges"]}
    (told,) = front["notches"]
    assert told == {
        "name": "notch",
        "edge": "side",
        "double": True,
        "at_mm": pytest.approx(edges["side"]["length_mm"] - 100),
    }
    (mark,) = front["marks"]
    assert (mark["name"], mark["kind"]) == ("tie", "drill hole")
    bottom = max(y for _, y in front["seam_outline_mm"])
    assert mark["points_mm"] == [pytest.approx([50, bottom - 60])]
    assert edges["side"]["sewn_mm"] == edges["side"]["length_mm"]


def test_an_edge_with_a_dart_is_told_as_drawn_and_as_sewn(smock: Episode) -> None:
    dart = {"kind": "dart", "edge": "side", "corner": "hem", "at": "20 cm", "width": "2 cm",
            "length": "9 cm"}  # fmt: skip
    marked = with_piece(
        smock, "lighthouse-smock", "Front", lambda p: changed(p, moves=(*p.moves, dart))
    )

    def side(episode: Episode) -> dict[str, float]:
        front = next(p for p in plan_json(evaluate(episode))["pieces"] if p["name"] == "Front")
        return next(edge for edge in front["edges"] if edge["name"] == "side")

    assert side(marked)["sewn_mm"] == pytest.approx(side(smock)["sewn_mm"] - 20)
    assert side(marked)["length_mm"] > side(smock)["length_mm"]


def test_what_was_said_is_told_with_what_of_it_is_no_longer_so(smock: Episode) -> None:
    shot = changed(smock.shots[0], narration="Ease {body ease}, hem {Front.hem}.", card="")
    plan = evaluate(changed(smock, shots=(shot, *smock.shots[1:])))
    episode = with_shot_filmed(plan, shot.id, date(2027, 1, 4))
    ease = {"name": "body ease", "cm": "26 cm", "inch": "10 1/4 in"}  # design §4, by hand
    hem = {"name": "front.hem", "cm": "31 cm", "inch": "12 1/4 in"}
    first, second = plan_json(evaluate(episode))["shots"][:2]
    assert first["filmed"] == {
        "day": "2027-01-04",
        "narration": "Ease 26 cm (10 1/4 in), hem 31 cm (12 1/4 in).",
        "card": "",
        "said": [ease, hem],
    }
    assert (first["stale"], second["filmed"]) == ([], None)
    moved = evaluate(with_choice(episode, "lighthouse-smock", "body ease", "31 cm"))
    (told, *_) = plan_json(moved)["shots"]
    now = {"name": "body ease", "cm": "31 cm", "inch": "12 1/4 in"}
    assert told["stale"][0] == {**ease, "now": now}
    carded, *_ = plan_json(evaluate(with_correction_card(moved, shot.id)))["shots"]
    assert carded["stale"] == []
    assert carded["correction_cards"][0] == (
        "Correction: Body ease is 31 cm (12 1/4 in), not 26 cm (10 1/4 in)."
    )
