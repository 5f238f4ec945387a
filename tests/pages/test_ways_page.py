"""Ways of laying: worked out beside the server, seen row by row, never stale without a word."""

import os
import re
import signal
import time
from dataclasses import replace
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import at_once
from webapp.handouts.companion import companion_of
from webapp.jobs import Job, Report
from webapp.pages import ways, ways_work
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.kept_ways import table_asked, with_kept_ways
from webapp.plan.ways import WaysAsked, WaysTable, ways_asked, ways_table

BINDING = 1  # the smock's second cloth: one piece, 110 cm wide, so its table is soon done


def _rest_after_one_row(report: Report, asked: WaysAsked, *_: object) -> WaysTable:
    def first(words: str, so_far: object = None) -> None:
        report(words, so_far)
        time.sleep(60)

    return ways_table(first, asked)


def _die_after_one_row(report: Report, asked: WaysAsked, *_: object) -> WaysTable:
    def first(words: str, so_far: object = None) -> None:
        report(words, so_far)
        os.kill(os.getpid(), signal.SIGKILL)

    return ways_table(first, asked)


def _shown(client: TestClient, episode: str, place: int = BINDING) -> tuple[ways.ClothWays, str]:
    answer = client.get(f"/episodes/{episode}/ways")
    assert answer.status_code == 200
    view: ways.WaysView = answer.context["view"]
    section = answer.text.split(f'id="ways-{place}"')[1].split("</section>")[0]
    return view.cloths[place], unescape(section)


def _job(house: House, episode: str) -> Job:
    return house.jobs.beginning(f"ways {episode} ")[0]


def _until_a_row(job: Job) -> None:
    for _ in range(1_800):
        if job.so_far:
            return
        time.sleep(0.05)
    raise AssertionError("No row came within 90 s.")


def _ended(job: Job) -> Job:
    for _ in range(1_800):
        if not job.is_going_on:
            return job
        time.sleep(0.05)
    raise AssertionError("The table was not done within 90 s.")


def _work_out(client: TestClient, episode: str, place: int = BINDING) -> None:
    answer = client.post(f"/episodes/{episode}/ways/{place}/work-out")
    assert answer.status_code == 303


@pytest.fixture
def tabled(client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch) -> str:
    """The smock with the table of its binding cloth worked out, here where its lays are known."""
    with monkeypatch.context() as patched:
        at_once(patched)
        _work_out(client, smock)
    assert _job(house, smock).state == "done"
    return smock


def test_nothing_is_laid_before_it_is_asked_for(
    client: TestClient, smock: str, house: House
) -> None:
    each, text = _shown(client, smock)
    assert each.known.table is None and house.jobs.beginning("ways ") == ()
    assert "Work out the table" in text and 'aria-current="page">Ways of laying' not in text


def test_the_table_is_the_plans_and_agrees_with_the_lay_as_it_stands(
    client: TestClient, tabled: str, house: House
) -> None:
    plan = house.plan(tabled)
    cloth = plan.episode.cloths[BINDING]
    each, text = _shown(client, tabled)
    assert each.known.table == ways_table(lambda *_: None, ways_asked(plan, cloth))
    assert each.lacking == () and "Work out" not in text
    assert each.own_row is not None
    as_laid = next(way for way in each.asked.ways if each.is_laid_so(each.own_row.width, way))
    here = each.own_row.cells[0][each.asked.ways.index(as_laid)]
    lay = next(lay for lay in plan.lays if lay.cloth.name == cloth.name)
    assert here.purchase == lay.purchase


def test_every_length_is_in_both_units_and_the_best_is_named_in_words(
    client: TestClient, tabled: str
) -> None:
    each, text = _shown(client, tabled)
    assert each.known.table is not None
    flat = text.replace("\u00a0", " ")
    main = flat.split("<tbody>")[1].split("</tbody>")[0]
    for row, shown in zip(each.known.table.rows, main.split("<tr")[1:], strict=True):
        assert f"{row.width.cm} ({row.width.inch})" in shown
        assert shown.count("best here") == 1
        for cell in row.cells[0]:
            if cell.purchase:
                assert f"{cell.purchase.metres} ({cell.purchase.yards})" in shown
        assert shown.count("Cannot be laid") == sum(not c.purchase for c in row.cells[0])
    assert re.findall(r"\d m (?!\()", flat) == []


