"""Sentences show their lengths in both units."""

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
    assert Sentence("{fine outer radius}", lengths).show("cm") == "26.2 cm (10 5/16 in)"


def test_in_its_own_text_a_sentence_has_the_same_lengths() -> None:
    plain = Sentence("Fold it {deep} deep, {far} apart.", {"deep": 30.0, "far": 200.0})
    assert plain.in_own_text() == plain
    own = Sentence(plain.text, plain.lengths_mm, own="Fold it {deep} deep, evenly.").in_own_text()
    assert own.show("cm") == "Fold it 3 cm (1 3/16 in) deep, evenly."
