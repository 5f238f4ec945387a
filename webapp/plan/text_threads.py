"""Loose threads of the texts and pictures: figures that are not, one unit, no words for a photo."""

from collections.abc import Iterable, Sequence
from typing import Final

from webapp.draft.names import piece_key
from webapp.filming.figures import near
from webapp.filming.typed import typed_lengths
from webapp.plan.figures import as_written
from webapp.plan.results import LooseThread, Mend, Place, Plan
from webapp.plan.typed_edits import mends_for

_MOST_OF_A_TEXT: Final = 5  # once these are mended, the next are told
_MOST_COMPARED: Final = 100
_SPELLED_ALIKE: Final = 0.85  # of difflib: a letter or two of a name


def missing_figures(plan: Plan) -> Iterable[LooseThread]:
    """A live figure that does not exist, and would not if the draft's problems were mended."""
    known, compared = as_written(plan.drafts), 0
    for text in plan.texts:
        for name in text.live.missing[:_MOST_OF_A_TEXT]:
            if not plan.lacks(name):
                # With every name there is: of a great many that takes longer than anyone waits.
                compared += 1
                meant = _meant(name, known) if compared <= _MOST_COMPARED else None
                hint = f" Did you mean {{{meant}}}?" if meant else ""
                told = f"{text.where} quotes {{{name}}}, which does not exist.{hint}"
                mend = Mend("other name", (*text.key, name, meant or ""), f"Write {{{meant}}}")
                yield LooseThread("must", text.place, told, (mend,) if meant else ())


def _meant(name: str, known: Sequence[str]) -> str | None:
    """The figure that a misspelt name means.

    That of a piece that is there is no other piece's: where a hem is not turned under any more,
    how far another one is would be no answer.
    """
    own = [each for each in known if "." in name and piece_key(each) == piece_key(name)]
    return near(name, own, alike=_SPELLED_ALIKE) if own else near(name, known)


def stray_braces(plan: Plan) -> Iterable[LooseThread]:
    """A live figure begun and not ended, or without a name."""
    for text in plan.texts:
        for stray in text.live.stray:
            told = f"{text.where} says “{stray}”: a live figure is a name between two braces."
            yield LooseThread("must", text.place, told)


def single_units(plan: Plan) -> Iterable[LooseThread]:
    """A measurement typed in one unit only, where a viewer may use the other."""
    for text in plan.texts:
        for length in typed_lengths(text.typed):
            told = f"{text.where} says “{length.text}” in one unit only."
            yield LooseThread("should", text.place, told, mends_for(plan, text, length.text))


def missing_alternative_text(plan: Plan) -> Iterable[LooseThread]:
    """A sketch or photo that is not told to those who do not see it.

    WCAG 2.2, success criterion 1.1.1 (https://www.w3.org/TR/WCAG22/#non-text-content): a text
    alternative serves the purpose of all that is no text.
    """
    sketch = plan.episode.brief.sketch
    if sketch is not None and not sketch.alt.strip():
        told = "The sketch has no words yet for those who do not see it."
        yield LooseThread("should", Place("brief", item="sketch"), told)
    for fitting in plan.episode.fittings:
        if fitting.photo is not None and not fitting.photo.alt.strip():
            told = f"The photo of “{fitting.title}” has no words yet for those who do not see it."
            yield LooseThread("should", Place("fittings", item=fitting.id), told)
