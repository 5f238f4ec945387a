"""Only terms that a text uses are told, in any of their forms, by the alphabet."""

import pytest

from webapp.filming.figures import single_unit_measurements
from webapp.handouts.glossary import _compiled, terms_in


def _names(*texts: str) -> list[str]:
    return [term.name for term in terms_in(texts)]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Staystitch the neck.", ["staystitch"]),
        ("A row of stay-stitching holds it.", ["staystitch"]),
        ("Press it, right sides together.", ["press", "right side"]),
        ("Keep your fingers beside the presser foot.", []),
        ("Cut 1 on the fold", ["on the fold"]),
        ("The tube is double, its ends facing each other.", []),
        ("Lay the cloth out.", []),
        ("Lay the cloth out as its lay shows.", ["lay"]),
        ("Please, with pleasure, a hemisphere.", []),
        ("Tuck the pad under, ease the foot over it.", []),
        ("Sew a tuck. Tack it first.", ["tack", "tuck"]),
        ("An interlined coat, a bar tack.", []),
        ("", []),
    ],
)
def test_a_term_is_found_in_its_forms_and_not_in_other_words(text: str, names: list[str]) -> None:
    assert _names(text) == names


def test_terms_stand_once_and_by_the_alphabet() -> None:
    assert _names("Hem it.", "Bind the hem, clip it, hem it again.") == ["binding", "clip", "hem"]
    names = [name for name, _, _ in _compiled()]
    assert names == sorted(set(names), key=str.casefold)


def test_every_term_has_a_meaning_in_words_alone() -> None:
    for name, _, words in _compiled():
        assert words.endswith(".") and len(words) > 25, name
        assert not single_unit_measurements(words) and not any(c.isdigit() for c in words), name
