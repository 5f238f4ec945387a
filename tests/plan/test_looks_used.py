"""Places, looks and the changes between them are counted as they are filmed."""

import math
import random
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from webapp.build.rates import OwnRate, Rate
from webapp.build.work_time import TENTH, Estimate
from webapp.draft.construction import Minutes, Step, Work
from webapp.draft.recipe import Recipe
from webapp.filming.filming_time import filming_minutes
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shoot_days import ShootDay
from webapp.filming.shots import Filmed, Shot
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.looks_used import (
    between_places,
    change_times,
    enough_of,
    getting_ready,
    in_what_she_sews_in,
    looks_used,
    places_used,
    rolling,
)

TABLE, MACHINE, YARD = "Over the table", "At the machine", "In the yard"
SHOTS = (
    ("a", TABLE, ""),
    ("b", MACHINE, ""),
    ("c", "over  the TABLE", ""),
    ("d", YARD, "smock"),
    ("e", YARD, "coat"),
)
LOOKS = (
    Look(id="bare", name="Of no shot"),
    Look(id="coat", name="Under a coat", made_up=True),
    Look(id="smock", name="The smock", press="The smock\nA shirt", at_hand="Boots", made_up=True),
)


def rate(key: str, minutes: float) -> OwnRate:
    return OwnRate(key=key, low=minutes, likely=minutes, high=minutes)


RATES = (
    rate("first place", 20),
    rate("other place", 6),
    rate("same place", 1),
    rate("other clothes", 8),
    rate("made up", 30),
)


def episode(*days: ShootDay, filmed: str = "", **fields: Any) -> Episode:
    shots = tuple(
        Shot(
            id=name,
            title=name,
            kind="styling" if look else "talking",
            place=place,
            look=look,
            filmed=Filmed() if name == filmed else None,
        )
        for name, place, look in SHOTS
    )
    kept: Mapping[str, Any] = {"shots": shots, "looks": LOOKS, "rates": RATES, **fields}
    return Episode(id="e", title="E", shoot_days=days, **kept)


def day(number: int, *shots: str) -> ShootDay:
    return ShootDay(day=date(2027, 5, number), shots=shots)


def test_a_place_is_one_however_it_is_typed() -> None:
    used = places_used(evaluate(episode()))
    assert [(place.name, [row.shot.id for row in place.shots]) for place in used] == [
        (TABLE, ["a", "c"]),
        (MACHINE, ["b"]),
        (YARD, ["d", "e"]),
    ]


def test_the_pairs_between_which_the_camera_moves_most_come_first() -> None:
    """As listed: table, machine, table, yard, yard."""
    pairs = between_places(evaluate(episode()))
    assert [(pair.one, pair.other, pair.moves) for pair in pairs] == [
        (TABLE, MACHINE, 2),
        (TABLE, YARD, 1),
        (MACHINE, YARD, 0),
    ]
    assert pairs[0].minutes == Estimate(6, 6, 6)
    assert pairs[0].all.likely == 12
    assert not any(pair.own for pair in pairs)


def test_her_own_minutes_between_two_places_stand_in_the_place_of_the_rates() -> None:
    own = PlaceChange(one=MACHINE, other=TABLE, minutes=Minutes(low=1, likely=2, high=4))
    plan = evaluate(episode(place_changes=(own,)))
    first = between_places(plan)[0]
    assert (first.own, first.minutes) == (True, Estimate(1, 2, 4))
    before = evaluate(episode())
    moved = [
        one.filming.likely - other.filming.likely
        for one, other in zip(before.shots, plan.shots, strict=True)
    ]
    assert [round(minutes) for minutes in moved] == [0, 4, 4, 0, 0]


def test_getting_ready_by_hand() -> None:
    """20 first; to the machine, back and to the yard 3 x 6; 1 in the yard; 2 changes of clothes
    of 8; hair and make-up once, 30: 85 minutes."""
    ready = getting_ready(evaluate(episode()))
    assert (ready.moves, ready.changes, ready.made_up) == (3, 2, 1)
    assert (ready.runs, ready.by_day) == (1, False)
    assert ready.minutes.likely == pytest.approx(20 + 18 + 1 + 16 + 30)


