"""The worksheet: in a size with its figures, blank with formulas."""

from starlette.testclient import TestClient

from webapp.units import both


def test_the_worksheet_of_a_size_has_its_figures(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet")
    assert answer.status_code == 200
    # The demo's body: (98 + 26) / 4 + 4 = 35 cm is half the panel before the underarm is cut in.
    assert f"Draw a rectangle {both(350, 'cm')} wide" in answer.text
    assert "<svg" in answer.text
    assert "half" in answer.text


def test_the_blank_worksheet_has_formulas_and_room(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/worksheet?blank=true")
    assert "Draw a rectangle A wide" in answer.text
    assert "the larger of your bust and your hip" in answer.text
    assert '<td class="fill"></td>' in answer.text
    assert "<svg" not in answer.text.split("<main")[1]


def test_the_companion_points_to_the_worksheet(client: TestClient, smock: str) -> None:
    assert f"/episodes/{smock}/worksheet" in client.get(f"/episodes/{smock}/companion").text


def test_without_a_garment_it_says_where_to_begin(client: TestClient, empty: str) -> None:
    assert "There is no garment yet" in client.get(f"/episodes/{empty}/worksheet").text
