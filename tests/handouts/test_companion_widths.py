"""The companion's table of other widths: only of the draft as it stands, with the kept lengths."""

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest

from webapp.handouts.companion import companion_html, companion_of
from webapp.handouts.companion_view import Length, OtherWidths, WidthCell
from webapp.plan.cloth_edits import with_width
from webapp.plan.edits import changed, in_size
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.kept_ways import table_asked, with_kept_ways
from webapp.plan.results import Plan
from webapp.plan.ways import WIDTHS, ways_table

HEADING = "If your cloth has another width"
WithSmock = Callable[[Callable[[dict[str, Any]], None]], Plan]


def _widths(plan: Plan) -> OtherWidths | None:
    return companion_of(plan).cloths[0].other_widths


def _shown(plan: Plan) -> str:
    plain = re.sub(r"<[^>]+>", " ", companion_html(plan).replace('<span class="frac">', ""))
    return " ".join(unescape(plain).split())


def _by_size(widths: OtherWidths | None) -> dict[str, tuple[WidthCell, ...]]:
    assert widths is not None
    return {size: cells for sizes, cells in widths.rows for size in sizes.split(", ")}


def test_every_size_and_width_is_told_as_it_was_kept(plan: Plan) -> None:
    (kept,) = plan.episode.kept_ways
    found = _by_size(_widths(plan))
    assert found.keys() == set(kept.sizes)
    for place, size in enumerate(kept.sizes):
        for width, cell in zip(kept.widths, found[size], strict=True):
            (best,) = [way for way in width.sizes[place] if way.best]
            laid = kept.ways[width.sizes[place].index(best)][0]
            along = {"open": "opened out", "folded": "folded lengthwise"}.get(laid, laid)
            assert cell == WidthCell(Length(best.metres, best.yards), along)


def test_the_table_is_printed_with_sizes_alike_in_one_row(plan: Plan, text: str) -> None:
    found = _widths(plan)
    assert found is not None
    assert len({cells for _, cells in found.rows}) == len(found.rows)
    printed = text.replace("⁄", "/")
    assert printed.count(HEADING) == 1
    table = printed.split(HEADING)[1].split("Each size is laid")[0]
    assert all(f"{one} {other}" in table for one, other in found.widths)
    at = 0
    for sizes, cells in found.rows:
        at = table.index(f" {sizes} ", at)
        for cell in cells:
            assert cell.buy
            otherwise = "" if cell.laid == found.usual else f" {cell.laid}"
            at = table.index(f"{cell.buy.metres} ({cell.buy.yards}){otherwise}", at)


def test_the_width_of_the_lay_agrees_with_what_is_bought_for_it(plan: Plan) -> None:
    """The smock is laid opened out, the best way on its 150 cm."""
    found = _widths(plan)
    assert found is not None
    (own,) = [i for i, names in enumerate(found.widths) if names == ("150 cm", "or 60 in")]
    for size in plan.sizes:
        cell = _by_size(found)[size.body.name][own]
        bought = size.purchases["Main cloth"]
        assert cell.buy and (cell.buy.metres, cell.buy.yards) == (bought.metres, bought.yards)


def test_what_each_length_holds_is_told(text: str) -> None:
    told = "Each length holds 2 cm (13/16 in) to square the ends and what the first wash takes."
    assert told in text.replace("⁄", "/")


def _binding_worked_out(episode: Episode) -> OtherWidths:
    """The table of the binding cloth, which is soon done."""
    asked = table_asked(evaluate(episode), episode.cloths[1])
    table = ways_table(lambda *_: None, asked)
    found = companion_of(evaluate(with_kept_ways(episode, asked, table))).cloths[1].other_widths
    assert found is not None
    return found


def test_a_width_of_her_own_is_told_in_both_units(plan: Plan) -> None:
    """As a viewer asks who has cloth of 112 cm, sold as 44 in."""
    found = _binding_worked_out(with_width(plan.episode, 1, "44 in"))
    assert ("112 cm", "(44 in)") in found.widths
    at = found.widths.index(("112 cm", "(44 in)"))
    assert all(cells[at].buy for _, cells in found.rows)
    assert len(found.widths) == len(WIDTHS) + 2  # its own, and hers


def test_the_spare_that_each_length_holds_is_named(plan: Plan) -> None:
    binding = changed(plan.episode.cloths[1], spare="all", squaring="0 cm", shrinks_along=0.0)
    episode = changed(plan.episode, cloths=(plan.episode.cloths[0], binding))
    found = _binding_worked_out(episode)
    assert found.holds == "Each length holds enough to cut Neck binding once more."


def test_inches_stand_first_and_another_size_finds_the_same_table(plan: Plan) -> None:
    other = evaluate(changed(in_size(plan.episode, "L"), first_unit="in"))
    found, before = _widths(other), _widths(plan)
    assert found is not None and before is not None
    assert found.widths[0] == ("36 in", "or 90 cm")
    assert _by_size(found) == _by_size(before)
    cell = _by_size(found)["L"][0]
    assert cell.buy and f"{cell.buy.yards} ({cell.buy.metres})" in _shown(other)
    assert f"{found.usual} where no other is named" in _shown(other)


@pytest.mark.parametrize("what", ["shrinks_along", "one_way"])
def test_a_table_of_an_older_draft_is_not_printed(smock_with: WithSmock, what: str) -> None:
    def change(episode: dict[str, Any]) -> None:
        episode["cloths"][0][what] = 7 if what == "shrinks_along" else True

    plan = smock_with(change)
    assert _widths(plan) is None
    assert HEADING not in companion_html(plan)


def test_a_size_that_is_not_all_drawn_is_left_out(plan: Plan) -> None:
    """Its length would be of the pieces there are, and too short."""
    first, *others = plan.episode.sizes
    patchy = changed(plan.episode, sizes=(changed(first, measures={}), *others))
    told = _by_size(_binding_worked_out(patchy))
    assert told.keys() == {plan.episode.body.name, *(body.name for body in others)}


def test_what_cannot_be_laid_says_so(smock_with: WithSmock) -> None:
    def narrow(episode: dict[str, Any]) -> None:
        for cells in episode["kept_ways"][0]["widths"][0]["sizes"]:
            for place in range(len(cells)):
                cells[place] = {"problem": "Too narrow."}

    plan = smock_with(narrow)
    rows = _widths(plan)
    assert rows is not None and {cells[0] for _, cells in rows.rows} == {WidthCell(None, "")}
    assert _shown(plan).count("cannot be laid") == len(rows.rows)
