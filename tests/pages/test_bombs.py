"""Small files that would become large ones, or long work, are refused in words."""

import gzip
import io
import struct
import tracemalloc
import zipfile
import zlib
from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from tests.picture_files import chunk, png
from webapp.errors import EpisodeFileError, PhotoError
from webapp.pages.house import House
from webapp.store.episode_file import LONGEST_LIST, MOST_VALUES, read_episode
from webapp.store.photos import Photos


def _zipped(content: bytes, layers: int = 1) -> bytes:
    for _ in range(layers):
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("episode.json", content)
        content = packed.getvalue()
    return content


# Made by their tests: packing so much takes a second, and every worker collects.
ARCHIVES: dict[str, Callable[[], bytes]] = {
    "a zip": lambda: _zipped(b"{}" + b" " * 20_000_000),
    "a zip in a zip": lambda: _zipped(b"{}" + b" " * 20_000_000, 3),
    "a gzip": lambda: gzip.compress(b"{}" + b" " * 20_000_000),
    "a raw stream": lambda: zlib.compress(b"{}" * 10_000_000),
    "a zip behind a plan": lambda: b'{"version":1}' + _zipped(b"x" * 1_000_000),
}


@pytest.mark.parametrize("what", ARCHIVES)
def test_nothing_is_unpacked(client: TestClient, house: House, what: str) -> None:
    archive = ARCHIVES[what]()
    for name, kind in (("episode.json", "application/json"), ("episode.zip", "application/zip")):
        tracemalloc.start()
        answer = client.post("/episodes/import", files={"file": (name, archive, kind)})
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert answer.status_code == 422
        assert most < 10_000_000, "it was unpacked"
    with pytest.raises(PhotoError):
        house.photos.keep(archive)
    assert house.store.list() == ()
    assert house.photos.names() == ()


def _plan(inner: str) -> str:
    return f'{{"version":1,"id":"a","title":"a",{inner}}}'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[" * 2_000_000, "deep"),
        ('{"version":1,"id":' * 40 + "1" + "}" * 40, "deep"),
        ('{"version":' + "9" * 4_900_000 + "}", "not a number"),
        (_plan('"number":1e' + "9" * 4_000_000), "not a number"),
        ("{" + ",".join(f'"a{n}":0' for n in range(100_000)) + ',"a99999":1}', "entries"),
        ("{" + ",".join(f'"a{n}":0' for n in range(9000)) + ',"a8999":1}', "given twice"),
        (_plan('"shots":[' + "{}," * 400_000 + "{}]"), "entries"),
        (_plan('"shots":[' + ",".join("[" + "0," * 9000 + "0]" for _ in range(20)) + "]"), "more"),
        (_plan('"shots":[' + "0," * 9000 + "0]"), "no episode file"),
        (_plan('"revisions":[' + "{}," * 9000 + "{}]"), "no episode file"),
        (_plan('"channel":"' + "x" * 4_900_000 + '"'), "too long"),
        ("{" + " " * 5_000_001, "5 MB at most"),
    ],
    ids=["brackets", "nesting", "digits", "power", "names", "a name twice", "a list", "values",
         "shots", "faults", "a text", "bytes"],
)  # fmt: skip
def test_a_plan_that_only_takes_time_is_refused(text: str, told: str) -> None:
    with pytest.raises(EpisodeFileError, match=told):
        read_episode(text)


def test_the_limits_are_far_above_what_episodes_hold() -> None:
    assert LONGEST_LIST >= 10_000 and MOST_VALUES >= 100_000


def _webp(count: int) -> bytes:
    from PIL import Image  # noqa: PLC0415 - slow, and for this alone

    frames = [Image.new("RGB", (16, 16), (number % 256, 0, 0)) for number in range(count)]
    file = io.BytesIO()
    frames[0].save(file, "WEBP", save_all=True, append_images=frames[1:], lossless=True)
    return file.getvalue()


def _texted(kind: bytes, words: bytes) -> bytes:
    return png(1, 1, _ROW, chunk(kind, words + zlib.compress(b"x" * 50_000_000)))


_ROW = zlib.compress(b"\0\0")
_EXIF = b"\xff\xe1" + struct.pack(">H", 65_000) + b"Exif\0\0" + b"\0" * 64_992
PICTURES: dict[str, Callable[[], bytes]] = {
    "pixels that no memory holds": lambda: png(60_000, 60_000, _ROW),
    "pixels far beyond those it says": lambda: png(1, 1, zlib.compress(b"\0" * 50_000_000)),
    "a text": lambda: _texted(b"zTXt", b"Comment\0\0"),
    "a profile": lambda: _texted(b"iCCP", b"p\0\0"),
    "ten thousand texts": lambda: png(1, 1, _ROW, *[chunk(b"tEXt", b"a\0b")] * 10_000),
    "a chunk longer than the file": lambda: (
        png(1, 1, _ROW)[:33] + struct.pack(">I", 2**31 - 1) + b"x"
    ),
    "many pictures": lambda: _webp(40),
    "ten megabytes of Exif": lambda: b"\xff\xd8" + _EXIF * 150,
}


@pytest.mark.parametrize("what", PICTURES)
def test_a_picture_takes_no_more_memory_than_its_pixels(photos: Photos, what: str) -> None:
    """Either it is refused in a sentence, or nothing but its pixels is kept of it."""
    content = PICTURES[what]()
    assert len(content) < 15_000_000
    tracemalloc.start()
    try:
        kept = photos.keep(content)
    except PhotoError as error:
        assert error.sentence.endswith(".")
        assert photos.names() == ()
    else:
        path = photos.path(kept)
        assert path is not None and path.stat().st_size < 1000
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 3 * len(content) + 20_000_000


@pytest.fixture
def photos(house: House) -> Photos:
    return house.photos
