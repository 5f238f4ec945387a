"""Sentences show their lengths in both units."""

from webapp.draft.words import Sentence


def test_a_length_is_shown_in_both_units_the_first_one_first() -> None:
    words = Sentence("Mark {depth} down.", {"depth": 75.0})
    assert words.show("cm") == "Mark 7.5 cm (3 in) down."
    assert words.show("in") == "Mark 3 in (7.5 cm) down."


def test_a_fine_length_is_shown_to_a_millimetre_and_a_sixteenth_at_any_size() -> None:
    # 62 / 25.4 = 2.441: nearer to 2 7/16 (2.4375) than to 2 1/2
    lengths = {"flat": 62.0}
    assert Sentence("{flat}", lengths).show("cm") == "6 cm (2 1/2 in)"
    assert Sentence("{fine flat}", lengths).show("cm") == "6.2 cm (2 7/16 in)"
