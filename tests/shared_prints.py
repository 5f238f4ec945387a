"""Printed files that the tests of one run share: what one worker printed, the others read.

A file is the same bytes for the same document every time, which tests/handouts holds true of each
kind of sheet: those tests ask for `printed_anew`.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from tests.shared_lays import leave
from webapp.handouts import printing

WRITTEN = printing._written


@contextmanager
def prints_kept_in(folder: Path) -> Iterator[None]:
    """Look for printed files in the folder, and leave there what is printed."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(printing, "_written", looked_up_in(folder))
        yield


def looked_up_in(folder: Path) -> Callable[[Any, str], bytes]:
    """What prints a document, but for one that was printed already."""

    def looked_up(weasyprint: Any, html: str) -> bytes:
        file = folder / sha256(html.encode("utf-8", "surrogatepass")).hexdigest()
        if not file.exists():
            leave(file, WRITTEN(weasyprint, html))
        return file.read_bytes()

    return looked_up
