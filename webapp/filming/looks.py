"""Looks and camera places: what is worn, what a change of it takes, and how long moving takes."""

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
