"""The list of pages is complete."""

import re
from pathlib import Path

from tests.every_page import ADDRESSES, NO_PAGES
from webapp.app import create_app
from webapp.settings import Settings


def test_every_page_is_listed(tmp_path: Path) -> None:
    app = create_app(Settings(data_dir=tmp_path))
    app.state.house.close()
    answered = {path for path, what in app.openapi()["paths"].items() if "get" in what}
    assert answered >= NO_PAGES
    for path in answered - NO_PAGES:
        like = re.compile(re.sub(r"\\{\w+\\}", "[^/?]+", re.escape(path)) + r"(\?.*)?")
        assert any(like.fullmatch(address) for address in ADDRESSES), path
