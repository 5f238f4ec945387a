"""The plan as a whole: pure, linked, and complete in plan.json."""

import json

import pytest

from webapp.draft.recipe import FinishedMeasure, Recipe
from webapp.plan.edits import changed, free_id, with_choice, with_garment
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.plan_json import plan_json
from webapp.units import both, both_called

GARMENT = "lighthouse-smock"


def test_the_same_episode_gives_the_same_plan(smock: Episode) -> None:
    again = Episode.model_validate_json(smock.model_dump_json())
    one, other = plan_json(evaluate(smock)), plan_json(evaluate(again))
    assert json.dumps(one, sort_keys=True) == json.dumps(other, sort_keys=True)


def test_one_choice_reaches_the_piece_the_narration_the_time_and_the_cloth(
    smock: Episode,
) -> None:
    before = evaluate(smock)
    after = evaluate(with_choice(smock, GARMENT, "smock length", "92 cm"))
    # Two sides on the fold and two of each: the side seam grows by what the length grows, 20 cm.
    assert after.figures_mm["front.side"] - before.figures_mm["front.side"] == pytest.approx(200)
    assert after.work.likely > before.work.likely
    assert after.lays[0].lay is not None and before.lays[0].lay is not None
    assert after.lays[0].lay.length_mm > before.lays[0].lay.length_mm
    old = {shot.shot.id: shot.narration.plain for shot in before.shots}
    quoting = [shot for shot in after.shots if "{smock length}" in shot.shot.narration.lower()]
    assert quoting
    for shot in quoting:
        assert "92 cm (36 1/4 in)" in shot.narration.plain
        assert shot.narration.plain != old[shot.shot.id]


def test_the_demo_has_enough_to_look_at(smock: Episode) -> None:
    plan = evaluate(smock)
    assert len(plan.steps) >= 18
    assert len(plan.shots) >= 40
    assert len(plan.sizes) >= 4
    assert all(step.work.high > 0 for step in plan.steps)
    whole = plan.running_time_s + plan.extra_running_time_s
    assert whole == pytest.approx(sum(shot.screen_seconds for shot in plan.shots))


def test_an_empty_episode_has_an_empty_plan() -> None:
    plan = evaluate(Episode(id="blank", title="Blank"))
    assert plan.pieces == () and plan.steps == () and plan.lays == ()
    assert plan.loose_threads == ()
    assert plan_json(plan)["pieces"] == []


def test_plan_json_holds_every_figure_in_mm_and_in_both_units(smock: Episode) -> None:
    document = plan_json(evaluate(smock))
    for piece in document["pieces"]:
        assert {edge["name"] for edge in piece["edges"]} <= set(piece["figures"])
        for name, figure in piece["figures"].items():
            shown = both_called(name, figure["mm"], "cm")
            assert shown == f"{figure['cm']} ({figure['inch']})"
    (main, *_) = document["lays"]
    assert main["buy"]["yards"].endswith(" yd") and main["buy"]["metres"].endswith(" m")
    assert document["steps"][0]["work_minutes"].keys() == {"low", "likely", "high"}
    json.dumps(document, allow_nan=False)


def test_extras_may_quote_the_pieces_of_the_garment_before_them(smock: Episode) -> None:
    cowl = smock.garments[1]
    piece = cowl.pieces[0]
    moves = (changed(piece.moves[0], width="2 * Front.hem"), *piece.moves[1:])
    linked = changed(cowl, pieces=(changed(piece, moves=moves), *cowl.pieces[1:]))
    plan = evaluate(changed(smock, garments=(smock.garments[0], linked)))
    figure = plan.figures_mm[f"{piece.name}.width".lower()]
    assert figure == pytest.approx(2 * plan.figures_mm["front.hem"])


def test_a_text_may_quote_a_finished_measure(smock: Episode) -> None:
    shot = changed(smock.shots[0], narration="The neck opens to {Neck  Opening}.")
    plan = evaluate(changed(smock, shots=(shot,)))
    (finished,) = plan.sizes[:1]
    mm = plan.figures_mm["neck opening"]
    assert mm == finished.finished_mm["Neck opening"]
    assert plan.shots[0].narration.plain == f"The neck opens to {both(mm, 'cm')}."
    assert not [t for t in plan.loose_threads if "Neck" in t.sentence]


def test_a_choice_comes_before_a_finished_measure_of_the_same_name(smock: Episode) -> None:
    def edit(recipe: Recipe) -> Recipe:
        twin = FinishedMeasure(name="Smock length", figure="1 cm")
        return changed(recipe, finished=(*recipe.finished, twin))

    before = evaluate(smock).figures_mm["smock length"]
    assert evaluate(with_garment(smock, GARMENT, edit)).figures_mm["smock length"] == before != 10


def test_a_size_is_drafted_with_the_same_choices(smock: Episode) -> None:
    plan = evaluate(smock)
    ease = plan.figures_mm["body ease"]
    for size in plan.sizes:
        figures = evaluate(changed(smock, body=size.body, sizes=())).figures_mm
        largest = max(figures["bust"], figures["hip"])
        assert size.finished_mm["Girth all round"] == pytest.approx(largest + ease)


@pytest.mark.parametrize(
    ("wanted", "taken", "free"),
    [
        ("The Lighthouse Smock", set(), "the-lighthouse-smock"),
        ("Smock", {"smock", "smock-2"}, "smock-3"),
        ("🧵 ½", set(), "new"),
        ("x" * 200, set(), "x" * 56),
    ],
)
def test_an_id_is_made_of_the_words_typed(wanted: str, taken: set[str], free: str) -> None:
    assert free_id(wanted, taken) == free


def test_filming_a_step_takes_the_time_of_all_its_shots(smock: Episode) -> None:
    """Means add, whatever the ranges; the shots of no step belong to none."""
    plan = evaluate(smock)
    assert max(len(step.shots) for step in plan.steps) > 1
    for step in plan.steps:
        own = [shot.filming.mean for shot in plan.shots if shot.shot.step == step.step.id]
        assert len(own) == len(step.shots)
        assert step.filming.mean == pytest.approx(sum(own))
    stepless = [shot.filming.mean for shot in plan.shots if not shot.shot.step]
    assert stepless
    of_steps = sum(step.filming.mean for step in plan.steps)
    assert plan.filming.mean == pytest.approx(of_steps + sum(stepless))
