"""The body measures a recipe may ask for, how each is taken, and what a body can be.

Names and definitions follow ISO 8559-1:2017 (from memory) and EN 13402-1; where ours differ the
note says so. The ranges only catch slips of the pen: they are wider than any adult or child.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.units import System, both, parse_length


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure: its name in expressions, how to take it, its plausible range in mm."""

    name: str
    how: str
    least_mm: float
    most_mm: float


MEASURES: Final[dict[str, Measure]] = {
    measure.name: measure
    for measure in (
        Measure("height", "Standing straight, without shoes.", 450, 2300),
        Measure("head", "Around the head, level, just above the ears.", 350, 700),
        Measure("neck", "Around the base of the neck.", 200, 700),
        Measure("bust", "Around the fullest part of the chest, under the arms.", 350, 2000),
        Measure("waist", "Around, midway between the lowest rib and the hip bone.", 350, 2000),
        Measure("hip", "Around the fullest part of the seat.", 350, 2000),
        Measure("shoulder width", "Across the back from shoulder bone to shoulder bone.", 180, 700),
        Measure("back length", "From the bone at the back of the neck to the waist.", 180, 650),
        Measure("arm length", "From the shoulder bone over a bent elbow to the wrist.", 180, 900),
        Measure("upper arm", "Around the fullest part, the arm hanging.", 100, 700),
        Measure("wrist", "Around the wrist bone.", 80, 350),
        Measure("rise", "From waist to seat, sitting on a flat chair.", 100, 500),
        Measure("inside leg", "From the crotch to the floor.", 150, 1200),
    )
}

# Which of two measures is the smaller on nearly every body; common practice, no source. It is a
# doubt and no refusal: there are bellies, and heads of newborns.
_SMALLER_THAN: Final = (
    ("waist", "hip"),
    ("head", "bust"),
    ("neck", "head"),
    ("wrist", "upper arm"),
    ("arm length", "height"),
    ("back length", "height"),
    ("inside leg", "height"),
)


def doubts(typed: Mapping[str, str], first: System) -> Iterator[tuple[str, str]]:
    """Measures that hardly one body has together: the one to look at and a sentence, for each."""
    found = {}
    for name, text in typed.items():
        try:
            found[name] = parse_length(text, None).mm
        except ValueError:
            continue
    for less, more in _SMALLER_THAN:
        if less in found and more in found and found[more] < found[less]:
            yield (
                more,
                f"Measure again? The {more}, {both(found[more], first)}, is less than the {less}, "
                f"{both(found[less], first)}.",
            )
