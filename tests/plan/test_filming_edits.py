"""Places, minutes between them and looks are edited wherever they stand."""

import pytest
from pydantic import ValidationError

from webapp.draft.construction import Minutes
from webapp.errors import NotThereError
from webapp.filming.looks import Look
from webapp.filming.shots import Shot
from webapp.plan.episode import Episode
from webapp.plan.filming_edits import (
    with_look,
    with_minutes_between,
    with_new_look,
    with_place_called,
    with_shot_in,
    without_look,
    without_minutes_between,
)

TABLE, MACHINE, YARD = "Over the table", "At the machine", "In the yard"


@pytest.fixture
def episode() -> Episode:
    shots = [("a", TABLE, ""), ("b", "over the  table", "coat"), ("c", MACHINE, "coat")]
    return Episode(
        id="e",
        title="E",
        looks=(Look(id="coat", name="Under a coat", press="The coat"),),
        shots=tuple(Shot(id=name, title=name, place=at, look=look) for name, at, look in shots),
    )


def minutes(likely: float) -> Minutes:
    return Minutes(low=likely / 2, likely=likely, high=2 * likely)


def _between(episode: Episode) -> list[tuple[str, str, float]]:
    return [(one.one, one.other, one.minutes.likely) for one in episode.place_changes]


def _looks(episode: Episode) -> list[str]:
    return [shot.look for shot in episode.shots]


def test_minutes_between_two_places_are_kept_once_whichever_way(episode: Episode) -> None:
    once = with_minutes_between(episode, TABLE, MACHINE, minutes(4))
    twice = with_minutes_between(once, MACHINE, "over the TABLE", minutes(3))
    assert _between(twice) == [(MACHINE, "over the TABLE", 3)]
    assert without_minutes_between(twice, TABLE, MACHINE) == episode
    assert without_minutes_between(episode, TABLE, YARD) == episode


def test_a_place_is_not_away_from_itself(episode: Episode) -> None:
    with pytest.raises(ValidationError, match="to itself"):
        with_minutes_between(episode, TABLE, "over the table", minutes(4))


def test_a_place_is_renamed_in_every_shot_and_in_its_minutes(episode: Episode) -> None:
    timed = with_minutes_between(episode, MACHINE, TABLE, minutes(4))
    after = with_place_called(timed, TABLE, YARD)
    assert [shot.place for shot in after.shots] == [YARD, YARD, MACHINE]
    assert _between(after) == [(MACHINE, YARD, 4)]


def test_a_place_called_as_another_is_that_place_with_its_minutes(episode: Episode) -> None:
    timed = with_minutes_between(episode, TABLE, YARD, minutes(9))
    timed = with_minutes_between(timed, MACHINE, YARD, minutes(4))
    timed = with_minutes_between(timed, MACHINE, TABLE, minutes(2))
    after = with_place_called(timed, TABLE, MACHINE)
    assert {shot.place for shot in after.shots} == {MACHINE}
    assert _between(after) == [(MACHINE, YARD, 4)]


def test_a_new_look_is_worn_in_the_shots_ticked(episode: Episode) -> None:
    after = with_new_look(
        episode, {"name": "Coat", "made_up": True, "shot a": True, "shot b": False}
    )
    assert [(look.id, look.name, look.made_up) for look in after.looks[1:]] == [
        ("coat-2", "Coat", True)
    ]
    assert _looks(after) == ["coat-2", "coat", "coat"]  # b was never in it: as it was


def test_a_look_is_changed_and_put_on_and_off(episode: Episode) -> None:
    after = with_look(episode, "coat", {"at_hand": "Boots", "shot a": True, "shot c": False})
    assert after.looks[0] == Look(id="coat", name="Under a coat", press="The coat", at_hand="Boots")
    assert _looks(after) == ["coat", "coat", ""]


def test_without_a_look_its_shots_wear_what_she_sews_in(episode: Episode) -> None:
    after = without_look(episode, "coat")
    assert after.looks == ()
    assert _looks(after) == ["", "", ""]


def test_a_shot_is_put_into_a_look(episode: Episode) -> None:
    assert _looks(with_shot_in(episode, "a", "coat")) == ["coat", "coat", "coat"]


def test_what_is_gone_is_told(episode: Episode) -> None:
    with pytest.raises(NotThereError):
        with_look(episode, "gone", {"name": "X"})
    with pytest.raises(NotThereError):
        without_look(episode, "gone")
    with pytest.raises(NotThereError):
        with_shot_in(episode, "gone", "coat")
