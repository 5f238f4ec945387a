"""Pages of a PDF as pictures, drawn from the very file that is taken out."""

import io
import math
from threading import Lock
from typing import Any, Final, Literal

from webapp.errors import NotThereError

PageSize = tuple[float, float]  # width and height, points of 1/72 in
ImageSize = Literal["small", "large"]

_WIDTHS_PX: Final = {"small": 420, "large": 1500}
_MOST_PX: Final = 16_000_000  # of one picture: a roll of paper may be metres long

# PDFium is not made for two threads at a time.
_ONE_AT_A_TIME: Final = Lock()


def page_sizes(pdf: bytes) -> tuple[PageSize, ...]:
    """The size of every page, in points."""
    with _ONE_AT_A_TIME, _opened(pdf) as document:
        return tuple(document.get_page_size(number) for number in range(len(document)))


def page_image(pdf: bytes, number: int, size: ImageSize) -> bytes:
    """The page of that number, counted from 1, as a PNG. NotThereError if there is none."""
    with _ONE_AT_A_TIME, _opened(pdf) as document:
        if not 1 <= number <= len(document):
            raise NotThereError(f"There is no page {number} in that file.")
        page = document[number - 1]
        width, height = page.get_size()
        scale = min(_WIDTHS_PX[size] / width, math.sqrt(_MOST_PX / (width * height)))
        image = page.render(scale=scale).to_pil()
        page.close()
    content = io.BytesIO()
    image.save(content, "PNG", compress_level=3)
    return content.getvalue()


def _opened(pdf: bytes) -> Any:
    """The document, closed by `with`."""
    # Loaded when first used; without type hints.
    from pypdfium2 import PdfDocument  # type: ignore[import-untyped]  # noqa: PLC0415

    return PdfDocument(pdf)
