"""Which way is best: widths, ways of laying and sizes, with the reasons why folding costs more."""

import pickle
import time
from typing import Any

import pytest

from tests.demo_documents import EPISODES, SKIRT, SMOCK
from tests.lays import rectangle
from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.lay import LayPiece
from webapp.jobs import Jobs
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.ways import (
    WIDTHS,
    SizeOnCloth,
    Way,
    WayCell,
    WaysAsked,
    WaysTable,
    ways_asked,
    ways_rows,
    ways_table,
)
from webapp.units import parse_length

CLOTH = EpisodeCloth(width="90 cm", edge_margin="0 cm", squaring="0 cm")


def asked(*pieces: LayPiece, **cloth: Any) -> WaysAsked:
    return WaysAsked(changed(CLOTH, **cloth), (SizeOnCloth("M", pieces),))


def table_of(about: WaysAsked) -> tuple[WaysTable, list[str]]:
    """The table, and what it said while it was made: of each width, with the rows up to it."""
    said: list[str] = []

    def report(words: str, so_far: WaysTable) -> None:
        said.append(words)
        assert [row.width for row in so_far.rows] == list(about.widths[: len(said)])

    return ways_table(report, about), said


def narrowest(*pieces: LayPiece, **cloth: Any) -> dict[str, WayCell]:
    """The cells of the 90 cm row by way, of ways this cloth may be laid."""
    about = asked(*pieces, **cloth)
    row = next(ways_rows(about))
    ways = zip(about.ways, row.cells[0], strict=True)
    return {way.laid: cell for way, cell in ways if way.one_way == about.cloth.one_way}


def panel(name: str, width: float, count: int = 1, **more: Any) -> LayPiece:
    return LayPiece(name, tuple(rectangle(width, 1000)), count, **more)


def lopsided(name: str, width: float) -> LayPiece:
    """A panel with a corner off: no half of it can lie on the fold."""
    outline = ((0, 0), (width - 5, 0), (width, 5), (width, 1000), (0, 1000))
    return LayPiece(name, outline, 1)


def smock_asked() -> tuple[Plan, WaysAsked]:
    """The smock in two sizes."""
    smock = EPISODES[SMOCK]
    plan = evaluate(changed(smock, sizes=(smock.sizes[4],)))
    return plan, ways_asked(plan, smock.cloths[0])


def test_a_width_is_laid_on_the_narrower_of_its_two_names() -> None:
    for width in WIDTHS:
        inch = parse_length(width.inch.split("–")[0].removesuffix(" in") + " in").mm
        assert width.mm == pytest.approx(min(parse_length(width.cm).mm, inch))


def test_a_width_of_its_own_has_a_row_in_its_place() -> None:
    cm = [width.cm for width in asked(width="132 cm").widths]
    assert cm == ["90 cm", "115 cm", "132 cm", "140 cm", "150 cm"]
    assert asked(width="150 cm").widths == asked(width="wide").widths == WIDTHS


def test_of_ways_that_buy_the_same_folding_is_best() -> None:
    """A pair of panels side by side: one metre open, and one metre folded."""
    cells = narrowest(panel("Panel", 440, 2, pair=True))
    assert [cells[way].best for way in ("open", "folded", "folded across")] == [False, True, False]
    assert cells["open"].purchase and cells["folded"].purchase
    assert cells["open"].purchase.metres == cells["folded"].purchase.metres == "1 m"
    assert cells["folded"].why_more == ()


def test_pieces_cut_once_cost_a_second_copy_when_folded() -> None:
    """Two panels lie side by side on open cloth; folded, each is cut twice."""
    cells = narrowest(lopsided("Front", 440), lopsided("Back", 440))
    assert cells["open"].best
    assert cells["open"].purchase and cells["folded"].purchase
    assert cells["folded"].purchase.lay_mm == pytest.approx(2 * cells["open"].purchase.lay_mm)
    why = " ".join(cells["folded"].why_more)
    # Each of 0.44 m2, on a cloth 0.9 m wide: 97.8 cm for both.
    assert "Front and Back come out once more than needed: as much as 98 cm" in why
    assert "the pieces fill 49 % of the cloth; opened out, 98 %" in why


def test_a_strip_beside_a_piece_on_the_fold_is_told() -> None:
    """Half of 300 mm on a folded width of 450 mm leaves 150 mm that holds nothing."""
    front = panel("Front", 300, on_fold=True)
    cells = narrowest(front, panel("Side", 290, 2))
    assert cells["folded"].purchase and cells["open"].purchase
    assert cells["folded"].purchase.lay_mm == pytest.approx(2000)
    cells = narrowest(front, lopsided("Strip", 290))
    assert "Beside Front, on the fold, 15 cm (5 7/8 in) of the folded width stays" in " ".join(
        cells["folded"].why_more
    )


