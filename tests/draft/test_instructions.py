"""The words of a piece with letters for what the reader works out."""

import re
from dataclasses import replace

import pytest

from tests.specimens import SMOCK, STARTERS, WREN, completed, smock_draft, starter
from webapp.draft.evaluate import evaluate
from webapp.draft.instructions import Instructions, instructions, letter
from webapp.draft.recipe import Body, Recipe
from webapp.draft.words import Slot

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
    choice, a, *_ = told.figures
    # (98 / 2) + 12 = 61; the way that is picked says how it is had.
    assert (choice.name, choice.shown, choice.how) == ("body width", "61 cm (24 in)", "Half of it.")
    assert (choice.is_letter, choice.what) == (False, "")
    assert (a.name, a.what, a.formula) == ("A", "Front, Back: width", "half the body width")


@pytest.mark.parametrize("recipe", [GARMENT, SMOCK], ids=["bib", "smock"])
def test_who_works_the_letters_out_has_the_words_of_her_own_size(recipe: Recipe) -> None:
    """The letters of one body, worked out on another, are what drafting on that body says."""
    other = Body(name="Other", measures={**WREN.measures, "bust": "110 cm", "hip": "117 cm"})
    mine, hers = evaluate(recipe, WREN), evaluate(recipe, other)
    shown = {figure.name: figure.shown for figure in instructions(hers, "cm").figures}
    for piece, told in zip(hers.pieces, instructions(mine, "cm").pieces, strict=True):
        worked_out = [
            " ".join(shown.get(word, word) for word in sentence.split(" "))
            for sentence in told.sentences
        ]
        assert worked_out == [sentence.show("cm") for sentence in piece.words]


def test_a_figure_is_called_by_its_letter_in_the_words_of_another() -> None:
    (b, c) = (f for f in instructions(smock_draft(), "cm").figures if f.name in "BC")
    assert b.formula == "the arm of your Front, plus the arm of your Back"
    assert (b.what, b.how) == (
        "Sleeve: width",
        "Measured along the seam line of the drawn Front and Back.",
    )
    assert c.formula.startswith("half of (B, less ")


def test_an_edge_with_darts_or_gathers_is_measured_with_them_closed() -> None:
    told = instructions(evaluate(starter("gathered-skirt"), WREN), "cm").figures
    waist = next(f for f in told if f.formula == "the waist of your Gathered back")
    assert waist.how == (
        "Measured along the seam line of the drawn Gathered back, as it was before the paper was "
        "cut for the gathers."
    )
    told = instructions(evaluate(starter("a-line-skirt"), WREN), "cm").figures
    top = next(f for f in told if f.formula == "the top of your Panel front")
    assert top.how == (
        "Measured along the seam line of the drawn Panel front, with its darts folded shut."
    )


def test_pleats_and_tucks_are_measured_folded() -> None:
    pleats = {"kind": "fullness", "by": "hip / 10", "how": "knife pleats", "count": 2}
    piece = {"name": "Skirt", "moves": [{"kind": "rectangle", "width": "hip / 2", "length": "9 cm"},
                                        pleats]}  # fmt: skip
    band = {"name": "Band", "moves": [{"kind": "band", "length": "Skirt.top", "width": "3 cm"}]}
    recipe = Recipe.model_validate({"id": "s", "name": "S", "pieces": [piece, band]})
    told = instructions(evaluate(recipe, WREN), "cm")
    assert told.figures[-1].how.endswith("of the drawn Skirt, with its pleats folded.")
    # What a pleat is from the next follows the edge, which only the drawing gives.
    assert told.pieces[0].sentences[-1] == (
        "Fold each gap away in a knife pleat D deep; the next lies one of the equal parts further "
        "along."
    )
    formulas = {figure.name: figure.formula for figure in told.figures}
    # Two folds, each of them two layers of what is let in: 2 * 2.
    assert formulas["D"] == "a quarter of B"
    assert formulas["B"] == "your hip divided by 10"


@each_starter
def test_the_figures_of_a_filled_worksheet_are_those_of_its_pieces(recipe: Recipe) -> None:
    draft = evaluate(recipe, BODY)
    told = instructions(draft, "cm")
    shown = {figure.name: figure.shown for figure in told.figures}
    for piece, work in zip(draft.pieces, told.pieces, strict=True):
        for line, plain in zip(work.lines, piece.words, strict=True):
            runs = [part.text for part in line if part.kind == "text"]
            is_plain = runs == [part for part in plain.parts() if isinstance(part, str)]
            sentence = plain if is_plain else plain.in_own_text()
            found = [part for part in line if part.kind != "text"]
            slots = [part for part in sentence.parts() if isinstance(part, Slot)]
            for part, slot in zip(found, slots, strict=True):
                text = shown[part.text] if part.kind == "letter" else part.text
                assert text == sentence.shown(slot, "cm")


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
    draft = evaluate(GARMENT, WREN)
    (front, back) = draft.pieces
    (sentence,) = back.words
    bare = replace(back, words=(replace(sentence, formulas={"width": "body width / 2"}),))
    told = instructions(replace(draft, pieces=(front, bare)), "cm").pieces[1]
    # 92 + 2 = 94 cm
    assert told.sentences == ("Draw a rectangle A wide and 94 cm (37 in) [size Wren] long.",)


