"""Photos and sketches: files beside the database, each named by the hash of its content.

What is kept is never what was sent: the picture is decoded, turned upright, made smaller and
written anew from its pixels alone, so that where and when it was taken stays with the maker.
"""

import hashlib
import io
import re
import tempfile
import threading
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Final

from webapp.errors import PhotoError, StoreError
from webapp.store.in_place import put_in_place
from webapp.store.refusals import of_disk

if TYPE_CHECKING:
    from PIL import Image

LARGEST_PHOTO: Final = 15 * 1024 * 1024  # bytes as sent; phones make 2 to 12 MB
MOST_PIXELS: Final = 64_000_000  # as sent; a phone of 50 megapixels has a little over 50 million
TOO_LARGE: Final = (
    f"This picture has more than {LARGEST_PHOTO // 1024**2} MB, which is the most that "
    "Seamslate takes. Save it smaller, then choose it again."
)
LONGEST_SIDE: Final = 2000  # pixels as kept; twice the width of a page
LARGEST_PNG: Final = 2 * 1024 * 1024  # bytes as kept; a PNG beyond it is a photo, not a drawing
_QUALITY: Final = 85
_TAKEN: Final = ("JPEG", "PNG", "WEBP")

_NAME: Final = re.compile(r"([0-9a-f]{64})\.(jpg|png)")
_TYPES: Final = {"jpg": "image/jpeg", "png": "image/png"}

_NO_PICTURE: Final = "This is not a picture that Seamslate can read; it takes JPEG, PNG and WebP."
# How files of other kinds begin.
_OTHERS: Final = (
    (b"GIF8", "a GIF"),
    (b"BM", "a BMP"),
    (b"II*\0", "a TIFF or raw"),
    (b"MM\0*", "a TIFF or raw"),
    (b"%PDF-", "a PDF"),
)
# An HEIF file says after eight bytes which brand it is (ISO/IEC 23008-12); phones write these.
_HEIF: Final = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")

_one_at_a_time = threading.Lock()  # a picture takes some 300 MB while it is decoded


def photos_folder(data_dir: Path) -> Path:
    """Where a data folder keeps its pictures."""
    return data_dir / "photos"


class Photos:
    """The pictures of one folder. Safe to share between threads.

    A picture that no plan shows any more stays, since undoing a change may show it again.
    """

    largest = LARGEST_PHOTO
    too_large = TOO_LARGE

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, content: bytes) -> str:
        """Keep a picture that was sent. Returns its file's name, the same for the same picture.

        PhotoError when it cannot be taken; StoreError when it cannot be written.
        """
        with _one_at_a_time:
            ending, anew = _anew(content)
        name = f"{hashlib.sha256(anew).hexdigest()}.{ending}"
        write_photo(self.folder, name, anew)
        return name

    def path(self, name: str) -> Path | None:
        """The file of that name, None when it is not here or no name of a picture."""
        path = self.folder / name if _NAME.fullmatch(name) else None
        return path if path is not None and path.is_file() else None

    def names(self) -> tuple[str, ...]:
        """The names of all pictures, in order."""
        if not self.folder.is_dir():
            return ()
        return tuple(sorted(one.name for one in self.folder.iterdir() if self.path(one.name)))


def media_type(name: str) -> str:
    """What a picture's file holds, as browsers call it."""
    return _TYPES[name.rpartition(".")[2]]


def is_sound(name: str, content: bytes) -> bool:
    """Whether `name` is the name of a picture and `content` what its hash was made of."""
    named = _NAME.fullmatch(name)
    return named is not None and hashlib.sha256(content).hexdigest() == named[1]


def write_photo(folder: Path, name: str, content: bytes) -> None:
    """Write a picture whole or not at all; once written it survives a crash. StoreError."""
    part = None
    try:
        folder.mkdir(exist_ok=True)  # nothing that was moved away is made anew
        with tempfile.NamedTemporaryFile(dir=folder, suffix=".part", delete=False) as file:
            part = Path(file.name)
            file.write(content)
        put_in_place(part, folder / name)
    except OSError as error:
        if part is not None:
            part.unlink(missing_ok=True)
        refused = of_disk(error, folder, "this picture is not")
        if refused is not None:
            raise refused from error
        raise StoreError(f"The picture cannot be kept in {folder}: {error.strerror}.") from error


