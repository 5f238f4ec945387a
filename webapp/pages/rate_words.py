"""What each rate is called on the pages: the act, so that it can be read without its key."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from webapp.filming.every_rate import EVERY_RATE

_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "draw: figure": "Measure and mark a figure",
        "draw: line": "Draw a cut line",
        "cut: scissors": "Cut along a line with scissors",
        "cut: rotary cutter": "Cut along a line with a rotary cutter",
        "machine: speed": "Stitches of a domestic machine",
        "machine: share": "Share of a seam’s time that the machine runs",
        "machine: handling": "Place the seam, fasten both ends, take it out",
        "overlock: speed": "Stitches of a domestic overlocker",
        "overlock: handling": "Place the seam, chain off, secure the tail",
        "hand: plain": "Plain stitch, in and out",
        "hand: running stitch": "Running stitch, several on the needle",
        "hand: tacking": "Tacking, long, in single thread",
        "hand: backstitch": "Backstitch, each set back by its length",
        "hand: slip stitch": "Slip stitch: catch a thread, run in the fold",
        "hand: hemming stitch": "Hemming stitch, slanting over the fold",
        "hand: overcast": "Overcast, over the edge",
        "hand: buttonhole stitch": "Buttonhole stitch, with a purl at each",
        "hand length: plain": "Length of a plain stitch",
        "hand length: running stitch": "Length of a running stitch",
        "hand length: tacking": "Length of a tacking stitch",
        "hand length: backstitch": "Length of a backstitch",
        "hand length: slip stitch": "Length of a slip stitch",
        "hand length: hemming stitch": "Length of a hemming stitch",
        "hand length: overcast": "Length of an overcast stitch",
        "hand length: buttonhole stitch": "Length of a buttonhole stitch",
        "press: handling": "Lay on the ironing board, take off",
        "before rolling": "Check card, battery, focus and spare before what cannot be taken back",
        "slowed: real time": "Seen in real time: hands slowed and held for the camera",
        "slowed: sped up": "Seen sped up: only its start and end are held",
        "slowed: talked over": "Seen talked over: held now and then",
        "speeding up": "Work that a second on screen shows, sped up",
        "battery: lasts": "A battery lasts, while the camera rolls",
        "battery: change": "Change the battery",
        "card: lasts": "A card lasts, while the camera rolls",
        "card: change": "Change the card and label it",
        "speaking": "Narrate at an easy pace",
        "voice-over": "Say it at the desk until it is right, and listen to it",
        "editing": "Edit a finished minute, from rough cut to polish",
    }
)


def rate_name(key: str) -> str:
    """What a rate is called: the act it is of; the key itself where the table has none."""
    what = EVERY_RATE[key].what if key in EVERY_RATE else key
    return _NAMES.get(key) or f"{what[:1].upper()}{what[1:]}"


def rate_called(key: str) -> str:
    """The same within a sentence."""
    name = rate_name(key)
    return f"{name[:1].lower()}{name[1:]}"
