"""How much time filming adds to the work: camera places, takes, checks, cards and batteries."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from webapp.build.rates import Rate, Rates, table
from webapp.build.work_time import Estimate, total
from webapp.filming.shots import Pace, Shot

FILMING_RATES: Final = table(
    Rate(
        "first place", "set up camera, light and sound for the first shot", 10, 20, 30, "min",
        "set-up 20: storyguide.net/prodsched-2.html; the range is common practice, no source",
    ),
    Rate("other place", "move the camera, light and focus anew", 3, 6, 15, "min"),
    Rate("same place", "tidy the frame, look at the focus", 0.3, 0.7, 2, "min"),
    Rate("before rolling", "card, battery, focus and spare, before a one-way step", 1, 2, 4, "min"),
    Rate("slowed: real time", "hands slowed and held for the camera", 1.3, 1.8, 3, "× screen time"),
    Rate("slowed: sped up", "only its start and end are held", 1, 1.2, 2, "× screen time"),
    Rate("slowed: talked over", "held now and then", 1.1, 1.5, 2.5, "× screen time"),
    Rate("retries", "lines said again until they are right", 1.5, 2.5, 5, "× spoken time"),
    Rate("reset", "put work and hands back to the start", 0.3, 0.7, 2, "min a take"),
    Rate("check", "play the take back", 0.2, 0.5, 1, "min a take"),
    Rate("cards and batteries", "a shot's share of changing them", 0.2, 0.4, 1, "min a shot"),
)  # fmt: skip

_SLOWED: Final[Mapping[Pace, str]] = MappingProxyType(
    {
        "real time": "slowed: real time",
        "sped up": "slowed: sped up",
        "talked over": "slowed: talked over",
    }
)


def shot_minutes(
    shot: Shot,
    screen_s: float,
    place_before: str | None,
    *,
    spoken_s: float,
    one_way: bool,
    rates: Rates = FILMING_RATES,
) -> Estimate:
    """Minutes one shot adds, from its seconds on screen and of speech, and the place before it.

    `place_before` is None for the first shot. A talking shot is said again until it is right; any
    other is slowed for the camera by its pace. `one_way`: the step it shows cannot be taken back.
    """
    if shot.kind == "talking":
        recorded = _estimate(rates["retries"]).times((spoken_s or screen_s) / 60)
    else:
        recorded = _estimate(rates[_SLOWED[shot.pace]]).times(screen_s / 60)
    take = total(
        [
            recorded,
            _estimate(rates["reset"]),
            _estimate(rates["check"]),
        ]
    )
    parts = [
        _estimate(rates[_setting_up(shot.place, place_before)]),
        take.times(shot.takes),
        _estimate(rates["cards and batteries"]),
    ]
    if one_way:
        parts.append(_estimate(rates["before rolling"]))
    return total(parts)


def _setting_up(place: str, place_before: str | None) -> str:
    if place_before is None:
        return "first place"
    return "same place" if _plain(place) == _plain(place_before) else "other place"


def _plain(place: str) -> str:
    return " ".join(place.lower().split())


def _estimate(rate: Rate) -> Estimate:
    return Estimate(rate.low, rate.likely, rate.high)
