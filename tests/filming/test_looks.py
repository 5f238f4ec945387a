"""Looks and camera places hold together, or say why not."""

import pytest
from pydantic import ValidationError

from webapp.draft.construction import Minutes
from webapp.filming.looks import PlaceChange, lines_of


def change(one: str, other: str, *minutes: float) -> PlaceChange:
    low, likely, high = minutes
    return PlaceChange(one=one, other=other, minutes=Minutes(low=low, likely=likely, high=high))


def test_a_change_joins_two_places_whichever_way_and_however_typed() -> None:
    near = change("At the machine", "Over the table", 1, 2, 3)
    assert near.joins("over the  TABLE", "At the machine")
    assert near.joins("At the machine", "Over the table")
    assert not near.joins("At the machine", "At the machine")
    assert not near.joins("At the machine", "In the yard")


def test_from_a_place_to_itself_nothing_moves() -> None:
    with pytest.raises(ValidationError, match="“Over the table” to itself"):
        change("Over the table", "over  the table", 1, 2, 3)


def test_minutes_that_fall_are_refused() -> None:
    with pytest.raises(ValidationError, match="rise from the least to the most"):
        change("Over the table", "In the yard", 3, 2, 1)


def test_what_is_listed_is_a_line_each() -> None:
    assert lines_of(" Shoes\n\n  brown belt \n") == ("Shoes", "brown belt")
