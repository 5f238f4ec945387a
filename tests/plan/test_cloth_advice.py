"""What another cloth asks of a draft: published figures where there are any, else as is usual."""

import pytest

from webapp.draft.evaluate import evaluate as draft_on
from webapp.draft.moves.rectangle import Rectangle
from webapp.draft.recipe import Body, Choice, Finish, PieceRecipe, Recipe
from webapp.draft.results import Draft
from webapp.plan.cloth_advice import FOUR_H, bulk_of, ease_advice, gives, hem_advice
from webapp.plan.edits import changed
from webapp.store.starters import starters
from webapp.units import System

# --- Ease ------------------------------------------------------------------------------------


def _drafted(choice: Choice, finish: Finish | None = None) -> Draft:
    piece = PieceRecipe(
        name="Front",
        moves=(Rectangle(width="40 cm", length="60 cm"),),
        finishes={"hem": finish} if finish else {},
    )
    recipe = Recipe(id="shift", name="Shift", choices=(choice,), pieces=(piece,))
    return draft_on(recipe, Body(name="Wren"))


@pytest.mark.parametrize(
    ("name", "value", "stretch", "advised"),
    [
        # The least published wearing ease of woven cloth: waist 1/2 in, hip 2 in, bust 1 1/2 in
        # (Central Washington University, costume text, chapter 16). Off comes stretch / 50 % of
        # it (common practice, no source); up to the next 0.5 cm.
        ("body ease", "26 cm", 25, "24.5 cm"),  # 26 - 1.905
        ("bust ease", "8 cm", 50, "4.5 cm"),  # 8 - 3.81
        ("hip ease", "8 cm", 50, "3 cm"),  # 8 - 5.08
        ("hip ease", "3 cm", 80, "0 cm"),  # never less than none
        ("waist ease", "2 cm", 40, "1 cm"),  # 2 - 1.016
        ("body ease", "26 cm", 9, ""),  # cut as a woven one
        ("cowl ease", "26 cm", 50, ""),  # no published range
        ("bust width", "26 cm", 50, ""),  # no ease
    ],
)
def test_cloth_that_stretches_needs_less_wearing_ease(
    name: str, value: str, stretch: float, advised: str
) -> None:
    draft = _drafted(Choice(name=name, value=value))
    found = [one.value for one in ease_advice(draft, "Main cloth", 0, stretch, "cm")]
    assert found == ([advised] if advised else [])


def test_cloth_that_stretches_less_needs_more() -> None:
    draft = _drafted(Choice(name="hip ease", value="0 cm", most="4 cm"))
    (found,) = ease_advice(draft, "Main cloth", 50, 0, "cm")
    assert found.value == "4 cm"  # 5.08 cm, but for the choice's own limit


def test_ease_is_advised_in_quarter_inches_where_inches_stand_first() -> None:
    draft = _drafted(Choice(name="bust ease", value="4 in"))
    (found,) = ease_advice(draft, "Main cloth", 0, 25, "in")
    assert found.value == "3 1/4 in"  # 4 - 3/4
    assert found.value_mm == pytest.approx(3.25 * 25.4)
    assert "Guide C-228" in found.source


def test_ease_stays_within_the_limits_of_the_choice() -> None:
    draft = _drafted(Choice(name="body ease", value="9 cm", least="8 cm"))
    (found,) = ease_advice(draft, "Main cloth", 0, 100, "cm")
    assert found.value == "8 cm"


def test_stretch_counts_from_a_tenth_to_a_half() -> None:
    assert [gives(each) for each in (0, 9.9, 10, 25, 50, 300)] == [0, 0, 0.2, 0.5, 1, 1]


# --- Hems ------------------------------------------------------------------------------------


def _hem(
    finish: Finish, g: float, *, old_g: float | None = 180, first: System = "cm"
) -> Finish | None:
    draft = _drafted(Choice(name="ease", value="1 cm"), finish)
    found = [one.finish for one in hem_advice(draft, "Main cloth", old_g, g, first)]
    return found[0] if found else None


