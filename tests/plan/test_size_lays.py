"""What a size is told to buy: another size's lay may serve it, and a spare may be asked for."""

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
import shapely
from shapely import affinity

from tests.demo_documents import EPISODES, SKIRT, SMOCK
from tests.lays import assert_holds, mixed_pieces, rectangle
from webapp.cloth.cloths import EpisodeCloth, KeptLay, KeptPlacement, Spare
from webapp.cloth.lay import Cloth, Lay, LayPiece, Placement, fingerprint, first_lay, lay_from
from webapp.draft.construction import Step, Work
from webapp.plan import size_lays
from webapp.plan.edits import changed
from webapp.plan.evaluate import evaluate
from webapp.plan.lays import LayPlan, cloth_of, lay_plan, lays_on, risked_pieces
from webapp.plan.size_lays import lent_lay, match
from webapp.units import parse_length

METRE = EpisodeCloth(width="1 m", edge_margin="0 cm", squaring="0 cm")
SPARES: tuple[Spare, ...] = ("none", "smallest", "all")
WIDE = Cloth(1500)
SEEDS = (0, 1, 5)  # one for each spare
HAIR_MM = 0.2  # what curves of pieces that nest may stand out of each other, and no more


def scaled(pieces: Sequence[LayPiece], by: float) -> tuple[LayPiece, ...]:
    """The pieces enlarged about a point that sees all of their outline, so that they nest."""
    return tuple(
        replace(
            piece,
            outline_mm=tuple(
                shapely.get_coordinates(
                    affinity.scale(
                        shapely.LineString(piece.outline_mm), by, by, origin=_within(piece)
                    )
                ).tolist()
            ),
        )
        for piece in pieces
    )


def hashable(pieces: Sequence[LayPiece]) -> tuple[LayPiece, ...]:
    return tuple(
        replace(p, outline_mm=tuple((x, y) for x, y in p.outline_mm), turns=tuple(p.turns))
        for p in pieces
    )


def _within(piece: LayPiece) -> tuple[float, float]:
    """The middle of `tests.lays.star`; a rectangle may be scaled about its corner."""
    return (0, 0) if (0, 0) in piece.outline_mm else (70, -30)


# --- One size's lay for another --------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_a_lay_serves_pieces_that_lie_inside_its_own(seed: int) -> None:
    """Sound by its placements alone, and no longer than the lay it comes from."""
    small = hashable(mixed_pieces(seed))
    large = hashable(scaled(small, random.Random(seed).uniform(1.001, 1.2)))
    lay = first_lay(large, WIDE)
    served = lent_lay(lay, small)
    assert served is not None
    assert served.length_mm <= lay.length_mm + 1e-6
    assert_holds(served, small)


def test_a_piece_drawn_elsewhere_is_shifted_into_the_larger_one() -> None:
    """Top left corners meet: 40 mm were added at the right and the bottom."""
    small = LayPiece("Yoke", ((0, 0), (300, 0), (200, 200), (0, 200)), 1)
    large = LayPiece("Yoke", ((510, -70), (860, -70), (750, 170), (510, 170)), 1)
    dx, dy, outside = match(small, large)
    assert (dx, dy, outside) == (510, -70, 0)


def test_a_turned_piece_is_shifted_along_its_own_grain() -> None:
    small = LayPiece("Band", tuple(rectangle(100, 300)), 1, turns=(90,))
    large = LayPiece("Band", tuple((x + 50, y) for x, y in rectangle(140, 380)), 1, turns=(90,))
    served = lent_lay(first_lay([large], Cloth(400)), (small,))
    assert served is not None
    assert_holds(served, [small])


@pytest.mark.parametrize(
    "cloth",
    [
        Cloth(1000, laid="folded"),
        Cloth(1000, laid="folded", one_way=True),
        Cloth(1000, repeat_length_mm=120),
        Cloth(1000, laid="folded", repeat_length_mm=80, repeat_width_mm=50),
    ],
    ids=str,
)
def test_a_lay_serves_on_the_fold_and_on_a_repeat(cloth: Cloth) -> None:
    """What is on the fold stays there, and match points stay on the repeat: both are checked."""
    front = LayPiece("Front", ((0, 40), (150, 0), (260, 700), (0, 700)), 1, on_fold=True)
    sleeve = LayPiece("Sleeve", ((0, 0), (180, 60), (150, 420), (30, 420)), 2, pair=True)
    small = (front, replace(sleeve, match_mm=(0, 60)))
    large = (
        replace(front, outline_mm=((0, 30), (150, -20), (290, 740), (0, 740))),
        replace(sleeve, outline_mm=((40, 0), (240, 60), (200, 450), (60, 450)), match_mm=(50, 60)),
    )
    lay = first_lay(large, cloth)
    served = lent_lay(lay, small)
    assert served is not None
    assert served.length_mm <= lay.length_mm + 1e-6
    again = lay_from(small, cloth, served.placements)
    assert again.length_mm == pytest.approx(served.length_mm)


