"""The table of widths that the smock's companion prints is what would be worked out today."""

from itertools import islice

from tests.demo_documents import EPISODES, SMOCK
from webapp.plan.evaluate import evaluate
from webapp.plan.kept_ways import table_asked, table_kept
from webapp.plan.ways import WayCell, ways_rows

_ROWS = 2  # of four: the whole table takes half a minute on a slow computer


def _told(cell: WayCell) -> tuple[object, ...]:
    bought = (cell.purchase.metres, cell.purchase.yards) if cell.purchase else None
    return bought, cell.problem, cell.best


def test_the_kept_table_of_the_smock_is_of_its_draft_and_its_lays() -> None:
    """Where this fails, the draft or the lays have changed.

    Then work the table out again on the page of the ways of laying, and take `kept_ways` from the
    exported episode.
    """
    episode = EPISODES[SMOCK]
    plan = evaluate(episode)
    asked = table_asked(plan, episode.cloths[0])
    kept = table_kept(episode, asked)
    assert kept is not None and [row.width for row in kept.rows] == list(asked.widths)
    for row, fresh in zip(kept.rows, islice(ways_rows(asked), _ROWS), strict=False):
        for cells, as_today in zip(row.cells, fresh.cells, strict=True):
            assert [_told(cell) for cell in cells] == [_told(cell) for cell in as_today]
    as_laid = kept.ways.index((episode.cloths[0].laid, episode.cloths[0].one_way))
    for cells, size in zip(kept.rows[-1].cells, plan.sizes, strict=True):
        bought = cells[as_laid].purchase
        today = size.purchases[episode.cloths[0].name]
        assert bought and (bought.metres, bought.yards) == (today.metres, today.yards)
