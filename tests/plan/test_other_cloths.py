"""Other cloths that would do: what changes in the draft, the length to buy, the needle."""

import pytest

from webapp.cloth.cloths import ChoiceOnCloth, EpisodeCloth, OtherCloth
from webapp.draft.recipe import Recipe
from webapp.errors import RecipeError
from webapp.plan.edits import changed, with_garment
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.new_names import with_choice_name, with_piece_name
from webapp.plan.other_cloth_edits import (
    with_choice_on_cloth,
    with_other_cloth,
    without_choice_on_cloth,
    without_other_cloth,
)
from webapp.plan.other_cloths import OtherClothPlan, other_cloth_plans
from webapp.plan.starters import without_garment

SMOCK = "lighthouse-smock"


def _wool(**more: object) -> OtherCloth:
    told = {"name": "Wool", "instead_of": "Main cloth", "width": "150 cm", "weight": "310 g/m2"}
    return OtherCloth.model_validate({**told, **more})


def _ease(value: str) -> ChoiceOnCloth:
    return ChoiceOnCloth(garment=SMOCK, choice="body ease", value=value)


def _with(episode: Episode, *others: OtherCloth) -> Episode:
    return changed(episode, other_cloths=others)


def _planned(episode: Episode, *others: OtherCloth) -> OtherClothPlan:
    (found,) = other_cloth_plans(evaluate(_with(episode, *others)))
    return found


# --- What changes ----------------------------------------------------------------------------


def test_an_episode_without_other_cloths_costs_nothing(smock: Episode) -> None:
    assert other_cloth_plans(evaluate(_with(smock))) == ()


def test_a_choice_on_the_cloth_changes_the_finished_measure_by_as_much(smock: Episode) -> None:
    found = _planned(smock, _wool(choices=(_ease("16 cm"),), hems="as drafted"))
    (choice,) = found.choices
    assert (choice.old, choice.new, choice.old_mm, choice.new_mm) == ("26 cm", "16 cm", 260, 160)
    (girth,) = found.measures
    assert girth.name == "Girth all round"
    assert girth.old_mm and girth.new_mm
    assert girth.old_mm - girth.new_mm == pytest.approx(100)
    assert not found.edges
    assert not found.problems


def test_a_double_hem_of_heavy_cloth_is_folded_once(smock: Episode) -> None:
    found = _planned(smock, _wool())
    hem = next(one for one in found.edges if (one.piece, one.edge) == ("Front", "hem"))
    assert (hem.old_kind, hem.new_kind) == ("double fold hem", "single fold hem")
    assert (hem.old.total_mm, hem.new.total_mm) == (35, 28)  # 2.5 + 1 cm; 2.5 + 0.3 cm
    assert {(one.piece, one.edge) for one in found.edges} == {
        ("Front", "hem"),
        ("Back", "hem"),
        ("Sleeve", "cuff"),
        ("Pocket", "mouth"),
    }
    assert not found.measures  # a hem is added outside the finished edge


def test_hems_as_drafted_are_advised_and_not_changed(smock: Episode) -> None:
    found = _planned(smock, _wool(hems="as drafted"))
    assert found.hems
    assert not found.changes


def test_the_pieces_are_cut_from_it_and_the_length_is_that_of_a_lay(smock: Episode) -> None:
    """As wide, as heavy and shrinking as the linen, it takes the linen's length in every size."""
    linen = smock.cloths[0]
    same = OtherCloth(
        **{**linen.model_dump(), "name": "Another linen", "description": ""},
        instead_of=linen.name,
    )
    plan = evaluate(_with(smock, same))
    (found,) = other_cloth_plans(plan)
    assert not found.changes
    assert not found.beside
    assert [row.size for row in found.rows] == [size.body.name for size in plan.sizes]
    for row, size in zip(found.rows, plan.sizes, strict=True):
        assert row.purchase == row.old == size.purchases[linen.name]
    # 1.6 m at 24.00 a metre
    assert found.cost_words == "€38.40"


