"""The shopping page: ticks are kept, notions are edited, the list is downloaded."""

import csv
import io

import pdfplumber
import pytest
from starlette.testclient import TestClient

from tests.pages.printing import at_once
from webapp.draft.recipe import Notion
from webapp.errors import PdfToolsMissingError
from webapp.handouts.shopping import shopping_html
from webapp.pages import prints
from webapp.pages import shopping as page
from webapp.pages.house import House
from webapp.pages.printed_files import Printed
from webapp.plan.edits import changed
from webapp.plan.episode import Episode


def _view(client: TestClient, episode: str) -> page.ShoppingView:
    answer = client.get(f"/episodes/{episode}/shopping")
    view: page.ShoppingView = answer.context["view"]
    return view


def _ticked(client: TestClient, episode: str) -> list[str]:
    return [line.key for line in _view(client, episode).list.lines if line.bought]


def _place(house: House, episode: str, name: str) -> int:
    return [notion.name for notion in house.store.get(episode).notions].index(name)


# --- Ticks -----------------------------------------------------------------------------------


def test_ticks_outlive_a_reload_an_edit_and_an_undo(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}/shopping"
    client.post(f"{base}/currency", data={"currency": "GBP"})
    client.post(f"{base}/bought", data={"t notion pins": ["no", "yes"]})
    client.post(f"{base}/bought", data={"t cloth main cloth": ["no", "yes"]})
    assert _ticked(client, smock) == ["cloth main cloth", "notion pins"]
    assert house.store.standing(smock).undo == "the currency"  # a tick is no change of the plan
    client.post(f"/episodes/{smock}/undo", data={"page": "shopping"})
    assert house.store.get(smock).currency == "EUR"
    assert _ticked(client, smock) == ["cloth main cloth", "notion pins"]
    client.post(f"/episodes/{smock}/redo", data={"page": "shopping"})
    assert _ticked(client, smock) == ["cloth main cloth", "notion pins"]


def test_a_tick_is_taken_out_again_and_the_others_stay(client: TestClient, smock: str) -> None:
    base = f"/episodes/{smock}/shopping/bought"
    client.post(base, data={"t notion pins": "yes", "t notion bobbins": "yes"})
    client.post(base, data={"t notion pins": "no"})
    assert _ticked(client, smock) == ["notion bobbins"]


def test_a_tick_of_nothing_on_the_list_is_not_kept(
    client: TestClient, smock: str, house: House
) -> None:
    client.post(f"/episodes/{smock}/shopping/bought", data={"t notion gold": "yes"})
    assert house.store.get(smock).bought == ()


def test_a_tick_follows_a_notion_that_is_renamed(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}/shopping"
    client.post(f"{base}/bought", data={"t notion pins": "yes"})
    place = _place(house, smock, "Pins")
    client.post(f"{base}/notions/{place}", data={"name": "Glass pins"})
    assert _ticked(client, smock) == ["notion glass pins"]


def test_without_script_the_ticks_have_a_button(client: TestClient, smock: str) -> None:
    answer = client.post(f"/episodes/{smock}/shopping/bought", data={"t notion pins": "yes"})
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/episodes/{smock}/shopping"
    text = client.get(f"/episodes/{smock}/shopping").text
    assert "<noscript><button>Keep the ticks</button></noscript>" in text


# --- Notions ---------------------------------------------------------------------------------


def test_a_notion_of_a_kind_is_asked_for_its_figures_and_worked_out(
    client: TestClient, smock: str, house: House
) -> None:
    base = f"/episodes/{smock}/shopping/notions"
    client.post(base, data={"name": "Cuff elastic", "kind": "elastic"})
    place = _place(house, smock, "Cuff elastic")
    form = {"length": "cuff girth / 2", "width": "1", "count": "2", "price": "1,80"}
    assert client.post(f"{base}/{place}", data=form).status_code == 303
    notion = house.store.get(smock).notions[place]
    assert (notion.length, notion.width) == ("cuff girth / 2", "1 cm")
    assert (notion.count, notion.price) == (2, "1.80")
    (line,) = [one for one in _view(client, smock).list.lines if one.what == "Cuff elastic"]
    assert line.amount == "0.4 m (1/2 yd), 1 cm (3/8 in) wide"  # (34 / 2 + 2.5) x 2 = 39 cm
    assert str(line.cost) == "0.72"
    assert "How long, sewn in" in client.get(f"/episodes/{smock}/shopping").text


BAD = [
    ("notions/0", "price", "a lot", "Write the price as a number"),
    ("notions/0", "count", "0", "out of range"),
    ("notions/0", "length", "bst / 2", "Did you mean “bust”"),
    ("notions/0", "length", "bust + 2", "unit"),
    ("notions/0", "name", "", "Write something here."),
    ("currency", "currency", "Dublones", "three letters"),
    ("currency", "currency", "QQQ", "three letters"),
]


