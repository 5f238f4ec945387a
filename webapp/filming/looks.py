"""Looks and camera places: what is worn, what a change of it takes, and how long moving takes."""

from functools import lru_cache

from pydantic import model_validator

from webapp.draft.construction import Id, LongText, Minutes, Name
from webapp.draft.recipe import Frozen


class Look(Frozen):
    """What is worn on camera: the finished piece styled, or the clothes she sews in."""

    id: Id
    name: Name
    press: LongText = ""  # what must be pressed, a line each
    at_hand: LongText = ""  # shoes, a belt, a bag: a line each
    made_up: bool = False  # hair and make-up are done for it


class PlaceChange(Frozen):
    """Minutes to move the camera between two places, either way."""

    one: Name
    other: Name
    minutes: Minutes

    @model_validator(mode="after")
    def _goes_somewhere(self) -> "PlaceChange":
        if plain_place(self.one) == plain_place(self.other):
            raise ValueError(f"From “{self.one}” to itself the camera does not move.")
        if not self.minutes.low <= self.minutes.likely <= self.minutes.high:
            raise ValueError(
                f"From “{self.one}” to “{self.other}”: the minutes should rise from the least "
                "to the most."
            )
        return self

    def joins(self, place: str, other: str) -> bool:
        """True when it is between these two places, whichever way the camera goes."""
        own = {plain_place(self.one), plain_place(self.other)}
        return own == {plain_place(place), plain_place(other)}


@lru_cache(maxsize=1000)
def plain_place(place: str) -> str:
    """A place as it is told from others: capitals and further spaces make none of their own."""
    return " ".join(place.lower().split())


def lines_of(text: str) -> tuple[str, ...]:
    """What is listed in a text, a line each; empty lines say nothing."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())
