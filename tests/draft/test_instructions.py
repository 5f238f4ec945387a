"""The words of a piece with letters for what the reader works out."""

from dataclasses import replace

import pytest

from tests.specimens import SMOCK, STARTERS, WREN, completed, smock_draft, starter
from webapp.draft.evaluate import evaluate
from webapp.draft.instructions import instructions, letter
from webapp.draft.recipe import Body, Recipe
from webapp.draft.words import Slot
from webapp.units import both

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

BODY = completed(Body(name="Wren", measures={**WREN.measures, "height": "168 cm"}))
OTHER = completed(
    Body(name="Other", measures={**WREN.measures, "height": "181 cm", "bust": "110 cm",
                                 "hip": "117 cm", "waist": "95 cm", "head": "59 cm"})
)  # fmt: skip
each_starter = pytest.mark.parametrize(
    "recipe", [starter(file.stem) for file in sorted(STARTERS.glob("*.json"))], ids=lambda r: r.id
)


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


def test_a_figure_is_called_by_its_letter_in_the_words_of_another() -> None:
    (b, c) = (f for f in instructions(smock_draft(), "cm").figures if f.letter in "BC")
    assert b.formula == "the arm of your Front, plus the arm of your Back"
    assert (b.what, b.measured) == (
        "Sleeve: width",
        "Measured along the seam line of the drawn Front and Back.",
    )
    assert c.formula.startswith("half of (B, less ")


def test_an_edge_with_darts_or_gathers_is_measured_with_them_closed() -> None:
    draft = evaluate(starter("gathered-skirt"), WREN)
    band = next(f for f in instructions(draft, "cm").figures if "band" in f.what)
    assert band.measured.endswith("with its darts, pleats or gathers closed.")


@each_starter
def test_the_figures_of_a_filled_worksheet_are_those_of_its_pieces(recipe: Recipe) -> None:
    draft = evaluate(recipe, BODY)
    told = instructions(draft, "cm")
    shown = {figure.letter: figure.shown for figure in told.figures}
    for piece, work in zip(draft.pieces, told.pieces, strict=True):
        for line, sentence in zip(work.lines, piece.words, strict=True):
            found = [part for part in line if part.kind != "text"]
            slots = [part for part in sentence.parts() if isinstance(part, Slot)]
            for part, slot in zip(found, slots, strict=True):
                mm = sentence.lengths_mm[slot.name]
                text = shown[part.text] if part.kind == "letter" else part.text
                assert text.split(" [")[0] in (both(mm, "cm"), both(mm, "cm", fine=True))


@each_starter
def test_what_is_not_marked_in_a_blank_worksheet_is_the_same_on_another_body(
    recipe: Recipe,
) -> None:
    ours = instructions(evaluate(recipe, BODY), "cm")
    theirs = instructions(evaluate(recipe, OTHER), "cm")
    assert [f.formula for f in ours.figures] == [f.formula for f in theirs.figures]
    for mine, hers in zip(ours.pieces, theirs.pieces, strict=True):
        for line, other in zip(mine.lines, hers.lines, strict=True):
            unmarked = [[p for p in parts if p.kind != "this size"] for parts in (line, other)]
            assert unmarked[0] == unmarked[1], mine.piece.name


def test_a_length_without_a_formula_says_for_which_size_it_is() -> None:
    draft = evaluate(starter("gathered-skirt"), WREN)
    (front, *_) = instructions(draft, "cm").pieces
    assert front.sentences[-1].endswith(" [size Wren] again.")


def test_a_formula_that_is_not_what_is_drawn_is_not_told() -> None:
    draft = evaluate(GARMENT, WREN)
    (front, back) = draft.pieces
    (sentence,) = back.words
    wrong = replace(sentence, formulas={**sentence.formulas, "length": "bust + 3 cm"})
    told = instructions(replace(draft, pieces=(front, replace(back, words=(wrong,)))), "cm")
    # 92 + 2 = 94 cm
    assert told.pieces[1].sentences == (
        "Draw a rectangle A wide and 94 cm (37 in) [size Wren] long.",
    )


def test_the_picked_way_is_told_for_a_choice_that_is_the_same_for_everybody_too() -> None:
    straight = {"name": "straight", "figure": "60 cm", "how": "Measured on a garment that fits."}
    choice = {"name": "body width", "value": "60 cm", "ways": [straight]}
    changed = {**GARMENT.model_dump(), "choices": [*GARMENT.model_dump()["choices"][:2], choice]}
    (told,) = instructions(evaluate(Recipe.model_validate(changed), WREN), "cm").choices
    assert (told.formula, told.how) == ("60 cm / 23 5/8 in", "Measured on a garment that fits.")


def test_letters_go_on_after_z_and_leave_out_those_that_look_like_figures() -> None:
    letters = [letter(number) for number in range(24 + 24 * 24 + 1)]
    assert letters[:9] == list("ABCDEFGHJ")
    assert letters[23:26] == ["Z", "AA", "AB"]
    assert letters[-2:] == ["ZZ", "AAA"]
    assert not {"I", "O"} & {sign for each in letters for sign in each}
    assert len(set(letters)) == len(letters)


def test_a_taper_that_goes_the_other_way_on_another_body_comes_to_less_than_nothing() -> None:
    """The sentence says “out”; where it must go in, the figure has a minus sign."""
    piece = {"name": "Sleeve", "moves": [
        {"kind": "rectangle", "width": "40 cm", "length": "50 cm"},
        {"kind": "taper", "edge": "right side", "end": "hem", "by": "bust - 95 cm"}]}  # fmt: skip
    recipe = Recipe.model_validate(
        {"id": "s", "name": "S", "measures": ["bust"], "pieces": [piece]}
    )
    (words,) = instructions(evaluate(recipe, WREN), "cm").figures
    assert (words.formula, words.shown) == ("95 cm / 37 3/8 in, less your bust", "3 cm (1 3/16 in)")


def test_a_ring_whose_share_follows_the_body_is_told_by_the_length_to_keep() -> None:
    ring = {"kind": "ring sector", "inner": "waist", "length": "60 cm", "share": "waist / hip / 2"}
    piece = {"name": "Skirt", "moves": [ring], "on_fold": True}
    recipe = Recipe.model_validate({"id": "s", "name": "S", "pieces": [piece]})
    (told,) = instructions(evaluate(recipe, WREN), "cm").pieces
    assert told.sentences[-1] == (
        "Keep C along the inner arc, from the fold: the side runs straight out from the centre."
    )
    assert told.piece.words[-1].show("cm").startswith("Keep 38 cm (15 in) along")  # 76 / 2
