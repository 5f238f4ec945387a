"""The sizes page: sizes taken from charts, own charts, tables and drawings by size, the finder."""

import io
from typing import Any

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.draft.recipe import Body
from webapp.pages.shell import House
from webapp.pages.sizes_view import SizesView
from webapp.store.episode_file import to_text
from webapp.store.library import Library
from webapp.units import both

CHART = "size;bust (cm);hip (cm);head\nSmall;82-90;90-98;55\nLarge;90-98;98-106;57\n"


def view(answer: Any) -> SizesView:
    found: SizesView = answer.context["view"]
    return found


def page(client: TestClient, episode: str, query: str = "") -> SizesView:
    answer = client.get(f"/episodes/{episode}/sizes{query}")
    assert answer.status_code == 200
    html5lib.HTMLParser(strict=True).parse(answer.text)
    return view(answer)


def keep(client: TestClient, episode: str, text: str, **more: str) -> Any:
    data = {"name": "Club", "text": text, "unit": "cm", "source": "", **more}
    return client.post(f"/episodes/{episode}/sizes/charts", data=data)


def sizes(house: House, episode: str) -> dict[str, Body]:
    return {body.name: body for body in house.store.get(episode).sizes}


@pytest.mark.parametrize("which", ["smock", "empty"])
@pytest.mark.parametrize("query", ["", "?piece=all&lines=seam", "?chart=men", "?piece=none&chart="])
def test_the_page_answers_for_a_full_and_for_an_empty_episode(
    client: TestClient, request: pytest.FixtureRequest, which: str, query: str
) -> None:
    episode = request.getfixturevalue(which)
    found = page(client, episode, query)
    assert found.chart.name.startswith("EN 13402-3")
    part = client.get(f"/episodes/{episode}/sizes{query}", headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith('<div id="page">')


# --- Sizes ------------------------------------------------------------------------------------


def test_ticked_sizes_are_drafted_on_the_middle_of_their_ranges(
    client: TestClient, house: House, smock: str
) -> None:
    """XXL of the women's chart: (119 + 131) / 2 = 125; its head is taken from Wren, 56 cm."""
    answer = client.post(
        f"/episodes/{smock}/sizes/from-chart",
        data={"chart": "women", "row": ["XXL", "XXS"], "rest": "camera"},
    )
    assert answer.status_code == 303
    found = sizes(house, smock)
    assert list(found) == ["XXS", "XS", "S", "M", "L", "XL", "XXL"]
    assert found["XXL"].measures["bust"] == "125 cm"
    assert found["XXL"].measures["head"] == "56 cm"
    assert house.store.undo_words(smock) == "sizes XXS, XXL of EN 13402-3, women"


def test_what_a_chart_does_not_give_can_stay_empty_and_is_then_told(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(
        f"/episodes/{smock}/sizes/from-chart",
        data={"chart": "women", "row": "XXL", "rest": "empty"},
    )
    assert sizes(house, smock)["XXL"].measures.keys() == {"bust", "waist", "hip"}
    text = client.get(f"/episodes/{smock}/sizes").text
    assert "asks for the measure “head”" in text
    threads = [t for t in house.plan(smock).loose_threads if t.page == "sizes"]
    assert any("Size XXL: This garment asks" in thread.sentence for thread in threads)


def test_a_girth_that_a_chart_gives_for_other_sizes_is_not_taken_from_the_body(
    client: TestClient, house: House, smock: str
) -> None:
    """5XL has a bust of 161 cm and no hip in the chart; Wren's 98 cm would be nonsense there."""
    client.post(
        f"/episodes/{smock}/sizes/from-chart",
        data={"chart": "women", "row": "5XL", "rest": "camera"},
    )
    measures = sizes(house, smock)["5XL"].measures
    assert measures["bust"] == "161 cm"
    assert "hip" not in measures
    assert measures["head"] == "56 cm"
    found = page(client, smock)
    assert (found.unsaid, found.patchy) == (("head", "upper arm"), ("hip",))


def test_a_size_the_episode_has_gets_the_charts_figures_and_keeps_its_others(
    client: TestClient, house: House, smock: str
) -> None:
    before = sizes(house, smock)["M"].measures
    client.post(f"/episodes/{smock}/sizes/from-chart", data={"chart": "women", "row": "M"})
    after = sizes(house, smock)["M"].measures
    assert after == {**before, "bust": "94 cm", "waist": "78 cm", "hip": "102 cm"}


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"chart": "women"}, "Tick at least one size."),
        ({"chart": "women", "row": "9XL"}, "Tick at least one size."),
        ({"chart": "none", "row": "M"}, "Choose one of the answers offered."),
        ({}, "Write something here."),
    ],
)
def test_a_form_without_a_size_of_the_chart_changes_nothing(
    client: TestClient, house: House, smock: str, data: dict[str, str], sentence: str
) -> None:
    before = to_text(house.store.get(smock))
    answer = client.post(f"/episodes/{smock}/sizes/from-chart", data=data)
    assert answer.status_code == 422
    assert sentence in view(answer).answers.errors.values()
    assert to_text(house.store.get(smock)) == before


