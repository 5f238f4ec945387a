"""Tables of ways kept in the episode: whole, small, and used only while they fit the draft."""

from dataclasses import replace
from typing import Any

import pytest
from pydantic import ValidationError

from tests.demo_documents import EPISODES, SMOCK
from webapp.cloth.cloths import KeptWay, KeptWays
from webapp.errors import NotThereError, RecipeError
from webapp.plan.cloth_edits import with_way, with_width, without_width
from webapp.plan.edits import changed, in_size
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.kept_ways import (
    draft_key,
    lacking_widths,
    older_table,
    table_asked,
    table_kept,
    with_kept_ways,
)
from webapp.plan.ways import ClothWidth, WaysAsked, WaysTable, ways_table
from webapp.store.episode_file import from_text, to_text

BINDING = 1  # one piece, so its table is soon done
SMOCK_TO_KEEP = changed(EPISODES[SMOCK], kept_ways=())


def asked_of(episode: Episode, place: int = BINDING) -> WaysAsked:
    return table_asked(evaluate(episode), episode.cloths[place])


def with_cloth(episode: Episode, **values: Any) -> Episode:
    cloths = list(episode.cloths)
    cloths[BINDING] = changed(cloths[BINDING], **values)
    return changed(episode, cloths=tuple(cloths))


@pytest.fixture(scope="module")
def fresh() -> WaysTable:
    return ways_table(lambda *_: None, asked_of(SMOCK_TO_KEEP))


@pytest.fixture(scope="module")
def kept(fresh: WaysTable) -> Episode:
    """The smock with the table of its binding cloth, as the database gives it back."""
    found = with_kept_ways(SMOCK_TO_KEEP, asked_of(SMOCK_TO_KEEP), fresh)
    return from_text(to_text(found))


def told(table: WaysTable | None) -> list[object]:
    """All that the page shows of a table."""
    assert table is not None
    cells = [
        [
            [(c.purchase and (c.purchase.metres, c.purchase.yards), c.problem, c.best) for c in own]
            for own in row.cells
        ]
        for row in table.rows
    ]
    reasons = [[cell.why_more for cell in row.cells[0]] for row in table.rows]
    return [table.sizes, table.ways, [row.width for row in table.rows], cells, reasons]


def test_a_kept_table_shows_what_was_worked_out(kept: Episode, fresh: WaysTable) -> None:
    assert told(table_kept(kept, asked_of(kept))) == told(fresh)
    assert any(reasons for row in told(fresh)[4] for reasons in row)  # type: ignore[attr-defined]


def test_it_takes_less_than_30_kb() -> None:
    assert len(to_text(EPISODES[SMOCK])) - len(to_text(SMOCK_TO_KEEP)) < 30_000


def test_it_fits_in_every_size_the_episode_is_shown_in(kept: Episode, fresh: WaysTable) -> None:
    shown = in_size(kept, "XL")
    table = table_kept(shown, asked_of(shown))
    assert table is not None and table.sizes[0] == "XL"
    last = fresh.sizes.index("XL")
    for row, before in zip(table.rows, fresh.rows, strict=True):
        for cell, as_before in zip(row.cells[0], before.cells[last], strict=True):
            assert cell.best == as_before.best
            if as_before.purchase:
                assert cell.purchase and cell.purchase.metres == as_before.purchase.metres


def test_it_fits_while_no_length_depends_on_what_changed(kept: Episode) -> None:
    for values in ({"laid": "folded"}, {"price": "9"}, {"width": "140 cm"}, {"name": "Lawn"}):
        episode = with_cloth(kept, **values)
        if "name" in values:
            episode = _cut_from_lawn(episode)
        assert table_kept(episode, asked_of(episode)), values


def _cut_from_lawn(episode: Episode) -> Episode:
    smock, *others = episode.garments
    pieces = tuple(
        changed(piece, cloth="Lawn") if piece.cloth == "Binding cloth" else piece
        for piece in smock.pieces
    )
    return changed(episode, garments=(changed(smock, pieces=pieces), *others))


@pytest.mark.parametrize(
    "values",
    [{"shrinks_along": 9.0}, {"edge_margin": "3 cm"}, {"squaring": "9 cm"}, {"spare": "all"}],
)
def test_it_is_of_an_older_draft_once_a_length_may_change(
    kept: Episode, values: dict[str, Any]
) -> None:
    episode = with_cloth(kept, **values)
    assert table_kept(episode, asked_of(episode)) is None
    assert told(older_table(episode, "Binding cloth")) == told(table_kept(kept, asked_of(kept)))


def test_a_changed_or_a_missing_size_makes_it_older(kept: Episode) -> None:
    fewer = changed(kept, sizes=kept.sizes[1:])
    assert table_kept(fewer, asked_of(fewer)) is None
    other = changed(kept, body=changed(kept.body, measures={"head": "64 cm"}))
    assert table_kept(other, asked_of(other)) is None