def test_a_narrower_cloth_takes_more(smock: Episode) -> None:
    found = _planned(smock, _wool(width="115 cm"))
    for row in found.rows:
        assert row.purchase and row.old
        assert row.purchase.total_mm > row.old.total_mm


def test_a_cloth_too_narrow_says_so_and_buys_nothing(smock: Episode) -> None:
    found = _planned(smock, _wool(width="20 cm"))
    assert all(row.purchase is None and row.problem for row in found.rows)
    assert found.cost is None


def test_the_needle_goes_by_weight_and_stretch(smock: Episode) -> None:
    assert _planned(smock, _wool(weight="310 g/m2")).needle.us == 16
    assert _planned(smock, _wool(stretch=25)).needle.point == "ballpoint"
    assert _planned(smock, _wool(weight="")).needle.us is None


def test_a_change_that_reaches_another_cloth_tells_its_length_too(smock: Episode) -> None:
    wide = ChoiceOnCloth(garment=SMOCK, choice="neck half width", value="17 cm")
    plain = _planned(smock, _wool(hems="as drafted"))
    found = _planned(smock, _wool(choices=(wide,), hems="as drafted"))
    assert not plain.beside
    assert [name for name, _ in found.beside] == ["Binding cloth"]


def test_effect_shows_the_figures_on_that_cloth(smock: Episode) -> None:
    found = _planned(smock, _wool(effect="{Girth all round} round.", choices=(_ease("16 cm"),)))
    assert found.effect.plain == "114 cm (44 7/8 in) round."


# --- What cannot be drafted ------------------------------------------------------------------


def test_what_does_not_fit_the_episode_is_said(smock: Episode) -> None:
    gone = ChoiceOnCloth(garment="gone", choice="body ease", value="1 cm")
    found = _planned(smock, _wool(instead_of="Felt", weight="heavy", choices=(gone,)))
    assert [one.split(",")[0] for one in found.problems] == [
        "There is no cloth “Felt” in this episode",
        "“heavy” cannot be read as a weight of cloth",
        "There is no choice “body ease”; its figure on this cloth is left out.",
    ]
    assert not found.rows


@pytest.mark.parametrize("value", ["", "nonsense", "body ease", "1 / 0", "12", "-90 cm"])
def test_a_figure_that_cannot_be_drafted_is_told_and_buys_nothing(
    smock: Episode, value: str
) -> None:
    found = _planned(smock, _wool(choices=(_ease(value),)))
    assert found.problems
    assert all(row.purchase is None and row.problem for row in found.rows)


def test_a_girth_too_small_is_told(smock: Episode) -> None:
    """The smock wants 8 cm over bust or hip; its own check says so of 6 cm."""
    found = _planned(smock, _wool(choices=(_ease("6 cm"),)))
    assert len(found.problems) == 1
    assert found.problems[0].startswith("Girth is ")
    assert found.rows[0].purchase  # it can be cut all the same


@pytest.mark.parametrize("field", ["width", "squaring", "edge_margin", "repeat_along"])
def test_a_cloth_with_a_figure_that_cannot_be_read_says_so(smock: Episode, field: str) -> None:
    found = _planned(smock, _wool(**{field: "wide"}))
    assert all(row.problem for row in found.rows)


def test_ease_taken_over_is_not_advised_again(smock: Episode) -> None:
    jersey = _wool(weight="200 g/m2", stretch=25)
    (advice,) = _planned(smock, jersey).ease
    taken = with_choice_on_cloth(_with(smock, jersey), 0, SMOCK, advice.choice, advice.value)
    (found,) = other_cloth_plans(evaluate(taken))
    assert not found.ease
    assert [one.new for one in found.choices] == ["24.5 cm"]


# --- Edits -----------------------------------------------------------------------------------


