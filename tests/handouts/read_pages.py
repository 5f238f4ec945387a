"""A printed file as its reader sees it: the letters on each page, where they stand, whether they
can be seen. By pypdfium2, which shares no code with the library that prints."""

import ctypes
import unicodedata
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pypdfium2  # type: ignore[import-untyped]
import pypdfium2.raw as pdfium  # type: ignore[import-untyped]
import shapely

# The margins that companion.css leaves beside its text and below.
MARGIN_PT: Final = 18 / 25.4 * 72
FOOT_PT: Final = 25.5 / 25.4 * 72
_DOTS: Final = 2.0  # pixels a point: 144 to the inch, so that the thinnest stroke is dark
_NEIGHBOURS: Final = 3  # how far apart in the text letters may be set into each other by the font
_A_HAIR: Final = 0.05  # of a letter


@dataclass(frozen=True)
class Page:
    """A page: its size, its text, and of each letter or digit the box its ink stands in.

    Points of 1/72 in, from the foot of the page upwards.
    """

    size: tuple[float, float]
    text: str
    letters: str
    boxes: Any  # left, bottom, right, top of each
    fonts: tuple[str, ...]  # of each
    ink: Any  # how dark each dot is, from the head of the page downwards

    def outside(self, margin_pt: float) -> list[str]:
        """The letters that stand nearer to an edge of the paper than the margin."""
        width, height = self.size
        left, bottom, right, top = self.boxes.T
        out = (left < margin_pt) | (bottom < margin_pt)
        out |= (right > width - margin_pt) | (top > height - margin_pt)
        return self._of(out)

    def beside(self) -> str:
        """The letters that stand more than a point inside the margins left and right."""
        out = self.boxes[:, 0] < MARGIN_PT - 1
        return "".join(self._of(out | (self.boxes[:, 2] > self.size[0] - MARGIN_PT + 1)))

    def last_font(self) -> str:
        """The font of the lowest letter above the foot of the page."""
        above = np.flatnonzero(self.boxes[:, 1] > FOOT_PT)
        return self.fonts[min(above, key=lambda at: round(self.boxes[at, 1]))]

    def unseen(self) -> list[str]:
        """The letters in whose box nothing is drawn: cut off, or under something else."""
        height = self.size[1]
        seen = []
        for left, bottom, right, top in self.boxes * _DOTS:
            dots = self.ink[
                max(0, int(height * _DOTS - top)) : max(0, int(height * _DOTS - bottom) + 1),
                max(0, int(left)) : max(0, int(right) + 1),
            ]
            seen.append(dots.size > 0 and np.ptp(dots) > 40)
        return self._of(~np.array(seen, dtype=bool))

    def overlapping(self) -> list[str]:
        """Pairs of letters of which one stands on a good part of the other."""
        boxes = shapely.box(*self.boxes.T)
        one, other = shapely.STRtree(boxes).query(boxes, predicate="intersects")
        far = other - one > _NEIGHBOURS
        one, other = one[far], other[far]
        shared = shapely.area(shapely.intersection(boxes[one], boxes[other]))
        least = np.minimum(shapely.area(boxes[one]), shapely.area(boxes[other]))
        hit = shared > _A_HAIR * least
        return [
            self.letters[a] + self.letters[b] for a, b in zip(one[hit], other[hit], strict=True)
        ]

    def _of(self, which: Any) -> list[str]:
        return [self.letters[at] for at in np.flatnonzero(which)]


def texts_of(pdf: bytes) -> list[str]:
    """The text of each page, in the order it was written."""
    return [" ".join(lines) for lines in lines_of(pdf)]


def words_of(pdf: bytes) -> str:
    """All its text, a space wherever a line or a page ended."""
    return " ".join(" ".join(texts_of(pdf)).split())


def lines_of(pdf: bytes) -> list[list[str]]:
    """The lines of each page."""
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range().splitlines() for page in document]


def pages_of(pdf: bytes) -> list[Page]:
    """Every page of a file."""
    document = pypdfium2.PdfDocument(pdf)
    return [_page(page) for page in document]


def _page(page: Any) -> Page:
    text = page.get_textpage()
    letters, boxes, fonts = [], [], []
    for at in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text.raw, at))
        if unicodedata.category(letter)[0] in "LN":
            box = text.get_charbox(at)
            if box[2] > box[0]:
                letters.append(letter)
                boxes.append(box)
                fonts.append(_font(text, at))
    drawn = page.render(scale=_DOTS, grayscale=True).to_numpy()
    return Page(
        page.get_size(), text.get_text_range(), "".join(letters),
        np.array(boxes).reshape(-1, 4), tuple(fonts), np.squeeze(drawn),
    )  # fmt: skip


def _font(text: Any, at: int) -> str:
    name = ctypes.create_string_buffer(80)
    pdfium.FPDFText_GetFontInfo(text.raw, at, name, len(name), None)
    return name.value.decode()
