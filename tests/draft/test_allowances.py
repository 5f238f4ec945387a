"""Cut lines: the allowance all along, mitred corners, hems that fold up flush with their sides."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import affine_transform

from tests.cut_lines import off_the_allowance
from tests.specimens import RECTANGLE, Move, draft_of, many_pieces, piece_of
from webapp.draft.allowances import EdgeAllowance, cut_outline
from webapp.draft.evaluate import Piece
from webapp.draft.outline import Cubic, Edge, Outline, Point, straight

PIECES = many_pieces()
pieces = pytest.mark.parametrize("piece", PIECES.values(), ids=PIECES)
SINGLE, DOUBLE = {"kind": "single fold hem"}, {"kind": "double fold hem"}


def _cut(piece: Piece) -> list[Point]:
    """The cut line in cm, from its uppermost leftmost point, without points on straight runs."""
    points = shapely.simplify(shapely.Polygon(piece.cut_points), 1e-6).exterior.coords[:-1]
    drawn = [(round(x / 10, 3) + 0.0, round(y / 10, 3) + 0.0) for x, y in points]
    first = drawn.index(min(drawn, key=lambda point: (point[1], point[0])))
    return drawn[first:] + drawn[:first]


# --- Pictures ---------------------------------------------------------------------------------


def test_seams_are_cut_outside_and_meet_in_mitres() -> None:
    piece = piece_of(RECTANGLE)
    #  (-1.5, -1.5)────(31.5, -1.5)       0 - 1.5, 30 + 1.5
    #       │               │
    #  (-1.5, 51.5)────(31.5, 51.5)       50 + 1.5
    assert _cut(piece) == [(-1.5, -1.5), (31.5, -1.5), (31.5, 51.5), (-1.5, 51.5)]
    assert piece.cut_size_mm == (330, 530)


def test_nothing_is_added_on_the_fold() -> None:
    cut = _cut(piece_of(RECTANGLE, on_fold=True))
    assert cut == [(0, -1.5), (31.5, -1.5), (31.5, 51.5), (0, 51.5)]


def test_a_hem_adds_its_depth_and_what_is_turned_under() -> None:
    hem = DOUBLE | {"allowance": "2.5 cm", "turn_under": "1 cm"}
    assert _cut(piece_of(RECTANGLE, finishes={"hem": hem}))[2] == (31.5, 53.5)  # 50 + 2.5 + 1
    assert _cut(piece_of(RECTANGLE, finishes={"hem": DOUBLE}))[2] == (31.5, 53)  # 50 + 1.5 + 1.5
    assert _cut(piece_of(RECTANGLE, finishes={"hem": SINGLE}))[2] == (31.5, 51.5)


TAPERED = [  # both sides come in 10 cm over 50 cm, so 1 for every 5
    RECTANGLE,
    {"kind": "taper", "edge": "right side", "end": "hem", "by": "10 cm"},
    {"kind": "taper", "edge": "left side", "end": "hem", "by": "10 cm"},
]
BARE_SIDES = {"right side": {"kind": "raw"}, "left side": {"kind": "raw"}, "top": {"kind": "raw"}}


def test_a_hem_folded_once_spreads_again_below_its_fold() -> None:
    piece = piece_of(*TAPERED, finishes=BARE_SIDES | {"hem": SINGLE | {"allowance": "5 cm"}})
    #  (0, 0)────────────────(30, 0)
    #     (10, 50)───(20, 50)             the fold
    #    (9, 55)───────(21, 55)           mirrored: 5 down, 5 / 5 = 1 out
    assert _cut(piece) == [(0, 0), (30, 0), (20, 50), (21, 55), (9, 55), (10, 50)]


def test_a_hem_folded_twice_comes_in_again_below_its_second_fold() -> None:
    hem = DOUBLE | {"allowance": "5 cm", "turn_under": "2.5 cm"}
    piece = piece_of(*TAPERED, finishes=BARE_SIDES | {"hem": hem})
    #     (10, 50)───(20, 50)             the hem's fold
    #    (9, 55)───────(21, 55)           the second fold
    #   (9.5, 57.5)───(20.5, 57.5)        mirrored back: 2.5 / 5 = 0.5 in
    assert _cut(piece)[2:] == [
        (20, 50), (21, 55), (20.5, 57.5), (9.5, 57.5), (9, 55), (10, 50)
    ]  # fmt: skip


def test_a_hem_that_meets_the_fold_aslant_runs_on_to_it() -> None:
    slope = {"kind": "slope", "edge": "hem", "end": "side", "drop": "10 cm"}
    hem = SINGLE | {"allowance": "3 cm"}
    piece = piece_of(RECTANGLE, slope, on_fold=True, finishes={"hem": hem})
    # The hem falls 10 over 30; 3 cm square to it is 3 * sqrt(30² + 10²) / 30 = 3.162 upright.
    assert _cut(piece)[-1] == (0, 53.162)  # 50 + 3.162
    assert shapely.Polygon(piece.whole_cut_points).is_valid


def test_two_hems_meet_in_a_square_corner() -> None:
    hems = {"hem": SINGLE | {"allowance": "4 cm"}, "right side": DOUBLE | {"allowance": "2 cm"}}
    assert (34, 54) in _cut(piece_of(RECTANGLE, finishes=hems))  # 30 + 2 + 2, 50 + 4


def test_an_inner_corner_is_cut_where_the_allowances_cross() -> None:
    cut_in = {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "5 cm",
              "shape": "square"}  # fmt: skip
    #                  │
    #     (26.5, 21.5)─(31.5, 21.5)       25 + 1.5, 20 + 1.5
    #         │
    assert _cut(piece_of(RECTANGLE, cut_in))[2:4] == [(31.5, 21.5), (26.5, 21.5)]


def test_a_hem_above_an_inner_corner_ends_at_the_side() -> None:
    cut_in = {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "5 cm",
              "shape": "square"}  # fmt: skip
    cut = _cut(piece_of(RECTANGLE, cut_in, finishes={"underarm": SINGLE | {"allowance": "4 cm"}}))
    assert (26.5, 24) in cut  # 25 + 1.5, 20 + 4


def test_a_bound_edge_runs_on_to_the_cut_line_of_its_neighbour() -> None:
    scoop = {"kind": "scoop", "width": "12 cm", "depth": "10 cm"}
    piece = piece_of(RECTANGLE, scoop, on_fold=True, finishes={"neck": {"kind": "bound"}})
    # Up the neck's own line, which is drawn as chords: half a millimetre over 15.
    assert _cut(piece)[0] == pytest.approx((12, -1.5), abs=0.05)
    assert (0, 10) in _cut(piece), "nothing is added at the fold"


def test_a_bound_curve_at_an_inner_corner_ends_at_its_neighbours_cut_line() -> None:
    curve = Cubic((100, 40), (95, 60), (75, 60), (60, 60))
    outline = Outline(
        (
            straight("top", (0, 0), (100, 0)),
            straight("right", (100, 0), (100, 40)),
            Edge("bound", (curve,)),
            straight("lower", (60, 60), (60, 100)),
            straight("hem", (60, 100), (0, 100)),
            straight("left", (0, 100), (0, 0)),
        )
    )
    cut = shapely.Polygon(cut_outline(outline, {"lower": EdgeAllowance(15)}))
    #  The piece and, below its curve, a strip 15 wide beside the lower edge.
    meant = shapely.union(shapely.Polygon(outline.points()), shapely.box(60, 50, 75, 100))
    assert shapely.symmetric_difference(cut, meant).area < 0.01


def test_a_rounding_smaller_than_its_allowance_is_cut_square() -> None:
    cut_in = {"kind": "cut in", "edge": "right side", "depth": "20 cm", "by": "1 cm",
              "radius": "1 cm"}  # fmt: skip
    piece = piece_of(RECTANGLE, cut_in)
    assert len(_cut(piece)) == 6
    assert shapely.covers(shapely.Polygon(piece.cut_points), shapely.Polygon(piece.seam_points))


def test_a_sharp_point_is_cut_off_blunt_one_allowance_beyond_its_tip() -> None:
    tip = Outline(  # 10 mm wide at the top, 200 mm long: the mitre would be 300 mm long
        (
            straight("top", (0, 0), (10, 0)),
            straight("right", (10, 0), (5, 200)),
            straight("left", (5, 200), (0, 0)),
        )
    )
    cut = shapely.Polygon(cut_outline(tip, {name: EdgeAllowance(15) for name in tip.names}))
    assert cut.is_valid
    assert shapely.Polygon(tip.points()).distance(cut.exterior) == pytest.approx(15, abs=0.01)
    assert cut.bounds[3] == pytest.approx(200 + 15, abs=1)


def test_at_a_dart_the_cut_line_turns_on_the_legs_and_on_the_darts_axis() -> None:
    """There it folds as the seam line does: shut, the two run at the allowance again.

    Common practice, no source. The dart is 3 cm wide and 12 long in a straight top: a leg leans
    1.5 in 12, so 15 mm above the top it has gone on by 15 / 12 * 1.5 = 1.875 mm. The top mirrored
    in a leg rises at twice the leg's angle to the axis, and 15 mm square to it likewise.
    """
    dart = {"kind": "dart", "edge": "top", "corner": "left side", "at": "15 cm", "width": "3 cm",
            "length": "12 cm"}  # fmt: skip
    cut = piece_of(RECTANGLE, dart).cut_points
    slope = 2 * math.atan(1.5 / 12)
    over_peak = -15 * math.tan(slope) - 15 / math.cos(slope)
    place = cut.index(min(cut, key=lambda point: math.dist(point, (150, over_peak))))
    assert cut[place - 1 : place + 2] == [
        pytest.approx((135 - 1.875, -15)),
        pytest.approx((150, over_peak)),
        pytest.approx((165 + 1.875, -15)),
    ]


def test_no_corner_runs_away_beside_a_tight_curve() -> None:
    piece = piece_of(
        RECTANGLE | {"width": "150 cm", "length": "30 cm"},
        {"kind": "taper", "edge": "right side", "end": "hem", "by": "-61.2 cm"},
        {"kind": "scoop", "edge": "hem", "corner": "right side", "width": "37 cm",
         "depth": "9 cm"},
        finishes={"hem": SINGLE | {"allowance": "3 cm"}},
    )  # fmt: skip
    seam = shapely.Polygon(piece.seam_points)
    furthest = max(seam.distance(shapely.Point(point)) for point in piece.cut_points)
    assert furthest < 4 * 30, "four times the widest allowance is the longest corner"


def test_edges_in_one_line_keep_the_step_between_their_allowances() -> None:
    outline = Outline(
        (
            straight("one", (0, 0), (50, 0)),
            straight("other", (50, 0), (100, 0)),
            straight("right", (100, 0), (100, 80)),
            straight("hem", (100, 80), (0, 80)),
            straight("left", (0, 80), (0, 0)),
        )
    )
    cut = cut_outline(outline, {"one": EdgeAllowance(10), "other": EdgeAllowance(30)})
    assert cut[1:3] == [(50, -10), (50, -30)]


def test_without_allowances_the_cut_line_is_the_seam_line() -> None:
    for piece in PIECES.values():
        assert cut_outline(piece.outline, {}) == piece.seam_points


def test_a_slit_too_narrow_for_its_allowances_is_told() -> None:
    slit = {"kind": "scoop", "width": "1 cm", "depth": "20 cm", "fullness": "0.1"}
    (problem,) = draft_of(RECTANGLE, slit, on_fold=True).problems
    assert problem.sentence == (
        "Panel, neck: this edge has no room for its allowance; widen it there, or finish it "
        "without one."
    )
    assert not draft_of(
        RECTANGLE, slit, on_fold=True, finishes={"neck": {"kind": "bound"}}
    ).problems


# --- The allowance all along ------------------------------------------------------------------


@pieces
def test_the_cut_line_runs_at_the_allowance_all_along_every_edge(piece: Piece) -> None:
    for edge, off_mm in off_the_allowance(piece).items():
        assert off_mm < 0.1, edge


@pieces
def test_the_cut_piece_is_sound_and_holds_the_whole_seam_line(piece: Piece) -> None:
    """Against shapely's validity and cover."""
    cut = shapely.Polygon(piece.cut_points)
    assert cut.is_valid
    assert shapely.is_ccw(cut.exterior), "clockwise on paper"
    assert shapely.Polygon(piece.seam_points).difference(cut.buffer(0.01)).area < 1e-6
    if piece.on_fold:
        assert min(x for x, _ in piece.cut_points) > -1e-6


