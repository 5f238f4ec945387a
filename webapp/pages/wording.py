"""Numbers as the pages say them."""

import math
import re
from collections.abc import Sequence
from typing import Final

from webapp.build.work_time import Estimate, minutes
from webapp.cloth.weight import both_weights, read_weight
from webapp.cloth.yardage import Purchase
from webapp.draft.expressions import Names, read
from webapp.draft.words import Sentence
from webapp.errors import FigureError
from webapp.units import (
    System,
    both,
    both_as_cut,
    both_called,
    centimetres,
    in_order,
    inches,
    parse_length,
    sum_as_printed,
)

_WITHIN_A_FIGURE: Final = re.compile(
    r"(?<=\d) (?=\d+/\d+ )|(?<=\d) (?=(?:in|yd|mm|cm|m|%|g/m²|oz/yd²)(?!\w))"
)


def about(estimate: Estimate) -> str:
    """An estimate as a likely figure and its range: `25 min (18 min to 40 min)`."""
    if estimate.high == 0:
        return "no time"
    return f"{minutes(estimate.likely)} ({minutes(estimate.low)} to {minutes(estimate.high)})"


def usually(estimate: Estimate) -> str:
    """The range of an estimate, in which 4 of 5 fall: `usually 18 min to 40 min`."""
    return f"usually {minutes(estimate.low)} to {minutes(estimate.high)}"


def ended(text: str) -> str:
    """The text as a sentence that another one can follow."""
    plain = text.strip()
    return f"{plain}." if plain and plain[-1] not in ".!?…" else plain


def unbroken(text: str) -> str:
    """The text with each number kept on one line with its unit; it may break before a bracket."""
    return re.sub(r" (?!\()", "\u00a0", text)


def whole(text: str) -> str:
    r"""A text of words with each figure in it kept on one line with its unit.

    >>> whole("It takes 28 1/2 in (72.5 cm).").split(" ")
    ['It', 'takes', '28\xa01/2\xa0in', '(72.5\xa0cm).']
    """
    return _WITHIN_A_FIGURE.sub("\u00a0", text)


def whole_in_order(sentence: str, first: System) -> str:
    """A sentence in the order of an episode's units, each figure in it kept on one line."""
    return whole(in_order(sentence, first))


def both_unbroken(mm: float, first: System) -> str:
    """A length in both units, as sentences and drawings show it."""
    return unbroken(both_as_cut(mm, first))


def allowance(mm: float, first: System) -> str:
    """An allowance in the trade's paired figures."""
    return unbroken(both(mm, first, allowance=True))


def at_least(mm: float, first: System) -> str:
    """A size to cut, up to the next 0.5 cm and the next 1/4 in, each from the exact length."""
    cm, inch = (step * math.ceil(mm / step - 1e-9) for step in (5.0, 25.4 / 4))
    pair = (centimetres(cm), inches(inch))
    one, other = pair if first == "cm" else pair[::-1]
    return unbroken(f"{one} ({other})")


def told(sentence: Sentence, first: System) -> str:
    """A sentence of a draft, each of its lengths kept on one line."""
    return sentence.filled(lambda slot: unbroken(sentence.shown(slot, first)))


def called(mm: float, name: str, first: System) -> str:
    """A named figure in both units, as a text that quotes it shows it."""
    return unbroken(both_called(name, mm, first))


def allowance_in_both(typed: str, names: Names, first: System) -> str:
    """What an allowance comes to, in the trade's paired figures; empty when it does not."""
    try:
        return allowance(read(typed).length_mm(names), first)
    except FigureError:
        return ""


def bought(purchase: Purchase, first: System) -> str:
    """A length to buy, in metres and yards, in the order the episode shows its units."""
    pair = (purchase.metres, purchase.yards)
    one, other = pair if first == "cm" else pair[::-1]
    return unbroken(f"{one} ({other})")


def summed(parts_mm: Sequence[float], first: System) -> tuple[tuple[str, ...], str]:
    """The parts of a sum and its total in both units, each unit's sum true as printed."""
    columns = [sum_as_printed(parts_mm, unit) for unit in (first, "in" if first == "cm" else "cm")]
    rows = tuple(
        unbroken(f"{one} ({other})") for one, other in zip(*(c[0] for c in columns), strict=True)
    )
    return rows, unbroken(f"{columns[0][1]} ({columns[1][1]})")


def typed_in_both(typed: str, first: System) -> str:
    """A typed length in both units; empty when it is not a length."""
    try:
        return both_unbroken(parse_length(typed, None).mm, first)
    except ValueError:
        return ""


def weighed(typed: str, first: System) -> str:
    """A typed weight of cloth in both units; empty when it is none."""
    try:
        return unbroken(both_weights(read_weight(typed), first))
    except ValueError:
        return ""


def figure_in_both(typed: str, names: Names, first: System) -> str:
    """What a figure comes to now, in both units or as a bare number; empty when it does not."""
    try:
        found = read(typed).quantity(names)
    except FigureError:
        return ""
    return both_unbroken(found.value, first) if found.dimension == 1 else f"{found.value:g}"
