"""Strips on the bias cut from a square of cloth, as one continuous strip."""

import math

INCH_MM = 25.4


def strip_from_square_mm(side_mm: float, width_mm: float) -> float:
    """Length in mm of the strip of that width in a square of cloth: its area over the width.

    An upper bound: seams and corners cost some of it, of small squares a tenth and more.
    ValueError unless both are greater than zero.
    """
    if side_mm <= 0 or width_mm <= 0:
        raise ValueError("A square and a strip must have a size.")
    return side_mm * side_mm / width_mm


def square_for_strip_mm(length_mm: float, width_mm: float) -> float:
    """Side in mm of the square that gives a strip, up to the next whole inch, as it is cut.

    The square root of the strip's area. ValueError unless both are greater than zero.
    """
    if length_mm <= 0 or width_mm <= 0:
        raise ValueError("A strip must have a length and a width.")
    side = math.sqrt(length_mm * width_mm)
    return INCH_MM * math.ceil(side / INCH_MM - 1e-9)
