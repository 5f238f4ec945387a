"""First lays that the plans of one run of the tests share: what one worker found, the others read.

A first lay is the same every time for the same pieces on the same cloth (tests/cloth/test_lay), and
most plans of the tests are of the same few garments. Each run finds its lays anew; the tests of
laying itself, and the fresh start of tests/oracle, lay for themselves.
"""

import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

import pytest

from webapp.cloth.laid import Cloth, Lay, LayPiece, laid
from webapp.cloth.lay import first_lay
from webapp.errors import LayError
from webapp.plan import size_lays

First = Callable[[Sequence[LayPiece], Cloth], Lay]


@contextmanager
def kept_in(folder: Path) -> Iterator[None]:
    """Let plans look for their first lays in the folder, and leave there what they find."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(size_lays, "first_lay", _looked_up(first_lay, folder))
        yield


def _looked_up(found: First, folder: Path) -> First:
    def looked_up(pieces: Sequence[LayPiece], cloth: Cloth) -> Lay:
        # All they hold, each number to its last digit: two that are equal by mistake differ here.
        file = folder / sha256(repr((tuple(pieces), cloth)).encode()).hexdigest()
        if file.exists():
            order, placements = pickle.loads(file.read_bytes())
            if isinstance(placements, str):
                raise LayError(placements)
            return laid([pieces[i] for i in order], cloth, placements)
        try:
            lay = found(pieces, cloth)
        except LayError as error:
            leave(file, pickle.dumps(((), error.sentence)))
            raise
        order = [pieces.index(piece) for piece in lay.pieces]
        leave(file, pickle.dumps((order, lay.placements)))
        return lay

    return looked_up


def leave(file: Path, content: bytes) -> None:
    """Leave a file for all workers, none of which ever reads half of it."""
    part = file.with_suffix(f".{os.getpid()}")
    part.write_bytes(content)
    part.replace(file)
