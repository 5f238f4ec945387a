"""A disk of a few megabytes of its own, to fill up and to lock."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import pytest

SIZE_MB: Final = 3


class SmallDisk:
    """A file system in memory (Linux, tmpfs) that is `folder`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._filler = folder / "holiday pictures"

    def fill(self) -> None:
        """Leave no byte of room."""
        with self._filler.open("ab", buffering=0) as file:
            for size in (1 << 16, 1 << 12, 1):
                try:
                    while True:
                        file.write(b"\0" * size)
                except OSError:
                    continue

    def make_room(self) -> None:
        """Delete what filled it."""
        self._filler.unlink()

    def lock(self) -> None:
        """Let it be read only, as a card with its lock on."""
        _mount("-o", "remount,ro", self.folder)

    def unlock(self) -> None:
        """Let it be written to again."""
        _mount("-o", "remount,rw", self.folder)


@contextmanager
def small_disk(folder: Path) -> Iterator[SmallDisk]:
    """The disk, taken away afterwards. The test is skipped where none may be mounted."""
    folder.mkdir()
    try:
        _mount("-t", "tmpfs", "-o", f"size={SIZE_MB}m", "tmpfs", folder)
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"No disk may be mounted here (uid {os.getuid()}): {error}")
    try:
        yield SmallDisk(folder)
    finally:
        subprocess.run(["umount", "--lazy", folder], check=True)


def _mount(*arguments: str | Path) -> None:
    subprocess.run(["mount", *arguments], check=True, capture_output=True)
