"""The folder that keeps the plans: whose it is, the room on its disk, its log."""

import os
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from webapp.command import ELSEWHERE
from webapp.doctor.finding import Finding, counted, megabytes
from webapp.log import log_path
from webapp.settings import Settings
from webapp.store.database import database_path

LEAST_ROOM: Final = 500_000_000  # bytes
TIMES_THE_PLANS: Final = 10  # so much room, too: copies are made of them
_OTHERS_READ, _OTHERS_PASS = 0o004, 0o001


def folder(settings: Settings) -> Iterator[Finding]:
    """It is there, hers, can be written and is closed to others."""
    path = settings.data_dir
    if not path.exists():
        words = f"there is none at {path} yet; it is made when Seamslate starts. {ELSEWHERE}"
        yield Finding("Folder", "cannot look", words)
        return
    if not path.is_dir():
        yield Finding("Folder", "to do", f"{path} is a file. Name a folder with --data.")
        return
    stat = path.stat()
    if hasattr(os, "getuid") and stat.st_uid != os.getuid():
        words = f"{path} belongs to another user of this computer. Name one of yours with --data."
        yield Finding("Folder", "to do", words)
    elif not os.access(path, os.R_OK | os.W_OK | os.X_OK):
        words = (
            f"nothing can be written in {path}. If it is on a card or a stick, see whether its "
            "lock is on; else allow writing to it."
        )
        yield Finding("Folder", "to do", words)
    elif os.name == "posix" and _others_read(path):
        words = (
            f"other users of this computer can read your plans in {path}. To close it to them:\n"
            f"chmod 700 {shlex.quote(str(path))}"
        )
        yield Finding("Folder", "to do", words)
    else:
        yield Finding("Folder", "well", f"{path} is yours, and can be written.")


def _others_read(path: Path) -> bool:
    """True when every folder on the way lets others through to it."""
    ways = path.resolve().parents
    may_pass = all(one.stat().st_mode & _OTHERS_PASS for one in ways)
    return may_pass and bool(path.stat().st_mode & (_OTHERS_READ | _OTHERS_PASS))


def room(settings: Settings) -> Iterator[Finding]:
    """There is room for what is still to come, and for copies."""
    path = settings.data_dir
    there = next(one for one in (path, *path.absolute().parents) if one.exists())
    free = shutil.disk_usage(there).free
    database = database_path(path)
    plans = database.stat().st_size if database.is_file() else 0
    least = max(LEAST_ROOM, TIMES_THE_PLANS * plans)
    words = f"{megabytes(free)} free on the disk of {there}"
    if free < least:
        cure = f"Make room: {megabytes(least)} are good to have for plans, copies and pictures."
        yield Finding("Room", "to do", f"{words}. {cure}")
    else:
        yield Finding("Room", "well", f"{words}; the plans take {megabytes(plans)}.")


def log_file(settings: Settings) -> Iterator[Finding]:
    """It can be written; how many faults of ours it tells of."""
    path = log_path(settings.data_dir)
    nearest = next((one for one in (path, *path.parents) if one.exists()), Path("/"))
    may = os.W_OK if nearest.is_file() else os.W_OK | os.X_OK
    in_the_way = nearest.is_dir() if nearest == path else not nearest.is_dir()
    if in_the_way or not os.access(nearest, may):
        words = (
            f"{path} cannot be written, so faults leave no trace. Move what is in its place away, "
            "or allow writing there."
        )
        yield Finding("Log", "to do", words)
        return
    faults = [line for one in (path, Path(f"{path}.1")) for line in _faults(one)]
    last = f"; the last on {max(faults)[:16]}" if faults else ""
    told = f"{counted(len(faults), 'fault')} of Seamslate's in it of late{last}"
    yield Finding("Log", "well", f"{path}, {told}.")


def _faults(path: Path) -> list[str]:
    try:
        lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return []
    return [line for line in lines if line[23:30] == " ERROR "]