@given(st.floats(3, 25), st.floats(0, 30), st.floats(-0.3, 0.3), st.sampled_from([SINGLE, DOUBLE]))
def test_the_allowance_holds_for_any_width_and_slant(
    seam: float, hem: float, slant: float, kind: Move
) -> None:
    piece = piece_of(
        RECTANGLE,
        {"kind": "scoop", "width": "12 cm", "depth": "10 cm"},
        {"kind": "taper", "edge": "side", "end": "hem", "by": f"{50 * slant:.3f} cm"},
        on_fold=True,
        allowance=f"{seam:.3f} mm",
        finishes={"hem": kind | {"allowance": f"{hem:.3f} mm"}},
    )
    assert max(off_the_allowance(piece).values()) < 0.1


# --- Flush hems -------------------------------------------------------------------------------


def _mirrored(shape: shapely.Geometry, start: Point, end: Point) -> shapely.Geometry:
    """The shape folded over the line."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length

    a, b, d = 2 * ux * ux - 1, 2 * ux * uy, 2 * uy * uy - 1  # a reflection's matrix
    x, y = start
    return affine_transform(shape, [a, b, b, d, x - a * x - b * y, y - b * x - d * y])


def _beyond(shape: shapely.Geometry, start: Point, end: Point, down_mm: float) -> shapely.Geometry:
    """What lies more than `down_mm` outside the line, which runs clockwise around its piece."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    nx, ny, far = uy, -ux, 1e5
    x, y = start[0] + down_mm * nx, start[1] + down_mm * ny
    half_plane = shapely.Polygon(
        [
            (x - far * ux, y - far * uy),
            (x + far * ux, y + far * uy),
            (x + far * (ux + nx), y + far * (uy + ny)),
            (x + far * (nx - ux), y + far * (ny - uy)),
        ]
    )
    return shapely.intersection(shape, half_plane)


