"""Printed files outlast a restart in a folder; what is not what its name says is none of them."""

import errno
import hashlib
import json
import os
import time
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.demo_documents import EPISODES
from webapp.pages import prints_folder
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed, PrintedFiles
from webapp.pages.prints_folder import PrintsFolder
from webapp.plan.edits import changed

SKIRT = next(one for name, one in EPISODES.items() if "skirt" in name.lower())
A4 = (595.28, 841.89)
PRINTED = Printed(b"%PDF" + bytes(1000), (A4, A4), ("A note with “é”.",))


def _order(title: str = "Market day", **more: Any) -> Order:
    return Order("companion", changed(SKIRT, title=title), **more)


def _after_a_restart(folder: Path) -> PrintedFiles:
    return PrintedFiles(folder=folder)


def test_a_printed_file_is_there_after_a_restart_just_as_it_was(tmp_path: Path) -> None:
    first = _after_a_restart(tmp_path / "prints")
    sheet = Order("worksheet", SKIRT, size="XL")
    call = Order("call-sheet", SKIRT, day=date(2027, 1, 4))
    for order in (_order(), sheet, call):
        first.put(order, PRINTED)
        kept = first.find(order.key)
        again = _after_a_restart(tmp_path / "prints").find(order.key)
        assert again == kept is not None
        assert again.order == order and again.order.file_name == order.file_name
    assert _after_a_restart(tmp_path / "prints").find("0" * 40) is None


def test_the_one_before_a_change_is_known_by_its_place(tmp_path: Path) -> None:
    first = _after_a_restart(tmp_path)
    older, newer, now = _order("One"), _order("Two"), _order("Three")
    first.put(older, PRINTED)
    first.put(newer, PRINTED)
    os.utime(next(tmp_path.glob(f"*{older.key}*")), (1, 1))
    again = _after_a_restart(tmp_path).newest(now)
    assert again is not None and again.order.key == newer.key
    assert _after_a_restart(tmp_path).newest(Order("worksheet", SKIRT)) is None


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-30])


def _flip(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[content.index(b"%PDF") + 8] ^= 1
    path.write_bytes(content)


def _of_another(path: Path) -> None:
    """Whole, but another episode's under this name."""
    other = path.with_name("other")
    PrintsFolder(other).write(_order("Another"), b"%PDF", (A4,), ())
    next(other.iterdir()).replace(path)


def _foreign(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("order.json", '{"kind": "../../etc/passwd"}')
        packed.writestr("printed", b"")


def _bomb(path: Path) -> None:
    """Sound in all it says, but little in the file and much out of it."""
    with zipfile.ZipFile(path) as packed:
        told = json.loads(packed.read("order.json"))
    content = bytes(5_000_000)
    told["sha256"] = hashlib.sha256(content).hexdigest()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("order.json", json.dumps(told))
        packed.writestr("printed", content)


def _no_zip(path: Path) -> None:
    path.write_bytes(b"hello")


@pytest.mark.parametrize("damage", [_cut, _flip, _of_another, _foreign, _bomb, _no_zip])
def test_what_is_damaged_or_foreign_is_made_anew(
    tmp_path: Path, damage: Callable[[Path], None]
) -> None:
    _after_a_restart(tmp_path).put(_order(), PRINTED)
    (path,) = tmp_path.iterdir()
    damage(path)
    again = _after_a_restart(tmp_path)
    assert again.find(_order().key) is None
    assert again.newest(_order("Another title")) is None
    again.put(_order(), PRINTED)
    assert _after_a_restart(tmp_path).find(_order().key) is not None


def test_an_order_too_long_to_be_ours_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _after_a_restart(tmp_path).put(_order(), PRINTED)
    monkeypatch.setattr(prints_folder, "_LARGEST_TOLD", 100)
    assert _after_a_restart(tmp_path).find(_order().key) is None


def test_other_files_there_are_left_alone_and_parts_go(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("hers")
    for name, age_s in (("half", 2 * 3600), ("at-it", 0)):  # another process may be at one
        part = tmp_path / f"{name}.part"
        part.write_text("not whole")
        os.utime(part, (time.time() - age_s,) * 2)
    order = _order()
    (tmp_path / f"{'0' * 16}-{order.key}.print").mkdir()
    assert _after_a_restart(tmp_path).find(order.key) is None
    assert (tmp_path / "notes.txt").read_text() == "hers"
    assert not (tmp_path / "half.part").exists()
    assert (tmp_path / "at-it.part").exists()


def test_the_oldest_give_way_to_the_room_there_is(tmp_path: Path) -> None:
    content = os.urandom(60_000)
    PrintsFolder(tmp_path).write(_order(), content, (), ())
    size = next(tmp_path.iterdir()).stat().st_size
    folder = PrintsFolder(tmp_path, 2 * size + 5000)
    orders = [_order(title) for title in ("a", "b", "c")]
    for order in orders:
        folder.write(order, content, (), ())
    assert sum(one.stat().st_size for one in tmp_path.iterdir()) <= 2 * size + 5000
    assert [folder.read(order.key) is not None for order in orders] == [False, True, True]
    folder.write(_order("d"), os.urandom(3 * size), (), ())  # larger than all the room
    assert folder.read(orders[2].key) is not None


def test_a_full_disk_leaves_what_was_there_and_the_file_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    files = _after_a_restart(tmp_path)
    files.put(_order(), PRINTED)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    files.put(_order("Another"), PRINTED)
    assert files.find(_order("Another").key) is not None
    assert [path.suffix for path in tmp_path.iterdir()] == [".print"]
    assert _after_a_restart(tmp_path).find(_order().key) is not None
    (line,) = caplog.records
    assert line.exc_info is None  # in words: it is no fault of ours
    assert line.getMessage().endswith(f"There is no room left on the disk that holds {tmp_path}.")
