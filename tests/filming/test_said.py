"""What was said is stale exactly when it is shown otherwise, worked out anew by exact fractions."""

from fractions import Fraction
from typing import Final

from hypothesis import given
from hypothesis import strategies as st

from webapp.filming.said import (
    as_filmed,
    changes_since,
    correction_card,
    in_both,
    retold,
    said,
)
from webapp.filming.shots import AcceptedFigure, Shot
from webapp.plan.edits import changed

# --- An oracle of its own: design §4, half-way rounds up -------------------------------------

# The trade's pairs, inch and centimetre, as the same section keeps them; from memory but for
# 1/8, 1/4, 1/2 and 5/8 in, which are published.
PAIRS: Final = [
    (Fraction(inch), Fraction(cm))
    for inch, cm in (
        ("1/8", "0.3"), ("1/4", "0.6"), ("3/8", "1"), ("1/2", "1.3"), ("5/8", "1.5"), ("3/4", "2"),
        ("1", "2.5"), ("5/4", "3.2"), ("3/2", "3.8"), ("2", "5"), ("3", "7.5"),
    )
]  # fmt: skip
INCH: Final = Fraction("25.4")


def nearest(mm: Fraction, unit: Fraction, step: Fraction) -> Fraction:
    return (mm / unit / step + Fraction(1, 2)).__floor__() * step


def shown_by_hand(name: str, tenths_of_mm: int) -> tuple[Fraction, Fraction]:
    """Centimetres and inches of a figure: finer up to 5 cm, and up to 15 cm what is cut to."""
    mm = Fraction(tenths_of_mm, 10)
    if name.endswith("allowance"):
        for inch, cm in PAIRS:
            near = min(abs(mm - inch * INCH), abs(mm - cm * 10))
            if near <= Fraction("0.3") and near == min(
                min(abs(mm - i * INCH), abs(mm - c * 10)) for i, c in PAIRS
            ):
                return cm, inch
    fine = mm <= 150 or name.endswith("radius")
    cm_step, in_step = ("0.1", "1/16") if fine else ("0.5", "1/8")
    return nearest(mm, Fraction(10), Fraction(cm_step)), nearest(mm, INCH, Fraction(in_step))


NAMES: Final = ("Front.hem", "body ease", "Skirt.waist radius", "Front.hem allowance")
LENGTHS: Final = st.integers(1, 30_000)  # tenths of a millimetre


MOVED: Final = st.dictionaries(
    st.sampled_from(NAMES), st.tuples(LENGTHS, st.integers(-30, 30)), min_size=1
)


@given(MOVED)
def test_the_figures_shown_otherwise_are_stale_and_no_others(
    moves: dict[str, tuple[int, int]],
) -> None:
    words = " ".join(f"Mark {{{name}}} and {{ {name.upper()} }}." for name in moves)
    shot = Shot(id="one", title="One", narration=words)
    then = {name: tenths for name, (tenths, _) in moves.items()}
    now = {name: max(1, tenths + by) for name, (tenths, by) in moves.items()}
    filmed = as_filmed(shot, {name.lower(): tenths / 10 for name, tenths in then.items()}, "cm")
    found = changes_since(filmed, {name.lower(): tenths / 10 for name, tenths in now.items()})
    assert [one.name for one in found] == [
        name.lower()
        for name in moves
        if shown_by_hand(name, then[name]) != shown_by_hand(name, now[name])
    ]


@given(st.sampled_from(NAMES), LENGTHS, LENGTHS)
def test_which_unit_stands_first_makes_nothing_stale(name: str, tenths: int, other: int) -> None:
    shot = Shot(id="one", title="One", card=f"{{{name}}}")
    figures = {name.lower(): tenths / 10}
    filmed_in_cm, filmed_in_inches = (as_filmed(shot, figures, first) for first in ("cm", "in"))
    assert not changes_since(filmed_in_inches, figures)
    moved = {name.lower(): other / 10}
    assert changes_since(filmed_in_cm, moved) == changes_since(filmed_in_inches, moved)
    assert not retold(filmed_in_cm, shot)
    assert not retold(filmed_in_inches, shot)


# --- By hand ---------------------------------------------------------------------------------

SHOT: Final = Shot(
    id="hem", title="Hem", narration="The hem is {Front.hem}, the ease {body ease}.", card="{gone}"
)
FIGURES: Final = {"front.hem": 360.0, "body ease": 260.0}


def test_a_shot_keeps_what_was_said_and_shown() -> None:
    filmed = as_filmed(SHOT, FIGURES, "in")
    assert filmed.narration == "The hem is 14 1/8 in (36 cm), the ease 10 1/4 in (26 cm)."
    assert filmed.card == "{gone}"  # what was no figure then was no figure said
    assert [one.name for one in filmed.said] == ["front.hem", "body ease"]


def test_rounding_hides_what_was_never_said() -> None:
    filmed = as_filmed(SHOT, FIGURES, "cm")
    assert not changes_since(filmed, {**FIGURES, "front.hem": 360.3})  # 14 3/16 in is 360.36
    (found,) = changes_since(filmed, {**FIGURES, "front.hem": 380.0})
    assert found.told("cm") == ("36 cm (14 1/8 in)", "38 cm (15 in)")
    assert correction_card(found, "in") == (
        "Correction: Front hem is 15 in (38 cm), not 14 1/8 in (36 cm)."
    )


def test_a_figure_that_is_no_more_is_stale_unless_it_only_waits() -> None:
    filmed = as_filmed(SHOT, FIGURES, "cm")
    (found,) = changes_since(filmed, {"body ease": 260.0})
    assert (found.now, found.told("cm")[1]) == (None, "")
    assert not changes_since(filmed, {"body ease": 260.0}, lambda name: name == "front.hem")


def test_a_card_follows_the_figure_and_an_acceptance_does_not() -> None:
    filmed = as_filmed(SHOT, FIGURES, "cm")
    carded = changed(filmed, corrected=("front.hem",))
    for mm in (380.0, 400.0):
        (found,) = changes_since(carded, {**FIGURES, "front.hem": mm})
        assert found.answer == "card"
    (gone,) = changes_since(carded, {"body ease": 260.0})
    assert gone.answer == ""  # a card cannot tell what is no more
    now = said("front.hem", 380.0)
    accepted = AcceptedFigure(name="front.hem", cm=now.cm, inch=now.inch, note="Hardly seen")
    kept = changed(filmed, accepted=(accepted,))
    (found,) = changes_since(kept, {**FIGURES, "front.hem": 380.2})
    assert (found.answer, found.note) == ("accepted", "Hardly seen")
    (found,) = changes_since(kept, {**FIGURES, "front.hem": 400.0})
    assert found.answer == ""


def test_other_words_are_told_and_moved_figures_are_not() -> None:
    filmed = as_filmed(SHOT, FIGURES, "cm")
    assert not retold(filmed, SHOT)
    assert retold(filmed, changed(SHOT, narration="The hem is {Front.hem}."))
    assert retold(filmed, changed(SHOT, card="{gone} now"))


def test_a_said_figure_is_shown_as_live_figures_are() -> None:
    figure = said("Front.hem", 360.0)
    assert in_both(figure, "cm") == "36 cm (14 1/8 in)"
    assert in_both(figure, "in") == "14 1/8 in (36 cm)"