def test_getting_ready_follows_the_shoot_days_once_there_are_any() -> None:
    """Two mornings; machine to table on the first, coat to smock on the second; made up once."""
    plan = evaluate(episode(day(2, "e", "d"), day(1, "b", "a", "c", "gone")))
    ready = getting_ready(plan)
    assert (ready.runs, ready.by_day) == (2, True)
    assert (ready.moves, ready.changes, ready.made_up) == (1, 1, 1)
    assert ready.minutes.likely == pytest.approx((20 + 6 + 1) + (20 + 30 + 1 + 8))
    assert between_places(plan)[0].moves == 1


def test_her_times_of_filming_move_what_a_change_takes_as_they_do_on_the_days() -> None:
    """Half as long again: 9 min for 6, two moves 18; 3 for her own 2; 30 for the first place. The
    likely minutes added are those that the days tell, and what she typed stays as typed."""
    own = PlaceChange(one=TABLE, other=YARD, minutes=Minutes(low=1, likely=2, high=4))
    plan = evaluate(episode(day(1, "a", "b", "c"), day(2, "d"), place_changes=(own,)))
    slow = replace(plan.learned["filming"], factor=1.5)
    plan = replace(plan, learned={**plan.learned, "filming": slow})
    machine, yard, _ = between_places(plan)
    assert machine.minutes.likely == 6
    assert machine.taken.likely == pytest.approx(9)
    assert machine.moves == 2
    assert machine.all.likely == pytest.approx(18)
    assert yard.minutes == Estimate(1, 2, 4)
    assert yard.taken.likely == pytest.approx(3)
    (first,) = change_times(plan, "first place")
    assert first.rate.likely == 20
    assert first.taken.likely == pytest.approx(30)
    ready = getting_ready(plan)
    assert ready.added == pytest.approx(1.5 * (20 + 6 + 6 + 20 + 30))
    assert ready.added == pytest.approx(sum(one.changing for one in plan.days))
    assert (ready.left, ready.filmed) == (1, 0)


def test_moves_are_added_as_the_whole_is() -> None:
    """Each may be late for itself: the range of four is narrower than four times that of one, and
    their mean, by the three-point rule, is four times 0.3 × 3 + 0.4 × 6 + 0.3 × 15 = 7.8 min."""
    shots = tuple(
        Shot(id=f"s{n}", title="S", kind="talking", place=(TABLE, MACHINE)[n % 2]) for n in range(5)
    )
    (pair,) = between_places(evaluate(episode(shots=shots, rates=())))
    assert pair.all.mean == pytest.approx(4 * 7.8)
    assert 4 * 3 < pair.all.low < 4 * 6 < pair.all.likely < pair.all.high < 4 * 15


def test_looks_stand_as_they_are_worn_with_the_days_they_are_needed_on() -> None:
    plan = evaluate(episode(day(2, "e", "a"), day(1, "d", "e"), filmed="d"))
    smock, coat, bare = looks_used(plan)
    assert smock.look.id == "smock"
    assert (smock.press, smock.at_hand) == (("The smock", "A shirt"), ("Boots",))
    assert smock.days == ()  # its only shot is filmed
    assert coat.days == (date(2027, 5, 1), date(2027, 5, 2))
    assert bare.shots == ()
    assert [row.shot.id for row in in_what_she_sews_in(plan)] == ["a", "b", "c"]


def test_batteries_and_cards_are_enough_for_what_rolls_on_a_day() -> None:
    """4 s on screen each, 30 times as long: 2 min a shot; batteries of 3 min, cards of 10. On the
    first day 4 min roll: 2 batteries and 1 card; on the second, with a shot filmed, 2 min."""
    own = (rate("slowed: real time", 30), rate("retries", 30), rate("battery: lasts", 3))
    made = episode(
        day(1, "d", "e"), day(2, "a", "b"), filmed="a", rates=(*own, rate("card: lasts", 10))
    )
    found = rolling(evaluate(made))
    assert [(one.day, one.batteries, one.cards) for one in found] == [
        (date(2027, 5, 1), 2, 1),
        (date(2027, 5, 2), 1, 1),
    ]
    assert [round(one.minutes.likely, 6) for one in found] == [4, 2]
    (listed,) = rolling(evaluate(episode()))
    assert listed.day is None