def test_a_cloth_is_added_changed_and_taken_out(smock: Episode) -> None:
    none = _with(smock)
    added = with_other_cloth(none, None, _wool())
    edited = with_other_cloth(added, 0, _wool(name="Melton"))
    assert [one.name for one in edited.other_cloths] == ["Melton"]
    assert without_other_cloth(edited, 0) == none


@pytest.mark.parametrize("name", ["main cloth", "Binding cloth", "Wool"])
def test_a_name_that_is_taken_is_refused(smock: Episode, name: str) -> None:
    with pytest.raises(RecipeError, match="already"):
        with_other_cloth(_with(smock, _wool()), None, _wool(name=name))


def test_a_choice_on_a_cloth_is_set_again_and_taken_out(smock: Episode) -> None:
    episode = _with(smock, _wool())
    for value in ("16 cm", "18 cm"):
        episode = with_choice_on_cloth(episode, 0, SMOCK, "body ease", value)
    assert episode.other_cloths[0].choices == (_ease("18 cm"),)
    assert without_choice_on_cloth(episode, 0, SMOCK, "Body ease") == _with(smock, _wool())


def test_a_choice_that_cannot_be_drafted_is_refused(smock: Episode) -> None:
    with pytest.raises(RecipeError):
        with_choice_on_cloth(_with(smock, _wool()), 0, SMOCK, "arm depth", "-10 cm")


# --- Names -----------------------------------------------------------------------------------


def test_a_choice_that_is_renamed_is_followed(smock: Episode) -> None:
    deep = ChoiceOnCloth(garment=SMOCK, choice="arm depth", value="body ease / 2")
    other = ChoiceOnCloth(garment="tube-cowl", choice="cowl ease", value="12 cm")
    episode = _with(smock, _wool(choices=(_ease("16 cm"), deep, other)))
    after = with_choice_name(episode, SMOCK, "body ease", "room")
    assert [(one.choice, one.value) for one in after.other_cloths[0].choices] == [
        ("room", "16 cm"),
        ("arm depth", "room / 2"),
        ("cowl ease", "12 cm"),
    ]


def test_a_piece_that_is_renamed_is_followed(smock: Episode) -> None:
    deep = ChoiceOnCloth(garment=SMOCK, choice="sleeve length", value="Front.shoulder * 2")
    told = _wool(choices=(deep,), effect="{Front.hem} wide")
    after = with_piece_name(_with(smock, told), SMOCK, "Front", "Fore").other_cloths[0]
    assert after.choices[0].value == "Fore.shoulder * 2"
    assert after.effect == "{Fore.hem} wide"


def test_a_choice_that_is_taken_out_is_forgotten(smock: Episode) -> None:
    episode = _with(smock, _wool(choices=(_ease("16 cm"),)))

    def without_it(recipe: Recipe) -> Recipe:
        return changed(recipe, choices=recipe.choices[1:])

    assert with_garment(episode, SMOCK, without_it).other_cloths == (_wool(),)


def test_a_garment_that_is_taken_out_is_forgotten(smock: Episode) -> None:
    other = ChoiceOnCloth(garment="tube-cowl", choice="cowl ease", value="12 cm")
    episode = _with(smock, _wool(choices=(_ease("16 cm"), other)))
    after = without_garment(episode, "tube-cowl")
    assert after.other_cloths == (_wool(choices=(_ease("16 cm"),)),)


# --- Kept ------------------------------------------------------------------------------------


def test_a_plan_is_made_once(smock: Episode) -> None:
    plan = evaluate(_with(smock, _wool()))
    first = other_cloth_plans(plan)
    assert other_cloth_plans(evaluate(plan.episode)) is first


def test_cloths_of_an_old_file_take_the_hems_as_advised() -> None:
    assert OtherCloth(instead_of="Main cloth").hems == "as advised"
    assert "hems" not in EpisodeCloth.model_fields
