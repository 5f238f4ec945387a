"""Sentences show their lengths in both units."""

import pytest

from tests.specimens import RECTANGLE, Move, piece_of
from webapp.draft.words import Sentence


def test_a_length_is_shown_in_both_units_the_first_one_first() -> None:
    words = Sentence("Mark {depth} down.", {"depth": 203.2})  # 8 * 25.4
    assert words.show("cm") == "Mark 20.5 cm (8 in) down."
    assert words.show("in") == "Mark 8 in (20.5 cm) down."


def test_a_length_up_to_15_cm_is_shown_to_a_millimetre_and_a_sixteenth() -> None:
    # 62 / 25.4 = 2.441: nearer to 2 7/16 (2.4375) than to 2 1/2
    assert Sentence("{flat}", {"flat": 62.0}).show("cm") == "6.2 cm (2 7/16 in)"
    # 150 / 25.4 = 5.906, to the sixteenth 5 7/8; 152 / 25.4 = 5.984, to the eighth 6
    shown = [Sentence("{flat}", {"flat": mm}).show("cm") for mm in (150.0, 152.0)]
    assert shown == ["15 cm (5 7/8 in)", "15 cm (6 in)"]


def test_a_fine_length_is_shown_so_at_any_size() -> None:
    # 262 / 25.4 = 10.315, to the sixteenth 10 5/16, to the eighth 10 3/8
    lengths = {"outer radius": 262.0}
    assert Sentence("{outer radius}", lengths).show("cm") == "26 cm (10 3/8 in)"
    assert Sentence("{.outer radius}", lengths).show("cm") == "26.2 cm (10 5/16 in)"


@pytest.mark.parametrize(
    "move",
    [
        {"kind": "scoop", "edge": "top", "corner": "right side", "width": "3 cm", "depth": "4 cm"},
        {"kind": "round corner", "edge": "top", "corner": "right side", "radius": "16 cm"},
        {"kind": "dart", "edge": "top", "corner": "right side", "at": "16.2 cm", "width": "2 cm",
         "length": "9 cm"},
        {"kind": "notch", "edge": "right side", "corner": "top", "at": "16.2 cm"},
        {"kind": "pocket place", "edge": "top", "corner": "left side", "across": "3 cm",
         "down": "3 cm", "width": "9 cm", "length": "9 cm"},
        {"kind": "split", "edge": "left side", "corner": "top", "at": "9 cm", "to": "right side",
         "to_corner": "top", "to_at": "9 cm", "keep": "top", "part": "fine part"},
        {"kind": "buttonholes", "edge": "right side", "corner": "top", "first": "3 cm",
         "last": "9 cm", "inset": "2 cm", "length": "2 cm", "count": 2},
    ],
    ids=lambda move: str(move["kind"]),
)  # fmt: skip
def test_a_length_may_have_any_name(move: Move) -> None:
    plain, fine = (piece_of(RECTANGLE, move | {"name": name}).words for name in ("x", "fine x"))
    shown = [[s.show("cm").replace("fine x", "x") for s in words] for words in (plain, fine)]
    assert shown[0] == shown[1]


def test_a_figure_that_its_name_says_is_an_allowance_is_shown_as_the_trades_pair() -> None:
    # 15 mm is 9.4 sixteenths; the pair is 5/8 in: tests/test_shown_lengths.py
    lengths, formulas = {"by": 15.0}, {"by": "Front.hem allowance"}
    assert Sentence("{by}", lengths, formulas).show("cm") == "1.5 cm (5/8 in)"
    formulas = {"by": "hem allowance + 2 mm"}
    assert Sentence("{by}", lengths, formulas).show("cm") == "1.5 cm (9/16 in)"


def test_in_its_own_text_a_sentence_has_the_same_lengths() -> None:
    plain = Sentence("Fold it {deep} deep, {far} apart.", {"deep": 30.0, "far": 200.0})
    assert plain.in_own_text() == plain
    own = Sentence(plain.text, plain.lengths_mm, own="Fold it {deep} deep, evenly.").in_own_text()
    assert own.show("cm") == "Fold it 3 cm (1 3/16 in) deep, evenly."