def test_nothing_is_there_to_get_ready_for_without_shots() -> None:
    plan = evaluate(episode(shots=()))
    assert not places_used(plan)
    assert not between_places(plan)
    assert not rolling(plan)
    assert getting_ready(plan).minutes == Estimate()


def test_the_work_that_no_shot_shows_is_what_the_screen_does_not_hold() -> None:
    """A hem of 30 min: 2 min of it on screen leave 28; 1 min of it eight times as fast leaves 22;
    without a shot all of it is unseen."""
    work = Work(kind="other", minutes=Minutes(low=20, likely=30, high=60))
    garment = Recipe(id="g", name="G", steps=(Step(id="hem", name="Hem", work=(work,)),))
    shot = Shot(id="s", title="S", step="hem", screen_seconds=120)
    fast = changed(shot, pace="sped up", screen_seconds=60)

    def unseen(*shots: Shot) -> Estimate:
        made = episode(garments=(garment,), shots=shots, rates=(rate("speeding up", 8),))
        return evaluate(made).steps[0].unseen

    assert unseen().likely == pytest.approx(30)
    assert unseen(shot).likely == pytest.approx(28)
    assert unseen(shot).high == pytest.approx(56)
    assert unseen(fast).likely == pytest.approx(22)
    assert unseen(changed(shot, screen_seconds=3600)).likely == 0


@pytest.mark.parametrize(("low", "likely", "high"), [(45, 70, 110), (40, 80, 160), (20, 60, 65)])
@pytest.mark.parametrize("rolls", [Estimate(15, 30, 70), Estimate(60, 110, 220)])
def test_batteries_are_enough_9_times_in_10_and_one_fewer_is_not(
    rolls: Estimate, low: float, likely: float, high: float
) -> None:
    """Against 20,000 draws (seeded) of how long the camera rolls and how long batteries last."""
    count = enough_of(Rate("battery: lasts", "", low, likely, high, "min"), rolls)
    chance = random.Random(count)

    def filled() -> float:
        off = chance.gauss(0, 1) / TENTH
        minutes = rolls.likely + off * (
            rolls.high - rolls.likely if off > 0 else rolls.likely - rolls.low
        )
        off = chance.gauss(0, 1) / TENTH
        return minutes / (likely * math.pow(high / likely if off > 0 else likely / low, off))

    draws = [filled() for _ in range(20_000)]
    assert sum(one <= count for one in draws) / 20_000 >= 0.89
    assert sum(one <= count - 1 for one in draws) / 20_000 < 0.91


def test_what_lasts_for_no_time_to_speak_of_is_counted_too() -> None:
    """The seventh part of a minute of a rate as low as can be: 2,000 minutes need 14,000."""
    short = Rate("battery: lasts", "", 1 / 7, 1 / 7, 1 / 7, "min")
    assert enough_of(short, Estimate(2000, 2000, 2000)) == 14_000
    assert enough_of(short, Estimate()) == 0


def test_who_is_slow_at_getting_ready_is_so_all_day() -> None:
    """What is not known of her pace does not even out over ten shots: the range is wider than
    that of ten independent changes, which is narrower by the root of ten."""
    shots = tuple(
        Shot(id=f"s{n}", title="S", kind="talking", place=(TABLE, MACHINE)[n % 2])
        for n in range(10)
    )
    plan = evaluate(episode(shots=shots, rates=()))
    all_day, once = getting_ready(plan).minutes, plan.shots[1].ready
    assert all_day.deviation / all_day.mean > 1.3 * once.deviation / once.mean / 10**0.5


def test_a_shot_takes_what_getting_ready_and_filming_take() -> None:
    """4 s on screen, said 30 times: 2 min; and 6 min to the next place: 8."""
    made = episode(rates=(rate("retries", 30), rate("other place", 6), rate("reset", 0.01)))
    second = evaluate(made).shots[1]
    filmed = filming_minutes(second.shot, 4, spoken_s=0, one_way=False, rates=evaluate(made).rates)
    assert second.ready.likely == 6
    assert second.filming.mean == pytest.approx(6 + filmed.mean)
    assert filmed.mean > 2
