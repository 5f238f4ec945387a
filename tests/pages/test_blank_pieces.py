"""A garment built from nothing: what is not begun is no alarm, and a problem says where to go."""

import re

import pytest
from starlette.testclient import TestClient

from webapp.pages.house import House

IN_PART = {"HX-Request": "true"}
ALARM = "to be mended"
RECTANGLE = {"kind": "rectangle", "width": "30 cm", "length": "20 cm", "edges": ""}


@pytest.fixture
def draft(client: TestClient, empty: str, house: House) -> str:
    """The address of an empty garment's draft."""
    client.post(f"/episodes/{empty}/draft/garments", data={"starter": "blank"})
    return f"/episodes/{empty}/draft/{house.store.get(empty).garments[0].id}"


def _pages(empty: str) -> list[str]:
    return [f"/episodes/{empty}/{p}" for p in ("draft", "sizes", "cloth", "build", "companion")]


def test_an_empty_garment_is_no_problem(client: TestClient, empty: str, draft: str) -> None:
    assert "No piece yet." in client.get(f"{draft.rpartition('/')[0]}").text
    for page in _pages(empty):
        assert ALARM not in client.get(page).text


def test_a_piece_that_is_not_begun_is_no_problem_and_the_other_pages_say_what_lacks(
    client: TestClient, empty: str, draft: str, house: House
) -> None:
    answer = client.post(f"{draft}/pieces", data={"name": "Yoke"}, headers=IN_PART)
    assert "Choose a shape to begin with." in answer.text
    assert ALARM not in answer.text
    for page in _pages(empty):
        assert ALARM not in client.get(page).text, page
    assert "has no shape yet, so what you see is without it" in client.get(_pages(empty)[2]).text
    # It stays on the list of what is to be done.
    told = [thread.sentence for thread in house.plan(empty).loose_threads]
    assert "Yoke has no shape yet." in told
    assert not [problem for size in house.plan(empty).sizes for problem in size.problems]


def test_a_seam_and_a_step_can_wait_for_a_piece_that_is_not_begun(
    client: TestClient, empty: str, draft: str, house: House
) -> None:
    for name in ("Yoke", "Back"):
        client.post(f"{draft}/pieces", data={"name": name})
    client.post(f"{draft}/pieces/Back/moves", data=RECTANGLE)
    sent = {"name": "yoke seam", "one": "Yoke.hem", "other": "Back.top", "sewn": "1"}
    page = client.post(f"{draft}/seams/new", data=sent, headers=IN_PART)
    assert page.status_code == 200
    assert "Yoke seam waits: not all that it joins is drawn." in page.text
    garment = house.store.get(empty).garments[0].id
    build = f"/episodes/{empty}/build/steps"
    client.post(build, data={"name": "Join the yoke", "garment": garment})
    client.post(f"{build}/join-the-yoke/work", data={"kind": "machine", "seam yoke seam": "yes"})
    page = client.get(f"/episodes/{empty}/build")
    assert ALARM not in page.text
    assert "Its time waits for a measure or a piece" in page.text
    client.post(f"{draft}/pieces/Yoke/moves", data=RECTANGLE)
    (step,) = house.plan(empty).steps
    assert step.work.likely > 0
    (seam,) = house.plan(empty).drafts[0].seams
    assert seam.agrees


def test_a_wrong_first_shape_can_be_struck_out_until_something_is_made_of_it(
    client: TestClient, empty: str, draft: str, house: House
) -> None:
    for name in ("Yoke", "Back"):
        client.post(f"{draft}/pieces", data={"name": name})
    client.post(f"{draft}/pieces/Yoke/moves", data=RECTANGLE)
    struck = client.post(f"{draft}/pieces/Yoke/moves/0/delete", headers=IN_PART)
    assert struck.status_code == 200
    assert not house.store.get(empty).garments[0].pieces[0].moves
    client.post(f"{draft}/pieces/Yoke/moves", data=RECTANGLE)
    client.post(f"{draft}/pieces/Back/moves", data={"kind": "copy", "of": "Yoke"})
    refused = client.post(f"{draft}/pieces/Yoke/moves/0/delete", headers=IN_PART)
    assert refused.status_code == 422
    assert "Yoke would have no shape" in refused.text


def test_a_shape_that_is_left_out_is_still_told(client: TestClient, draft: str) -> None:
    client.post(f"{draft}/pieces", data={"name": "Yoke"})
    client.post(f"{draft}/pieces/Yoke/moves", data=RECTANGLE)
    refused = client.post(f"{draft}/pieces/Yoke/moves/0/off", headers=IN_PART)
    assert refused.status_code == 422
    assert "Yoke has no shape yet." in refused.text


def test_a_problem_leads_to_the_place_that_mends_it(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/body", data={"m hip": ""})
    page = client.get(f"/episodes/{smock}/cloth").text
    assert page.count("asks for the measure “hip”") == 1
    (address,) = re.findall(r'“hip”[^<]*<a href="([^"]+)"', page)
    place, _, part = address.partition("#")
    assert f'id="{part}"' in client.get(place).text