def test_a_single_panel_with_both_sides_alike_lies_on_the_fold() -> None:
    """60 cm of 90 cm: its half takes 30 of the folded 45, as much cloth as opened out."""
    cells = narrowest(panel("Wrap", 600))
    assert cells["folded"].purchase and cells["open"].purchase
    assert cells["folded"].purchase.lay_mm == pytest.approx(cells["open"].purchase.lay_mm)


def test_a_piece_wider_than_half_the_cloth_cannot_be_laid_folded() -> None:
    cells = narrowest(lopsided("Wrap", 600))
    assert cells["folded"].purchase is None
    assert cells["folded"].problem.startswith("Wrap is 60 cm")
    assert cells["folded"].problem.endswith(".")
    assert cells["open"].best


def test_one_way_cloth_cannot_be_folded_across() -> None:
    """The nap of the lower layer would run the other way: common practice, no source."""
    cells = narrowest(panel("Panel", 440, 2), one_way=True)
    assert cells["folded across"].purchase is None
    assert "way" in cells["folded across"].problem
    assert cells["folded"].purchase


def test_a_cloth_that_runs_any_way_is_shown_as_if_it_ran_one_way_too() -> None:
    """Never cheaper, and never marked: it is another cloth."""
    skirt = changed(EPISODES[SKIRT], sizes=EPISODES[SKIRT].sizes[-1:])
    about = ways_asked(evaluate(skirt), skirt.cloths[0])
    table, _ = table_of(about)
    assert table.ways[3:] == (Way("open", True), Way("folded", True))
    for cells in (cells for row in table.rows for cells in row.cells):
        assert not any(cell.best for cell in cells[3:])
        for one_way, free in ((cells[3], cells[0]), (cells[4], cells[1])):
            if one_way.purchase and free.purchase:
                assert free.purchase.total_mm <= one_way.purchase.total_mm + 1e-6


def test_the_smocks_table_tells_each_width_once_and_agrees_with_the_cloth_page() -> None:
    plan, about = smock_asked()
    table, said = table_of(about)
    assert [words.split(" laid")[0] for words in said] == [f"{n} of 4 widths" for n in (1, 2, 3, 4)]
    assert table.sizes == ("Wren", "XL")
    at_150 = [cells[0].purchase for cells in table.rows[-1].cells]
    assert at_150 == [size.lays[0].purchase for size in plan.sizes]
    for row in table.rows:
        for cells in row.cells:
            laid = [cell.purchase.total_mm for cell in cells[:3] if cell.purchase]
            best = [cell for cell in cells if cell.best]
            assert len(best) == bool(laid)
            for cell in cells:
                assert bool(cell.problem) == (cell.purchase is None)
    assert pickle.loads(pickle.dumps(table)) == table


def test_each_width_and_way_is_monotone_by_size() -> None:
    """Where the sizes nest but for a hair of 0.2 mm, as the smock's do."""
    table, _ = table_of(smock_asked()[1])
    for row in table.rows:
        for way in range(len(table.ways)):
            bought = [cells[way].purchase for cells in row.cells]
            lengths = [purchase.total_mm for purchase in bought if purchase]
            assert lengths == pytest.approx(sorted(lengths), abs=0.2)


def test_the_table_is_made_in_a_process_of_its_own() -> None:
    jobs = Jobs()
    about = asked(panel("Front", 440), panel("Back", 440))
    job = jobs.start("ways", ways_table, about)
    ends = time.monotonic() + 30
    while job.is_going_on and time.monotonic() < ends:
        time.sleep(0.02)
    jobs.close()
    assert (job.state, job.error) == ("done", "")
    assert job.result == job.so_far == table_of(about)[0]


def test_the_key_follows_whatever_the_table_depends_on() -> None:
    front = panel("Front", 440)
    keys = {
        about.key
        for about in (
            asked(front),
            asked(panel("Front", 441)),
            asked(front, spare="all"),
            asked(front, shrinks_along=3.0),
            WaysAsked(CLOTH, (SizeOnCloth("M", (front,)),), risked=("Front",)),
            WaysAsked(CLOTH, (SizeOnCloth("L", (front,)),)),
        )
    }
    assert len(keys) == 6
    assert asked(front).key == asked(panel("Front", 440)).key
