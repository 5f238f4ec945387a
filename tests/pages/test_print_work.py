"""An order printed for real, once: its words meanwhile, its pages, their pictures."""

import io

import pdfplumber
import pypdfium2  # type: ignore[import-untyped]
import pytest
from PIL import Image

from tests.pages.printing import leaves
from webapp.errors import NotThereError, RecipeError
from webapp.handouts.pack import EXPORTS
from webapp.pages import print_work
from webapp.pages.page_images import page_image
from webapp.pages.print_orders import ALONE, Order
from webapp.pages.print_work import CALLED, MAKERS, print_it
from webapp.pages.printed_files import Printed, PrintedFiles
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

SKIRT = "episode-4-market-day-skirt.json"


@pytest.fixture(scope="module")
def order() -> Order:
    return Order("worksheet", read_episode((files_dir("demo_data") / SKIRT).read_bytes()), "XL")


@pytest.fixture(scope="module")
def told() -> list[str]:
    return []


@pytest.fixture(scope="module")
def printed(order: Order, told: list[str]) -> Printed:
    return print_it(lambda words, _=None: told.append(words), order)


def test_it_is_printed_in_the_size_ordered(order: Order, printed: Printed) -> None:
    with pdfplumber.open(io.BytesIO(printed.content)) as sheets:
        text = " ".join(" ".join(sheet.extract_text() for sheet in sheets.pages).split())
        # ISO 216: A4 is 210 × 297 mm, at 72 points to the inch of 25.4 mm
        assert sheets.pages[0].width == pytest.approx(210 / 25.4 * 72, abs=0.1)
        assert len(sheets.pages) == len(printed.pages)
    assert "In size XL." in text
    xl = next(body for body in order.episode.sizes if body.name == "XL")
    assert xl.measures["waist"].removesuffix(" cm") in text


def test_it_tells_in_words_how_far_it_is(printed: Printed, told: list[str]) -> None:
    assert told[0] == "Working out what stands on the worksheet."
    assert "Laying out the worksheet: page 1." in told
    assert told.index("Laying out the worksheet: page 1.") < told.index(
        f"Drawing the {len(printed.pages)} pages of the worksheet."
    )
    assert told[-1] == "Nearly done."


def test_a_page_is_pictured_from_the_very_file(printed: Printed) -> None:
    small = Image.open(io.BytesIO(page_image(printed.content, 1, "small")))
    large = Image.open(io.BytesIO(page_image(printed.content, 1, "large")))
    assert small.width < large.width
    for image in (small, large):
        assert image.width / image.height == pytest.approx(210 / 297, abs=0.01)
        assert image.convert("L").getextrema() != (255, 255)  # there is ink on it
    with pytest.raises(NotThereError):
        page_image(printed.content, len(printed.pages) + 1, "small")


def test_a_sheet_as_long_as_a_roll_is_pictured_in_bounds() -> None:
    document, content = pypdfium2.PdfDocument.new(), io.BytesIO()
    document.new_page(300, 60_000)
    document.save(content)
    document.close()
    image = Image.open(io.BytesIO(page_image(content.getvalue(), 1, "large")))
    assert image.width * image.height <= 17_000_000


def test_what_has_nothing_in_it_is_refused_in_words() -> None:
    with pytest.raises(RecipeError) as refused:
        print_it(lambda *_: None, Order("worksheet", Episode(id="none", title="None")))
    assert refused.value.sentence == "There is nothing to put on the worksheet yet."


def test_letters_that_no_font_has_are_told_of_what_the_sheet_shows(
    order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def missing(text: str) -> str:
        asked.append(text)
        return "Install a font." if "ᚠ" in text else ""

    monkeypatch.setattr(print_work, "missing_letters", missing)
    monkeypatch.setitem(MAKERS, "worksheet", lambda _: leaves(1))
    monkeypatch.setitem(MAKERS, "call-sheet", lambda _: leaves(1))
    shots = (changed(order.episode.shots[0], narration="ᚠ"), *order.episode.shots[1:])
    filmed = changed(order.episode, shots=shots)
    assert print_it(lambda *_: None, Order("worksheet", filmed)).notes == ()
    assert print_it(lambda *_: None, Order("call-sheet", filmed)).notes == ("Install a font.",)
    assert len(asked) == 2


def test_every_kind_can_be_made_and_is_a_file_of_the_pack() -> None:
    assert set(MAKERS) == set(ALONE) == set(CALLED) - {"all"}
    episode = Episode(id="none", title="None")
    assert all(any(Order(kind, episode).is_file(name) for name in EXPORTS) for kind in ALONE)


def test_files_are_kept_as_far_as_there_is_room(order: Order, printed: Printed) -> None:
    kept = PrintedFiles(len(printed.content) + 1)
    blank = Order("worksheet", order.episode)
    kept.put(order, printed)
    assert kept.newest(order) is not None
    kept.put(blank, printed)
    assert kept.newest(order) is None
    assert kept.newest(blank) is not None
