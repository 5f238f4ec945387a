"""Formulas in plain words, and the words of a piece with letters for what the reader works out."""

import pytest

from tests.specimens import SMOCK, WREN
from webapp.draft.evaluate import evaluate
from webapp.draft.expressions import read
from webapp.draft.in_words import follows_the_body, in_words
from webapp.draft.instructions import instructions
from webapp.draft.recipe import Body, Recipe

GARMENT = Recipe.model_validate({
    "id": "bib", "name": "Bib", "measures": ["bust", "hip"],
    "choices": [
        {"name": "ease", "value": "12 cm"},
        {"name": "half ease", "value": "ease / 2"},
        {"name": "body width", "value": "max(bust, hip) / 2 + ease",
         "ways": [{"name": "girth", "figure": "max(bust, hip) / 2 + ease", "how": "Half of it."}]},
    ],
    "pieces": [
        {"name": "Front", "moves": [
            {"kind": "rectangle", "width": "body width / 2", "length": "bust"},
            {"kind": "scoop", "edge": "top", "corner": "left side", "width": "ease",
             "depth": "half ease", "name": "neck"},
        ]},
        {"name": "Back", "moves": [
            {"kind": "rectangle", "width": "body width / 2", "length": "bust + 2 cm"}]},
    ],
})  # fmt: skip


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("bust / 2 + ease", "half your bust, plus 12 cm / 4 3/4 in"),
        ("bust / 4", "a quarter of your bust"),
        ("hip / 5", "your hip divided by 5"),
        ("2 * Front.neck", "twice the neck of your Front"),
        ("0.3 * bust", "0.3 times your bust"),
        ("bust * 1/4", "a quarter of your bust"),
        ("max(bust, hip)", "the larger of your bust and your hip"),
        ("max(bust, hip, waist)", "the largest of your bust, your hip and your waist"),
        ("min(bust, hip) / 2", "half of the smaller of your bust and your hip"),
        ("(bust + ease) / 2", "half of (your bust, plus 12 cm / 4 3/4 in)"),
        ("bust - (hip - 4 cm)", "your bust, less (your hip, less 4 cm / 1 9/16 in)"),
        ("body width / 2", "half the body width"),
        ("half ease + 2 cm", "8 cm / 3 1/8 in"),  # 6 + 2
        ("abs(bust - hip)", "the difference of your bust and your hip"),
    ],
)
def test_a_formula_is_told_in_words(formula: str, words: str) -> None:
    assert in_words(formula, evaluate(GARMENT, WREN), "cm") == words


def test_inches_stand_first_for_who_prefers_them() -> None:
    told = in_words("bust / 2 + ease", evaluate(GARMENT, WREN), "in")
    assert told == "half your bust, plus 4 3/4 in / 12 cm"


def test_a_figure_follows_the_body_through_the_choices_it_quotes() -> None:
    draft = evaluate(GARMENT, WREN)
    assert follows_the_body("body width", draft)
    assert not follows_the_body("half ease + seam allowance", draft)


def test_only_what_follows_the_body_gets_a_letter_and_the_same_figure_the_same_one() -> None:
    told = instructions(evaluate(GARMENT, WREN), "cm")
    front, back = told.pieces
    assert front.sentences[0] == "Draw a rectangle A wide and B long."
    assert front.sentences[1] == "Mark 12 cm (4 3/4 in) along the top edge from the left side edge."
    assert back.sentences[0] == "Draw a rectangle A wide and C long."
    assert (front.letters, back.letters) == (("A", "B"), ("A", "C"))
    (choice,) = told.choices
    # (98 / 2) + 12 = 61; the way that is picked says how it is had.
    assert (choice.name, choice.shown, choice.how) == ("body width", "61 cm (24 in)", "Half of it.")


@pytest.mark.parametrize("recipe", [GARMENT, SMOCK], ids=["bib", "smock"])
def test_who_works_the_letters_out_has_the_words_of_her_own_size(recipe: Recipe) -> None:
    """The letters of one body, worked out on another, are what drafting on that body says."""
    other = Body(name="Other", measures={**WREN.measures, "bust": "110 cm", "hip": "117 cm"})
    mine, hers = evaluate(recipe, WREN), evaluate(recipe, other)
    shown = {figure.letter: figure.shown for figure in instructions(hers, "cm").figures}
    for piece, told in zip(hers.pieces, instructions(mine, "cm").pieces, strict=True):
        worked_out = [
            " ".join(shown.get(word, word) for word in sentence.split(" "))
            for sentence in told.sentences
        ]
        assert worked_out == [sentence.show("cm") for sentence in piece.words]


def test_every_formula_of_the_smock_can_be_told() -> None:
    draft = evaluate(SMOCK, WREN)
    for figure in instructions(draft, "cm").figures:
        assert figure.formula
    assert all(read(choice.value) for choice in SMOCK.choices)
