"""Own size charts on the sizes page: pasted or sent as a file, refused row by row, taken out."""

import io
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.sizes_page import assert_strict_html, page, sizes, take, view
from webapp.pages.house import House
from webapp.store.library import Library

CHART = "size;bust (cm);hip (cm);head\nSmall;82-90;90-98;55\nLarge;90-98;98-106;57\n"


def keep(client: TestClient, episode: str, text: str, **more: str) -> Any:
    data = {"name": "Club", "text": text, "unit": "cm", "source": "", **more}
    return client.post(f"/episodes/{episode}/sizes/charts", data=data)


def test_a_pasted_chart_is_kept_and_offered_in_every_episode(
    client: TestClient, house: House, smock: str, empty: str
) -> None:
    answer = keep(client, smock, CHART, source="Our club's list")
    assert answer.status_code == 303
    found = page(client, empty, "?chart=own+club")
    assert found.chart.name == "Club"
    assert found.chart.chart.source == "Our club's list"
    assert "Our club&#39;s list" in client.get(f"/episodes/{smock}/sizes?chart=own+club").text
    take(client, smock, chart="own club", row="Small")
    assert sizes(house, smock)["Small"].measures["head"] == "55 cm"


def test_a_chart_comes_in_as_a_file(client: TestClient, house: House, smock: str) -> None:
    file = {"file": ("club.csv", io.BytesIO(CHART.encode("utf-16")))}
    answer = client.post(
        f"/episodes/{smock}/sizes/charts", data={"name": "Club", "text": ""}, files=file
    )
    assert answer.status_code == 303
    assert [entry.name for entry in house.library.entries("chart")] == ["Club"]


def test_what_is_wrong_with_a_chart_is_told_by_row_and_nothing_typed_is_lost(
    client: TestClient, house: House, smock: str
) -> None:
    text = "size,bust (cm),shoe\nS,wide,3\nS,<b>,4"
    answer = keep(client, smock, text, source="A friend", unit="in")
    assert answer.status_code == 422
    assert_strict_html(answer.text)
    reading = view(answer).reading
    assert reading is not None
    assert [each.row for each in reading.troubles] == [1, 2, 3, 3]
    for sentence in ("Row 1, shoe", "Row 2, bust (cm)", "Row 3, size", "Row 3, bust (cm)"):
        assert sentence in answer.text
    assert "S,wide,3\nS,&lt;b&gt;,4</textarea>" in answer.text
    assert 'value="Club"' in answer.text
    assert "A friend</textarea>" in answer.text
    assert '<option value="in" selected>' in answer.text
    assert house.library.entries("chart") == ()


def test_the_text_of_a_file_that_is_refused_stands_in_the_form(
    client: TestClient, smock: str
) -> None:
    answer = client.post(
        f"/episodes/{smock}/sizes/charts",
        data={"name": "Club", "text": "old"},
        files={"file": ("club.csv", b"size,bust\nS,wide")},
    )
    assert answer.status_code == 422
    assert "size,bust\nS,wide</textarea>" in answer.text


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"PK\x03\x04", "Save the sheet as CSV"),
        (b"\x00" * 10, "Save the sheet as CSV"),
        (b"x" * 500_000, "too long for a size chart"),
    ],
)
def test_a_file_that_is_no_chart_is_refused_in_a_sentence(
    client: TestClient, house: House, smock: str, raw: bytes, sentence: str
) -> None:
    answer = client.post(
        f"/episodes/{smock}/sizes/charts",
        data={"name": "Club", "text": ""},
        files={"file": ("club.xlsx", raw)},
    )
    assert answer.status_code == 422
    assert sentence in answer.text
    assert house.library.entries("chart") == ()


def test_a_chart_needs_a_name_of_its_own(client: TestClient, smock: str) -> None:
    assert view(keep(client, smock, CHART, name="")).answers.errors["name"]
    keep(client, smock, CHART)
    answer = keep(client, smock, CHART, name="CLUB")
    assert answer.status_code == 422
    assert "You keep a size chart called “Club” already" in view(answer).answers.errors["name"]
    assert "Small;82-90" in answer.text


def test_a_chart_is_taken_out_and_put_back(client: TestClient, house: House, smock: str) -> None:
    keep(client, smock, CHART)
    base = f"/episodes/{smock}/sizes/charts/club"
    assert client.post(f"{base}/take-out").status_code == 303
    found = page(client, smock)
    assert (found.offered.own, [entry.name for entry in found.offered.out]) == ((), ["Club"])
    client.post(f"{base}/put-back")
    assert [one.name for one in page(client, smock).offered.own] == ["Club"]
    assert client.post(f"/episodes/{smock}/sizes/charts/none/take-out").status_code == 404
    assert house.library.entries("chart", deleted=True) == ()


@pytest.mark.parametrize("document", ["", "{}", '{"name": "Old", "rows": [{"name": ""}]}'])
def test_a_damaged_chart_takes_no_page_down_and_is_no_answer(
    client: TestClient, house: House, smock: str, document: str
) -> None:
    library: Library = house.library
    id = library.put("chart", "Old", document)
    (own,) = page(client, smock, f"?chart=own+{id}").offered.own
    assert own.trouble.startswith("“Old” cannot be read")
    answer = take(client, smock, chart=own.key, row="S")
    assert answer.status_code == 422