def test_a_size_called_as_the_body_on_camera_is_refused(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/body", data={"name": "XXL"})
    answer = client.post(
        f"/episodes/{smock}/sizes/from-chart", data={"chart": "women", "row": "XXL"}
    )
    assert answer.status_code == 422
    assert "Two sizes are called “XXL”" in answer.text
    assert "XXL" not in sizes(house, smock)


def test_a_size_is_added_changed_and_taken_out(
    client: TestClient, house: House, smock: str
) -> None:
    base = f"/episodes/{smock}/sizes"
    body = house.store.get(smock).body
    assert client.post(base, data={"name": "Tall"}).headers["location"].startswith(base)
    assert sizes(house, smock)["Tall"].measures == body.measures
    place = len(sizes(house, smock)) - 1
    client.post(f"{base}/{place}", data={"m bust": "99 1/2 cm", "name": "Taller"})
    assert sizes(house, smock)["Taller"].measures["bust"] == "99 1/2 cm"
    answer = client.post(f"{base}/{place}", data={"m bust": "9 m"})
    assert answer.status_code == 422
    assert view(answer).answers_for(f"size {place}") is not None
    client.post(f"{base}/{place}/delete")
    assert "Taller" not in sizes(house, smock)
    assert client.post(f"{base}/{place}/delete").status_code == 422


def test_undo_leads_back_to_the_sizes(client: TestClient, house: House, smock: str) -> None:
    client.post(f"/episodes/{smock}/sizes", data={"name": "Tall"})
    answer = client.post(f"/episodes/{smock}/undo", data={"page": "sizes"})
    assert answer.headers["location"].endswith("/sizes")
    assert "Tall" not in sizes(house, smock)


def test_a_measure_copied_from_a_garment_is_told_on_brief_and_sizes(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/body", data={"copied bust": ["no", "yes"]})
    assert house.store.get(smock).body.copied == ("bust",)
    client.post(f"/episodes/{smock}/sizes/0", data={"copied hip": ["no", "yes"]})
    assert house.store.get(smock).sizes[0].copied == ("hip",)
    assert "from a garment</span>" in client.get(f"/episodes/{smock}/sizes").text
    brief = client.get(f"/episodes/{smock}/brief").text
    assert 'id="body-bust-copied" value="yes" checked' in brief
    assert "from a garment</span>" in brief
    client.post(f"/episodes/{smock}/body", data={"copied bust": "no"})
    assert house.store.get(smock).body.copied == ()


def test_a_measure_taken_away_or_given_by_a_chart_is_not_copied_any_more(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/sizes/2", data={"copied hip": "yes", "copied head": "yes"})
    client.post(f"/episodes/{smock}/sizes/2", data={"m head": ""})
    client.post(f"/episodes/{smock}/sizes/2", data={"copied head": "yes"})
    assert house.store.get(smock).sizes[2].copied == ("hip",)
    client.post(f"/episodes/{smock}/sizes/from-chart", data={"chart": "women", "row": "M"})
    assert sizes(house, smock)["M"].copied == ()


def test_the_brief_lists_the_sizes_and_leads_to_their_page(client: TestClient, smock: str) -> None:
    text = client.get(f"/episodes/{smock}/brief").text
    assert "<strong>XL</strong>: bust 116" in text.replace("\u00a0", " ")
    assert f'href="/episodes/{smock}/sizes"' in text


# --- Tables and drawings ------------------------------------------------------------------------


def test_the_tables_hold_every_figure_of_every_size_in_both_units(
    client: TestClient, house: House, smock: str
) -> None:
    answer = client.get(f"/episodes/{smock}/sizes?piece=all")
    text = answer.text.replace("\u00a0", " ")
    for size in house.plan(smock).sizes:
        for mm in size.finished_mm.values():
            assert both(mm, "cm") in text
    front = next(t for t in view(answer).tables if t.piece == "Front")
    rows = {(row.kind, row.name): row for row in view(answer).rows(front)}
    drawn = [size.drafts[0].piece("Front") for size in house.plan(smock).sizes]
    hems = [both(piece.outline.edge("hem").length_mm, "cm") for piece in drawn]
    assert [t.replace("\u00a0", " ") for t in rows["edge", "hem"].texts] == hems
    assert not rows["edge", "hem"].is_same
    assert rows["marked", "neck depth"].is_same
    assert ("cut size", "width") in rows


def test_the_cutting_tables_agree_with_the_piece_drafted_alone(house: House, smock: str) -> None:
    for number, size in enumerate(house.plan(smock).sizes):
        alone = house.plan(smock, size.body.name)
        for table in house.plan(smock).cutting:
            (piece,) = (p for p in alone.pieces if p.name == table.piece)
            across, down = (table.rows[place].lengths_mm[number] for place in (0, 1))
            assert (across, down) == pytest.approx(piece.cut_size_mm)
            names = {row.name for row in table.rows if row.kind == "marked"}
            assert names == piece.marked


def test_a_size_in_which_a_piece_cannot_be_drawn_shows_that(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/sizes/0", data={"m bust": "", "m hip": ""})
    answer = client.get(f"/episodes/{smock}/sizes")
    row = view(answer).rows(view(answer).tables[0])[0]
    assert row.texts[1] == ""
    assert row.texts[2] != ""
    assert "not drawn" in answer.text


def test_only_the_sizes_page_computes_the_cutting_tables(
    client: TestClient, house: House, smock: str
) -> None:
    for name in ("brief", "draft", "cloth", "build", "shots", "threads"):
        client.get(f"/episodes/{smock}/{name}")
    assert "cutting" not in vars(house.plan(smock))
    page(client, smock)
    assert "cutting" in vars(house.plan(smock))


def test_the_piece_chosen_is_drawn_in_every_size(client: TestClient, smock: str) -> None:
    found = page(client, smock, "?piece=Sleeve&lines=seam")
    (table,) = found.tables
    assert table.piece == "Sleeve"
    drawn = found.nested(table)
    assert drawn.startswith("<svg")
    assert "Seam lines" in drawn
    assert found.nested(table) is drawn


# --- Own charts ---------------------------------------------------------------------------------


def test_a_pasted_chart_is_kept_and_offered_in_every_episode(
    client: TestClient, house: House, smock: str, empty: str
) -> None:
    answer = keep(client, smock, CHART, source="Our club's list")
    assert answer.status_code == 303
    found = page(client, empty, "?chart=own+club")
    assert found.chart.name == "Club"
    assert found.chart.chart.source == "Our club's list"
    assert "Our club&#39;s list" in client.get(f"/episodes/{smock}/sizes?chart=own+club").text
    client.post(f"/episodes/{smock}/sizes/from-chart", data={"chart": "own club", "row": "Small"})
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
    html5lib.HTMLParser(strict=True).parse(answer.text)
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
    answer = client.post(f"/episodes/{smock}/sizes/from-chart", data={"chart": own.key, "row": "S"})
    assert answer.status_code == 422


# --- The finder ---------------------------------------------------------------------------------


def find(client: TestClient, episode: str, **typed: str) -> Any:
    return client.get(f"/episodes/{episode}/sizes", params={"find": "yes", **typed})


def test_the_finder_asks_for_the_measures_of_the_garment_only(
    client: TestClient, smock: str, empty: str
) -> None:
    finder = page(client, smock).finder
    assert finder is not None
    assert [measure.name for measure in finder.measures] == ["bust", "hip", "head", "upper arm"]
    assert (finder.chart, finder.answer) == ("episode", None)
    assert page(client, empty).finder is None


def test_the_finder_answers_on_the_page_and_keeps_nothing(
    client: TestClient, house: House, smock: str
) -> None:
    before = to_text(house.store.get(smock))
    answer = find(client, smock, **{"in": "women", "m bust": "92", "m hip": "43 1/4 in"})
    finder = view(answer).finder
    assert finder is not None and finder.answer is not None
    assert (finder.answer.size, finder.answer.deciding) == ("L", "hip")
    assert "Make L: between sizes." in answer.text
    assert "Your hip decides" in answer.text
    assert 'value="43 1/4 in"' in answer.text
    assert "Saved" not in answer.text
    assert to_text(house.store.get(smock)) == before


def test_the_finder_tells_the_ease_of_the_garment_as_it_stands(
    client: TestClient, smock: str
) -> None:
    client.post(f"/episodes/{smock}/draft/lighthouse-smock/choices", data={"c body ease": "20 cm"})
    text = find(client, smock, **{"in": "women", "m bust": "92", "m hip": "110"}).text
    assert "With 20 cm (7 7/8 in) of body ease" in text.replace("\u00a0", " ")


def test_every_size_of_the_episode_finds_itself(
    client: TestClient, house: House, smock: str
) -> None:
    for body in house.store.get(smock).sizes:
        typed = {f"m {name}": body.measures[name] for name in ("bust", "hip", "head", "upper arm")}
        finder = view(find(client, smock, **typed)).finder
        assert finder is not None and finder.answer is not None
        assert (finder.answer.size, finder.answer.between) == (body.name, False)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Type at least one measure."),
        ({"m bust": "  "}, "Type at least one measure."),
        ({"m bust": "wide"}, "cannot be read as a length"),
        ({"m bust": "9 m"}, "out of range"),
        ({"m bust": "92", "in": "none"}, "Choose one of the answers offered."),
    ],
)
def test_the_finder_says_what_it_cannot_read(
    client: TestClient, smock: str, typed: dict[str, str], sentence: str
) -> None:
    answer = find(client, smock, **typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    finder = view(answer).finder
    assert finder is not None and finder.answer is None
