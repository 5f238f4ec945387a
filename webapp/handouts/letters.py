"""Letters that no font on this computer has: they print as boxes, and a package would cure it."""

import unicodedata
from html import unescape
from typing import Any, Final

from webapp.command import to_install

# Latin that the fonts of the sheets have, with the typographic and trade signs beside it.
_CERTAIN: Final = 0x250
_SHOWN: Final = 3  # letters named of each script
_CJK: Final = frozenset(
    ("CJK", "HIRAGANA", "KATAKANA", "HANGUL", "BOPOMOFO", "IDEOGRAPHIC", "FULLWIDTH", "HALFWIDTH")
)
_ASIAN: Final = "Chinese, Japanese or Korean"
_EMOJI: Final = "emoji"
_SIGNS: Final = "other signs"
_PRIVATE: Final = "signs that Unicode gives no meaning"
# Debian's packages of the fonts, by their descriptions in `apt-cache show`.
_PACKAGES: Final = {_EMOJI: "fonts-noto-color-emoji", _ASIAN: "fonts-noto-cjk"}
_FOR_THE_REST: Final = "fonts-noto-core"


def unusual_letters(html: str) -> str:
    """Each letter of a text or of its markup that not every font has, once, in their order."""
    found = {letter for letter in unescape(html) if ord(letter) >= _CERTAIN}
    return "".join(sorted(letter for letter in found if _is_drawn(letter)))


def without_glyph(letters: str, font_map: Any) -> str:
    """Those of the letters that no font of Pango's font map has, in their order."""
    from weasyprint.text.ffi import (  # noqa: PLC0415 - it loads Pango
        ffi,
        gobject,
        pango,
        unicode_to_char_p,
    )

    context = ffi.gc(pango.pango_font_map_create_context(font_map), gobject.g_object_unref)
    layout = ffi.gc(pango.pango_layout_new(context), gobject.g_object_unref)
    # Spaces between keep letters from joining into one glyph.
    text, bytestring = unicode_to_char_p(" ".join(letters))
    pango.pango_layout_set_text(layout, text, len(bytestring))
    line = pango.pango_layout_get_line_readonly(layout, 0)
    missing, run = set(), line.runs
    while run != ffi.NULL:
        glyphs = run.data.glyphs
        for info in glyphs.glyphs[0 : glyphs.num_glyphs]:
            if info.glyph != pango.PANGO_GLYPH_EMPTY and (
                info.glyph & pango.PANGO_GLYPH_UNKNOWN_FLAG
            ):
                missing.add(chr(info.glyph - pango.PANGO_GLYPH_UNKNOWN_FLAG))
        run = run.next
    return "".join(letter for letter in letters if letter in missing)


def told_missing(letters: str) -> str:
    """One sentence on letters that print as boxes, and the cure; empty without letters."""
    if not letters:
        return ""
    scripts: dict[str, list[str]] = {}
    for letter in letters:
        scripts.setdefault(_script(letter), []).append(letter)
    names = [f"{name} ({_some(name, some)})" for name, some in scripts.items()]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    told = f"This computer has no letters for {listed}: they are printed as empty boxes."
    packages = dict.fromkeys(
        _PACKAGES.get(name, _FOR_THE_REST) for name in scripts if name != _PRIVATE
    )
    if not packages:
        return f"{told} No font has them."
    return f"{told} On Debian or Ubuntu:\n{to_install(*packages)}"


def _some(script: str, letters: list[str]) -> str:
    shown = [f"U+{ord(each):04X}" if script == _PRIVATE else each for each in letters[:_SHOWN]]
    return " ".join(shown)


def _is_drawn(letter: str) -> bool:
    """False for what shows nothing by itself: spaces, marks, signs of direction, joiners."""
    return unicodedata.category(letter) not in ("Cc", "Cf", "Cs", "Zs", "Zl", "Zp", "Mn", "Me")


def _script(letter: str) -> str:
    """The script's name as it begins the letter's Unicode name, in words of every day."""
    if unicodedata.category(letter) in ("Co", "Cn"):
        return _PRIVATE
    first = unicodedata.name(letter, "").partition(" ")[0].partition("-")[0]
    if first in _CJK:
        return _ASIAN
    if unicodedata.category(letter).startswith(("L", "N", "Mc")):
        return first.capitalize() or _SIGNS
    is_emoji = 0x1F000 <= ord(letter) < 0x1FB00 or 0x2600 <= ord(letter) < 0x27C0
    return _EMOJI if is_emoji else _SIGNS