def _folds_flush(piece: Piece, name: str) -> None:
    """Fold the paper as the sewer does; it must cover the piece above the fold, no less, no more.

    Common practice, no source: a hem's ends are cut so that they lie exactly on the sides.
    """
    edge, allowance = piece.outline.edge(name), piece.allowances[name]
    cut = shapely.Polygon(piece.whole_cut_points)
    start, end = edge.start, edge.end
    if piece.on_fold:  # the hem's line across the whole piece
        start = max(edge.start, edge.end)
        end = (-start[0], start[1])
    strip = _beyond(cut, start, end, 0)
    depth = allowance.width_mm
    if allowance.turn_under_mm:
        nx, ny = (end[1] - start[1]), -(end[0] - start[0])
        length = math.hypot(nx, ny)
        second = [(x + depth * nx / length, y + depth * ny / length) for x, y in (start, end)]
        tail = _beyond(strip, start, end, depth)
        strip = shapely.difference(strip, tail)
        turned = _mirrored(tail, second[0], second[1])
        assert shapely.difference(turned, shapely.buffer(strip, 0.1)).area < 1e-3
        below = _beyond(strip, start, end, depth - allowance.turn_under_mm)
        assert shapely.difference(below, shapely.buffer(turned, 0.1)).area < 1e-3
    folded = _mirrored(strip, start, end)
    body = shapely.difference(cut, _beyond(cut, start, end, 0))
    assert shapely.difference(folded, shapely.buffer(body, 0.1)).area < 1e-3, "nothing sticks out"
    covered = shapely.difference(body, _beyond(body, end, start, depth))
    assert shapely.difference(covered, shapely.buffer(folded, 0.1)).area < 1e-3, "nothing is short"