def _anew(content: bytes) -> tuple[str, bytes]:
    """The picture's pixels as a fresh file, and the ending of its name. PhotoError."""
    _refuse_by_its_bytes(content)
    from PIL import Image, ImageFile  # noqa: PLC0415  slow, and rarely needed

    # For the whole process: a bomb is refused, and of Exif that is broken nobody need hear. Half a
    # picture is none, whatever the library that prints has set.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    warnings.filterwarnings("ignore", category=UserWarning, module=r"PIL\.")
    warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
    try:
        sent = Image.open(io.BytesIO(content), formats=_TAKEN)  # reads no further than the header
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels("") from None
    except Exception:  # a hostile file makes a decoder raise almost anything
        raise PhotoError(_NO_PICTURE) from None
    with sent:
        width, height = sent.size
        if width * height > MOST_PIXELS:
            raise _too_many_pixels(f" ({width:,} × {height:,})")
        # A photo with a second picture behind it (MPO, from many phones) is not a moving one.
        if sent.format in ("PNG", "WEBP") and getattr(sent, "is_animated", False):
            raise PhotoError("This picture moves. Choose one that stands still.")
        try:
            pixels = _upright(_small(sent))
            return _written(pixels, lossless=sent.format == "PNG")
        except Exception:
            raise PhotoError(
                "This picture is damaged or breaks off before its end; perhaps it was copied only "
                "in part. Copy it again, or open it elsewhere and save it anew."
            ) from None


def _refuse_by_its_bytes(content: bytes) -> None:
    if not content:
        raise PhotoError("This file is empty.")
    if len(content) > LARGEST_PHOTO:
        raise PhotoError(TOO_LARGE)
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF:
        raise PhotoError(
            "This is a HEIC picture, which not every browser can show. Save it as JPEG on the "
            "phone or computer it is on, then choose that."
        )
    for start, kind in _OTHERS:
        if content.startswith(start):
            raise PhotoError(
                f"This is {kind} file; Seamslate takes JPEG, PNG and WebP. Save the picture as "
                "JPEG, then choose that."
            )


def _too_many_pixels(size: str) -> PhotoError:
    return PhotoError(
        f"This picture has too many pixels{size}: {MOST_PIXELS // 1_000_000} million is the most. "
        "Save it smaller, then choose it again."
    )


def _small(sent: "Image.Image") -> "Image.Image":
    """The picture decoded, in RGB on white, at most `LONGEST_SIDE` pixels a side."""
    from PIL import Image  # noqa: PLC0415

    sent.draft(None, (LONGEST_SIDE, LONGEST_SIDE))  # a JPEG is not decoded larger than needed
    sent.load()
    image: Image.Image = sent
    if sent.has_transparency_data:
        image = sent if sent.mode == "RGBA" else sent.convert("RGBA")
    elif sent.mode.startswith("I;16"):
        image = sent.point(lambda grey: grey / 256).convert("L")
    elif sent.mode not in ("RGB", "L"):
        image = sent.convert("RGB")
    if max(image.size) > LONGEST_SIDE:
        share = LONGEST_SIDE / max(image.size)
        size = tuple(max(1, round(side * share)) for side in image.size)
        image = image.resize((size[0], size[1]), Image.Resampling.LANCZOS, reducing_gap=3.0)
    # A fresh image carries nothing of what came with the pixels.
    fresh = Image.new("RGB", image.size, "white")
    fresh.paste(image, mask=image if image.mode == "RGBA" else None)
    fresh.info["orientation"] = _orientation(sent)
    return fresh


def _orientation(sent: "Image.Image") -> int:
    """How the camera was held, 1 to 8 (Exif 2.32, tag 274); 1 when it does not say soundly."""
    try:
        return int(sent.getexif().get(274, 1))
    except Exception:  # a broken Exif block is no reason to refuse the picture
        return 1


def _upright(image: "Image.Image") -> "Image.Image":
    """The picture turned so that its top is up."""
    from PIL import Image  # noqa: PLC0415

    turn = Image.Transpose
    # Exif 2.32, tag 274, by where the picture's first row and first column belong.
    turns = {
        2: turn.FLIP_LEFT_RIGHT,  # top, right
        3: turn.ROTATE_180,  # bottom, right
        4: turn.FLIP_TOP_BOTTOM,  # bottom, left
        5: turn.TRANSPOSE,  # left, top
        6: turn.ROTATE_270,  # right, top
        7: turn.TRANSVERSE,  # right, bottom
        8: turn.ROTATE_90,  # left, bottom
    }
    found = turns.get(image.info.pop("orientation"))
    return image if found is None else image.transpose(found)


def _written(image: "Image.Image", *, lossless: bool) -> tuple[str, bytes]:
    """The ending and bytes of a new file. A drawing sent as PNG stays one: its lines stay sharp."""
    if lossless:
        file = io.BytesIO()
        image.save(file, "PNG", optimize=True)
        if file.tell() <= LARGEST_PNG:
            return "png", file.getvalue()
    file = io.BytesIO()
    image.save(file, "JPEG", quality=_QUALITY, optimize=True)
    return "jpg", file.getvalue()
