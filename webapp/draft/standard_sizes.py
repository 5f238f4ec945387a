"""The letter sizes of EN 13402-3, as charts. How far each figure can be trusted is in its note."""

from typing import Final

from webapp.draft.sizes import MeasuredRange, SizeChart, SizeRow

_Ranges = dict[str, tuple[float, float]]  # cm

# Bust ranges: EN 13402-3 at second hand, two texts that cite it. Waist and hip: the standard's
# pairs from memory (bust 84, 88 … 104, 110 … 128), each letter from halfway below its smallest
# pair to halfway above its largest.
_WOMEN: Final[dict[str, _Ranges]] = {
    "XXS": {"bust": (66, 74)},
    "XS": {"bust": (74, 82), "waist": (58, 66), "hip": (82, 90)},
    "S": {"bust": (82, 90), "waist": (66, 74), "hip": (90, 98)},
    "M": {"bust": (90, 98), "waist": (74, 82), "hip": (98, 106)},
    "L": {"bust": (98, 107), "waist": (82, 91), "hip": (106, 114.5)},
    "XL": {"bust": (107, 119), "waist": (91, 103), "hip": (114.5, 124.5)},
    "XXL": {"bust": (119, 131), "waist": (103, 115), "hip": (124.5, 134.5)},
    "3XL": {"bust": (131, 143)},
    "4XL": {"bust": (143, 155)},
    "5XL": {"bust": (155, 167)},
}
_MEN: Final[dict[str, _Ranges]] = {
    "XXS": {"bust": (70, 78)},
    "XS": {"bust": (78, 86)},
    "S": {"bust": (86, 94)},
    "M": {"bust": (94, 102)},
    "L": {"bust": (102, 110)},
    "XL": {"bust": (110, 118)},
    "XXL": {"bust": (118, 129)},
    "3XL": {"bust": (129, 141)},
    "4XL": {"bust": (141, 154)},
    "5XL": {"bust": (154, 166)},
}


def _chart(name: str, source: str, sizes: dict[str, _Ranges]) -> SizeChart:
    rows = (
        SizeRow(
            name=size,
            ranges={
                measure: MeasuredRange(least=f"{low:g} cm", most=f"{high:g} cm")
                for measure, (low, high) in ranges.items()
            },
        )
        for size, ranges in sizes.items()
    )
    return SizeChart(name=name, source=source, rows=tuple(rows))


STANDARD_CHARTS: Final[dict[str, SizeChart]] = {
    "women": _chart(
        "European letter sizes, women",
        "The letters' bust girths as texts that cite the European standard EN 13402-3 give them. "
        "Waist and hip are from memory, worked out from the standard's pairs; a letter that covers "
        "two pairs spans both. Check them against the standard before you publish them. Letters "
        "beyond the pairs have a bust girth only.",
        _WOMEN,
    ),
    "men": _chart(
        "European letter sizes, men",
        "The letters' chest girths as texts that cite the European standard EN 13402-3 give them; "
        "4XL and 5XL are read in one text only. The chest girth stands under “bust”, the name of "
        "this measure in recipes.",
        _MEN,
    ),
}
