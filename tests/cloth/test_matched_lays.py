"""Stripes and checks: the match points of all pieces fall on the same place of the repeat."""

import math
from dataclasses import replace

import pytest

from tests.lays import assert_holds, mixed_pieces, rectangle
from webapp.cloth.forms import turned
from webapp.cloth.lay import Cloth, Lay, LayPiece, first_lay, lay_from, lay_out
from webapp.errors import LayError

STRIPED = Cloth(1500, edge_margin_mm=10, repeat_length_mm=70)
CHECKED = replace(STRIPED, repeat_width_mm=45)


def assert_matched(lay: Lay) -> None:
    """Worked out from the placements alone, by the formula of the contract."""
    known = {piece.name: piece for piece in lay.pieces}
    places = []
    for place in lay.placements:
        ((x, y),) = turned(
            [known[place.name].match_mm], place.turn_degrees, flipped=place.flipped
        ).tolist()
        places.append((x + place.x_mm, y + place.y_mm))
    repeats = (lay.cloth.repeat_width_mm, lay.cloth.repeat_length_mm)
    for axis, repeat in enumerate(repeats):
        if repeat:
            away = [math.remainder(place[axis] - places[0][axis], repeat) for place in places]
            assert max(map(abs, away)) < 1e-3


@pytest.mark.parametrize("cloth", [STRIPED, CHECKED], ids=["stripes", "checks"])
@pytest.mark.parametrize("laid", ["open", "folded"])
@pytest.mark.parametrize("seed", range(4))
def test_a_lay_over_a_repeat_holds_and_matches(seed: int, laid: str, cloth: Cloth) -> None:
    pieces = [replace(piece, match_mm=(11.0, 7.0)) for piece in mixed_pieces(seed)]
    pieces.append(LayPiece("Front", rectangle(200, 330), 1, on_fold=True))
    cloth = replace(cloth, laid=laid, width_mm=3000)
    lay = first_lay(pieces, cloth)
    assert_holds(lay, pieces)
    assert_matched(lay)
    assert lay_from(pieces, cloth, lay.placements) == lay
    moved = [replace(lay.placements[0], y_mm=lay.placements[0].y_mm + 3), *lay.placements[1:]]
    with pytest.raises(LayError, match=r"repeat|lie on top"):
        lay_from(pieces, cloth, moved)


def test_a_repeat_costs_what_lies_between_two_rows() -> None:
    """Two rows of 30 cm: at a repeat of 7 cm the second starts at 35 cm, the next whole repeat."""
    panel = LayPiece("Panel", rectangle(1000, 300), 2, (0,))
    plain, striped = replace(STRIPED, repeat_length_mm=0), STRIPED
    assert first_lay([panel], plain).length_mm == pytest.approx(600)
    assert first_lay([panel], striped).length_mm == pytest.approx(650)


def test_a_repeat_across_keeps_pieces_a_whole_number_of_repeats_apart() -> None:
    """300 mm wide on 1 m: 4.5 cm checks put the second at 31.5 cm, the third at 63 cm."""
    panel = LayPiece("Panel", rectangle(300, 500), 3, (0,))
    lay = first_lay([panel], Cloth(1000, repeat_width_mm=45))
    assert sorted(place.x_mm for place in lay.placements) == pytest.approx([0, 315, 630], abs=1e-3)


def test_the_phase_follows_the_piece_that_leads() -> None:
    """One piece lies at the very start of the cloth whatever its match point."""
    panel = LayPiece("Panel", rectangle(300, 500), 2, (0,), match_mm=(0, 33))
    assert first_lay([panel], STRIPED).length_mm == pytest.approx(500)