def _finish(kind: str, allowance: str = "", turn_under: str = "") -> Finish:
    return Finish.model_validate({"kind": kind, "allowance": allowance, "turn_under": turn_under})


@pytest.mark.parametrize(
    ("drafted", "g", "advised"),
    [
        (("double fold hem", "2.5 cm", "1 cm"), 300, ("single fold hem", "2.5 cm + 0.3 cm")),
        (("double fold hem", "2.5 cm", "1 cm"), 450, ("single fold hem", "2.5 cm + 0.6 cm")),
        (("double fold hem",), 300, ("single fold hem", "seam allowance + 0.3 cm")),
        # Heavy wool or cotton 2 in or less: Oregon State University, 4-H Club Series 1-87.
        (("single fold hem", "8 cm"), 300, ("single fold hem", "min(8 cm, 5 cm)")),
        (("double fold hem", "8 cm"), 300, ("single fold hem", "min(8 cm, 5 cm) + 0.3 cm")),
        (("single fold hem", "4 cm"), 300, None),
        (("double fold hem", "2.5 cm", "1 cm"), 200, None),
        # A narrow hem, 1/4 in and 1/4 in turned in: the same table.
        (("single fold hem", "1 cm"), 80, ("double fold hem", "0.6 cm", "0.6 cm")),
        (("single fold hem", "4 cm"), 80, ("double fold hem", "4 cm", "0.6 cm")),
        (("double fold hem", "4 cm"), 80, None),
        (("seam", "2 cm"), 300, None),
        (("faced", "2 cm"), 80, None),
    ],
)
def test_hems_go_by_the_bulk_of_the_cloth(
    drafted: tuple[str, ...], g: float, advised: tuple[str, ...] | None
) -> None:
    assert _hem(_finish(*drafted), g) == (_finish(*advised) if advised else None)


def test_cloth_of_the_same_bulk_keeps_its_hems() -> None:
    assert _hem(_finish("double fold hem", "2.5 cm"), 300, old_g=290) is None
    assert _hem(_finish("double fold hem", "2.5 cm"), 300, old_g=None) is not None


def test_hems_are_advised_in_inches_where_inches_stand_first() -> None:
    found = _hem(_finish("double fold hem", "3 in"), 300, first="in")
    assert found == _finish("single fold hem", "min(3 in, 2 in) + 1/8 in")


def test_a_hem_whose_figure_is_too_long_is_advised_as_a_length() -> None:
    long = " + ".join(["1 mm"] * 28)
    found = _hem(_finish("double fold hem", long), 300)
    assert found == _finish("single fold hem", "31.0 mm")


def test_an_edge_of_a_circle_takes_a_hem_of_a_quarter_inch() -> None:
    """Circle hems 1/4 in or rolled: Oregon State University, 4-H Club Series 1-87."""
    recipe = next(one for one in starters() if one.id == "half-circle-skirt")
    front = recipe.pieces[0]
    deep = changed(front, finishes={**front.finishes, "hem": _finish("double fold hem", "2 cm")})
    recipe = changed(recipe, pieces=(deep, *recipe.pieces[1:]))
    draft = draft_on(recipe, Body(name="Wren", measures=dict.fromkeys(recipe.measures, "90 cm")))
    found = next(iter(hem_advice(draft, front.cloth, 180, 300, "in")))
    assert (found.piece, found.edge) == ("Skirt front", "hem")
    assert found.finish.allowance == "min(2 cm, 1/4 in) + 1/8 in"
    assert FOUR_H in found.source


def test_cloth_is_light_medium_or_heavy() -> None:
    assert [bulk_of(g) for g in (None, 60, 119.9, 120, 269.9, 270)] == [
        None,
        "light",
        "light",
        "medium",
        "medium",
        "heavy",
    ]
