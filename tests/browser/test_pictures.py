"""A picture in a real browser: one that is far too large, then one that is kept."""

import zlib
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.picture_files import png


def test_a_file_too_large_to_send_is_told_beside_its_field(
    page: Page, address: str, tmp_path: Path
) -> None:
    large, good = tmp_path / "large.jpg", tmp_path / "good.png"
    with large.open("wb") as file:
        file.truncate(65 * 1024 * 1024)  # a server that refuses a body unread answers otherwise
    good.write_bytes(png(2, 1, zlib.compress(b"\x00\x20\x80")))
    page.goto(f"{address}/episodes/small-wardrobe-4/brief")
    card = page.locator("#sketch")
    words = card.get_by_label("What it shows")
    words.fill("The skirt from behind")
    card.get_by_label("Choose a sketch").set_input_files(large)
    expect(card.get_by_role("alert")).to_contain_text("more than 15 MB")
    expect(words).to_have_value("The skirt from behind")
    card.get_by_label("Choose a sketch").set_input_files(good)
    expect(card.get_by_role("img", name="The skirt from behind")).to_be_visible()
    expect(card.get_by_role("alert")).to_have_count(0)
