"""The colours of the tokens, measured as WCAG 2.2 does: relative luminance and contrast ratio.

Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, the definitions "relative luminance"
and "contrast ratio", and success criteria 1.4.3 (text, 4.5 to 1) and 1.4.11 (edges, 3 to 1).
"""

import re
from typing import Final

import pytest

from webapp.settings import files_dir

_CSS: Final = (files_dir("static") / "css" / "tokens.css").read_text(encoding="utf-8")
_LYING: Final = ("linen", "paper")
_TEXT: Final = (
    *((voice, under) for voice in ("ink", "pencil", "sea", "madder", "moss") for under in _LYING),
    ("on-sea", "sea"),
    ("linen", "madder"),
    *((voice, "sea-soft") for voice in ("ink", "pencil", "sea", "madder", "moss")),
    *((voice, "madder-soft") for voice in ("ink", "pencil", "sea", "madder")),
    *((voice, "moss-soft") for voice in ("ink", "pencil", "sea", "moss")),
    *((voice, "live") for voice in ("ink", "pencil", "sea")),
)
_EDGES: Final = tuple(
    (edge, under)
    for edge in ("line-strong", "sea", "madder")
    for under in (*_LYING, "sea-soft", "madder-soft", "moss-soft")
)


def _colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


def _block(after: str) -> str:
    return _CSS.split(after, 1)[1].split("}", 1)[0]


_LIGHT: Final = _colours(_block(":root {"))
_DARK: Final = _colours(_block(':root[data-look="dark"] {'))


def _luminance(colour: str) -> float:
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_is_21_to_1() -> None:
    """As the definition of contrast ratio says: from 1 to 21."""
    assert _contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("colours", [_LIGHT, _DARK], ids=["light", "dark"])
def test_text_can_be_read(colours: dict[str, str]) -> None:
    found = {pair: _contrast(colours[pair[0]], colours[pair[1]]) for pair in _TEXT}
    assert {pair: round(ratio, 2) for pair, ratio in found.items() if ratio < 4.5} == {}


@pytest.mark.parametrize("colours", [_LIGHT, _DARK], ids=["light", "dark"])
def test_edges_and_focus_can_be_seen(colours: dict[str, str]) -> None:
    found = {pair: _contrast(colours[pair[0]], colours[pair[1]]) for pair in _EDGES}
    assert {pair: round(ratio, 2) for pair, ratio in found.items() if ratio < 3} == {}


def test_dark_by_choice_is_dark_by_device() -> None:
    assert _DARK.keys() == _LIGHT.keys()
    assert _colours(_block(':root:not([data-look="light"]) {')) == _DARK