@pytest.mark.parametrize(
    "other",
    [
        {"count": 3},
        {"turns": (90, 270)},
        {"name": "Sleeve"},
        {"pair": True},
        {"outline_mm": tuple(rectangle(900, 900))},
    ],
    ids=str,
)
def test_a_lay_of_other_pieces_serves_nothing(other: dict[str, Any]) -> None:
    """Other counts, grains, names; and a piece that does not fit its place."""
    large = LayPiece("Panel", tuple(rectangle(500, 500)), 2)
    assert lent_lay(first_lay([large], Cloth(1000)), (replace(large, **other),)) is None


@pytest.mark.parametrize(
    ("name", "spare"), [(SMOCK, "none"), (SMOCK, "all"), (SKIRT, "none"), (SKIRT, "smallest")]
)
def test_a_larger_size_is_never_told_less_cloth(name: str, spare: Spare) -> None:
    """Of the demo's garments; each size's quick lay by itself once told L more than XL."""
    episode = EPISODES[name]
    cloths = tuple(changed(cloth, spare=spare) for cloth in episode.cloths)
    sizes = evaluate(changed(episode, cloths=cloths)).sizes[1:]
    for place in range(len(cloths)):
        plans = [size.lays[place] for size in sizes]
        bought = [plan.purchase for plan in plans if plan.purchase]
        assert len(bought) == 5
        lengths = [purchase.total_mm for purchase in bought]
        assert lengths == pytest.approx(sorted(lengths), abs=HAIR_MM)
        told = [(parse_length(p.metres).mm, parse_length(p.yards).mm) for p in bought]
        assert told == [(max(m for m, _ in told[: i + 1]), max(y for _, y in told[: i + 1]))
                        for i in range(5)]  # fmt: skip
        for plan in plans:
            assert_sound(plan)


def assert_sound(plan: LayPlan) -> None:
    """The plan's lay is one of its own pieces on its own cloth, refused if it does not hold."""
    assert plan.lay and plan.as_cut
    again = lay_from(plan.pieces, plan.as_cut, plan.lay.placements)
    assert again.length_mm == pytest.approx(plan.lay.length_mm)


@pytest.mark.parametrize("seed", SEEDS)
def test_sizes_that_nest_never_buy_less_as_they_grow(seed: int) -> None:
    pieces = hashable(mixed_pieces(seed))
    cloth = EpisodeCloth(width="150 cm", spare=random.Random(seed).choice(SPARES))
    grown = [(f"{by:g}", hashable(scaled(pieces, by))) for by in (1.06, 1.0, 1.02, 1.04)]
    plans = {plan.size: plan for plan in lays_on(cloth, grown)}
    bought = [p.total_mm for size in ("1", "1.02", "1.04", "1.06") if (p := plans[size].purchase)]
    assert len(bought) == 4
    assert bought == pytest.approx(sorted(bought), abs=HAIR_MM)
    for plan in plans.values():
        assert_sound(plan)


def stacked(pieces: tuple[LayPiece, ...], cloth: Cloth) -> Lay:
    """A poor lay: one piece under the other."""
    down, placements = 0.0, []
    for piece in pieces:
        left, top, _, bottom = shapely.Polygon(piece.whole_mm).bounds
        for copy in range(piece.count):
            placements.append(Placement(piece.name, copy, 0.0, False, -left, down - top))
            down += bottom - top
    return lay_from(pieces, cloth, placements)


def test_a_size_whose_own_lay_is_poor_is_laid_as_the_larger_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The skirt's fronts do not nest, their corners stand out by 1 cm: they are slid clear."""
    skirt = EPISODES[SKIRT].model_copy(deep=True)  # laid by no other test
    large = evaluate(skirt).sizes[-2].lays[0].pieces

    def quick(pieces: tuple[LayPiece, ...], cloth: Cloth) -> Lay:
        return stacked(pieces, cloth) if pieces == large else first_lay(pieces, cloth)

    monkeypatch.setattr(size_lays, "quick", quick)
    plan, largest = (size.lays[0] for size in evaluate(skirt).sizes[-2:])
    outside = [match(*both).outside_mm2 for both in zip(large, largest.pieces, strict=True)]
    assert max(outside) > 500
    assert (plan.lent_by, largest.lent_by) == ("XL", "")
    assert plan.lay and largest.lay
    assert plan.lay.length_mm <= largest.lay.length_mm
    assert_sound(plan)


