"""The edges and notches of a seam: typed, shown again, kept, and told when they cannot be."""

import pytest
from starlette.testclient import TestClient

from webapp.draft.construction import EdgeUse
from webapp.pages.house import House
from webapp.pages.seam_fields import edge_uses, edge_uses_shown

IN_PART = {"HX-Request": "true"}


@pytest.fixture
def base(smock: str) -> str:
    return f"/episodes/{smock}/draft/lighthouse-smock"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Name an edge"),
        ("Front", "is not an edge"),
        ("Front.shoulder.more", "is not an edge"),
        ("0 × Front.shoulder", "1 to 100 times"),
        ("{Front.shoulder}", "is not an edge"),
        (", ".join(["Front.shoulder"] * 13), "12 edges"),
        ("F." + "y" * 500, "is not an edge"),
        ("backwards", "is not an edge"),
        ("Front backwards", "is not an edge"),
    ],
)
def test_edges_that_cannot_be_read_are_told(typed: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        edge_uses(typed)


@pytest.mark.parametrize("typed", ["2 × Front.neck, Back.neck", "2 x Front.neck , Back.neck"])
def test_edges_are_read_as_they_are_shown(typed: str) -> None:
    uses = edge_uses(typed)
    assert uses == (EdgeUse(edge="Front.neck", times=2), EdgeUse(edge="Back.neck"))
    assert edge_uses_shown(uses) == "2 × Front.neck, Back.neck"


@pytest.mark.parametrize(
    "typed",
    [
        "Front.hem, 2 × Back.hem backwards",
        "Front.hem , 2 x Back.hem  Backwards",
        "Front.hem,2*Back.hem backwards,",
    ],
)
def test_an_edge_is_walked_backwards_when_it_says_so(typed: str) -> None:
    uses = edge_uses(typed)
    assert uses == (EdgeUse(edge="Front.hem"), EdgeUse(edge="Back.hem", times=2, backwards=True))
    assert edge_uses_shown(uses) == "Front.hem, 2 × Back.hem backwards"


def test_an_edge_of_a_file_written_before_edges_had_a_direction_is_walked_as_drawn() -> None:
    assert EdgeUse.model_validate({"edge": "Front.hem", "times": 2}).backwards is False


def test_a_seams_directions_are_kept_and_shown(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    """At the middle of the sleeve's top the smock's arm edges meet: a notch at the shoulder."""
    (place,) = (
        place
        for place, seam in enumerate(house.store.get(smock).garments[0].seams)
        if seam.name == "sleeve heads"
    )
    typed = "Front.arm backwards, Back.arm"
    sent = {"other": typed, "turned": ["no", "yes"], "notches": "Sleeve.cap / 2"}
    answer = client.post(f"{base}/seams/{place}", data=sent, headers=IN_PART)
    assert answer.status_code == 200
    assert f'value="{typed}"' in answer.text
    seam = house.store.get(smock).garments[0].seams[place]
    assert [use.backwards for use in seam.other] == [True, False]
    assert seam.turned
    pieces = {piece.name: piece for piece in house.plan(smock).drafts[0].pieces}
    at = [mark.points[0] for name in ("Front", "Back") for mark in pieces[name].markings
          if mark.name == "sleeve heads"]  # fmt: skip
    assert at == [pytest.approx(pieces["Back"].outline.edge("arm").start)]


def test_edges_that_a_seam_cannot_walk_through_are_told_with_how_to_write_them(
    client: TestClient, base: str
) -> None:
    sent = {"name": "odd", "one": "Front.side, Front.underarm", "other": "Back.underarm, Back.side",
            "sewn": "1", "notches": "1 cm"}  # fmt: skip
    answer = client.post(f"{base}/seams/new", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert "write “Front.side backwards, Front.underarm backwards”" in answer.text
    assert 'value="Front.side, Front.underarm"' in answer.text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("12,5 cm", [("12,5 cm", False)]),
        ("12 cm, 14 cm double", [("12 cm", False), ("14 cm", True)]),
        ("max(1 cm, 2 cm); 5 cm", [("max(1 cm, 2 cm)", False), ("5 cm", False)]),
    ],
)
def test_notches_are_read_one_by_one(
    client: TestClient,
    smock: str,
    base: str,
    house: House,
    typed: str,
    kept: list[tuple[str, bool]],
) -> None:
    client.post(f"{base}/seams/0", data={"notches": typed})
    notches = house.store.get(smock).garments[0].seams[0].notches
    assert [(notch.at, notch.double) for notch in notches] == kept


@pytest.mark.parametrize("typed", ["5 cmdouble", ", ".join(["1 cm"] * 21)])
def test_notches_that_cannot_be_read_are_told(client: TestClient, base: str, typed: str) -> None:
    answer = client.post(f"{base}/seams/0", data={"notches": typed}, headers=IN_PART)
    assert answer.status_code == 422
