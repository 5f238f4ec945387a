"""Laying pieces on cloth: every lay holds, and it is as short as can be asked of it."""

import math
import random
import subprocess
import sys
from collections.abc import Sequence

import pytest
import shapely

from tests.demo_documents import BODIES, STARTERS
from tests.lays import LINEN, NOISE_MM, assert_holds, mixed_pieces, optimum, rectangle
from tests.specimens import smock_draft
from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay, lay_out, lay_pieces
from webapp.draft.evaluate import evaluate
from webapp.errors import LayError


def rectangles(sizes: Sequence[tuple[float, float]]) -> list[LayPiece]:
    return [LayPiece(f"R{i}", rectangle(*size), 1) for i, size in enumerate(sizes)]


@pytest.mark.parametrize("seed", range(10))
def test_a_first_lay_holds_and_is_the_same_every_time(seed: int) -> None:
    pieces = mixed_pieces(seed)
    lay = first_lay(pieces, LINEN)
    assert_holds(lay, pieces)
    assert first_lay(pieces, LINEN) == lay


def test_a_search_gives_a_lay_that_holds_and_is_never_longer_than_the_first() -> None:
    pieces = mixed_pieces(4)
    lay = lay_out(pieces, LINEN, seconds=1)
    assert_holds(lay, pieces)
    assert lay.length_mm <= first_lay(pieces, LINEN).length_mm


def test_the_smock_is_laid_shorter_than_its_pieces_boxes_stacked_in_two_rows() -> None:
    """Front beside back, 2 × 72 cm on 148 cm; sleeves, pockets and binding after them."""
    pieces = lay_pieces(smock_draft().pieces)
    lay = first_lay(pieces, LINEN)
    assert_holds(lay, pieces)
    longest = max(max(y for _, y in p.whole_mm) - min(y for _, y in p.whole_mm) for p in pieces)
    assert longest < lay.length_mm < 2 * longest
    assert lay.density > 0.7


def test_pieces_are_laid_by_their_grain_and_opened_out_from_the_fold() -> None:
    drafted = {piece.name: piece for piece in smock_draft().pieces}
    laid = {piece.name: piece for piece in lay_pieces(drafted.values())}
    assert laid["Front"].turns == (0, 180)
    assert laid["Neck binding"].turns == (45, 135, 225, 315)
    assert laid["Sleeve"].count == 2
    half = shapely.Polygon(drafted["Front"].cut_points).area
    assert drafted["Front"].on_fold
    assert laid["Front"].area_mm2 == pytest.approx(2 * half)


def test_a_half_flagged_on_the_fold_is_opened_out_by_the_lay() -> None:
    half = LayPiece("Yoke", [(0, 0), (200, 0), (250, 300), (0, 300)], 1, on_fold=True)
    lay = first_lay([half], Cloth(600))
    xs = [x for x, _ in lay.placed_points(lay.placements[0])]
    assert max(xs) - min(xs) == pytest.approx(500)
    assert lay.density == pytest.approx(300 * (400 + 500) / 2 / (600 * 300))


def test_two_set_square_halves_nest_into_a_square() -> None:
    """Two right triangles of 40 cm, one turned round, fill 40 × 40 cm."""
    triangle = LayPiece("Godet", [(0, 0), (400, 0), (0, 400)], 2)
    assert first_lay([triangle], Cloth(400)).length_mm == pytest.approx(400, abs=1)


# --- Against the true optimum of a few rectangles --------------------------------------------


def few_sizes(seed: int) -> list[tuple[int, int]]:
    """Two to four rectangles; every third time they just fit side by side in two rows."""
    dice = random.Random(seed)
    lengths = [dice.randint(100, 600) for _ in range(4)]
    if seed % 3:
        widths = [dice.randint(100, 900) for _ in range(dice.randint(2, 4))]
    else:
        cut = dice.randint(200, 800)
        widths = [cut, 1000 - cut, cut, 1000 - cut]
    return list(zip(widths, lengths, strict=False))


def test_the_brute_force_knows_a_lay_that_is_plain_to_see() -> None:
    assert optimum([(600, 300), (400, 200), (400, 100)], 1000) == 300
    assert optimum([(600, 300), (600, 200)], 1000) == 500


@pytest.mark.parametrize("seed", range(30))
def test_a_first_lay_of_a_few_rectangles_is_within_a_fifth_of_the_best(seed: int) -> None:
    sizes = few_sizes(seed)
    best = optimum(sizes, 1000)
    assert best - NOISE_MM <= first_lay(rectangles(sizes), Cloth(1000)).length_mm <= 1.2 * best


@pytest.mark.parametrize(
    "sizes",
    [
        few_sizes(1),
        few_sizes(3),  # just fit side by side
        [(501, 231), (499, 386), (501, 148), (499, 481)],  # so do these, crosswise
    ],
)
def test_a_search_among_a_few_rectangles_finds_the_best(sizes: list[tuple[int, int]]) -> None:
    pieces = rectangles(sizes)
    lay = lay_out(pieces, Cloth(1000), seconds=1)
    assert_holds(lay, pieces)
    assert lay.length_mm == pytest.approx(optimum(sizes, 1000), rel=0.005)


# --- What a lay must respect -----------------------------------------------------------------


def test_a_piece_just_as_wide_as_the_cloth_is_laid_by_both() -> None:
    pieces = [
        LayPiece("Panel", [(0, 0), (1000, 0), (1000, 200), (500, 300), (0, 200)], 1),
        LayPiece("Pocket", rectangle(200, 200), 2),
    ]
    first, searched = first_lay(pieces, Cloth(1000)), lay_out(pieces, Cloth(1000), seconds=1)
    assert_holds(first, pieces)
    assert_holds(searched, pieces)
    assert searched.length_mm < 300 + 200  # the pockets lie beside the point