def test_a_piece_as_wide_as_the_cloth_leads_the_repeat_across() -> None:
    """Match point 13 mm into the piece: the repeat begins there, or it would find no room."""
    cloth = Cloth(1000, repeat_width_mm=45)
    wide = LayPiece("Wide", rectangle(1000, 200), 1, (0,), match_mm=(13, 0))
    narrow = LayPiece("Narrow", rectangle(200, 200), 1, (0,))
    lay = first_lay([wide, narrow], cloth)
    assert_holds(lay, [wide, narrow])
    assert_matched(lay)


def test_pieces_that_find_no_room_over_a_repeat_are_told() -> None:
    """Both as wide as the cloth, but 13 mm apart on the repeat."""
    pieces = [
        LayPiece("One", rectangle(1000, 200), 1, (0,), match_mm=(13, 0)),
        LayPiece("Two", rectangle(1000, 200), 1, (0,)),
    ]
    with pytest.raises(LayError, match="find no room"):
        first_lay(pieces, Cloth(1000, repeat_width_mm=45))


@pytest.mark.parametrize("width", [695.123, 695.1234, 695.1237])
def test_a_half_on_the_fold_is_laid_whatever_its_width_comes_to(width: float) -> None:
    half = LayPiece("Back", rectangle(width, 600), 1, on_fold=True)
    for laid in ("open", "folded"):
        lay = first_lay([half], Cloth(1400, laid=laid, repeat_width_mm=300))
        assert_holds(lay, [half])


def test_a_match_point_of_many_decimals_costs_no_repeat() -> None:
    piece = LayPiece("B", rectangle(1000, 600), 1, (0,), match_mm=(0, 123.4564))
    assert first_lay([piece], Cloth(1400, repeat_length_mm=300)).length_mm == pytest.approx(600)


@pytest.mark.parametrize("excess", [5e-7, 1e-9, 3e-9, 1e-7])
def test_pieces_a_hair_longer_than_the_repeat_come_to_an_end(excess: float) -> None:
    panel = LayPiece("A", rectangle(600, 1000 + excess), 3, (0,))
    lay = first_lay([panel], Cloth(1000, repeat_length_mm=1000))
    assert_matched(lay)


def test_a_piece_on_a_fold_across_decides_where_the_repeat_begins() -> None:
    yoke = LayPiece("Yoke", rectangle(250, 300), 1, (90, 270), on_fold=True)
    panels = [
        LayPiece(f"P{i}", [(0, 0), (300, 0), (250, 500 + 37 * i), (0, 500 + 37 * i)], 2,
                 match_mm=(150, 11 * i + 3))
        for i in range(3)
    ]  # fmt: skip
    lay = first_lay([yoke, *panels], Cloth(1500, laid="folded across", repeat_length_mm=100))
    assert_holds(lay, [yoke, *panels])
    assert_matched(lay)


def test_four_wide_pieces_each_with_its_own_place_on_the_repeat_are_laid() -> None:
    pieces = [
        LayPiece(f"P{i}", rectangle(900 - i, 100), 1, (0,), match_mm=(10 * i, 0)) for i in range(4)
    ]
    assert_matched(first_lay(pieces, Cloth(1000, repeat_width_mm=300)))


def test_what_need_not_meet_lies_anywhere_and_nothing_tilts_on_a_repeat() -> None:
    binding = LayPiece("Binding", rectangle(400, 100), 4, (0,), match_mm=None)
    assert first_lay([binding], Cloth(400, repeat_length_mm=300)).length_mm == pytest.approx(400)
    yoke = LayPiece("Yoke", rectangle(400, 100), 1, (0, 180, 5, 185))
    assert CHECKED.turns_of(yoke) == (0, 180)
    assert CHECKED.turns_of(replace(yoke, match_mm=None)) == (0, 180, 5, 185)


def test_a_search_over_a_repeat_is_never_longer() -> None:
    pieces = mixed_pieces(4)
    lay = lay_out(pieces, STRIPED, seconds=1)
    assert_holds(lay, pieces)
    assert_matched(lay)
    assert lay.length_mm <= first_lay(pieces, STRIPED).length_mm