def test_rows_of_the_same_draft_are_added_and_those_of_another_go(
    kept: Episode, fresh: WaysTable
) -> None:
    asked = asked_of(kept)
    first = WaysTable(fresh.cloth, fresh.sizes, fresh.ways, fresh.rows[:1])
    assert with_kept_ways(kept, asked, first) == kept
    shrunk = with_cloth(kept, shrinks_along=9.0)
    after = with_kept_ways(shrunk, asked_of(shrunk), first)
    (table,) = after.kept_ways
    assert len(table.widths) == 1 and table.key == draft_key(asked_of(shrunk))


def test_a_width_of_her_own_adds_its_row_and_leaves_the_others_as_they_are(
    kept: Episode, fresh: WaysTable
) -> None:
    """112 cm is sold as 44 in; the row of 115 cm is laid on 114.3 cm and does not hold for it."""
    wider = with_width(kept, BINDING, "44 in")
    asked = asked_of(wider)
    before = table_kept(wider, asked)
    assert told(before) == told(fresh)
    (lacking,) = lacking_widths(before, asked)
    assert (lacking.cm, lacking.inch, lacking.mm) == ("112 cm", "44 in", 44 * 25.4)
    said: list[str] = []
    assert before is not None
    table = ways_table(lambda words, _: said.append(words), asked, before.rows)
    assert [row.width for row in table.rows] == list(asked.widths)
    assert len(said) == len(asked.widths) and "112 cm (44 in) wide" in said[-1]
    assert {id(row) for row in before.rows} < {id(row) for row in table.rows}  # not laid again
    after = from_text(to_text(with_kept_ways(wider, asked, table)))
    assert told(table_kept(after, asked)) == told(table)
    assert draft_key(asked) == draft_key(asked_of(kept))
    without = without_width(after, BINDING, "44 in")
    assert told(table_kept(without, asked_of(without))) == told(fresh)
    with pytest.raises(NotThereError, match="not in the table any more"):
        without_width(without, BINDING, "44 in")


@pytest.mark.parametrize("typed", ["90 cm", "36 in", "115 cm", "45 in", "56 in", "1.1 m", "60 in"])
def test_a_width_that_the_table_has_under_any_name_is_not_added_twice(typed: str) -> None:
    with pytest.raises(RecipeError, match="is in the table already"):
        with_width(SMOCK_TO_KEEP, BINDING, typed)


@pytest.mark.parametrize(("own", "stays"), [("110 cm", ("110 cm",)), ("", ()), ("wide", ())])
def test_a_width_that_is_chosen_keeps_the_one_before_if_that_is_one(
    own: str, stays: tuple[str, ...]
) -> None:
    """As in a file edited by hand."""
    cloths = list(SMOCK_TO_KEEP.cloths)
    cloths[BINDING] = changed(cloths[BINDING], width=own)
    episode = changed(SMOCK_TO_KEEP, cloths=tuple(cloths))
    assert with_way(episode, BINDING, "open", "150 cm").cloths[BINDING].more_widths == stays


def test_no_more_widths_are_added_than_a_sheet_holds() -> None:
    episode = SMOCK_TO_KEEP
    for typed in ("44 in", "48 in", "72 in"):
        episode = with_width(episode, BINDING, typed)
    with pytest.raises(RecipeError, match="3 widths are added, and a sheet holds no more"):
        with_width(episode, BINDING, "58 in")
    assert [width.inch for width in asked_of(episode).widths] == [
        "36 in", "43 1/4 in", "44 in", "45 in", "48 in", "54–56 in", "60 in", "72 in"
    ]  # fmt: skip


def test_of_widths_that_were_all_taken_out_meanwhile_nothing_is_kept(fresh: WaysTable) -> None:
    hers = replace(fresh.rows[0], width=ClothWidth("80 cm", "31 1/2 in", 800.0))
    asked = asked_of(SMOCK_TO_KEEP)
    assert with_kept_ways(SMOCK_TO_KEEP, asked, replace(fresh, rows=(hers,))) == SMOCK_TO_KEEP


def test_a_table_with_a_hole_is_refused() -> None:
    (table,) = EPISODES[SMOCK].kept_ways
    document = table.model_dump(mode="json")
    document["widths"][0]["sizes"][0].pop()
    with pytest.raises(ValidationError, match="each way of laying once"):
        KeptWays.model_validate(document)
    for way in ({}, {"metres": "1 m"}, {"problem": "Too narrow.", "best": True}):
        with pytest.raises(ValidationError, match="metres and yards, or a problem"):
            KeptWay(**way)
