"""How much time filming adds to the work: camera places, clothes, takes, checks, batteries.

A shot's minutes are those of getting ready for it after another one (`changeover_minutes`) and
those of filming it once all stands (`filming_minutes`).
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final

from webapp.build.rates import Rate, Rates, table
from webapp.build.work_time import Estimate, product, total
from webapp.filming.looks import Look, PlaceChange, plain_place
from webapp.filming.shots import Pace, Shot

FILMING_RATES: Final = table(
    Rate(
        "first place", "set up camera, light and sound for the first shot", 10, 20, 30, "min",
        "set-up 20: storyguide.net/prodsched-2.html; the range is common practice, no source",
    ),
    Rate("other place", "move the camera, light and focus anew", 3, 6, 15, "min"),
    Rate("same place", "tidy the frame, look at the focus", 0.3, 0.7, 2, "min"),
    Rate("other clothes", "change, and look in the mirror", 4, 8, 15, "min"),
    Rate("made up", "hair and make-up, once a day", 15, 30, 50, "min"),
    Rate("before rolling", "card, battery, focus and spare, before a one-way step", 1, 2, 4, "min"),
    Rate("slowed: real time", "hands slowed and held for the camera", 1.3, 1.8, 3, "× screen time"),
    Rate("slowed: sped up", "only its start and end are held", 1, 1.2, 2, "× screen time"),
    Rate("slowed: talked over", "held now and then", 1.1, 1.5, 2.5, "× screen time"),
    Rate("speeding up", "work that is seen in a second on screen", 4, 8, 16, "s"),
    Rate("retries", "lines said again until they are right", 1.5, 2.5, 5, "× spoken time"),
    Rate("reset", "put work and hands back to the start", 0.3, 0.7, 2, "min a take"),
    Rate("check", "play the take back", 0.2, 0.5, 1, "min a take"),
    Rate("battery: lasts", "a battery, while the camera rolls", 45, 70, 110, "min"),
    Rate("battery: change", "take it out, put the other in", 1, 2, 4, "min"),
    Rate("card: lasts", "a card, while the camera rolls", 40, 80, 160, "min"),
    Rate("card: change", "take it out, label it, put the other in", 1, 2, 5, "min"),
)  # fmt: skip

_FILLED: Final = ("battery", "card")
_SLOWED: Final[Mapping[Pace, str]] = MappingProxyType(
    {
        "real time": "slowed: real time",
        "sped up": "slowed: sped up",
        "talked over": "slowed: talked over",
    }
)


def changeover_minutes(
    before: Shot | None,
    after: Shot,
    *,
    places: Iterable[PlaceChange] = (),
    looks: Mapping[str, Look] = MappingProxyType({}),
    rates: Rates = FILMING_RATES,
    made_up: bool = False,
) -> Estimate:
    """Minutes to get ready for a shot after another one of the same day; None: for the day's first.

    The camera goes to its place, in the minutes of `places` where these say, else by the rates.
    Clothes are changed when the look is another; a shot without a look is filmed in what she
    sews in. For a look that is made up, hair and make-up are done unless those of the shot before
    were, or she is made up already (`made_up`): once a day, whoever keeps count of the day. So
    with `made_up` true it is the least it can be.
    """
    parts = [_to_place(before, after, places, rates)]
    if before is not None and before.look != after.look:
        parts.append(Estimate.of(rates["other clothes"]))
    done = made_up or (before is not None and is_made_up(before, looks))
    if is_made_up(after, looks) and not done:
        parts.append(Estimate.of(rates["made up"]))
    return total(parts)


def is_made_up(shot: Shot, looks: Mapping[str, Look]) -> bool:
    """True when hair and make-up are done for what is worn in it."""
    look = looks.get(shot.look)
    return look is not None and look.made_up


def same_place(one: Shot, other: Shot) -> bool:
    """True where the camera stays where it is."""
    return plain_place(one.place) == plain_place(other.place)


def filming_minutes(
    shot: Shot, screen_s: float, *, spoken_s: float, one_way: bool, rates: Rates = FILMING_RATES
) -> Estimate:
    """Minutes to film a shot once all is set up, from its seconds on screen and of speech.

    A talking shot is said again until it is right; any other is slowed for the camera by its
    pace. `one_way`: the step it shows cannot be taken back, so all is looked at before it rolls.
    """
    take = (_recorded(shot, screen_s, spoken_s, rates), (1, rates["reset"]), (1, rates["check"]))
    parts = [product(shot.takes * minutes, rate) for minutes, rate in take]
    parts += _changing(_rolled(shot, screen_s, spoken_s, rates), rates)
    if one_way:
        parts.append(Estimate.of(rates["before rolling"]))
    return total(parts)


def rolled_minutes(
    shot: Shot, screen_s: float, *, spoken_s: float, rates: Rates = FILMING_RATES
) -> Estimate:
    """Minutes for which the camera rolls in all takes of a shot: what fills batteries and cards.

    In a sped-up shot it rolls through the work as well.
    """
    rolled = _rolled(shot, screen_s, spoken_s, rates)
    return total([product(minutes, rate) for minutes, rate in rolled])


def work_seen_minutes(shot: Shot, screen_s: float, rates: Rates = FILMING_RATES) -> float:
    """Likely minutes of the work that the camera sees: none in what shows no work."""
    if shot.kind != "step":
        return 0.0
    return screen_s / 60 * (rates["speeding up"].likely if shot.pace == "sped up" else 1.0)


def _to_place(
    before: Shot | None, after: Shot, places: Iterable[PlaceChange], rates: Rates
) -> Estimate:
    if before is None:
        return Estimate.of(rates["first place"])
    if same_place(before, after):
        return Estimate.of(rates["same place"])
    for change in places:
        if change.joins(before.place, after.place):
            return Estimate(change.minutes.low, change.minutes.likely, change.minutes.high)
    return Estimate.of(rates["other place"])


def _recorded(shot: Shot, screen_s: float, spoken_s: float, rates: Rates) -> tuple[float, Rate]:
    """What a take adds to the work while the camera rolls: so many times a rate."""
    if shot.kind == "talking":
        return (spoken_s or screen_s) / 60, rates["retries"]
    return screen_s / 60, rates[_SLOWED[shot.pace]]


def _rolled(shot: Shot, screen_s: float, spoken_s: float, rates: Rates) -> list[tuple[float, Rate]]:
    """What the camera records in all takes: what they add, and the work it rolls through."""
    minutes, rate = _recorded(shot, screen_s, spoken_s, rates)
    rolled = [(shot.takes * minutes, rate)]
    if shot.pace == "sped up" and shot.kind != "talking":
        rolled.append((shot.takes * screen_s / 60, rates["speeding up"]))
    return rolled


def _changing(rolled: Iterable[tuple[float, Rate]], rates: Rates) -> list[Estimate]:
    """A shot's share of changing batteries and cards: as much as it fills of them."""
    return [
        product(minutes, rate, rates[f"{what}: change"], over=[rates[f"{what}: lasts"]])
        for minutes, rate in rolled
        for what in _FILLED
    ]
