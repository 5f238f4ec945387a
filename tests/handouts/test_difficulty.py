"""How hard a garment is: our own rule, so only what it promises is checked: see its module."""

import pytest

from webapp.draft.construction import EdgeUse, Step
from webapp.draft.recipe import Finish, PieceRecipe, Recipe, Seam
from webapp.handouts.difficulty import difficulty_of
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

SHEET = PieceRecipe.model_validate(
    {"name": "Sheet", "moves": [{"kind": "rectangle", "width": "30 cm", "length": "40 cm"}]}
)
ROUND = PieceRecipe.model_validate(
    {
        "name": "Round",
        "moves": [{"kind": "ring sector", "inner": "60 cm", "length": "40 cm", "share": "1/2"}],
    }
)
SEW = Step(id="sew", name="Sew")


def _plan(*pieces: PieceRecipe, steps: tuple[Step, ...] = (SEW,), **fields: object) -> Episode:
    recipe = Recipe.model_validate(
        {"id": "one", "name": "One", "pieces": pieces, "steps": steps, **fields}
    )
    return Episode(id="one", title="One", garments=(recipe,))


def test_a_garment_that_lacks_a_piece_is_not_judged_yet() -> None:
    lacking = {"kind": "rectangle", "width": "{not there}", "length": "40 cm"}
    other = PieceRecipe.model_validate({"name": "Other", "moves": [lacking]})
    assert difficulty_of(evaluate(_plan(SHEET, other))) is None


def test_straight_seams_are_for_a_first_garment() -> None:
    found = difficulty_of(evaluate(_plan(SHEET)))
    assert found is not None
    assert (found.level, found.reasons, found.points) == ("For a beginner", (), 0)
    assert found.why == "Straight seams, and nothing that cannot be unpicked."


@pytest.mark.parametrize(
    ("episode", "reason"),
    [
        (_plan(changed(SHEET, grain="bias")), "pieces cut on the bias"),
        (_plan(changed(SHEET, finishes={"hem": Finish(kind="bound")})), "a bound edge"),
        (_plan(changed(ROUND, finishes={"hem": Finish(kind="double fold hem")})), "a hem on a"),
        (
            _plan(
                ROUND,
                seams=(Seam(name="w", one=(EdgeUse(edge="Round.waist"),), other=()),),
            ),
            "seams along a curve",
        ),
        (_plan(SHEET, steps=(changed(SEW, one_way=True),)), "one step that cannot be taken back"),
    ],
)
def test_what_takes_practice_is_named_and_counts_once(episode: Episode, reason: str) -> None:
    found = difficulty_of(evaluate(episode))
    assert found is not None
    assert found.points == 1
    assert [one for one in found.reasons if one.startswith(reason)]
    assert found.why.endswith(f"{found.reasons[0]}.")


def test_many_steps_count_and_a_further_garment_does_not() -> None:
    steps = tuple(changed(SEW, id=f"sew-{n}") for n in range(25))
    episode = _plan(SHEET, steps=steps)
    extra = changed(
        episode.garments[0],
        id="two",
        name="Two",
        pieces=(changed(SHEET, name="Other", grain="bias"),),
        steps=(changed(SEW, id="extra", one_way=True),),
    )
    both = difficulty_of(evaluate(changed(episode, garments=(*episode.garments, extra))))
    assert both == difficulty_of(evaluate(episode))
    assert both is not None and both.points == 2


def test_nothing_is_said_of_what_is_not_there_yet() -> None:
    assert difficulty_of(evaluate(Episode(id="one", title="One"))) is None
    assert difficulty_of(evaluate(_plan(SHEET, steps=()))) is None
