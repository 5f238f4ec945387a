"""Pictures: what is kept is only pixels, upright and small; what cannot be kept is told.

The kept files are read by tests.picture_files, which knows nothing of Pillow.
"""

import hashlib
import io
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFile, PngImagePlugin

from tests.picture_files import PNG_START, chunk, jpeg_markers, png, png_chunks, size_of
from webapp.errors import PhotoError, StoreError
from webapp.store.photos import LARGEST_PHOTO, LONGEST_SIDE, Photos, is_sound

RED, GREEN, BLUE, GREY = (200, 30, 30), (30, 160, 30), (30, 30, 200), (120, 120, 120)
SECRET = "51 deg 30 min north"


def saved(image: Image.Image, kind: str, **how: object) -> bytes:
    """The picture as a file of that kind."""
    file = io.BytesIO()
    image.save(file, kind, **how)
    return file.getvalue()


def quarters(width: int = 64, height: int = 32) -> Image.Image:
    """Four quarters: red and green above, blue and grey below."""
    image = Image.new("RGB", (width, height), RED)
    draw = ImageDraw.Draw(image)
    draw.rectangle((width // 2, 0, width, height // 2 - 1), GREEN)
    draw.rectangle((0, height // 2, width // 2 - 1, height), BLUE)
    draw.rectangle((width // 2, height // 2, width, height), GREY)
    return image


def corners(content: bytes) -> list[tuple[int, int, int]]:
    """Which of the four colours each quarter is nearest to: above left and right, then below."""
    with Image.open(io.BytesIO(content)) as image:
        wide, high = image.size
        places = [(x * wide // 4, y * high // 4) for y in (1, 3) for x in (1, 3)]
        seen = [image.convert("RGB").getpixel(place) for place in places]
    assert all(isinstance(one, tuple) for one in seen)
    return [min((RED, GREEN, BLUE, GREY), key=lambda c: _apart(c, one)) for one in seen]


def _apart(one: tuple[int, ...], other: object) -> int:
    assert isinstance(other, tuple)
    return sum(abs(a - b) for a, b in zip(one, other, strict=True))


def camera_exif(orientation: int = 1) -> Image.Exif:
    """What a phone writes: how it was held, when, and where."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "Invented phone"
    exif[0x0132] = "2026:05:01 12:00:00"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 0.0), 29: SECRET})
    return exif


@pytest.fixture
def photos(tmp_path: Path) -> Photos:
    return Photos(tmp_path / "photos")


def kept(photos: Photos, content: bytes) -> bytes:
    """The bytes that are kept of a picture; its name is checked on the way."""
    name = photos.keep(content)
    path = photos.path(name)
    assert path is not None
    stored = path.read_bytes()
    assert name.partition(".")[0] == hashlib.sha256(stored).hexdigest()
    assert name.endswith(".png" if stored.startswith(PNG_START) else ".jpg")
    assert is_sound(name, stored)
    return stored


def test_a_jpeg_is_kept_without_place_time_comment_or_profile(photos: Photos) -> None:
    sent = saved(
        quarters(), "JPEG", exif=camera_exif(), comment=SECRET, icc_profile=b"profile" * 99
    )
    assert {0xE1, 0xE2, 0xFE} <= {marker for marker, _ in jpeg_markers(sent)}
    stored = kept(photos, sent + SECRET.encode())  # and something behind its end
    # APP0 (JFIF), DQT, SOF0, DHT, SOS: no APP1 to APP15 (Exif, profile), no COM.
    assert {marker for marker, _ in jpeg_markers(stored)} <= {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert SECRET.encode() not in stored


def test_a_png_is_kept_without_texts_profile_or_exif(photos: Photos) -> None:
    texts = PngImagePlugin.PngInfo()
    texts.add_text("Comment", SECRET)
    texts.add_text("Author", SECRET, zip=True)
    texts.add_itxt("Title", SECRET)
    sent = saved(
        quarters(), "PNG", pnginfo=texts, exif=camera_exif(), icc_profile=b"p" * 99, dpi=(72, 72)
    )
    assert {b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"iCCP", b"pHYs"} <= set(png_chunks(sent))
    assert set(png_chunks(kept(photos, sent))) == {b"IHDR", b"IDAT", b"IEND"}


def test_a_webp_is_kept_as_jpeg_without_its_exif(photos: Photos) -> None:
    stored = kept(photos, saved(quarters(), "WEBP", exif=camera_exif()))
    assert {marker for marker, _ in jpeg_markers(stored)} <= {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert corners(stored) == [RED, GREEN, BLUE, GREY]


# Exif 2.32, tag 274: which side of the scene the picture's first row and first column are. The
# scene as it should be seen is quarters(); each way of holding stores it so.
HELD = {
    1: ("x", "y"),  # the first row is the top, the first column the left
    2: ("W - x", "y"),  # top, right
    3: ("W - x", "H - y"),  # bottom, right
    4: ("x", "H - y"),  # bottom, left
    5: ("y", "x"),  # left, top
    6: ("W - y", "x"),  # right, top
    7: ("W - y", "H - x"),  # right, bottom
    8: ("y", "H - x"),  # left, bottom
}


def held_so(scene: Image.Image, held: int) -> Image.Image:
    """The picture whose pixel in column x, row y is the scene's pixel that HELD names."""
    last = {"W": scene.width - 1, "H": scene.height - 1}
    across, down = HELD[held]
    size = scene.size if "x" in across else (scene.height, scene.width)
    stored = Image.new("RGB", size)
    for x in range(size[0]):
        for y in range(size[1]):
            where = [_at(words, last | {"x": x, "y": y}) for words in (across, down)]
            pixel = scene.getpixel((where[0], where[1]))
            assert isinstance(pixel, tuple)
            stored.putpixel((x, y), pixel)
    return stored


def _at(words: str, values: dict[str, int]) -> int:
    first, _, less = words.partition(" - ")
    return values[first] - (values[less] if less else 0)


@pytest.mark.parametrize("held", HELD)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_upright_however_the_camera_was_held(
    photos: Photos, held: int, kind: str
) -> None:
    stored = kept(photos, saved(held_so(quarters(), held), kind, exif=camera_exif(held)))
    assert size_of(stored) == (64, 32)
    assert corners(stored) == [RED, GREEN, BLUE, GREY]


@pytest.mark.parametrize(
    ("kind", "size", "becomes"),
    [
        ("JPEG", (6000, 3000), (2000, 1000)),
        ("PNG", (2500, 5000), (1000, 2000)),
        ("WEBP", (2000, 2001), (1999, 2000)),
        ("PNG", (9000, 2), (2000, 1)),
        ("JPEG", (300, 200), (300, 200)),
    ],
)
def test_a_picture_is_made_no_larger_than_a_page_needs(
    photos: Photos, kind: str, size: tuple[int, int], becomes: tuple[int, int]
) -> None:
    stored = kept(photos, saved(quarters(*size), kind))
    assert size_of(stored) == becomes
    assert max(becomes) <= LONGEST_SIDE
    if min(becomes) > 4:
        assert corners(stored) == [RED, GREEN, BLUE, GREY]


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16"])
def test_every_kind_of_pixels_becomes_the_same_picture(photos: Photos, mode: str) -> None:
    light = Image.new("RGB", (40, 20), (234, 234, 234))
    sent = {
        "1": Image.new("1", (40, 20), 1),
        "P": light.quantize(2),
        "I;16": Image.new("I;16", (40, 20), 60_000),
    }.get(mode) or light.convert(mode)
    stored = kept(photos, saved(sent, "JPEG" if mode == "CMYK" else "PNG"))
    with Image.open(io.BytesIO(stored)) as image:
        assert image.mode == "RGB"
        shades = image.getextrema()
    # 60 000 of 65 535 is 233.5 of 255; a picture of black and white has white.
    shade = 255 if mode == "1" else 234
    for low, high in (one for one in shades if isinstance(one, tuple)):
        assert shade - 3 <= low <= high <= shade + 3


def test_what_lets_the_ground_through_is_white(photos: Photos) -> None:
    clear = Image.new("RGBA", (40, 20), (0, 0, 0, 0))
    with Image.open(io.BytesIO(kept(photos, saved(clear, "PNG")))) as image:
        assert image.getpixel((20, 10)) == (255, 255, 255)


def test_a_drawing_stays_png_and_a_photo_sent_as_png_does_not(photos: Photos) -> None:
    drawing = Image.new("RGB", (1500, 1000), "white")
    ImageDraw.Draw(drawing).line((0, 0, 1500, 1000), "black", 5)
    assert kept(photos, saved(drawing, "PNG")).startswith(PNG_START)
    noise = Image.effect_noise((1600, 1600), 60)
    assert kept(photos, saved(noise, "PNG")).startswith(b"\xff\xd8")


def test_the_same_picture_is_kept_once(photos: Photos) -> None:
    sent = saved(quarters(), "JPEG", exif=camera_exif())
    other_day = saved(quarters(), "JPEG", exif=camera_exif(), comment="another day")
    assert photos.keep(sent) == photos.keep(sent) == photos.keep(other_day)
    assert [one.name for one in photos.folder.iterdir()] == list(photos.names())
    assert len(photos.names()) == 1


def test_a_phones_photo_with_a_second_one_behind_it_is_taken(photos: Photos) -> None:
    small = quarters(32, 16)
    sent = saved(quarters(), "MPO", save_all=True, append_images=[small])
    with Image.open(io.BytesIO(sent)) as image:
        assert image.format == "MPO"
    assert size_of(kept(photos, sent)) == (64, 32)


def bomb() -> bytes:
    """A PNG of some 200 kB that says it holds 20 000 × 10 000 pixels, and does."""
    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(bytes(10_001) * 100) for _ in range(200))
    return png(10_000, 20_000, rows + packer.flush())


def _moving(kind: str) -> bytes:
    return saved(quarters(), kind, save_all=True, append_images=[quarters().rotate(180)])


def _giant_text() -> bytes:
    text = b"Comment\0\0" + zlib.compress(bytes(80_000_000), 9)
    return png(1, 1, zlib.compress(b"\0\0"), chunk(b"zTXt", text))


REFUSED = {
    "empty": (lambda: b"", "This file is empty."),
    "a letter": (lambda: b"Dear aunt, " * 99, "This is not a picture that Seamslate can read"),
    "too large": (lambda: bytes(LARGEST_PHOTO + 1), "more than 15 MB"),
    "a GIF": (lambda: saved(quarters(), "GIF"), "This is a GIF file; Seamslate takes JPEG, PNG"),
    "a TIFF": (lambda: saved(quarters(), "TIFF"), "This is a TIFF or raw file"),
    "a BMP": (lambda: saved(quarters(), "BMP"), "This is a BMP file"),
    "a HEIC": (lambda: b"\0\0\0\x18ftypheic" + bytes(99), "Save it as JPEG on the phone"),
    "a drawing in SVG": (lambda: b"<svg onload='alert(1)'/>", "This is not a picture"),
    "a bomb": (bomb, "has too many pixels"),
    "just too many": (lambda: png(8001, 8000, b""), r"too many pixels \(8,001 × 8,000\): 64 mill"),
    "a warning": (lambda: png(10_000, 10_000, b""), "has too many pixels"),
    "no pixels": (lambda: png(0, 10, b""), "This is not a picture|is damaged"),
    "a PNG that moves": (lambda: _moving("PNG"), "This picture moves"),
    "a WebP that moves": (lambda: _moving("WEBP"), "This picture moves"),
    "a giant text": (_giant_text, "is not a picture|is damaged"),
    "half a JPEG": (lambda: _half("JPEG"), "breaks off before its end"),
    "half a PNG": (lambda: _half("PNG"), "breaks off before its end"),
    "half a WebP": (lambda: _half("WEBP"), "breaks off before its end|is not a picture"),
}


def _half(kind: str) -> bytes:
    whole = saved(Image.effect_noise((300, 300), 60).convert("RGB"), kind)
    return whole[: len(whole) // 2]


def test_half_a_picture_is_none_after_a_sheet_was_printed(photos: Photos) -> None:
    """As WeasyPrint sets it, for all of its process, once it is imported."""
    ImageFile.LOAD_TRUNCATED_IMAGES = True
    with pytest.raises(PhotoError, match="breaks off"):
        photos.keep(_half("JPEG"))


@pytest.mark.parametrize(("make", "sentence"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_kept_is_told_and_leaves_nothing(
    photos: Photos, make: Callable[[], bytes], sentence: str
) -> None:
    with pytest.raises(PhotoError, match=sentence):
        photos.keep(make())
    assert not photos.folder.exists()


def test_a_broken_exif_block_does_not_keep_a_photo_out(photos: Photos) -> None:
    stored = kept(photos, saved(quarters(), "JPEG", exif=b"Exif\0\0MM\0*\xff\xff\xff\xff" * 3))
    assert corners(stored) == [RED, GREEN, BLUE, GREY]


def test_what_hides_behind_a_picture_is_not_kept(photos: Photos) -> None:
    """A file that is a picture and a page at once (a polyglot) becomes a picture only."""
    page = b"<script>alert(1)</script>"
    sent = saved(quarters(), "JPEG", comment=page) + page
    assert page not in kept(photos, sent)


_SAMPLES = tuple(saved(quarters(), kind) for kind in ("JPEG", "PNG", "WEBP"))


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.one_of(
        st.binary(max_size=600),
        st.builds(
            lambda start, rest: start + rest,
            st.sampled_from([PNG_START, b"\xff\xd8\xff", b"RIFF\x20\0\0\0WEBPVP8 ", b"GIF89a"]),
            st.binary(max_size=600),
        ),
        st.builds(
            lambda whole, at, put: whole[: at % len(whole)] + put + whole[at % len(whole) :],
            st.sampled_from(_SAMPLES),
            st.integers(0, 5000),
            st.binary(min_size=1, max_size=8),
        ),
        st.builds(
            lambda whole, at, put: bytes(
                byte ^ put if place == at % len(whole) else byte for place, byte in enumerate(whole)
            ),
            st.sampled_from(_SAMPLES),
            st.integers(0, 5000),
            st.integers(1, 255),
        ),
    )
)
@example(PNG_START)
@example(b"\xff\xd8\xff\xe0")
def test_whatever_is_sent_is_kept_clean_or_told_in_a_sentence(
    photos: Photos, content: bytes
) -> None:
    try:
        stored = kept(photos, content)
    except PhotoError as error:
        assert error.sentence.endswith(".")
        return
    if stored.startswith(PNG_START):
        assert set(png_chunks(stored)) == {b"IHDR", b"IDAT", b"IEND"}
    else:
        assert {marker for marker, _ in jpeg_markers(stored)} <= {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}


@pytest.mark.parametrize(
    "name",
    [
        "../seamslate.db",
        "",
        ".",
        "a.jpg",
        f"{'0' * 64}.gif",
        f"{'0' * 64}.jpg\n",
        f"/{'0' * 64}.jpg",
    ],
)
def test_only_the_name_of_a_picture_leads_to_a_file(photos: Photos, name: str) -> None:
    photos.keep(saved(quarters(), "PNG"))
    (photos.folder.parent / "seamslate.db").touch()
    (photos.folder / "a.jpg").touch()
    assert photos.path(name) is None
    assert len(photos.names()) == 1


def test_a_folder_that_takes_nothing_is_told(tmp_path: Path) -> None:
    (tmp_path / "photos").write_text("a file where the folder should be")
    with pytest.raises(StoreError, match="The picture cannot be kept in"):
        Photos(tmp_path / "photos").keep(saved(quarters(), "PNG"))
