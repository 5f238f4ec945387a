"""Drafting a whole recipe: its pieces, seams and checks, and what keeps one from being drawn."""

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import (
    RECTANGLE,
    SMOCK,
    STARTERS,
    WREN,
    draft_of,
    piece_of,
    refusal_of,
    smock_draft,
    starter,
)
from webapp.draft.construction import EdgeUse
from webapp.draft.evaluate import Draft, evaluate, quotes_itself
from webapp.draft.expressions import Quantity
from webapp.draft.recipe import Body, Recipe
from webapp.errors import FigureError

Json = dict[str, Any]


def changed(**fields: Any) -> Recipe:
    """The smock with some of its parts replaced."""
    return Recipe.model_validate(SMOCK.model_dump() | fields)


def with_choice(name: str, value: str) -> Recipe:
    """The smock with one choice made differently."""
    choices = [
        choice.model_copy(update={"value": value}) if choice.name == name else choice
        for choice in SMOCK.choices
    ]
    return SMOCK.model_copy(update={"choices": tuple(choices)})


# --- The smock on Wren ------------------------------------------------------------------------


def test_the_smock_is_drafted_on_wren_without_a_problem() -> None:
    draft = smock_draft()
    assert draft.problems == ()
    assert draft.unfinished == ()
    assert [piece.name for piece in draft.pieces] == [
        "Front", "Back", "Sleeve", "Pocket", "Neck binding"
    ]  # fmt: skip


#  The front, in cm. Width (max(92, 98) + 24) / 4 + 4 = 34.5; below the arm 34.5 - 4 = 30.5.
#
#             (12, 0)╲
#   (0, 10)╯           (34.5, 3.5)
#     │                     │             3.5 + 24 = 27.5
#     │           (30.5, 31.5)╯(34.5, 27.5)     27.5 + 4 = 31.5
#   (0, 68)───────(30.5, 68)
FRONT = [(0, 10), (12, 0), (34.5, 3.5), (34.5, 27.5), (30.5, 31.5), (30.5, 68), (0, 68)]


def test_the_smocks_front_has_the_corners_its_choices_ask_for() -> None:
    front = smock_draft().piece("Front")
    found = [(edge.start[0] / 10, edge.start[1] / 10) for edge in front.outline]
    assert found == [pytest.approx(corner) for corner in FRONT]
    # Cut size: 34.5 + 1.5; the shoulder's allowance at the neck, 68, and 2.5 + 1 of hem.
    assert front.cut_size_mm == pytest.approx((360, 15 + 680 + 35), abs=0.3)


def test_the_smocks_seams_agree_and_it_passes_over_the_body() -> None:
    draft = smock_draft()
    assert all(seam.agrees for seam in draft.seams)
    assert all(check.holds for check in draft.checks)
    seams = {seam.name: seam for seam in draft.seams}
    assert seams["sleeve heads"].one_mm == pytest.approx(480)  # 2 * 24 cm of arm
    assert draft.finished_mm["Girth all round"] == pytest.approx(1220)  # 98 + 24
    assert draft.edge_mm(EdgeUse(edge="Front.hem", times=2)) == pytest.approx(610)


def test_the_sleeve_follows_the_body_it_is_sewn_to() -> None:
    sleeve = evaluate(with_choice("arm depth", "27 cm"), WREN).piece("Sleeve")
    assert sleeve.figures_mm["cap"] == pytest.approx(540)  # 2 * 27
    assert sleeve.figures_mm["cuff"] == pytest.approx(320)


def test_drafting_twice_gives_the_same() -> None:
    one, other = smock_draft(), smock_draft()
    assert one == other
    assert [p.cut_points for p in one.pieces] == [p.cut_points for p in other.pieces]


@pytest.mark.parametrize("name", sorted(path.stem for path in STARTERS.glob("*.json")))
def test_every_starter_is_drafted_on_wren_and_holds_together(name: str) -> None:
    draft = evaluate(starter(name), WREN)
    assert draft.problems == ()
    assert [seam.sentence for seam in draft.seams if not seam.agrees] == []
    assert [check.sentence for check in draft.checks if not check.holds] == []


