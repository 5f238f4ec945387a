"""A measure that is missing or cannot be read is told once; what needs it only waits."""

import re
from typing import Any

import pytest

from tests.specimens import (
    RECTANGLE,
    SMOCK,
    STARTERS,
    WREN,
    sentences,
    smock_draft,
    smock_with,
    starter,
)
from webapp.draft.evaluate import evaluate
from webapp.draft.recipe import Body, Recipe


def test_a_missing_measure_is_asked_for_with_how_to_take_it() -> None:
    body = Body(name="Rook", measures={k: v for k, v in WREN.measures.items() if k != "head"})
    draft = evaluate(SMOCK, body)
    assert sentences(draft)[0] == (
        "This garment asks for the measure “head”. Around the head, level, just above the ears."
    )
    assert len(draft.pieces) == 5, "no piece needs the head"
    assert "Neck opening" not in [check.name for check in draft.checks]


def test_a_measure_that_cannot_be_read_is_told_and_the_rest_is_drafted() -> None:
    draft = evaluate(SMOCK, Body(name="Rook", measures=WREN.measures | {"waist": "seventy"}))
    assert len(draft.pieces) == 5
    (sentence,) = sentences(draft)
    assert sentence.startswith("waist: “seventy” cannot be read as a length")


@pytest.mark.parametrize("name", sorted(path.stem for path in STARTERS.glob("*.json")))
def test_on_a_body_without_measures_each_missing_measure_is_told_once_and_no_more(
    name: str,
) -> None:
    recipe = starter(name)
    draft = evaluate(recipe, Body(name="Nobody"))
    told = [re.findall(r"asks for the measure “(.+?)”", line) for line in sentences(draft)]
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
    (sentence,) = sentences(draft)
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
    part: str, value: list[dict[str, Any]], sentence: str
) -> None:
    recipe = {
        "id": "r", "name": "R", "measures": ["waist"],
        "pieces": [{"name": "Panel", "moves": [RECTANGLE | {"width": "waist"}]}],
        part: value,
    }  # fmt: skip
    missing, told = sentences(evaluate(Recipe.model_validate(recipe), Body(name="Nobody")))
    assert missing.startswith("This garment asks for the measure “waist”.")
    assert told == sentence


def test_an_allowance_that_waits_for_a_measure_says_nothing_of_its_own() -> None:
    draft = evaluate(
        smock_with(seam_allowance="head / 40"), Body(name="Rook", measures=WREN.measures)
    )
    assert draft.problems == ()
    body = Body(name="Rook", measures={k: v for k, v in WREN.measures.items() if k != "head"})
    (sentence,) = sentences(evaluate(smock_with(seam_allowance="head / 40"), body))
    assert "“head”" in sentence


def test_a_garment_waits_for_the_pieces_of_one_drafted_before_it() -> None:
    smock = evaluate(SMOCK, Body(name="Nobody"))
    cowl = starter("tube-cowl").model_dump(exclude={"steps", "notions"})
    cowl["pieces"][0]["moves"][0]["width"] = "Front.hem"
    draft = evaluate(Recipe.model_validate(cowl), WREN, smock.names.of_pieces())
    assert sentences(draft) == []
    assert draft.lacks("Cowl.width")
