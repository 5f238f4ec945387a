"""Filming adds time for each camera place, each take and each shot of a one-way step."""

from typing import Any, get_args

import pytest

from webapp.build.rates import Rate
from webapp.build.work_time import Estimate
from webapp.filming.filming_time import FILMING_RATES, shot_minutes
from webapp.filming.shots import Pace, Shot, ShotKind


def shot(**fields: Any) -> Shot:
    return Shot.model_validate(
        {"id": "a", "title": "Bind the neck", "place": "At the machine"} | fields
    )


def flat(**figures: float) -> dict[str, Rate]:
    """Every rate as good as nought, but for the ones given (no range)."""
    return {key: fixed(key, figures.get(key, 1e-12)) for key in FILMING_RATES}


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
    return shot_minutes(a_shot, screen_s, before, spoken_s=spoken_s, one_way=one_way, rates=rates)


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


def test_every_shot_has_its_share_of_cards_and_batteries() -> None:
    rates = flat(**{"cards and batteries": 0.4})
    assert minutes(shot(takes=5), rates=rates).likely == pytest.approx(0.4)


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
