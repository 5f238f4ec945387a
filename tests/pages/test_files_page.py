"""All files: each with what it is for, texts in place, everything as one zip."""

import io
import zipfile

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import A4_PT, at_once, leaves
from webapp.handouts.manifest import Made
from webapp.handouts.pack import EXPORTS, zipped
from webapp.pages import prints
from webapp.pages.files import MADE_ON, FileRow, FilesView
from webapp.pages.house import House
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed
from webapp.plan.edits import changed, with_step
from webapp.plan.episode import Episode


@pytest.fixture
def files(smock: str) -> str:
    return f"/episodes/{smock}/files"


def _view(client: TestClient, address: str) -> FilesView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, FilesView)
    return view


def _rows(view: FilesView) -> dict[str, FileRow]:
    return {row.name: row for _, _, rows in view.groups for row in rows}


def _quotes_nothing(episode: Episode) -> Episode:
    """A step that quotes a figure there is none of."""
    step = episode.garments[0].steps[0]
    return with_step(episode, step.id, lambda one: changed(one, words="Cut along {Nobody.hem}."))


def _pack_of_one(_: object, order: Order) -> Printed:
    """The pack with an empty leaf for the companion; something could not be made."""
    assert order.kind == "all"
    made = Made("companion.pdf", "What viewers print.", leaves(1))
    sheet = Printed(made.content, (A4_PT,))
    notes = ("worksheet.pdf: Install Pango.",)
    return Printed(zipped((made,), "lighthouse-smock"), (), notes, (("companion.pdf", sheet),))


def test_every_file_of_the_pack_is_listed_once(client: TestClient, files: str) -> None:
    view = _view(client, files)
    names = [row.name for _, _, rows in view.groups for row in rows]
    assert len(names) == len(set(names))
    assert {name for name in EXPORTS if not name.startswith("extra-")} <= set(names)
    assert {name for name in EXPORTS if name.endswith(".pdf")} <= set(MADE_ON)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("captions.vtt", "text/vtt; charset=utf-8"),  # W3C, WebVTT, 10.1
        ("shots.csv", "text/csv; charset=utf-8"),  # RFC 7111
        ("description.txt", "text/plain; charset=utf-8"),
        ("pieces.svg", "image/svg+xml"),  # W3C, SVG 2, appendix M
        ("plan.json", "application/json"),  # RFC 8259
    ],
)
def test_a_file_is_taken_out_by_its_name_and_type(
    client: TestClient, files: str, name: str, kind: str
) -> None:
    answer = client.get(f"{files}/{name}")
    assert answer.headers["content-type"] == kind
    told = f'attachment; filename="lighthouse-smock-{name}"'
    assert answer.headers["content-disposition"] == told


def test_a_text_is_shown_in_place_as_it_is_in_its_file(client: TestClient, files: str) -> None:
    row = _rows(_view(client, files))["description.txt"]
    assert row.text == client.get(f"{files}/description.txt").text
    page = client.get(files).text
    assert f'data-copies="{row.id}-text"' in page
    assert f'<pre id="{row.id}-text"' in page


def test_a_text_follows_the_plan(client: TestClient, files: str, smock: str, house: House) -> None:
    assert "Lighthouse" in (_rows(_view(client, files))["description.txt"].text or "")
    house.store.change(smock, "title", lambda e: changed(e, title="The Harbour <b>Smock</b>"))
    assert "The Harbour <b>Smock</b>" in (_rows(_view(client, files))["description.txt"].text or "")
    assert "<b>Smock" not in client.get(files).text


def test_everything_comes_as_one_zip_and_what_was_not_made_is_told(
    client: TestClient, files: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once(monkeypatch)
    monkeypatch.setattr(prints, "print_it", _pack_of_one)
    assert not _rows(_view(client, files))["companion.pdf"].is_made
    assert client.get(f"{files}/companion.pdf").status_code == 303
    assert client.post(f"{files}/print").status_code == 303
    view = _view(client, files)
    page = client.get(files).text
    assert "worksheet.pdf: Install Pango." in page
    assert view.in_zip == ("companion.pdf",)
    answer = client.get(view.printing.path)
    assert answer.headers["content-type"] == "application/zip"
    assert 'filename="lighthouse-smock-all-files.zip"' in answer.headers["content-disposition"]
    packed = zipfile.ZipFile(io.BytesIO(answer.content)).read("lighthouse-smock/companion.pdf")
    assert _rows(view)["companion.pdf"].is_made
    assert client.get(f"{files}/companion.pdf").content == packed
    on_its_page = client.get(files.replace("/files", "/companion")).text
    assert "Download the companion" in on_its_page


def test_a_sheet_printed_on_its_own_page_is_taken_out_here_too(
    client: TestClient, files: str, smock: str, house: House
) -> None:
    sheet = leaves(2)
    house.prints.put(Order("companion", house.store.get(smock)), Printed(sheet, (A4_PT,) * 2))
    assert _rows(_view(client, files))["companion.pdf"].is_made
    assert client.get(f"{files}/companion.pdf").content == sheet


@pytest.mark.parametrize("name", ["pieces.svg", "pieces.dxf", "lay.svg", "description.txt"])
def test_what_would_mislead_is_taken_out_only_after_a_word(
    client: TestClient, files: str, smock: str, house: House, name: str
) -> None:
    assert not _rows(_view(client, files))[name].misleads
    house.store.change(smock, "a figure there is none of", _quotes_nothing)
    row = _rows(_view(client, files))[name]
    assert row.misleads
    refused = client.get(f"{files}/{name}")
    assert (refused.status_code, refused.headers["location"]) == (303, f"{files}#{row.id}")
    word = f"{files}/{name}?confirmed={_view(client, files).printing.state}"
    assert f'href="{word}">Download all the same' in client.get(files).text
    assert client.get(word).status_code == 200
    assert client.get(f"{files}/captions.vtt").status_code == 200
    house.store.change(smock, "title", lambda e: changed(e, title="Another"))
    assert client.get(word).status_code == 303


@pytest.mark.parametrize("name", ["nothing.txt", "%2e%2e%2fplan.json", "🧵"])
def test_a_file_that_is_not_there_is_said(client: TestClient, files: str, name: str) -> None:
    answer = client.get(f"{files}/{name}")
    assert answer.status_code == 404
    assert "Back to the episodes" in answer.text


def test_what_is_empty_says_why_and_where_to_go(client: TestClient, empty: str) -> None:
    rows = _rows(_view(client, f"/episodes/{empty}/files"))
    assert rows["shots.csv"].empty == ("There are no shots yet.", "shots", "Plan the shots")
    assert rows["companion.pdf"].empty == ("There are no pieces yet.", "draft", "Begin the draft")
    assert not any(name.startswith("extra-") for name in rows)
    assert client.get(f"/episodes/{empty}/files/shots.csv").status_code == 404
