"""What is used again from an earlier draft is what a draft from scratch gives."""

from unittest.mock import patch

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.specimens import STARTERS, WREN, starter, with_choices
from webapp.draft import piece_drafting
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.names import Figures, Quantity
from webapp.draft.recipe import Body, Recipe
from webapp.draft.reuse import Reuse

NAMES = sorted(path.stem for path in STARTERS.glob("*.json"))


def from_scratch(recipe: Recipe, body: Body) -> Draft:
    with patch.object(piece_drafting, "_pieces", Reuse(0)):
        return evaluate(recipe, body)


def alike(one: Draft, other: Draft) -> bool:
    """Everything but the memory of lines worked out."""
    return one == other and [p.cut_points for p in one.pieces] == [
        p.cut_points for p in other.pieces
    ]


@st.composite
def edits(draw: st.DrawFn) -> list[tuple[Recipe, Body]]:
    """A starter with choices changed one after the other, now on one body, now on another."""
    recipe = starter(draw(st.sampled_from(NAMES)))
    choices = [c for c in recipe.choices if c.value.endswith("cm")]
    bodies = [WREN, WREN.model_copy(update={"measures": WREN.measures | {"bust": "110 cm"}})]
    found = []
    for _ in range(draw(st.integers(2, 6))):
        if choices and draw(st.booleans()):
            choice = draw(st.sampled_from(choices))
            value = f"{draw(st.integers(0, 900)) / 10} cm"  # often one that cannot be drafted
            recipe = with_choices(recipe, **{choice.name: value})
        elif draw(st.booleans()):
            recipe = recipe.model_copy(update={"seam_allowance": f"{draw(st.integers(5, 40))} mm"})
        found.append((recipe, draw(st.sampled_from(bodies))))
    return found


@settings(max_examples=60, deadline=None)
@given(edits())
def test_a_draft_after_edits_is_the_draft_from_scratch(sequence: list[tuple[Recipe, Body]]) -> None:
    for recipe, body in sequence:
        assert alike(evaluate(recipe, body), from_scratch(recipe, body))


def test_a_change_of_a_choice_leaves_pieces_that_do_not_read_it_as_they_were() -> None:
    smock = starter("drop-shoulder-smock")
    before = evaluate(smock, WREN)
    after = evaluate(with_choices(smock, sleeve_length="41 cm"), WREN)
    kept = {p.name for p in after.pieces if p.outline is before.piece(p.name).outline}
    drawn = {p.name for p in after.pieces} - kept
    assert "Sleeve" in drawn
    assert "Front" in kept
    changed = {p.name for p in after.pieces if p.outline != before.piece(p.name).outline}
    assert changed <= drawn  # and nothing that did change was kept


def test_a_figure_that_is_read_only_now_and_then_still_counts() -> None:
    reuse: Reuse[float] = Reuse(10)
    calls = []

    def make(figures: Figures) -> float:
        calls.append(1)
        return figures["b"].value if figures["a"].value > 1 else 0.0

    def asked(a: float, b: float) -> float:
        figures = Figures({"a": Quantity(a), "b": Quantity(b), "c": Quantity(len(calls))})
        return reuse.get("x", figures, make, lambda _: True)

    assert [asked(0, 5), asked(0, 6), len(calls)] == [0, 0, 1]  # b was never read
    assert [asked(2, 5), asked(2, 6), asked(2, 5)] == [5, 6, 5]
    assert len(calls) == 3
    assert [asked(0, 5), asked(2, 6)] == [0, 6]


def test_what_is_not_to_be_kept_is_made_again() -> None:
    reuse: Reuse[int] = Reuse(10)
    results = iter(range(5))
    made = [reuse.get("x", Figures(), lambda _: next(results), lambda n: n > 0) for _ in range(3)]
    assert made == [0, 1, 1]
