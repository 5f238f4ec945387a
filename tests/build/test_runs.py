"""Edges of one piece that meet are one run; figures worked out by hand on paper squares."""

from typing import Any

import pytest

from webapp.build.extents import Extent, extent
from webapp.draft.construction import Step, Work
from webapp.draft.evaluate import Draft, evaluate
from webapp.draft.recipe import Body, Recipe

SIDES = ["mouth", "right side", "foot", "left side"]


@pytest.fixture(scope="module")
def draft() -> Draft:
    """A pocket of 20 x 20 cm cut twice, and a smock front on the fold with a rounded underarm."""
    pocket = {"kind": "rectangle", "width": "20 cm", "length": "20 cm", "edges": SIDES}
    front = [
        {"kind": "rectangle", "width": "35 cm", "length": "70 cm",
         "edges": ["shoulder", "side", "hem", "centre"]},
        {"kind": "scoop", "edge": "shoulder", "corner": "centre", "width": "12 cm",
         "depth": "10 cm", "name": "neck"},
        {"kind": "cut in", "edge": "side", "corner": "shoulder", "depth": "24 cm", "by": "4 cm",
         "shape": "rounded", "radius": "4 cm", "upper": "arm", "under": "underarm"},
    ]  # fmt: skip
    recipe = {
        "id": "smock", "name": "Smock",
        "pieces": [{"name": "Pocket", "cut_count": 2, "moves": [pocket]},
                   {"name": "Front", "on_fold": True, "moves": front}],
    }  # fmt: skip
    return evaluate(Recipe.model_validate(recipe), Body(name="Nobody"))


def on(draft: Draft, kind: str = "machine", **edges: int) -> Extent:
    """The extent of work on edges: `Pocket__right_side=2` is Pocket.right side, twice."""
    uses: list[dict[str, Any]] = [
        {"edge": name.replace("__", ".").replace("_", " "), "times": times}
        for name, times in edges.items()
    ]
    work = Work.model_validate({"kind": kind, "edges": uses})
    return extent(Step(id="s", name="Sew", work=(work,)), work, [draft])


def test_three_sides_of_two_pockets_are_two_runs_with_four_corners(draft: Draft) -> None:
    found = on(draft, Pocket__right_side=2, Pocket__foot=2, Pocket__left_side=2)
    assert (found.handled, found.corners) == (2, 4)
    assert found.length_mm == pytest.approx(6 * 200)


def test_edges_that_do_not_meet_are_runs_of_their_own(draft: Draft) -> None:
    found = on(draft, Pocket__right_side=2, Pocket__left_side=2)
    assert (found.handled, found.corners) == (4, 0)


def test_all_four_sides_are_one_run_around_four_corners(draft: Draft) -> None:
    found = on(draft, Pocket__mouth=2, Pocket__right_side=2, Pocket__foot=2, Pocket__left_side=2)
    assert (found.handled, found.corners) == (2, 8)


def test_a_side_used_once_more_is_one_run_more(draft: Draft) -> None:
    """One pocket along side and foot, the other along the side alone."""
    found = on(draft, Pocket__right_side=2, Pocket__foot=1)
    assert (found.handled, found.corners) == (2, 1)


def test_an_edge_on_the_fold_runs_through_it_and_on_around_the_corners(draft: Draft) -> None:
    """Up one side, along the whole hem and down the other: one run, two corners at the hem."""
    found = on(draft, Front__side=2, Front__hem=2)
    assert (found.handled, found.corners) == (1, 2)
    assert (on(draft, Front__hem=2).handled, on(draft, Front__hem=1).handled) == (1, 1)
    assert on(draft, Front__side=2).handled == 2


def test_where_a_curve_runs_on_into_a_straight_line_nothing_is_pivoted(draft: Draft) -> None:
    """The rounded underarm leads into the side without a corner."""
    found = on(draft, Front__underarm=2, Front__side=2)
    assert (found.handled, found.corners) == (2, 0)


def test_work_on_two_pieces_is_never_one_run(draft: Draft) -> None:
    assert on(draft, Pocket__foot=2, Front__hem=2).handled == 2 + 1


def test_each_edge_is_a_figure_to_mark_though_they_are_one_run(draft: Draft) -> None:
    found = on(draft, "draw", Pocket__right_side=1, Pocket__foot=1, Front__hem=2)
    assert found.figures == 2 + 1


def test_a_figure_that_is_no_edge_is_worked_on_as_often_as_used(draft: Draft) -> None:
    found = on(draft, Pocket__width=2)
    assert (found.length_mm, found.handled) == (pytest.approx(400), 2)
