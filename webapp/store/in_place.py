"""Putting a finished file in its place so that a crash leaves the old one or the new one, whole."""

import os
from pathlib import Path


def put_in_place(finished: Path, target: Path) -> None:
    """Rename `finished` to `target`, in the same folder or disk; once done it survives a crash.

    The content is on the disk before the name is, and the name before this returns (POSIX, fsync
    and rename). OSError when the disk refuses; then `target` is as it was.
    """
    _sync(finished)
    finished.replace(target)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk."""
    if os.name == "posix":  # elsewhere a folder cannot be opened
        _sync(folder)


def _sync(path: Path) -> None:
    opened = os.open(path, os.O_RDONLY if os.name == "posix" else os.O_RDWR)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