def test_a_viewer_in_another_size_finds_the_best_way_on_each_width(
    client: TestClient, tabled: str
) -> None:
    each, text = _shown(client, tabled)
    assert each.known.table is not None
    table = text.split('id="sizes-1"')[1].split("</table>")[0].replace("\u00a0", " ")
    rows = table.split("<tbody>")[1].split("<tr>")[1:]
    assert len(rows) == len(each.known.table.sizes) == 6
    usual = each.usual_way
    assert usual is not None
    called = ways.WaysView.called
    assert f"the best way: {called[usual.laid].lower()} where nothing else is said" in table
    for size, (name, shown) in enumerate(zip(each.known.table.sizes, rows, strict=True)):
        assert f'<th scope="row">{name}' in shown
        cells = shown.split("<td ")[1:]
        for row, cell in zip(each.known.table.rows, cells, strict=True):
            best = each.best(row, size)
            assert best is not None and best[1].purchase is not None
            assert f"{best[1].purchase.metres} ({best[1].purchase.yards})" in cell
            assert (called[best[0].laid].lower() in cell) == (best[0] != usual)


def test_why_folding_costs_more_is_told(client: TestClient, tabled: str) -> None:
    each, text = _shown(client, tabled)
    assert each.own_row is not None
    told = [sentence for _, sentences in each.reasons(each.own_row) for sentence in sentences]
    assert told
    shown = text.replace("\u00a0", " ")
    assert all(sentence.replace("\u00a0", " ") in shown for sentence in told)


def test_a_way_that_is_chosen_lays_the_cloth_so_and_the_table_stays_true(
    client: TestClient, tabled: str, house: House
) -> None:
    before, _ = _shown(client, tabled)
    assert before.known.table is not None
    row = before.known.table.rows[3]
    folded = before.known.table.ways[1]
    bought = row.cells[0][1].purchase
    sent = {"laid": folded.laid, "width": before.typed(row.width)}
    assert sent == {"laid": "folded", "width": "54 in"}  # the narrower name of 140 cm
    answer = client.post(f"/episodes/{tabled}/ways/{BINDING}/lay", data=sent)
    assert answer.status_code == 303
    cloth = house.store.get(tabled).cloths[BINDING]
    assert (cloth.laid, cloth.width) == ("folded", "54 in")
    lay = next(lay for lay in house.plan(tabled).lays if lay.cloth.name == cloth.name)
    assert lay.purchase == bought
    after, text = _shown(client, tabled)
    assert after.known.table == before.known.table and not after.known.is_older
    assert after.lacking == () and "Laid so now" in text
    assert house.store.standing(tabled).undo == "how the cloth is laid"
    client.post(f"/episodes/{tabled}/undo")
    assert house.store.get(tabled).cloths[BINDING].width == "110 cm"


def test_a_width_of_her_own_is_added_worked_out_and_taken_out_again(
    client: TestClient, tabled: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once(monkeypatch)
    own = f"/episodes/{tabled}/ways/{BINDING}/widths"
    assert client.post(own, data={"more": "112"}).status_code == 303
    assert house.store.get(tabled).cloths[BINDING].more_widths == ("112 cm",)
    each, text = _shown(client, tabled)
    assert each.lacking == () and "112\u00a0cm (44\u00a01/8\u00a0in)" in text.split("<tbody>")[1]
    assert each.known.table is not None
    assert [row.width.cm for row in each.known.table.rows if each.laid_on(row.width)] == [
        "115 cm",
        "140 cm",
    ]  # hers has one width under both names
    narrow, wide = (
        next(row for row in each.known.table.rows if row.width.cm == cm)
        for cm in ("112 cm", "115 cm")
    )
    for size in range(len(each.known.table.sizes)):
        found = [each.best(row, size) for row in (narrow, wide)]
        bought = [best[1].purchase for best in found if best and best[1].purchase]
        assert len(bought) == 2
        metres = [float(one.metres.removesuffix(" m")) for one in bought]
        assert metres[0] >= metres[1]
    assert house.store.standing(tabled).undo == "112 cm among the widths"
    assert client.post(f"{own}/take-out", data={"more": "112 cm"}).status_code == 303
    each, text = _shown(client, tabled)
    assert each.lacking == () and "112" not in text
    client.post(f"/episodes/{tabled}/undo")
    each, _ = _shown(client, tabled)
    assert each.lacking == ()  # its row is still known


def test_a_table_of_which_no_row_is_left_is_begun_anew(
    client: TestClient, smock: str, house: House
) -> None:
    """It was stopped after a width of hers, the narrowest, which she then took out."""

    def edit(episode: Episode) -> Episode:
        asked = table_asked(house.plan(smock), episode.cloths[BINDING])
        table = ways_table(lambda *_: None, asked)
        kept = with_kept_ways(episode, asked, replace(table, rows=table.rows[:1]))
        (own,) = (one for one in kept.kept_ways if one.cloth == asked.cloth.name)
        others = tuple(one for one in kept.kept_ways if one is not own)
        hers = changed(own.widths[0], cm="80 cm", inch="31 1/2 in", mm=800.0)
        return changed(kept, kept_ways=(*others, changed(own, widths=(hers,))))

    house.store.keep(smock, edit)
    each, text = _shown(client, smock)
    assert each.known.table is None and not each.known.is_older
    assert "Work out the table" in text and "<table" not in text
    assert companion_of(house.plan(smock)).cloths[BINDING].other_widths is None


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "cannot be read"),
        ("wide", "cannot be read"),
        ("5 cm", "out of range"),
        ("45 in", "114.5 cm (45 in) is in the table already."),
    ],
)
def test_a_width_that_cannot_be_added_is_told_beside_its_field(
    client: TestClient, smock: str, house: House, typed: str, why: str
) -> None:
    answer = client.post(f"/episodes/{smock}/ways/{BINDING}/widths", data={"more": typed})
    assert answer.status_code == 422
    assert why in answer.context["view"].answers.errors["more"]  # type: ignore[attr-defined]
    field = answer.text.split(f'id="ways-{BINDING}-more-0"')[1].split("</div>")[0]
    assert 'aria-invalid="true"' in field and why in unescape(field).replace("\u00a0", " ")
    assert f'value="{typed}"' in field
    assert house.jobs.beginning("ways ") == ()


