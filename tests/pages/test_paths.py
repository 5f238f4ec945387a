"""No name in an address leads to a file that is not meant by it."""

from pathlib import Path
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.serving import OwnFiles

SECRET = "the secret of this machine"
OUT = ("../secret.txt", "../../secret.txt", "....//secret.txt", "x/../../secret.txt",
       "./../secret.txt",
       "..\\secret.txt", "..;/secret.txt", "secret.txt\0.png", "\0", "~/secret.txt",
       "file:///etc/passwd",
       "/etc/passwd", "//etc/passwd", "C:\\secret.txt", "..", ".", "%2e%2e/secret.txt",
       "..%2fsecret.txt",
       "..%c0%afsecret.txt", "a" * 5000, "🧵", "\u2025/secret.txt", "．．/secret.txt")  # fmt: skip
PLACES = ("/static/{}", "/static/css/{}", "/static/vendor/{}", "/photos/{}", "/starters/{}.svg",
          "/episodes/{}", "/episodes/{}/episode.json", "/episodes/ID/files/{}",
          "/episodes/ID/prints/{}", "/episodes/ID/prints/{}/1.png", "/series/{}",
          "/episodes/ID/days/{}", "/episodes/ID/shots/{}")  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_a_name_leads_nowhere_else(
    client: TestClient, empty: str, house: House, place: str, tmp_path: Path
) -> None:
    (tmp_path / "secret.txt").write_text(SECRET)
    photos = house.photos.folder
    photos.mkdir(parents=True, exist_ok=True)
    (photos.parent / "secret.txt").write_text(SECRET)
    (photos / f"{'0' * 64}.png").symlink_to(tmp_path / "gone.txt")
    own = set(Path("/etc/passwd").read_text().splitlines()[:1])
    for name in (*OUT, str(tmp_path / "secret.txt")):
        for told in {quote(name, safe=""), quote(quote(name, safe=""), safe=""), quote(name)}:
            address = place.replace("ID", empty).format(told)
            answer = client.get(address)
            assert answer.status_code in (200, 303, 307, 404, 405, 422), address
            assert SECRET not in answer.text and not own & set(answer.text.splitlines()), address
    assert {one.name for one in photos.iterdir()} == {f"{'0' * 64}.png"}


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    folder, secret = tmp_path / "static", tmp_path / "secret.css"
    folder.mkdir()
    secret.write_text(SECRET)
    (folder / "link.css").symlink_to(secret)
    (folder / "up").symlink_to(tmp_path)
    (folder / "own.css").write_text("p {}")
    client = TestClient(OwnFiles(folder), "http://127.0.0.1", raise_server_exceptions=False)
    assert client.get("/own.css").status_code == 200
    for name in ("link.css", "up/secret.css", "%2e%2e/secret.css", "", ".", "up"):
        assert SECRET not in client.get(f"/{name}").text, name


@pytest.mark.parametrize(
    "title", ["../../x", "..\\x", "a\0b", "/etc/passwd", "C:x", "x" * 80, "CON"]
)
def test_a_title_is_no_name_of_a_file(client: TestClient, house: House, title: str) -> None:
    answer = client.post("/episodes", data={"title": title, "starter": "blank"})
    if answer.status_code != 303:
        assert answer.status_code == 422
        return
    (episode,) = house.store.list()
    sent = client.get(f"/episodes/{episode.id}/episode.json")
    told = sent.headers["content-disposition"]
    name = told.partition('filename="')[2].rstrip('"') or told.rpartition("''")[2]
    assert name and not set(name) & set('/\\:\0"\r\n'), told
    assert not name.startswith(".")