# --- Scale ------------------------------------------------------------------------------------


def _scaled(part: Any, by: float) -> Any:
    """A recipe or a body with every typed length, in cm throughout, multiplied."""
    if isinstance(part, dict):
        return {key: _scaled(value, by) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [_scaled(value, by) for value in part]
    if isinstance(part, str):
        return re.sub(r"([\d.]+) cm\b", lambda m: f"{float(m[1]) * by:.9f} cm", part)
    return part


@settings(max_examples=15, deadline=None)
@given(st.floats(0.3, 3), st.sampled_from(["drop-shoulder-smock", "half-circle-skirt"]))
def test_a_body_k_times_the_size_gets_a_garment_k_times_the_size(k: float, name: str) -> None:
    """Lengths grow by k, areas by k²; an exact rule of similar figures."""
    recipe = starter(name).model_dump(exclude={"steps"})
    one = evaluate(Recipe.model_validate(recipe), WREN)
    other = evaluate(
        Recipe.model_validate(_scaled(recipe, k)),
        Body.model_validate(_scaled(WREN.model_dump(), k)),
    )
    for small, large in zip(one.pieces, other.pieces, strict=True):
        for figure, value in small.figures_mm.items():
            assert large.figures_mm[figure] == pytest.approx(k * value, rel=1e-6), figure
        area = small.outline.area_mm2
        assert large.outline.area_mm2 == pytest.approx(k * k * area, rel=1e-6)
        assert large.cut_size_mm == pytest.approx(
            [k * side for side in small.cut_size_mm], rel=1e-3
        )
    for shorter, longer in zip(one.seams, other.seams, strict=True):
        assert longer.one_mm == pytest.approx(k * shorter.one_mm, rel=1e-6)


# --- What can be wrong ------------------------------------------------------------------------


def _sentences(draft: Draft) -> list[str]:
    return [problem.sentence for problem in draft.problems]


def test_a_missing_measure_is_asked_for_with_how_to_take_it() -> None:
    body = Body(name="Rook", measures={k: v for k, v in WREN.measures.items() if k != "head"})
    draft = evaluate(SMOCK, body)
    assert _sentences(draft)[0] == (
        "This garment asks for the measure “head”. Around the head, level, just above the ears."
    )
    assert len(draft.pieces) == 5, "no piece needs the head"
    assert "Neck opening" not in [check.name for check in draft.checks]


def test_a_measure_that_cannot_be_read_is_told_and_the_rest_is_drafted() -> None:
    draft = evaluate(SMOCK, Body(name="Rook", measures=WREN.measures | {"waist": "seventy"}))
    assert len(draft.pieces) == 5
    (sentence,) = _sentences(draft)
    assert sentence.startswith("waist: “seventy” cannot be read as a length")


def test_a_circle_of_choices_is_told_where_it_starts() -> None:
    choices = [{"name": "one", "value": "other + 1 cm"}, {"name": "other", "value": "one + 1 cm"}]
    draft = evaluate(changed(choices=[*SMOCK.model_dump()["choices"], *choices]), WREN)
    assert _sentences(draft) == ["one: There is no figure called “other”."]
    assert draft.lacking == {"one", "other"}


def test_a_choice_cannot_quote_a_later_piece() -> None:
    draft = evaluate(with_choice("body ease", "Front.hem / 2"), WREN)
    assert _sentences(draft) == ["body ease: There is no figure called “Front.hem”."]


def test_a_choice_that_quotes_itself_is_told_to_be_written_anew() -> None:
    sentence = "“body ease” cannot be worked out from itself; write the new figure, like 69 cm."
    assert _sentences(evaluate(with_choice("body ease", "Body ease + 5 cm"), WREN)) == [sentence]
    assert quotes_itself("body ease", "bust / 2 + body ease") == sentence
    assert quotes_itself("body ease", "bust / 2") == ""


def test_one_piece_that_cannot_be_drawn_leaves_the_others() -> None:
    draft = evaluate(with_choice("neck half width", "42 cm"), WREN)
    front, back = draft.problems
    assert front.sentence == (
        "Front, scoop: 42 cm (16 1/2 in) is wider than the shoulder edge, 34.5 cm (13 5/8 in)."
    )
    assert (front.piece, front.move) == ("Front", 1)
    assert back.piece == "Back"
    assert [piece.name for piece in draft.pieces] == ["Pocket"]
    assert {p.name: p.outline.names for p in draft.unfinished} == {
        "Front": ("shoulder", "side", "hem", "centre"),
        "Back": ("shoulder", "side", "hem", "centre"),
    }, "drawn as far as they got"
    assert draft.seams == (), "pieces and seams that wait for a piece say nothing of their own"
    assert draft.lacking >= {"front.", "back.", "sleeve.", "neck binding."}
    with pytest.raises(KeyError):
        draft.piece("Front")


def test_a_piece_without_any_shape_is_told() -> None:
    assert refusal_of() == "Panel has no shape yet."
    assert refusal_of(RECTANGLE | {"off": True}) == "Panel has no shape yet."


@pytest.mark.parametrize(
    ("finishes", "sentence"),
    [
        ({"elbow": {"kind": "bound"}}, "Panel has no edge “elbow” to finish."),
        ({"hem": {"allowance": "2"}},
         "Panel, hem: “2” is a number without a unit. Write 2 cm or 2 in."),
        ({"hem": {"allowance": "-2 cm"}},
         "Panel, hem: The allowance comes to -2 cm (-13/16 in); it must be from 0 cm to "
         "50 cm (19 5/8 in)."),
        ({"hem": {"allowance": "60 cm"}},
         "Panel, hem: The allowance comes to 60 cm (23 5/8 in); it must be from 0 cm to "
         "50 cm (19 5/8 in)."),
        ({"hem": {"kind": "double fold hem", "allowance": "1 cm", "turn_under": "2 cm"}},
         "Panel, hem: The turn-under, 2 cm (13/16 in), is deeper than the hem, 1 cm (3/8 in)."),
        ({"centre": {"kind": "seam"}},
         "Panel, centre: this edge lies on the fold, so it is neither cut nor finished."),
    ],
)  # fmt: skip
def test_a_finish_that_cannot_be_is_told_and_the_piece_is_drawn(
    finishes: Json, sentence: str
) -> None:
    draft = draft_of(RECTANGLE, on_fold=True, finishes=finishes)
    assert _sentences(draft) == [sentence]
    assert len(draft.pieces) == 1
    assert draft.pieces[0].cut_points


def test_the_edge_on_the_fold_is_the_one_that_lies_there_whatever_its_name() -> None:
    names = ["waist", "side", "hem", "middle"]
    piece = piece_of(RECTANGLE | {"edges": names}, on_fold=True)
    assert piece.finishes["middle"].kind == "fold"
    assert piece.allowances["middle"].total_mm == 0
    assert piece.whole_cut_points
    open_piece = piece_of(RECTANGLE | {"edges": names})
    assert open_piece.allowances["middle"].total_mm == 15


def test_a_seam_of_unknown_edges_is_told() -> None:
    seam = {"name": "cuff seam", "one": [{"edge": "Front.cuff"}], "other": [{"edge": "Front.hem"}]}
    (sentence,) = _sentences(evaluate(changed(seams=[seam]), WREN))
    assert sentence.startswith("Seam “cuff seam”: There is no figure called “Front.cuff”.")
    with pytest.raises(FigureError):
        smock_draft().edge_mm(EdgeUse(edge="Front.cuff"))


def test_a_check_or_a_finished_measure_that_cannot_be_computed_is_told() -> None:
    check = {"name": "Stride", "garment": "Front.hem", "at_least": "60"}
    finished = {"name": "Cuffs", "figure": "Cuff.hem"}
    draft = evaluate(changed(checks=[check], finished=[finished]), WREN)
    assert _sentences(draft)[0].startswith("Check “Stride”: “60” is a number without a unit.")
    assert _sentences(draft)[1].startswith("Finished Cuffs: There is no figure called “Cuff.hem”.")


# --- What only waits --------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(path.stem for path in STARTERS.glob("*.json")))
def test_on_a_body_without_measures_each_missing_measure_is_told_once_and_no_more(
    name: str,
) -> None:
    recipe = starter(name)
    draft = evaluate(recipe, Body(name="Nobody"))
    told = [re.findall(r"asks for the measure “(.+?)”", line) for line in _sentences(draft)]
    assert told == [[measure] for measure in recipe.measures]
    assert draft.lacking >= set(recipe.measures)


def test_what_waits_for_a_missing_measure_is_lacking() -> None:
    draft = evaluate(starter("half-circle-skirt"), Body(name="Nobody"))
    for name in ("waist", "Elastic  to cut", "Skirt front.hem", "Front band.length",
                 "Hem all round"):  # fmt: skip
        assert draft.lacks(name), name
    for name in ("waist ease", "skirt length", "Patch pocket.mouth", "waits", "Skirt.hem"):
        assert not draft.lacks(name), name


def test_nothing_is_lacking_from_a_draft_without_a_problem() -> None:
    assert smock_draft().lacking == frozenset()
    assert not smock_draft().lacks("Front.hem")


def test_a_measure_that_cannot_be_read_is_told_once_and_the_rest_waits() -> None:
    draft = evaluate(SMOCK, Body(name="Rook", measures=WREN.measures | {"bust": "ninety"}))
    (sentence,) = _sentences(draft)
    assert sentence.startswith("bust: “ninety” cannot be read")
    assert draft.lacks("bust") and draft.lacks("Front.hem")


@pytest.mark.parametrize(
    ("part", "value", "sentence"),
    [
        ("choices", [{"name": "slack", "value": "waist / 2 + wiast / 2"}],
         "slack: There is no figure called “wiast”."),
        ("pieces", [{"name": "Panel", "moves": [RECTANGLE | {"width": "waist", "length": "hpi"}]}],
         "Panel, rectangle: length: There is no figure called “hpi”."),
        ("pieces", [{"name": "Panel", "moves": [RECTANGLE | {"width": "waist", "length": "64"}]}],
         "Panel, rectangle: length: “64” is a number without a unit. Write 64 cm or 64 in."),
        ("seams", [{"name": "s", "one": [{"edge": "Panel.hem"}], "other": [{"edge": "Pnl.top"}]}],
         "Seam “s”: There is no figure called “Pnl.top”."),
        ("checks", [{"name": "c", "garment": "waist", "at_least": "60"}],
         "Check “c”: “60” is a number without a unit. Write 60 cm or 60 in."),
        ("finished", [{"name": "f", "figure": "2 * (waist"}],
         "Finished f: “2 * (waist” lacks a closing bracket."),
    ],
)  # fmt: skip
def test_what_would_be_wrong_on_any_body_is_told_though_a_measure_is_missing(
    part: str, value: list[Json], sentence: str
) -> None:
    recipe = {
        "id": "r", "name": "R", "measures": ["waist"],
        "pieces": [{"name": "Panel", "moves": [RECTANGLE | {"width": "waist"}]}],
        part: value,
    }  # fmt: skip
    missing, told = _sentences(evaluate(Recipe.model_validate(recipe), Body(name="Nobody")))
    assert missing.startswith("This garment asks for the measure “waist”.")
    assert told == sentence


def test_an_allowance_that_waits_for_a_measure_says_nothing_of_its_own() -> None:
    draft = evaluate(changed(seam_allowance="head / 40"), Body(name="Rook", measures=WREN.measures))
    assert draft.problems == ()
    body = Body(name="Rook", measures={k: v for k, v in WREN.measures.items() if k != "head"})
    (sentence,) = _sentences(evaluate(changed(seam_allowance="head / 40"), body))
    assert "“head”" in sentence


def test_a_garment_waits_for_the_pieces_of_one_drafted_before_it() -> None:
    smock = evaluate(SMOCK, Body(name="Nobody"))
    cowl = starter("tube-cowl").model_dump(exclude={"steps", "notions"})
    cowl["pieces"][0]["moves"][0]["width"] = "Front.hem"
    draft = evaluate(Recipe.model_validate(cowl), WREN, smock.names.of_pieces())
    assert _sentences(draft) == []
    assert draft.lacks("Cowl.width")


# --- Seams and checks -------------------------------------------------------------------------


def _joined(difference: str, eased: str = "") -> Json:
    """Two panels whose hems are sewn together, the upper one's longer by the difference."""

    def panel(name: str, width: str) -> Json:
        return {"name": name, "moves": [RECTANGLE | {"width": width}]}

    return {
        "id": "skirt",
        "name": "Skirt",
        "pieces": [panel("Upper", f"40 cm + {difference}"), panel("Lower", "40 cm")],
        "seams": [
            {"name": "tier", "one": [{"edge": "Upper.hem"}], "other": [{"edge": "Lower.top"}],
             "eased_in": eased}
        ],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("difference", "eased", "agrees"),
    [
        ("0 mm", "", True),
        ("3 mm", "", True),
        ("3.1 mm", "", False),
        ("20 cm", "", False),
        ("20 cm", "20 cm", True),
        ("20 cm", "Lower.top / 2", True),
        ("0 mm", "20 cm", False),
    ],
)
def test_a_seams_two_sides_agree_within_3_mm_of_what_is_eased_in(
    difference: str, eased: str, agrees: bool
) -> None:
    (seam,) = evaluate(Recipe.model_validate(_joined(difference, eased)), WREN).seams
    assert seam.agrees is agrees


def test_a_seam_that_does_not_agree_says_both_lengths() -> None:
    (seam,) = evaluate(Recipe.model_validate(_joined("2 cm")), WREN).seams
    assert seam.sentence == ("tier: one side is 42 cm (16 1/2 in), the other 40 cm (15 3/4 in).")


def test_a_garment_too_small_for_its_body_says_so_with_both_figures() -> None:
    draft = evaluate(SMOCK, Body(name="Rook", measures=WREN.measures | {"head": "60 cm"}))
    (failing,) = [check for check in draft.checks if not check.holds]
    assert failing.sentence == (
        "Neck opening is 60 cm (23 5/8 in); it needs at least 62 cm (24 3/8 in). "
        "It has no fastening, so the head must pass."
    )


def test_a_garment_may_quote_the_figures_of_one_drafted_before_it() -> None:
    cowl = starter("tube-cowl").model_dump(exclude={"steps"})
    cowl["pieces"][0]["moves"][0]["width"] = "Front.hem"
    draft = evaluate(Recipe.model_validate(cowl), WREN, smock_draft().names)
    assert draft.piece("Cowl").figures_mm["width"] == pytest.approx(305)
    assert evaluate(SMOCK, WREN, {"front.hem": Quantity(1.0)}) == smock_draft()


# --- The recipe itself ------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["pieces", "choices", "seams", "steps"])
def test_a_recipe_refuses_two_parts_of_one_name(part: str) -> None:
    recipe = json.loads(SMOCK.model_dump_json())
    recipe[part].append(recipe[part][0])
    with pytest.raises(ValueError, match="give one another name"):
        Recipe.model_validate(recipe)


def test_a_recipe_reads_back_as_it_was_written() -> None:
    assert Recipe.model_validate_json(SMOCK.model_dump_json()) == SMOCK
    with pytest.raises(ValueError, match="Extra inputs are not permitted"):
        Recipe.model_validate(SMOCK.model_dump() | {"colour": "blue"})
