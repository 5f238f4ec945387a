"""Filming adds time for each camera place, each take and each shot of a one-way step."""

from typing import Any, get_args

import pytest

from webapp.build.rates import Rate
from webapp.build.work_time import Estimate, total
from webapp.draft.construction import Minutes
from webapp.filming.filming_time import (
    FILMING_RATES,
    changeover_minutes,
    filming_minutes,
    work_seen_minutes,
)
from webapp.filming.looks import Look, PlaceChange
from webapp.filming.shots import Pace, Shot, ShotKind


def shot(**fields: Any) -> Shot:
    return Shot.model_validate(
        {"id": "a", "title": "Bind the neck", "place": "At the machine"} | fields
    )


def flat(**figures: float) -> dict[str, Rate]:
    """Every rate as good as nought, but for the ones given (no range); batteries last for ever."""
    nought = {key: 1e12 if key.endswith("lasts") else 1e-12 for key in FILMING_RATES}
    return {key: fixed(key, figures.get(key, nought[key])) for key in FILMING_RATES}


def fixed(key: str, figure: float) -> Rate:
    return Rate(key, "as given", figure, figure, figure, "-")


def minutes(
    a_shot: Shot,
    screen_s: float = 60,
    before: str | None = "At the machine",
    *,
    spoken_s: float = 60,
    one_way: bool = False,
    rates: dict[str, Rate] | None = None,
) -> Estimate:
    rates = dict(FILMING_RATES) if rates is None else rates
    earlier = None if before is None else a_shot.model_copy(update={"place": before})
    return total(
        [
            changeover_minutes(earlier, a_shot, rates=rates),
            filming_minutes(a_shot, screen_s, spoken_s=spoken_s, one_way=one_way, rates=rates),
        ]
    )


def test_only_a_change_of_place_asks_for_a_new_set_up() -> None:
    rates = flat(**{"first place": 20, "other place": 6, "same place": 1})
    for before, expected in (
        (None, 20),
        ("Over the table", 6),
        ("At the machine", 1),
        (" at The  machine", 1),
    ):
        assert minutes(shot(), before=before, rates=rates).likely == pytest.approx(expected)


def test_every_take_is_slowed_reset_and_checked() -> None:
    """Three takes of 30 s at 2 times, 1 min to reset and 0.5 to check: 3 x 2.5 min."""
    rates = flat(**{"slowed: real time": 2, "reset": 1, "check": 0.5})
    assert minutes(shot(takes=3), 30, rates=rates).likely == pytest.approx(7.5)


@pytest.mark.parametrize("pace", get_args(Pace))
def test_each_pace_slows_the_hands_by_its_own_rate(pace: Pace) -> None:
    rates = flat(**{f"slowed: {pace}": 3})
    assert minutes(shot(pace=pace), 120, rates=rates).likely == pytest.approx(6)


def test_a_talking_shot_is_said_again_and_not_slowed() -> None:
    """Two takes of 90 s spoken, 2 times each: 6 min, whatever its time on screen."""
    rates = flat(**{"retries": 2, "slowed: real time": 50})
    talking = shot(kind="talking", takes=2)
    assert minutes(talking, 10, spoken_s=90, rates=rates).likely == pytest.approx(6)
    assert minutes(talking, 30, spoken_s=0, rates=rates).likely == pytest.approx(2)


def test_a_one_way_step_is_checked_before_the_camera_rolls() -> None:
    rates = flat(**{"before rolling": 2})
    assert minutes(shot(), one_way=True, rates=rates).likely == pytest.approx(2)
    assert minutes(shot(), rates=rates).likely == pytest.approx(0, abs=1e-9)


def test_batteries_and_cards_are_changed_for_the_minutes_the_camera_rolls() -> None:
    """5 takes of 2 min at 3 times fill half a battery of 60 min and a quarter of a card of 120:
    half of 4 min and a quarter of 8."""
    rates = flat(
        **{
            "slowed: real time": 3,
            "battery: lasts": 60,
            "battery: change": 4,
            "card: lasts": 120,
            "card: change": 8,
        }
    )
    rolled = 5 * 2 * 3
    assert minutes(shot(takes=5), 120, rates=rates).likely == pytest.approx(rolled + 2 + 2)


def test_a_sped_up_shot_rolls_through_the_work_it_shows() -> None:
    """A minute on screen, 8 times as fast: 8 min of a battery of 60, a change of 15 min: 2 min."""
    rates = flat(**{"speeding up": 8, "battery: lasts": 60, "battery: change": 15})
    assert minutes(shot(pace="sped up"), rates=rates).likely == pytest.approx(2)
    assert minutes(shot(), rates=rates).likely == pytest.approx(0, abs=1e-9)


