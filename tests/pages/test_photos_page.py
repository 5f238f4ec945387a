"""The sketch of a brief and the photo of a fitting: sent, shown, told in words, taken away."""

import io
from pathlib import Path
from typing import Any

import pytest
from httpx import Response
from PIL import Image
from starlette.testclient import TestClient

from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode, Fitting, Picture
from webapp.store.episode_file import read_episode, write_episode

MISSING = Picture(file=f"{'0' * 64}.jpg", alt="A collar that stands")


def picture(colour: str = "red", kind: str = "JPEG", size: tuple[int, int] = (60, 40)) -> bytes:
    """A file of one colour."""
    file = io.BytesIO()
    Image.new("RGB", size, colour).save(file, kind)
    return file.getvalue()


def send(client: TestClient, address: str, content: bytes | None = None, **fields: str) -> Response:
    """Post the form as a browser does: a file field without a file is sent empty."""
    file: Any = ("sketch.jpg", content, "image/jpeg") if content is not None else ("", b"")
    answer: Response = client.post(address, data=fields, files={"file": file})
    return answer


def sketch_of(house: House, episode_id: str) -> Picture | None:
    return house.store.get(episode_id).brief.sketch


@pytest.fixture
def sketch(empty: str) -> str:
    """Where the brief's sketch is posted."""
    return f"/episodes/{empty}/brief/sketch"


@pytest.fixture
def fitting(house: House, smock: str) -> str:
    """Where the photo of the smock's fitting is posted."""
    house.store.change(
        smock,
        "a fitting",
        lambda e: changed(e, fittings=(Fitting(id="first", title="Drop the shoulder"),)),
    )
    return f"/episodes/{smock}/fittings/first/photo"


def test_a_sketch_is_sent_shown_and_told_in_words(
    client: TestClient, house: House, empty: str, sketch: str
) -> None:
    answer = send(client, sketch, picture(), alt="A boxy smock")
    assert (answer.status_code, answer.headers["location"]) == (
        303,
        f"/episodes/{empty}/brief#sketch",
    )
    kept = sketch_of(house, empty)
    assert kept is not None
    assert kept.alt == "A boxy smock"
    page = client.get(f"/episodes/{empty}/brief").text
    assert f'<img src="/photos/{kept.file}" alt="A boxy smock"' in page
    shown = client.get(f"/photos/{kept.file}")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert "immutable" in shown.headers["cache-control"]
    with Image.open(io.BytesIO(shown.content)) as image:
        assert image.size == (60, 40)


