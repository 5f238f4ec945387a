"""Work that goes on is told on the other pages of its episode; entries to mend, at the top."""

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from webapp.jobs import Job
from webapp.pages.house import House

IN_PART = {"HX-Request": "true"}


@pytest.fixture
def lay(house: House, smock: str) -> Iterator[Job]:
    """A search as if it were going on."""
    address = f"/episodes/{smock}/cloth#cloth-0"
    job = Job("lay", called="the lay of Main cloth", address=address, seconds=8.0)
    house.jobs._jobs["lay"] = job
    yield job
    job.state = "done"


def test_work_is_told_on_other_pages_than_its_own(
    client: TestClient, smock: str, empty: str, lay: Job
) -> None:
    told = client.get(f"/episodes/{smock}/brief").text
    assert "At work:" in told
    assert re.search(rf">{lay.called}</a>, \d+ %", told)
    assert "At work:" not in client.get(f"/episodes/{smock}/cloth").text
    assert "At work:" not in client.get(f"/episodes/{empty}/brief").text


def test_it_is_asked_after_until_it_is_done(client: TestClient, smock: str, lay: Job) -> None:
    address = f"/episodes/{smock}/at-work"
    asked = {"page": f"/episodes/{smock}/brief"}
    assert f'hx-get="{address}?page=' in client.get(address, params=asked, headers=IN_PART).text
    lay.state, lay._ended_s = "done", lay._begun_s
    over = client.get(address, params=asked, headers=IN_PART).text
    assert "Ready:" in over
    assert "hx-get" not in over


def test_entries_to_mend_are_listed_at_the_top_with_links(client: TestClient, smock: str) -> None:
    """Also without script: the same page, whole."""
    address = f"/episodes/{smock}/brief"
    assert "to-mend" not in client.get(address).text
    answer = client.post(address, data={"title": "", "target_seconds": "soon"})
    assert answer.status_code == 422
    top = answer.text.split("<main", 1)[1].split("</section>", 1)[0]
    assert "2 entries to mend" in top
    for name in ("title", "target_seconds"):
        field = answer.text.split(f'name="{name}"')[1].split('id="', 1)[1].split('"', 1)[0]
        assert f'<a href="#{field}">' in top


def test_what_is_missing_comes_before_going_on(client: TestClient, empty: str) -> None:
    told = client.get(f"/episodes/{empty}/cloth").text.split('class="next-page"')[1]
    assert "There is no garment yet." in told.split("</nav>")[0]
