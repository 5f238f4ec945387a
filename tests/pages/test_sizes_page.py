"""The sizes page: sizes taken from charts and changed, tables and drawings by size."""

import pytest
from starlette.testclient import TestClient

from tests.sizes_page import page, sizes, take, view
from webapp.pages.house import House
from webapp.store.episode_file import to_text
from webapp.units import both


@pytest.mark.parametrize("which", ["smock", "empty"])
@pytest.mark.parametrize("query", ["", "?piece=all&lines=seam", "?chart=men", "?piece=none&chart="])
def test_the_page_answers_for_a_full_and_for_an_empty_episode(
    client: TestClient, request: pytest.FixtureRequest, which: str, query: str
) -> None:
    episode = request.getfixturevalue(which)
    found = page(client, episode, query)
    assert found.chart.name.startswith("European letter sizes")
    part = client.get(f"/episodes/{episode}/sizes{query}", headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith('<div id="page">')


# --- Sizes ------------------------------------------------------------------------------------


def test_ticked_sizes_are_drafted_on_the_middle_of_their_ranges(
    client: TestClient, house: House, smock: str
) -> None:
    """XXL of the women's chart: (119 + 131) / 2 = 125; its head is taken from Wren, 56 cm."""
    answer = take(client, smock, chart="women", row=["XXL", "XXS"], rest="camera")
    assert answer.status_code == 303
    found = sizes(house, smock)
    assert list(found) == ["XXS", "XS", "S", "M", "L", "XL", "XXL"]
    assert found["XXL"].measures["bust"] == "125 cm"
    assert found["XXL"].measures["head"] == "56 cm"
    assert house.store.standing(smock).undo == "sizes XXS, XXL of European letter sizes, women"


def test_what_a_chart_does_not_give_can_stay_empty_and_is_then_told(
    client: TestClient, house: House, smock: str
) -> None:
    take(client, smock, chart="women", row="XXL", rest="empty")
    assert sizes(house, smock)["XXL"].measures.keys() == {"bust", "waist", "hip"}
    text = client.get(f"/episodes/{smock}/sizes").text
    assert "asks for the measure “head”" in text
    threads = [t for t in house.plan(smock).loose_threads if t.page == "sizes"]
    assert any("Size XXL: This garment asks" in thread.sentence for thread in threads)


def test_a_girth_that_a_chart_gives_for_other_sizes_is_not_taken_from_the_body(
    client: TestClient, house: House, smock: str
) -> None:
    """5XL has a bust of 161 cm and no hip in the chart; Wren's 98 cm would be nonsense there."""
    take(client, smock, chart="women", row="5XL", rest="camera")
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
    take(client, smock, chart="women", row="M")
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
    answer = take(client, smock, **data)
    assert answer.status_code == 422
    assert sentence in view(answer).answers.errors.values()
    assert to_text(house.store.get(smock)) == before


def test_a_size_called_as_the_body_on_camera_is_refused(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/body", data={"name": "XXL"})
    answer = take(client, smock, chart="women", row="XXL")
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
    take(client, smock, chart="women", row="M")
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


@pytest.mark.usefixtures("plans_anew")
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
