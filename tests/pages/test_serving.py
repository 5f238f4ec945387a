"""Answers are packed, and our own files are asked for once."""

import gzip
import re

import pytest
from starlette.testclient import TestClient

from webapp.settings import files_dir

CSS = "/static/css/base.css"
PACKED = {"accept-encoding": "gzip"}
PLAIN = {"accept-encoding": "identity"}


def test_a_page_is_packed_where_the_browser_can_unpack_it(client: TestClient, smock: str) -> None:
    address = f"/episodes/{smock}/shots"
    packed = client.get(address, headers=PACKED)
    plain = client.get(address, headers=PLAIN)
    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.text == plain.text
    assert int(packed.headers["content-length"]) * 4 < len(plain.content)
    assert "accept-encoding" in plain.headers["vary"]


def test_what_is_packed_by_its_nature_passes_as_it_is(client: TestClient) -> None:
    font = "/static/vendor/alegreya/alegreya-latin-700-normal.woff2"
    answer = client.get(font, headers=PACKED)
    assert "content-encoding" not in answer.headers
    assert answer.content == (files_dir("static") / font.removeprefix("/static/")).read_bytes()


def test_every_file_of_a_page_is_named_by_its_content_and_kept(client: TestClient) -> None:
    addresses = re.findall(r'"(/static/[^"#]+\.(?:css|js|svg)[^"#]*)', client.get("/").text)
    assert len(addresses) > 5
    for address in addresses:
        answer = client.get(address, headers=PACKED)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"], address
        assert re.search(r"\?v=[0-9a-f]{16}$", address)


def test_a_file_asked_for_by_its_plain_name_is_asked_about_each_time(client: TestClient) -> None:
    answer = client.get(CSS, headers=PACKED)
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.content == (files_dir("static") / "css/base.css").read_bytes()
    again = client.get(CSS, headers={"if-none-match": answer.headers["etag"]})
    assert again.status_code == 304 and not again.content
    assert client.get(f"{CSS}?v=of-old").headers["cache-control"] == "no-cache"


@pytest.mark.parametrize(
    "name",
    ["none.css", "css", "", "../pyproject.toml", "%2e%2e/pyproject.toml", "/etc/passwd", "%00"],
)
def test_only_files_of_the_folder_are_served(client: TestClient, name: str) -> None:
    assert client.get(f"/static/{name}").status_code == 404
    assert client.post(CSS).status_code == 404


def test_a_picture_of_text_is_packed_once_and_for_all(client: TestClient) -> None:
    with client.stream("GET", "/static/mark.svg", headers=PACKED) as answer:
        raw = b"".join(answer.iter_raw())
    assert gzip.decompress(raw) == (files_dir("static") / "mark.svg").read_bytes()


def test_what_every_page_wears_is_one_sheet(client: TestClient) -> None:
    worn = re.findall(r'href="(/static/css/[^"]+)"', client.get("/keys").text)
    assert [name.partition("?")[0] for name in worn] == [
        "/static/css/house.css",
        "/static/css/on-paper.css",
    ]
    sheet = client.get(worn[0])
    assert "immutable" in sheet.headers["cache-control"]
    folder = files_dir("static") / "css"
    places = [sheet.content.index((folder / f"{one}.css").read_bytes()) for one in
              ("tokens", "base", "parts")]  # fmt: skip
    assert places == sorted(places)


def test_what_every_page_can_do_is_one_script_of_which_each_part_keeps_its_names(
    client: TestClient,
) -> None:
    used = re.findall(r'src="(/static/js/[^"]+)"', client.get("/keys").text)
    assert [name.partition("?")[0] for name in used] == [
        "/static/js/house.js",
        "/static/js/table-kept.js",  # it imports, which a part cannot
    ]
    script = client.get(used[0])
    assert "javascript" in script.headers["content-type"]
    folder = files_dir("static") / "js"
    for part in ("forms", "saving", "folds"):
        assert b"{\n%s}" % (folder / f"{part}.js").read_bytes() in script.content
    assert not re.search(r"^(import|export)\b", script.text, re.MULTILINE)


def test_a_page_is_never_shown_from_what_a_browser_kept(client: TestClient, smock: str) -> None:
    for address in ("/", f"/episodes/{smock}/brief", "/nowhere"):
        assert client.get(address).headers["cache-control"] == "no-store"
