"""How the edges of a piece are finished: what is taken where nothing is typed is said."""

import pytest
from starlette.testclient import TestClient

from webapp.pages.draft_view import DraftView, EdgeView
from webapp.pages.house import House
from webapp.units import both

GARMENT = "lighthouse-smock"


@pytest.fixture
def base(smock: str) -> str:
    return f"/episodes/{smock}/draft/{GARMENT}"


def _page(client: TestClient, smock: str, piece: str) -> tuple[dict[str, EdgeView], str]:
    answer = client.get(f"/episodes/{smock}/draft?garment={GARMENT}&piece={piece}")
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, DraftView)
    assert view.piece is not None
    return {edge.name: edge for edge in view.piece.edges}, answer.text.replace("\xa0", " ")


@pytest.mark.parametrize("kind", ["seam", "faced", "single fold hem", "double fold hem"])
def test_an_empty_allowance_says_what_is_taken_in_both_units(
    client: TestClient, smock: str, base: str, kind: str
) -> None:
    sent = {"kind mouth": kind, "allowance mouth": "", "turn_under mouth": ""}
    client.post(f"{base}/pieces/Pocket/finishes", data=sent)
    edges, text = _page(client, smock, "Pocket")
    assert edges["mouth"].finish.kind == kind
    added = edges["mouth"].added
    assert added is not None
    # The demo's seam allowance is 1.5 cm; the trade's pair for it is 5/8 in.
    assert added.width_mm == pytest.approx(15)
    assert "Empty: the seam allowance, 1.5 cm (5/8 in)" in text
    if kind == "double fold hem":
        assert "Empty: as deep as the hem, 1.5 cm (5/8 in)" in text
        # 1.5 cm of hem and 1.5 cm turned under are 3 cm.
        assert f"{both(30, 'cm', allowance=True)} in all are added outside this edge." in text
    else:
        assert "turned under" not in text


@pytest.mark.parametrize("kind", ["bound", "selvedge", "raw"])
def test_an_edge_that_takes_no_allowance_asks_for_none(
    client: TestClient, smock: str, base: str, kind: str
) -> None:
    client.post(f"{base}/pieces/Pocket/finishes", data={"kind mouth": kind})
    edges, text = _page(client, smock, "Pocket")
    assert not edges["mouth"].is_cut_wider
    assert "Nothing is added outside this edge." in text
    assert 'name="allowance mouth"' not in text
    assert 'name="allowance foot"' in text


def test_an_edge_on_the_fold_is_named_without_a_form(client: TestClient, smock: str) -> None:
    edges, text = _page(client, smock, "Front")
    assert edges["centre"].on_fold
    assert 'name="kind centre"' not in text
    assert "on the fold, so it is neither cut nor finished" in text


def test_a_finish_taken_back_to_a_seam_leaves_the_edge_free_for_the_fold(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    """A piece whose edge was finished can be laid on the fold once it is a plain seam again."""
    fields = {"kind": "rectangle", "width": "20 cm", "length": "20 cm", "edges": ""}
    client.post(f"{base}/pieces", data={"name": "Bib"})
    client.post(f"{base}/pieces/Bib/moves", data=fields)
    client.post(f"{base}/pieces/Bib/finishes", data={"kind left side": "bound"})
    client.post(f"{base}/pieces/Bib/finishes", data={"kind left side": "seam"})
    bib = house.store.get(smock).garments[0].pieces[-1]
    assert not bib.finishes
    answer = client.post(
        f"{base}/pieces/Bib", data={"on_fold": "yes"}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 200
