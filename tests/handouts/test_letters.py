"""Letters that no font here has: found as the renderer finds them, told with what cures it."""

import logging

import pytest

from webapp.handouts.letters import told_missing, unusual_letters
from webapp.handouts.printing import missing_letters, pdf_of

pytestmark = pytest.mark.usefixtures("printed_anew")

# What no font has on any computer: the last plane is for private use (Unicode 16, 2.8).
PRIVATE = "\U0010fffd"
MANY = "Aő½× — “z” 🧵 😀 日本 한 ひ क ก ب ש я λ ∮ ⅞ → ✂ " + PRIVATE


def test_what_is_missing_is_what_the_renderer_draws_as_boxes(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(logging.getLogger("weasyprint"), "propagate", True)
    sheet = '<link rel="stylesheet" href="/static/css/print-fonts.css">'
    with caplog.at_level(logging.WARNING, "weasyprint"):
        pdf_of(f"<html lang=en><title>t</title>{sheet}<p style='font-family: Source Sans 3'>{MANY}")
    boxes = {str(note.args[0]) for note in caplog.records if note.args and ".notdef" in note.msg}
    assert PRIVATE in boxes
    told = missing_letters(f"<p>{MANY}</p>")
    assert told == told_missing("".join(sorted(boxes)))
    assert "U+10FFFD" in told


def test_latin_with_the_signs_of_the_trade_is_always_there() -> None:
    assert missing_letters("<p>Cut 2 × 28 1⁄2 in – “fully”, ő ş ł ẞ&nbsp;½</p>") == ""


@pytest.mark.parametrize(
    ("letters", "said", "packages"),
    [
        ("🧵😀", "emoji (🧵 😀)", "fonts-noto-color-emoji"),
        ("日한ひ", "Chinese, Japanese or Korean (日 한 ひ)", "fonts-noto-cjk"),
        ("بש", "Arabic (ب) and Hebrew (ש)", "fonts-noto-core"),
        ("क🧵", "Devanagari (क) and emoji (🧵)", "fonts-noto-core fonts-noto-color-emoji"),
    ],
)
def test_scripts_are_named_with_what_to_install(letters: str, said: str, packages: str) -> None:
    told = told_missing(letters)
    assert f"no letters for {said}:" in told
    assert told.endswith(f"apt-get install {packages}")


def test_nothing_missing_is_nothing_said() -> None:
    assert told_missing("") == ""
    assert missing_letters("plain") == ""


def test_what_shows_nothing_by_itself_is_no_letter() -> None:
    joiner, mark, way, emoji_sign = "\u200d", "\u0301", "\u202e", "\ufe0f"
    assert unusual_letters(f"a{joiner}b{mark}{way}{emoji_sign}\u2003") == ""
    assert unusual_letters("&#x1F9F5; 🧵") == "🧵"
