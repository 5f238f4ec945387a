"""Which parts of formulas get a line of their own, by hand and for any formula."""

from collections.abc import Set

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.specimens import WREN
from webapp.draft.evaluate import evaluate
from webapp.draft.expressions import read
from webapp.draft.in_words import Teller
from webapp.draft.names import Quantity
from webapp.draft.recipe import Recipe
from webapp.draft.tree import Constant, Name, Node
from webapp.draft.working import (
    LONGEST_WORDS,
    broken_up,
    is_group,
    parts,
    reads_easily,
    rebuilt,
    shared_parts,
)

NONE: frozenset[Node] = frozenset()


def tree(formula: str) -> Node:
    return read(formula).compute


def is_number(node: Node) -> bool:
    return isinstance(node, Constant) and node.quantity.dimension == 0


def may_be_named(node: Node) -> bool:
    return is_group(node, is_number)


def test_the_beginning_of_a_sum_is_no_part_of_it_unless_it_is_named() -> None:
    formula, beginning = tree("bust + hip - waist"), tree("bust + hip")
    assert list(parts(formula, NONE)) == [tree("bust"), tree("hip"), tree("waist")]
    assert list(parts(formula, {beginning})) == [beginning, tree("waist")]


def test_what_two_lines_need_is_worked_out_once_and_the_largest_of_it() -> None:
    lines = [
        tree("(hip - waist) / 4 * 2"),
        tree("max((hip - waist) / 4, bust)"),
        tree("hip - bust"),
    ]
    # Where a quarter of the difference has its line, the difference is needed there only.
    assert shared_parts(lines, may_be_named, NONE) == [tree("(hip - waist) / 4")]
    more = [*lines, tree("2 * (hip - waist)")]
    assert shared_parts(more, may_be_named, NONE) == [
        tree("(hip - waist) / 4"),
        tree("hip - waist"),
    ]


def test_what_has_a_line_gets_no_second_one() -> None:
    lines = [tree("hip - waist"), tree("(hip - waist) / 4"), tree("2 * (hip - waist)")]
    assert shared_parts(lines, may_be_named, {lines[0]}) == []


@pytest.mark.parametrize(
    ("words", "easy"),
    [
        ("half of (your bust, plus 2 cm)", True),
        ("half of (your bust, less (your hip, less your waist))", False),
        ("(your bust, plus your hip) times (your hip, less your waist)", True),
        (" ".join(["word"] * LONGEST_WORDS), True),
        (" ".join(["word"] * (LONGEST_WORDS + 1)), False),
    ],
)
def test_brackets_within_brackets_and_long_lines_are_not_read_easily(
    words: str, easy: bool
) -> None:
    assert reads_easily(words) == easy


def _told(node: Node, named: Set[Node]) -> str:
    """In words, with A for what has a line of its own."""
    draft = evaluate(Recipe(id="none", name="None"), WREN)
    return Teller(draft, "cm").told(node, dict.fromkeys(named - {node}, "A")).words


def test_a_line_with_brackets_in_brackets_is_worked_out_in_steps() -> None:
    line = tree("(bust - (hip - (waist - head))) / 2 + max(hip - bust, waist)")
    found = broken_up(line, _told, may_be_named, NONE)
    assert not reads_easily(_told(line, NONE))
    for node in (line, *found):
        assert reads_easily(_told(node, {line, *found}))


def test_a_line_that_is_read_easily_stays_whole() -> None:
    assert broken_up(tree("(bust - hip) / 4"), _told, may_be_named, NONE) == []


_names = st.sampled_from(["bust", "hip", "waist", "neck"])
_formulas = st.recursive(
    _names,
    lambda inner: st.one_of(
        st.builds("({}) {} ({})".format, inner, st.sampled_from("+-"), inner),
        st.builds("({}) / 3".format, inner),
        st.builds("max({}, {})".format, inner, inner),
    ),
    max_leaves=8,
).filter(lambda formula: len(formula) <= 200)


@given(_formulas)
def test_a_name_in_place_of_itself_changes_nothing_and_another_only_the_name(formula: str) -> None:
    node = tree(formula)
    assert rebuilt(node, lambda name: name) == node
    names = {name: Quantity(number) for number, name in enumerate(("bust", "hip", "waist"), 2)}
    names["neck"] = Quantity(9.0)
    doubled = rebuilt(node, lambda name: tree(f"{name.key} * 2"))
    assert doubled(names).value == pytest.approx(2 * node(names).value)
    assert isinstance(rebuilt(Name("hip"), lambda _: Name("waist")), Name)