def test_a_table_of_an_older_draft_says_so_and_offers_no_way_to_choose(
    client: TestClient, tabled: str
) -> None:
    client.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}", data={"shrinks_along": "9"})
    each, text = _shown(client, tabled)
    assert each.known.is_older and each.known.table is not None
    assert "This table is of an older draft." in text and "Work it out again" in text
    assert "Lay it this way" not in text and "is best laid" not in text
    client.post(f"/episodes/{tabled}/undo")
    each, text = _shown(client, tabled)
    assert not each.known.is_older and "older draft" not in text


def test_what_no_length_depends_on_leaves_the_table_as_it_is(
    client: TestClient, tabled: str, house: House
) -> None:
    def priced(episode: Episode) -> Episode:
        cloths = [*episode.cloths]
        cloths[BINDING] = changed(cloths[BINDING], price="9.50", weight="90 g/m2", description="-")
        steps = tuple(changed(step, one_way=False) for step in episode.garments[0].steps)
        garments = (changed(episode.garments[0], steps=steps), *episode.garments[1:])
        return changed(episode, cloths=tuple(cloths), garments=garments)

    house.store.change(tabled, "priced", priced)
    each, _ = _shown(client, tabled)
    assert each.known.table is not None and not each.known.is_older


def test_a_width_that_is_not_in_the_table_yet_is_named(client: TestClient, tabled: str) -> None:
    client.post(f"/episodes/{tabled}/cloth/cloths/{BINDING}", data={"width": "132 cm"})
    each, text = _shown(client, tabled)
    assert not each.known.is_older
    assert [width.cm for width in each.lacking] == ["132 cm"]
    assert "not yet worked out: 132 cm (52 in)" in text.replace("\u00a0", " ")


def test_rows_are_seen_while_it_works_and_stay_when_it_is_stopped(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ways_work, "ways_table", _rest_after_one_row)
    _work_out(client, smock)
    _until_a_row(_job(house, smock))
    each, text = _shown(client, smock)
    assert each.known.table is not None and len(each.known.table.rows) == 1
    assert "1 of 5 widths laid." in text and 'hx-trigger="every 1s"' in text
    client.post(f"/episodes/{smock}/ways/{BINDING}/stop")
    each, text = _shown(client, smock)
    assert each.known.table is not None and len(each.lacking) == 4
    assert "It was stopped." in text and "Work out the whole table" in text
    assert "every 1s" not in text