@each_starter
def test_every_length_of_a_starter_is_worked_out_or_had_by_drawing(recipe: Recipe) -> None:
    told = instructions(evaluate(recipe, BODY), "cm")
    assert not [part for piece in told.pieces for line in piece.lines for part in line
                if part.kind == "this size"]  # fmt: skip


@each_starter
def test_a_line_needs_only_what_stands_above_it_and_is_read_in_one_go(recipe: Recipe) -> None:
    """No more than 25 words, no brackets within brackets; each letter is used somewhere."""
    told = instructions(evaluate(recipe, BODY), "cm")
    known: set[str] = set()
    used = {letter for piece in told.pieces for letter in piece.letters}
    for figure in told.figures:
        assert len(figure.formula.split()) <= 25, figure
        assert not re.search(r"\([^()]*\(", figure.formula), figure
        letters = set(re.findall(r"\b[A-Z]{1,2}\b", _without_pieces(figure.formula, told)))
        assert letters <= known, figure
        used |= letters
        known |= {figure.name} if figure.is_letter else set()
    assert used == known


def _without_pieces(formula: str, told: Instructions) -> str:
    for piece in told.pieces:
        formula = formula.replace(piece.piece.name, "")
    return formula


@each_starter
def test_no_sentence_says_edge_or_side_twice_over(recipe: Recipe) -> None:
    told = instructions(evaluate(recipe, BODY), "cm")
    for piece in told.pieces:
        for sentence in (*piece.sentences, *(one.show("cm") for one in piece.piece.words)):
            assert not re.search(r"\b([a-z]+) \1\b", sentence), sentence
            assert " 0 cm (0 in)" not in sentence


def test_what_several_figures_need_is_worked_out_once_before_them() -> None:
    figures = {
        f.name: f for f in instructions(evaluate(starter("a-line-skirt"), WREN), "cm").figures
    }
    assert (
        figures["A"].formula == "a quarter of (your hip, less your waist, plus 3 cm or 1 3/16 in)"
    )
    assert figures["A"].what == "Used in the front dart, the back dart, D and K"
    assert figures["front dart"].formula == (
        "0.3 times A, but no more than 2.5 cm or 1 in, and no less than 1 cm or 3/8 in"
    )
    assert "a quarter of the skirt each, the front dart takes three tenths" in (
        figures["front dart"].how
    )
    # 58 / 20 = 2.9
    assert figures["E"].formula == "C, plus 2.9 times D, plus 1.5 cm or 9/16 in"
    assert figures["E"].how == "2.9 is the skirt length divided by the hip depth."


def test_a_bare_number_on_the_way_has_no_unit() -> None:
    figures = {
        f.name: f for f in instructions(evaluate(starter("a-line-skirt"), WREN), "cm").figures
    }
    (radius,) = (f for f in figures.values() if f.what == "Front facing: radius")
    top, angle = (figures[name] for name in re.findall(r"\b[A-Z]\b", radius.formula))
    assert radius.formula == f"{top.name} divided by {angle.name}"
    assert (angle.is_length, angle.shown) == (False, "0.4529")
    # 98 + 5 - 76 - 2 = 25; / 4 = 6.25; the dart 0.3 * 6.25 = 1.875; (6.25 - 1.875) * 2.9 + 1.5 =
    # 14.1875 over a length of 58 cm, and 1.875 over the dart's 9 cm: 0.4529 in all.
    assert float(angle.shown) == pytest.approx(14.1875 / 58 + 1.875 / 9, abs=1e-4)
    assert angle.how == "A plain number, the same in both units."


def test_a_choice_that_a_sentence_asks_for_has_a_letter_too() -> None:
    figures = instructions(evaluate(starter("ear-flap-hat"), WREN), "cm").figures
    girth = next(figure for figure in figures if figure.what.startswith("Hat girth"))
    assert (girth.name, girth.is_letter, girth.what) == ("A", True, "Hat girth; Hat band: width")
    assert girth.how == "The head, measured level just above the ears, and the ease."