def test_a_kept_lay_of_the_body_on_camera_serves_the_smaller_sizes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Three panels side by side, found by searching, where quick lays lay them in a row."""
    monkeypatch.setattr(size_lays, "quick", stacked)
    sizes = [(str(w), (LayPiece("Panel", tuple(rectangle(w, 500)), 3),)) for w in (320, 300, 280)]
    filmed = sizes[1][1]
    found = first_lay(filmed, cloth_of(METRE))
    places = tuple(
        KeptPlacement(name=p.name, copy_number=p.copy, turn_degrees=p.turn_degrees,
                      flipped=p.flipped, x_mm=p.x_mm, y_mm=p.y_mm)
        for p in found.placements
    )  # fmt: skip
    key = fingerprint(filmed, cloth_of(METRE))
    kept = KeptLay(cloth=METRE.name, key=key, placements=places)
    largest, body, smaller = lays_on(METRE, sizes, (kept,))
    assert [p.lay.length_mm for p in (largest, body, smaller) if p.lay] == [1500, 500, 500]
    assert (body.kept, body.lent_by, body.saved_mm) == (True, "", 1000)
    assert (smaller.kept, smaller.lent_by) == (False, "300")
    assert largest.lent_by == ""


def test_the_plan_and_its_size_table_tell_one_length() -> None:
    for name in (SMOCK, SKIRT):
        plan = evaluate(EPISODES[name])
        assert [lay.purchase for lay in plan.lays] == [lay.purchase for lay in plan.sizes[0].lays]


def test_evaluating_lays_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def lays(*_: object) -> Lay:
        raise AssertionError("laid")

    monkeypatch.setattr(size_lays, "quick", lays)
    plan = evaluate(EPISODES[SMOCK].model_copy(deep=True))  # no other test has laid its pieces
    assert [size.problems for size in plan.sizes] == [()] * 6
    assert not any(thread.page == "cloth" for thread in plan.loose_threads)
    with pytest.raises(AssertionError, match="laid"):
        assert plan.lays[0].lay


# --- The spare -------------------------------------------------------------------------------

FRONT = LayPiece("Front", tuple(rectangle(600, 500)), 1)
POCKET = LayPiece("Pocket", tuple(rectangle(300, 200)), 1)
SLEEVE = LayPiece("Sleeve", tuple(rectangle(600, 400)), 2, pair=True)


def spare_of(*pieces: LayPiece, spare: Spare, risked: tuple[str, ...] = ()) -> tuple[Any, ...]:
    plan = lay_plan(changed(METRE, spare=spare), pieces, risked=risked)
    assert plan.purchase
    assert plan.purchase.spare_mm == plan.spare_mm
    return plan.spare_mm, plan.spare_pieces


def test_a_spare_that_fits_beside_costs_nothing() -> None:
    """Two pockets of 200 mm lie beside a front of 500 mm on a cloth of 1 m."""
    assert spare_of(FRONT, POCKET, spare="smallest") == (0, ("Pocket",))


def test_all_once_more_is_as_long_again() -> None:
    assert spare_of(FRONT, POCKET, spare="all") == (pytest.approx(500), ("Front", "Pocket"))


def test_no_spare_is_no_length() -> None:
    assert spare_of(FRONT, POCKET, spare="none") == (0, ())


def test_of_a_pair_a_left_and_a_right_are_spare() -> None:
    """Each is wider than half the cloth, so two more lie one under the other."""
    assert spare_of(SLEEVE, spare="smallest") == (pytest.approx(800), ("Sleeve",))


def test_the_spare_is_for_the_pieces_that_one_way_steps_cut() -> None:
    """The pocket is the smaller, but only the front is cut in a step that names it."""
    assert spare_of(FRONT, POCKET, spare="smallest", risked=("front",)) == (
        pytest.approx(500),
        ("Front",),
    )
    cut = Step(id="cut", name="Cut", one_way=True, work=(Work(kind="cut", pieces=("Front",)),))
    drawn = Work(kind="draw", pieces=("Pocket",))
    steps = (cut, changed_step(cut, one_way=False, pieces=("Pocket",)))
    assert risked_pieces(steps) == ("Front",)
    assert risked_pieces([cut.model_copy(update={"work": (drawn,)})]) == ()


def changed_step(step: Step, *, one_way: bool, pieces: tuple[str, ...]) -> Step:
    work = (Work(kind="cut", pieces=pieces),)
    return step.model_copy(update={"one_way": one_way, "work": work})


def test_steps_that_name_no_piece_of_this_cloth_leave_all_of_them() -> None:
    assert spare_of(FRONT, POCKET, spare="smallest", risked=("Lining",))[1] == ("Pocket",)


@pytest.mark.parametrize("seed", range(3))
def test_a_spare_is_never_longer_than_laid_alone_and_the_smallest_than_all(seed: int) -> None:
    pieces = hashable(mixed_pieces(seed))
    cloth = EpisodeCloth(width="150 cm")
    smallest, everything = (
        lay_plan(changed(cloth, spare=spare), pieces) for spare in ("smallest", "all")
    )
    alone = first_lay([replace(piece, count=1) for piece in pieces], cloth_of(cloth))
    assert smallest.spare_mm <= everything.spare_mm <= alone.length_mm + 1e-6
    assert everything.spare_mm > 0


def test_what_is_typed_for_squaring_up_is_a_line_of_what_to_buy() -> None:
    plan = lay_plan(changed(METRE, squaring="2 in"), (FRONT,))
    assert plan.purchase and plan.purchase.squaring_mm == pytest.approx(50.8)
    told = lay_plan(changed(METRE, squaring="a bit"), (FRONT,))
    assert told.purchase is None
    assert told.problem.startswith("Main cloth: “a bit” ")