def test_a_killed_worker_is_told_and_the_table_can_be_worked_out_again(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(ways_work, "ways_table", _die_after_one_row)
        _work_out(client, smock)
        assert _ended(_job(house, smock)).state == "failed"
    each, text = _shown(client, smock)
    assert "This was cut short twice, so it was given up." in text
    assert each.known.table is not None and "Work out the whole table" in text
    _work_out(client, smock)
    _ended(_job(house, smock))
    each, text = _shown(client, smock)
    assert each.lacking == () and "cut short" not in text


def test_work_on_an_older_draft_is_told_and_stopped_by_the_next(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ways_work, "ways_table", _rest_after_one_row)
    _work_out(client, smock)
    first = _job(house, smock)
    client.post(f"/episodes/{smock}/cloth/cloths/{BINDING}", data={"shrinks_along": "9"})
    each, text = _shown(client, smock)
    assert each.known.job_is_older
    assert "Still working out the table of an older draft." in text
    _work_out(client, smock)
    assert first.state == "cancelled" and _job(house, smock).is_going_on
    each, text = _shown(client, smock)
    assert not each.known.job_is_older and "Working out the table." in text


def test_an_episode_in_inches_names_the_widths_and_lengths_in_inches_first(
    client: TestClient, tabled: str, house: House
) -> None:
    house.store.change(tabled, "in inches", lambda e: changed(e, first_unit="in"))
    each, text = _shown(client, tabled)
    assert each.known.table is not None and not each.known.is_older
    flat = text.replace("\u00a0", " ")
    best = each.best(each.known.table.rows[3])
    assert best is not None and best[1].purchase is not None
    assert "54–56 in (140 cm)" in flat
    assert f"{best[1].purchase.yards} ({best[1].purchase.metres})" in flat


def test_a_size_of_which_a_piece_cannot_be_drawn_is_marked(
    client: TestClient, tabled: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its length is of the pieces there are, and so too short."""

    def patchy(episode: Episode) -> Episode:
        first, *others = episode.sizes
        return changed(episode, sizes=(changed(first, measures={}), *others))

    house.store.change(tabled, "no measures", patchy)
    at_once(monkeypatch)
    _work_out(client, tabled)
    _, text = _shown(client, tabled)
    assert text.count("not all pieces drawn") == 2  # in the table of sizes, and above its own


@pytest.mark.parametrize(
    ("edit", "mark"),
    [
        ({"width": "20 cm"}, "too wide for the cloth as it is laid"),
        ({"laid": "folded across", "one_way": True}, "cannot be laid on the cloth as it is laid"),
    ],
)
def test_a_size_the_cloth_does_not_hold_is_not_said_to_be_undrawn(
    client: TestClient, tabled: str, house: House, edit: dict[str, object], mark: str
) -> None:
    def narrow(episode: Episode) -> Episode:
        cloths = list(episode.cloths)
        cloths[BINDING] = changed(cloths[BINDING], **edit)
        return changed(episode, cloths=tuple(cloths))

    house.store.change(tabled, "narrow", narrow)
    cloth, text = _shown(client, tabled)
    sizes = {size.body.name for size in house.plan(tabled).sizes}
    assert cloth.marks == dict.fromkeys(sizes, mark)
    assert not _shown(client, tabled, 1 - BINDING)[0].marks
    assert "not all pieces drawn" not in text


def test_a_way_or_width_there_is_not_is_refused_in_a_sentence(
    client: TestClient, smock: str, house: House
) -> None:
    before = house.store.get(smock)
    for sent in ({"laid": "in a heap", "width": "54 in"}, {"laid": "folded", "width": "2 cm"}, {}):
        answer = client.post(
            f"/episodes/{smock}/ways/{BINDING}/lay", data=sent, headers={"HX-Request": "true"}
        )
        assert answer.status_code == 422
        assert "This cannot be set as the" in answer.text
    assert client.post(f"/episodes/{smock}/ways/9/lay", data=sent).status_code in (404, 422)
    assert client.post(f"/episodes/{smock}/ways/9/work-out").status_code == 404
    assert house.store.get(smock) == before


def test_a_cloth_without_pieces_leads_to_the_draft(client: TestClient, empty: str) -> None:
    each, text = _shown(client, empty, 0)
    assert not each.has_pieces
    assert "No piece is cut from this cloth yet." in text and "Work out" not in text


def test_a_way_that_buys_no_more_is_named_and_so_is_the_width_that_is_laid_on(
    client: TestClient, tabled: str
) -> None:
    text = client.get(f"/episodes/{tabled}/ways").text.replace("\xa0", " ")
    assert "laid on 137 cm (54 in), so that it does for each" in text
    view = client.get(f"/episodes/{tabled}/ways").context["view"]  # type: ignore[attr-defined]
    for each in view.cloths:
        if each.own_row is None:
            continue
        (_, best) = each.best(each.own_row)
        cells = dict(zip(each.known.table.ways, each.own_row.cells[0], strict=True))
        for way in each.as_good(each.own_row):
            assert cells[way].purchase.metres == best.purchase.metres
            assert cells[way].purchase.yards == best.purchase.yards