def test_a_figure_of_a_piece_is_told_by_its_own_formula() -> None:
    """Nobody measures what a move marked: it is what the move was asked for."""
    neck = {"kind": "scoop", "edge": "top", "corner": "left side", "width": "bust / 10",
            "depth": "ease", "name": "neck"}  # fmt: skip
    front = {"name": "Front", "moves": [{"kind": "rectangle", "width": "bust / 2",
                                         "length": "60 cm"}, neck]}  # fmt: skip
    strap = {
        "name": "Strap",
        "moves": [
            {
                "kind": "rectangle",
                "width": "Front.neck width + ease",
                "length": "Front.length + Front.hem allowance",
            }
        ],
    }
    recipe = Recipe.model_validate({
        "id": "b", "name": "B", "choices": [{"name": "ease", "value": "2 cm"}],
        "pieces": [front, strap]})  # fmt: skip
    told = instructions(evaluate(recipe, WREN), "cm")
    assert told.figures[-1].formula == "B, plus 2 cm or 13/16 in"
    # 60 + the seam allowance of 1.5 = 61.5, the same for everybody
    assert told.pieces[1].sentences[0] == "Draw a rectangle C wide and 61.5 cm (24 1/4 in) long."


def test_the_same_edge_is_measured_once() -> None:
    figures = {f.name: f for f in instructions(
        evaluate(starter("open-front-jacket"), WREN), "cm").figures}  # fmt: skip
    measured = [f for f in figures.values() if f.formula == "the arm of your Jacket front"]
    (arm,) = measured
    (sleeve,) = (f for f in figures.values() if f.what == "Jacket sleeve: width")
    assert sleeve.formula == f"{arm.name}, plus the arm of your Jacket back"


def test_a_figure_as_long_as_may_be_typed_is_worked_out_for_everybody_too() -> None:
    """Half of it, and all that a move makes of it, is longer than what may be typed."""
    long = " + ".join(["bust / 20"] * 15 + ["bust / 1000000000"])
    assert 195 <= len(long) <= 200
    band = {"kind": "band", "length": long, "width": long}
    piece = {"name": "Band", "moves": [band], "on_fold": True}
    recipe = Recipe.model_validate({"id": "b", "name": "B", "pieces": [piece]})
    told = instructions(evaluate(recipe, WREN), "cm")
    assert "[size" not in " ".join(told.pieces[0].sentences)


def test_a_choice_that_is_an_allowance_by_name_is_shown_as_one() -> None:
    way = {"name": "usual", "figure": "1.5 cm", "how": "As most patterns have it."}
    changed = GARMENT.model_dump()
    choice = {"name": "placket allowance", "value": "1.5 cm", "ways": [way]}
    changed["choices"] = [*changed["choices"], choice]
    longer = {"kind": "extend", "edge": "hem", "by": "placket allowance"}
    changed["pieces"][1]["moves"] = [*changed["pieces"][1]["moves"], longer]
    told = instructions(evaluate(Recipe.model_validate(changed), WREN), "cm")
    (line,) = (figure for figure in told.figures if figure.name == "placket allowance")
    # 15 mm is 9.4 sixteenths; the pair is 5/8 in: tests/test_shown_lengths.py
    assert (line.formula, line.shown) == ("1.5 cm or 5/8 in", "1.5 cm (5/8 in)")
    assert ", 1.5 cm (5/8 in) out from the first line" in told.pieces[1].sentences[1]


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
    told, *_ = instructions(evaluate(Recipe.model_validate(changed), WREN), "cm").figures
    assert (told.formula, told.how) == ("60 cm or 23 5/8 in", "Measured on a garment that fits.")


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
    assert (words.formula, words.shown) == (
        "95 cm or 37 3/8 in, less your bust",
        "3 cm (1 3/16 in)",
    )


def test_a_ring_whose_share_follows_the_body_is_told_by_the_length_to_keep() -> None:
    ring = {"kind": "ring sector", "inner": "waist", "length": "60 cm", "share": "waist / hip / 2"}
    piece = {"name": "Skirt", "moves": [ring], "on_fold": True}
    recipe = Recipe.model_validate({"id": "s", "name": "S", "pieces": [piece]})
    (told,) = instructions(evaluate(recipe, WREN), "cm").pieces
    assert told.sentences[-1] == (
        "Keep C along the inner arc, from the fold: the side runs straight out from the centre of "
        "the arcs."
    )
    assert told.piece.words[-1].show("cm").startswith("Keep 38 cm (15 in) along")  # 76 / 2


def test_what_follows_no_body_is_drafted_to_ones_own_choices() -> None:
    """A cushion cover is made to its pad, so the blank sheet leaves room for the pad's size."""
    told = instructions(evaluate(starter("envelope-cushion"), WREN), "cm")
    lines = {figure.name: figure for figure in told.figures}
    assert lines["pad width"].formula == "your own, or 50 cm or 19 5/8 in"
    front = told.pieces[0]
    (width,) = (lines[each] for each in front.letters if "width" in lines[each].what)
    assert width.formula == "the pad width, less the snugness"
    assert not any(
        part.kind == "this size" for p in told.pieces for line in p.lines for part in line
    )