@pytest.mark.parametrize(("address", "field", "typed", "sentence"), BAD)
@pytest.mark.parametrize("hx", [{}, {"HX-Request": "true"}])
def test_what_cannot_be_read_is_told_beside_its_field_and_kept_as_typed(
    client: TestClient,
    smock: str,
    house: House,
    address: str,
    field: str,
    typed: str,
    sentence: str,
    hx: dict[str, str],
) -> None:
    def edit(episode: Episode) -> Episode:
        return changed(episode, notions=(Notion(name="Tape", kind="elastic", length="1 m"),))

    before = house.store.change(smock, "a tape", edit)
    answer = client.post(f"/episodes/{smock}/shopping/{address}", data={field: typed}, headers=hx)
    assert answer.status_code == 422
    view: page.ShoppingView = answer.context["view"]
    assert sentence in view.answers.errors[field]
    assert f'value="{typed}"' in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert house.store.get(smock) == before


def test_an_outdated_page_does_not_write_over_another_change(
    client: TestClient, smock: str, house: House
) -> None:
    edition = house.store.edition(smock)
    place = f"/episodes/{smock}/shopping/notions/0"
    client.post(place, data={"price": "5.20"})
    answer = client.post(f"{place}?edition={edition}", data={"price": "77.31"})
    assert answer.status_code == 422
    assert "another tab" in answer.text
    assert 'value="77.31"' in answer.text


def test_prices_are_shown_in_the_currency_chosen(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/shopping/currency", data={"currency": "gbp"})
    assert _view(client, smock).list.total.startswith("£")


# --- Downloads -------------------------------------------------------------------------------


def test_the_table_opens_in_a_spreadsheet_and_holds_no_formula(
    client: TestClient, smock: str
) -> None:
    base = f"/episodes/{smock}/shopping"
    for name in ("=1+1", "@SUM(A1)", "-pins", "+pins", 'Tape, "red"'):
        client.post(f"{base}/notions", data={"name": name})
    client.post(f"{base}/bought", data={"t notion pins": "yes"})
    answer = client.get(f"{base}/shopping.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert "lighthouse-smock-shopping.csv" in answer.headers["content-disposition"]
    assert answer.content.startswith(b"\xef\xbb\xbf")  # UTF-8's byte order mark
    assert answer.content.endswith(b"\r\n")  # RFC 4180
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    whats = [row["What"] for row in rows]
    typed = ["'=1+1", "'@SUM(A1)", "'-pins", "'+pins", 'Tape, "red"']
    assert [one for one in whats if one in typed] == typed
    cloth = rows[0]
    assert (cloth["For"], cloth["What"], cloth["Currency"]) == ("Cloth", "Main cloth", "EUR")
    assert "g/m²" in cloth["Amount"]
    assert cloth["What it is"] == "Washed linen, medium weight, slate blue"
    assert [row["What"] for row in rows if row["Bought"] == "yes"] == ["Pins"]
    shown = {line.what: line.cost for line in _view(client, smock).list.lines}
    assert cloth["Cost"] == str(shown["Main cloth"])


@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 595), ("letter", 612)])
def test_the_list_is_printed(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch, paper: str, width_pt: int
) -> None:
    at_once(monkeypatch)
    answer = client.get(f"/episodes/{smock}/shopping/shopping-list.pdf?paper={paper}")
    name = f"lighthouse-smock-shopping-list-{paper}.pdf"
    assert name in answer.headers["content-disposition"]
    with pdfplumber.open(io.BytesIO(answer.content)) as sheets:
        assert round(sheets.pages[0].width) == width_pt
        text = " ".join(" ".join(sheet.extract_text() for sheet in sheets.pages).split())
    view = _view(client, smock)
    assert view.list.total in text
    for line in view.list.lines:
        assert line.what.split()[0] in text


def test_what_is_bought_has_a_ticked_box_in_print(
    client: TestClient, smock: str, house: House
) -> None:
    client.post(f"/episodes/{smock}/shopping/bought", data={"t notion pins": "yes"})
    rows = shopping_html(house.plan(smock)).split("<tr>")
    (pins,) = [row for row in rows if "</span>Pins" in row]
    assert '<span class="tick ticked"></span>Pins' in pins
    assert sum("tick ticked" in row for row in rows) == 1
    (linen,) = [row for row in rows if "</span>Main cloth" in row]
    assert "<p>Washed linen, medium weight, slate blue</p>" in linen


def test_a_machine_that_cannot_print_says_so_on_the_page(
    client: TestClient, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> Printed:
        raise PdfToolsMissingError("PDF files need WeasyPrint.")

    at_once(monkeypatch)
    monkeypatch.setattr(prints, "print_it", fail)
    answer = client.get(f"/episodes/{smock}/shopping/shopping-list.pdf")
    assert answer.status_code == 503
    assert "PDF files need WeasyPrint." in answer.text


def test_an_empty_episode_says_where_to_begin(client: TestClient, empty: str) -> None:
    text = client.get(f"/episodes/{empty}/shopping").text
    assert "Nothing is drawn yet." in text
    assert "shopping.csv" not in text


def test_a_strip_cut_from_the_cloth_has_one_length(client: TestClient, smock: str) -> None:
    text = client.get(f"/episodes/{smock}/shopping").text.replace("\u00a0", " ")
    assert "Cut from your cloth" in text
    assert "worked out: 0.7 m" not in text