@pytest.mark.parametrize(
    ("name", "edge"),
    [
        ("drop-shoulder-smock: Front", "hem"),
        ("drop-shoulder-smock: Back", "hem"),
        ("drop-shoulder-smock: Sleeve", "cuff"),
        ("drop-shoulder-smock: Pocket", "mouth"),
        ("half-circle-skirt: Patch pocket", "mouth"),
        ("flared, hem folded twice", "hem"),
    ],
)
def test_every_straight_hem_folds_up_flush(name: str, edge: str) -> None:
    _folds_flush(PIECES[name], edge)


@given(
    st.floats(-0.4, 0.4),
    st.floats(-0.4, 0.4),
    st.floats(1, 60),
    st.floats(0, 1),
    st.floats(0, 20),
    st.sampled_from([SINGLE, DOUBLE]),
)
def test_a_hem_folds_up_flush_whatever_its_sides(
    right: float, left: float, depth: float, turned: float, seam: float, kind: Move
) -> None:
    hem = kind | {"allowance": f"{depth:.3f} mm"}
    if kind is DOUBLE:
        hem["turn_under"] = f"{depth * turned:.3f} mm"
    piece = piece_of(
        RECTANGLE,
        {"kind": "taper", "edge": "right side", "end": "hem", "by": f"{30 * right:.3f} cm"},
        {"kind": "taper", "edge": "left side", "end": "hem", "by": f"{30 * left:.3f} cm"},
        allowance=f"{seam:.3f} mm",
        finishes={"hem": hem},
    )
    _folds_flush(piece, "hem")


@pytest.mark.parametrize("kind", [SINGLE, DOUBLE])
@pytest.mark.parametrize("side", ["seam", "bound"])
def test_a_hem_beside_a_curve_follows_the_curve_upside_down(kind: Move, side: str) -> None:
    piece = piece_of(
        RECTANGLE,
        {"kind": "scoop", "edge": "hem", "corner": "right side", "width": "6 cm",
         "depth": "12 cm", "name": "curve"},
        finishes={"hem": kind | {"allowance": "3 cm"}, "curve": {"kind": side}},
    )  # fmt: skip
    _folds_flush(piece, "hem")


def test_a_curved_hem_is_cut_in_line_with_its_sides() -> None:
    piece = PIECES["half circle skirt on the fold"]
    hem = piece.outline.edge("hem")
    radius = piece.figures_mm["outer radius"] + piece.allowances["hem"].total_mm
    corner = min(piece.cut_points, key=lambda point: math.dist(point, hem.start))
    # The side lies along a radius, its cut line 15 mm beside it, out to the hem's cut line.
    centre = (0.0, -piece.figures_mm["radius"])
    assert math.dist(corner, centre) == pytest.approx(math.hypot(radius, 15), abs=0.2)