def test_what_is_changed_for_rolling_is_ranged_as_its_three_rates_together() -> None:
    """By hand: 4 min 22.5 s eight times as fast are 35 min, half a battery of 70: 1 min of 2. Down
    go ln 2 twice and ln(110 / 70) = 0.4520, together 1.0795: 1 / 2.9431. Up go ln 2 twice and
    ln(70 / 45) = 0.4418, together 1.0752: 2.9307."""
    ranged = ("speeding up", "battery: change", "battery: lasts")
    rates = flat() | {key: FILMING_RATES[key] for key in ranged}
    found = minutes(shot(pace="sped up"), 262.5, rates=rates)
    assert (found.low, found.likely, found.high) == pytest.approx((0.3398, 1, 2.9307), abs=1e-4)


def test_the_camera_sees_as_much_work_as_is_on_screen_and_more_where_it_is_sped_up() -> None:
    rates = flat(**{"speeding up": 8})
    assert work_seen_minutes(shot(), 90, rates) == 1.5
    assert work_seen_minutes(shot(pace="talked over", takes=3), 90, rates) == 1.5
    assert work_seen_minutes(shot(pace="sped up"), 90, rates) == 12
    for kind in ("talking", "styling", "cutaway"):
        assert work_seen_minutes(shot(kind=kind), 90, rates) == 0


# --- Getting ready for a shot after another one ----------------------------------------------

LOOKS = {
    look.id: look
    for look in (
        Look(id="smock", name="The smock", made_up=True),
        Look(id="coat", name="The smock under a coat", made_up=True),
        Look(id="apron", name="The apron"),
    )
}
RATES = flat(
    **{
        "first place": 20,
        "other place": 6,
        "same place": 1,
        "other clothes": 8,
        "made up": 30,
    }
)


def ready(
    before: Shot | None, after: Shot, *places: PlaceChange, made_up: bool = False
) -> Estimate:
    return changeover_minutes(
        before, after, places=places, looks=LOOKS, rates=RATES, made_up=made_up
    )


def test_clothes_are_changed_when_the_look_is_another() -> None:
    plain, apron = shot(), shot(look="apron")
    assert ready(plain, apron).likely == pytest.approx(1 + 8)
    assert ready(apron, plain).likely == pytest.approx(1 + 8)
    assert ready(apron, apron).likely == pytest.approx(1)
    assert ready(None, apron).likely == pytest.approx(20)  # put on in the morning


def test_hair_and_make_up_are_done_once() -> None:
    plain, smock, coat = shot(), shot(look="smock"), shot(look="coat")
    assert ready(None, smock).likely == pytest.approx(20 + 30)
    assert ready(plain, smock).likely == pytest.approx(1 + 8 + 30)
    assert ready(smock, coat).likely == pytest.approx(1 + 8)
    assert ready(plain, smock, made_up=True).likely == pytest.approx(1 + 8)
    assert ready(None, smock, made_up=True).likely == pytest.approx(20)


def test_a_look_that_is_not_there_is_other_clothes_and_not_made_up() -> None:
    assert ready(shot(), shot(look="gone")).likely == pytest.approx(1 + 8)


def test_minutes_between_two_places_hold_both_ways_and_for_no_others() -> None:
    near = PlaceChange(
        one="At the machine",
        other="At the ironing board",
        minutes=Minutes(low=1, likely=2, high=4),
    )
    machine, board, table = (
        shot(place=place) for place in ("at the  Machine", "At the ironing board", "Over the table")
    )
    for one, other in ((machine, board), (board, machine)):
        assert ready(one, other, near) == Estimate(1, 2, 4)
    assert ready(machine, table, near).likely == pytest.approx(6)
    assert ready(machine, machine, near).likely == pytest.approx(1)
    assert ready(None, board, near).likely == pytest.approx(20)


@pytest.mark.parametrize("kind", get_args(ShotKind))
def test_more_takes_seconds_places_and_care_take_longer(kind: ShotKind) -> None:
    plain = minutes(shot(kind=kind))
    assert 0 < plain.low < plain.likely < plain.high
    longer = [
        minutes(shot(kind=kind, takes=2)),
        minutes(shot(kind=kind), 120, spoken_s=120),
        minutes(shot(kind=kind), before="Over the table"),
        minutes(shot(kind=kind), one_way=True),
    ]
    for other in longer:
        assert other.mean > plain.mean


def test_the_first_set_up_takes_the_published_time() -> None:
    """storyguide.net/prodsched-2.html: gear check 30 min, set up 20 min."""
    first = FILMING_RATES["first place"]
    assert first.likely == 20
    assert first.high <= 30