def test_words_and_picture_change_without_each_other_and_each_is_undone_alone(
    client: TestClient, house: House, empty: str, sketch: str
) -> None:
    send(client, sketch, picture())
    first = sketch_of(house, empty)
    assert first is not None
    send(client, sketch, alt="A smock")
    told = changed(first, alt="A smock")
    assert sketch_of(house, empty) == told
    send(client, sketch, picture("blue", "PNG"))
    second = sketch_of(house, empty)
    assert second is not None
    assert (second.file != first.file, second.alt) == (True, "A smock")
    client.post(f"{sketch}/delete")
    assert sketch_of(house, empty) is None
    for before in (second, told, first, None):
        house.store.undo(empty)
        assert sketch_of(house, empty) == before
    house.store.redo(empty)
    assert house.photos.path(first.file)  # taken away and brought back, it is still there


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "Choose a picture first."),
        (b"", "This file is empty."),
        (b"Dear aunt", "This is not a picture that Seamslate can read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "This is not a picture"),
        (picture(kind="GIF"), "This is a GIF file"),
        (picture(size=(600, 400))[:-900], "This picture is damaged or breaks off"),
        (bytes(15 * 1024 * 1024 + 1), "This picture has more than 15 MB"),
        (bytes(40 * 1024 * 1024), "This picture has more than 15 MB"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_hostile_sketch_is_told_beside_its_field_and_nothing_typed_is_lost(
    client: TestClient, house: House, empty: str, sketch: str, content: bytes | None, sentence: str
) -> None:
    answer = send(client, sketch, content, alt="A smock & a <cowl>")
    assert answer.status_code == 422
    assert f'id="sketch-file-error">{sentence}' in answer.text
    assert "A smock &amp; a &lt;cowl&gt;</textarea>" in answer.text
    assert sketch_of(house, empty) is None
    assert house.photos.names() == ()


def test_a_refused_picture_leaves_the_one_before_and_the_new_words_stand(
    client: TestClient, house: House, empty: str, sketch: str
) -> None:
    send(client, sketch, picture(), alt="A smock")
    before = sketch_of(house, empty)
    assert before is not None
    answer = send(client, sketch, b"Dear aunt", alt="A boxy smock")
    assert answer.status_code == 422
    assert sketch_of(house, empty) == changed(before, alt="A boxy smock")
    answer = send(client, sketch, picture("blue"), alt="x" * 201)
    assert answer.status_code == 422
    assert "This is 201 characters long; 200 is the most." in answer.text
    assert "x" * 201 in answer.text
    after = sketch_of(house, empty)
    assert after is not None
    assert (after.file != before.file, after.alt) == (True, "A boxy smock")


def test_a_page_out_of_date_is_told_and_keeps_the_words(
    client: TestClient, house: House, empty: str, sketch: str
) -> None:
    edition = house.store.edition(empty)
    send(client, sketch, picture(), alt="Another")
    answer = send(client, f"{sketch}?edition={edition}", alt="A smock")
    assert answer.status_code == 422
    assert "changed in another tab" in answer.text
    assert "A smock</textarea>" in answer.text
    kept = sketch_of(house, empty)
    assert kept is not None and kept.alt == "Another"


def test_a_picture_of_an_imported_plan_that_is_not_here_is_told_in_words(
    client: TestClient, house: House
) -> None:
    there = Episode(id="from-afar", title="From afar")
    there = changed(there, brief=changed(there.brief, sketch=MISSING))
    house.store.add(read_episode(write_episode(there)))  # the file holds the name, no picture
    page = client.get("/episodes/from-afar/brief").text
    assert "This picture is not on this computer. It shows: A collar that stands" in page
    assert "<img" not in page
    send(client, "/episodes/from-afar/brief/sketch", alt="A collar")
    assert sketch_of(house, "from-afar") == changed(MISSING, alt="A collar")


@pytest.mark.parametrize(
    "name", [MISSING.file, "seamslate.db", "..%2Fseamslate.db", "%2e%2e/seamslate.db", "x" * 999]
)
def test_what_is_no_picture_here_is_not_served(
    client: TestClient, tmp_path: Path, name: str
) -> None:
    assert (tmp_path / "seamslate.db").exists()
    assert client.get(f"/photos/{name}").status_code == 404


def test_only_the_addresses_of_pictures_take_more_than_others(
    client: TestClient, empty: str
) -> None:
    large = {"content-length": str(7 * 1024 * 1024)}
    for other in (
        "/episodes",
        f"/episodes/{empty}/brief",
        f"/episodes/{empty}/brief/sketch/delete",
    ):
        assert client.post(other, content=b"", headers=large).status_code == 413
    huge = {"content-length": str(65 * 1024 * 1024)}
    answer = client.post(f"/episodes/{empty}/brief/sketch", content=b"", headers=huge)
    assert (answer.status_code, "64 MB" in answer.text) == (413, True)


def test_a_fitting_has_a_photo_that_is_sent_told_and_taken_away(
    client: TestClient, house: House, smock: str, fitting: str
) -> None:
    answer = send(client, fitting, picture(), alt="The shoulder lies too far out")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/episodes/{smock}/fittings?edit=first#fitting-first"
    (found,) = house.store.get(smock).fittings
    assert found.photo is not None
    assert found.photo.alt == "The shoulder lies too far out"
    assert house.store.standing(smock).undo == "the photo of “Drop the shoulder”"
    page = client.get(answer.headers["location"]).text
    assert f'<img src="/photos/{found.photo.file}" alt="The shoulder lies too far out"' in page
    client.post(f"{fitting}/delete")
    (found,) = house.store.get(smock).fittings
    assert found.photo is None


def test_a_hostile_photo_is_told_beside_its_field(
    client: TestClient, house: House, smock: str, fitting: str
) -> None:
    answer = send(client, fitting, b"Dear aunt", alt="Too far out")
    assert answer.status_code == 422
    assert 'id="photo-first-file-error">This is not a picture' in answer.text
    assert "Too far out</textarea>" in answer.text
    gone = f"/episodes/{smock}/fittings/second/photo"
    assert send(client, gone, picture()).status_code == 404
    assert client.post(f"{gone}/delete").status_code == 404
    assert house.photos.names() == ()