def test_one_way_cloth_keeps_every_copy_the_same_way_up() -> None:
    pieces = [
        LayPiece("Leg", [(0, 0), (300, 0), (200, 800), (100, 800)], 4),
        LayPiece("Binding", rectangle(40, 500), 2, (45, 135, 225, 315)),
    ]
    velvet = Cloth(1400, one_way=True)
    for lay in (first_lay(pieces, velvet), lay_out(pieces, velvet, seconds=1)):
        turns = {(place.name, place.turn_degrees) for place in lay.placements}
        assert turns == {("Leg", 0), ("Binding", 45)}


def test_margins_and_shrinkage_narrow_the_cloth() -> None:
    """150 cm that shrinks by 4 % is 144 cm; less 1 cm at each selvedge, 142 cm."""
    cloth = Cloth(1500, shrink_width=0.04, edge_margin_mm=10)
    assert cloth.usable_width_mm == pytest.approx(1420)
    assert first_lay(rectangles([(710, 300), (710, 300)]), cloth).length_mm == pytest.approx(300)
    assert first_lay(rectangles([(711, 300), (710, 300)]), cloth).length_mm > 599


def test_progress_hears_of_ever_shorter_lays_from_the_first_to_the_last() -> None:
    pieces = mixed_pieces(4)
    heard: list[Lay] = []
    lay = lay_out(pieces, LINEN, seconds=2, progress=heard.append)
    assert heard[0] == first_lay(pieces, LINEN)
    lengths = [each.length_mm for each in heard]
    assert lengths == sorted(set(lengths), reverse=True)
    assert heard[-1] == lay
    for each in heard:
        assert_holds(each, pieces)


def test_the_search_library_is_not_loaded_before_it_is_needed() -> None:
    lay = "from webapp.cloth.lay import *; first_lay([LayPiece('A', [(0,0),(9,0),(0,9)], 1)], "
    code = f"{lay}Cloth(90)); import sys; sys.exit('spyrrow' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


BOX = LayPiece("Box", rectangle(100, 100), 1)


@pytest.mark.parametrize(
    ("pieces", "cloth", "words"),
    [
        ([], Cloth(900), "no pieces"),
        ([BOX], Cloth(0), "more than zero"),
        ([BOX], Cloth(-5), "more than zero"),
        ([BOX], Cloth(math.nan), "more than zero"),
        ([BOX], Cloth(900, shrink_length=0.5), "less than 50 %"),
        ([BOX], Cloth(900, shrink_width=-0.1), "0 % or more"),
        ([BOX], Cloth(900, edge_margin_mm=-1), "less than zero"),
        ([BOX], Cloth(900, edge_margin_mm=450), "leave no cloth"),
        ([BOX], Cloth(900, laid="rolled"), "open, folded"),  # type: ignore[arg-type]
        ([BOX], Cloth(900, laid="folded across", one_way=True), "cannot be folded across"),
        ([BOX], Cloth(900, repeat_length_mm=2), "finer than"),
        ([BOX], Cloth(900, repeat_width_mm=math.nan), "finer than"),
        ([BOX, BOX], Cloth(900), "Two pieces are called “Box”"),
        ([LayPiece("Box", rectangle(9, 9), 501)], Cloth(900), "up to 500"),
        ([LayPiece("Box", rectangle(9, 9), 0)], Cloth(900), "at least once"),
        ([LayPiece("Box", rectangle(9, 9), 1, ())], Cloth(900), "no turn"),
        ([LayPiece("Box", [(0, 0), (9, 9)], 1)], Cloth(900), "no outline"),
        ([LayPiece("Box", [(0, 0), (9, 9), (9, 0), (0, 9)], 1)], Cloth(900), "crosses itself"),
        ([LayPiece("Box", rectangle(9, 9)[1:], 1, on_fold=True)], Cloth(900), "on the fold"),
    ],
)
def test_what_cannot_be_laid_is_refused_in_a_sentence(
    pieces: list[LayPiece], cloth: Cloth, words: str
) -> None:
    for lay in (first_lay, lambda *those: lay_out(*those, seconds=1)):
        with pytest.raises(LayError, match=words):
            lay(pieces, cloth)


def test_a_piece_too_wide_for_the_cloth_is_named_with_both_widths_and_what_helps() -> None:
    with pytest.raises(LayError) as refusal:
        first_lay([LayPiece("Back", rectangle(1600, 500), 1, (0,))], LINEN)
    assert refusal.value.sentence == (
        "Back is 160 cm (63 in) wide on the cloth, which has 148 cm (58 1/4 in) to lay on. "
        "It would fit turned to the other grain, if the cloth allows it; "
        "otherwise choose a wider cloth, or split the piece with a seam."
    )
    with pytest.raises(LayError, match=r"lay on\. Choose a wider cloth, or split"):
        first_lay([LayPiece("Circle", rectangle(1600, 1600), 1)], LINEN)
    assert first_lay([LayPiece("Back", rectangle(1600, 500), 1, (0, 90))], LINEN).length_mm > 1599


def test_the_legs_of_trousers_are_laid_interlocked_at_once() -> None:
    """Each leg beside the last, shifted along it: not found by filling from the start alone."""
    trousers = STARTERS["elastic-waist-trousers"]
    pieces = lay_pieces(evaluate(trousers, BODIES["M"]).pieces)
    lay = first_lay(pieces, LINEN)
    assert_holds(lay, pieces)
    assert lay.length_mm < 1.1 * lay_out(pieces, LINEN, seconds=2).length_mm
