"""The thread page: seam by seam in both units, true sums, and the maker's own figures."""

import re
from collections.abc import Sequence
from fractions import Fraction

import pytest
from starlette.testclient import TestClient

from webapp.cloth.thread import ThreadChoices, together
from webapp.pages.house import House
from webapp.pages.shopping import ShoppingView
from webapp.pages.thread import ThreadView
from webapp.plan.edits import changed
from webapp.plan.thread_use import GarmentThread
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode

LENGTH = r"([\d.]+) cm \(([\d /]+) in\)"  # as shown, centimetres first
BOUGHT = r"([\d.]+) m \(([\d /]+) yd\)"
STEPS_MM = (5.0, 25.4 / 8)  # the coarser ones that lengths are shown in


def _view(client: TestClient, episode: str) -> ThreadView:
    answer = client.get(f"/episodes/{episode}/thread")
    assert answer.status_code == 200
    view: ThreadView = answer.context["view"]
    return view


def _shopping(client: TestClient, episode: str) -> str:
    view: ShoppingView = client.get(f"/episodes/{episode}/shopping").context["view"]
    return " ".join(f"{line.amount} {line.worked_out}" for line in view.list.lines)


def _read(shown: str, pattern: str = LENGTH) -> tuple[Fraction, Fraction]:
    """A figure in its two units as printed; a dash is none."""
    if shown == "–":
        return Fraction(0), Fraction(0)
    found = re.fullmatch(pattern, shown.replace("\u00a0", " "))
    assert found, shown
    return Fraction(found[1]), sum((Fraction(part) for part in found[2].split()), Fraction(0))


def _added(shown: list[str]) -> tuple[Fraction, Fraction]:
    read = [_read(each) for each in shown]
    return sum((one for one, _ in read), Fraction(0)), sum((two for _, two in read), Fraction(0))


def test_every_sum_is_true_as_printed_in_each_unit(client: TestClient, smock: str) -> None:
    view = _view(client, smock)
    for garment in view.thread.garments:
        sums, uses = view.sums([garment]), [row.use for row in garment.rows]
        assert _read(sums.needle) == _added([view.length(use.needle_mm) for use in uses])
        assert _read(sums.bobbin) == _added([view.length(use.bobbin_mm) for use in uses])
        assert _read(sums.looper) == _added([view.length(use.looper_mm) for use in uses])
        assert _read(sums.sewn) == _added([sums.needle, sums.bobbin, sums.looper])
        assert _read(sums.total) == _added([sums.sewn, sums.waste])
    total = view.sums(view.thread.garments).total
    each = [view.sums([garment]).total for garment in view.thread.garments]
    assert len(each) == 2
    assert _read(total) == _added(each)


@pytest.mark.parametrize("file", ["episode-3-lighthouse-smock", "episode-4-market-day-skirt"])
def test_no_figure_strays_from_the_exact_one(client: TestClient, house: House, file: str) -> None:
    """By more than a rounding step for each figure that was added, in either unit."""
    document = (files_dir("demo_data") / f"{file}.json").read_bytes()
    view = _view(client, house.store.add(read_episode(document)))
    assert view.thread.rows
    for garments in ([each] for each in view.thread.garments):
        _assert_near(view, garments)
    _assert_near(view, view.thread.garments)


def _assert_near(view: ThreadView, garments: Sequence[GarmentThread]) -> None:
    uses, sums = [row.use for garment in garments for row in garment.rows], view.sums(garments)
    exact, rows = together(uses), len(uses)
    for shown, exact_mm, added in (
        (sums.needle, exact.needle_mm, rows),
        (sums.bobbin, exact.bobbin_mm, rows),
        (sums.looper, exact.looper_mm, rows),
        (sums.sewn, exact.sewn_mm, 3 * rows),
        (sums.waste, exact.waste_mm, len(garments)),
        (sums.total, exact.total_mm, 3 * rows + len(garments)),
    ):
        for figure, unit_mm, step_mm in zip(_read(shown), (10, 25.4), STEPS_MM, strict=True):
            assert abs(float(figure) * unit_mm - exact_mm) <= step_mm * added, shown
    for use in uses:
        for mm in (use.needle_mm, use.bobbin_mm, use.looper_mm):
            cm, inch = _read(view.length(mm))
            assert abs(float(cm) * 10 - float(inch) * 25.4) <= sum(STEPS_MM)
    metres, yards = (float(each) for each in _read(sums.bought, BOUGHT))
    assert 0 <= metres * 1000 - exact.total_mm < 100
    assert 0 <= yards * 914.4 - exact.total_mm < 914.4 / 8


def test_a_seam_is_told_with_its_stitch_length_layers_and_thread(
    client: TestClient, smock: str
) -> None:
    text = client.get(f"/episodes/{smock}/thread").text.replace("\u00a0", " ")
    row = next(part for part in text.split("<tr>") if "Sew the shoulder seams" in part)
    for said in ("shoulder seams", ">lockstitch<", "2.5 mm (10 to the inch)",
                 "in 2 places, their lengths added", ">2<"):  # fmt: skip
        assert said in row
    assert len(re.findall(LENGTH, row)) == 3  # of the seam, of needle and bobbin
    for said in (
        "15 % of what is sewn",
        "textilecalculations.com",
        "Close the gap by hand",
        "A seam joins two layers",
        "160 g/m² (4.7 oz/yd²)",
        "<strong>301 lockstitch</strong> is the straight stitch of a sewing machine",
        "<strong>504 three-thread overedge</strong> is an overlocker’s stitch",
        "5 in place of its 3",
    ):
        assert said in text


def test_the_shopping_page_leads_here_and_says_the_same(client: TestClient, smock: str) -> None:
    text = client.get(f"/episodes/{smock}/shopping").text
    assert f'<a href="/episodes/{smock}/thread">See the thread, seam by seam</a>' in text
    view = _view(client, smock)
    told = _shopping(client, smock)
    for feed in view.thread.feeds:
        assert view.bought(feed.total_mm).replace("\u00a0", " ") in told


def test_an_own_ratio_changes_the_list_and_is_undone(
    client: TestClient, smock: str, house: House
) -> None:
    before, address = _shopping(client, smock), f"/episodes/{smock}/thread"
    sent = {"ratio 301": "2,9", "ratio hemming stitch": "3"}
    assert client.post(address, data=sent).headers["location"] == address
    assert house.store.get(smock).thread.ratios == {"301": 2.9, "hemming stitch": 3}
    text = client.get(address).text
    assert "2.9 times the seam: your own figure. Published: 2.5 in" in text
    assert "<strong>Hemming stitch, by hand:</strong> 3 times the seam" in text
    assert [one.published for one in _view(client, smock).stitches] == [
        "Published: 2.5.",
        "Published: 14.",
        "Common practice: 2.",
    ]
    assert _shopping(client, smock) != before
    words = "the ratio of 301 lockstitch, the ratio of hemming stitch, by hand"
    assert house.store.standing(smock).undo == words
    client.post(f"/episodes/{smock}/undo", data={"page": "shopping"})
    assert _shopping(client, smock) == before


def test_an_emptied_ratio_is_the_published_one_again(
    client: TestClient, smock: str, house: House
) -> None:
    client.post(f"/episodes/{smock}/thread", data={"ratio 301": "2.9", "ratio 504": "12"})
    client.post(f"/episodes/{smock}/thread", data={"ratio 301": ""})
    assert house.store.get(smock).thread == ThreadChoices(ratios={"504": 12})


def test_waste_and_spool_are_chosen(client: TestClient, smock: str, house: House) -> None:
    client.post(f"/episodes/{smock}/thread", data={"waste_per_cent": "50", "spool_m": "500"})
    assert house.store.get(smock).thread == ThreadChoices(waste_per_cent=50, spool_m=500)
    assert "of 500 m (547 yd)" in _shopping(client, smock)
    assert "50\u00a0% of what is sewn by machine" in client.get(f"/episodes/{smock}/thread").text
    client.post(f"/episodes/{smock}/thread", data={"waste_per_cent": "0 %"})
    by_hand = [row for row in _view(client, smock).thread.rows if row.use.waste_mm]
    assert {row.kind for row in by_hand} == {"hand"}


@pytest.mark.parametrize(
    ("field", "typed", "why"),
    [
        ("ratio 301", "0.9", "0.9 is out of range: from 1 to 100"),
        ("ratio 301", "101", "101 is out of range"),
        ("ratio 504", "a lot", "Write a number from 1 to 100"),
        ("ratio 504", "1e9", "Write a number from 1 to 100"),
        ("waste_per_cent", "51", "51 is out of range: from 0 to 50"),
        ("waste_per_cent", "-1", "Write a number from 0 to 50"),
        ("waste_per_cent", "", "Write a number from 0 to 50"),
        ("spool_m", "99", "Choose one of the answers offered."),
    ],
)
def test_what_cannot_be_is_told_beside_its_field_and_kept(
    client: TestClient, smock: str, house: House, field: str, typed: str, why: str
) -> None:
    before = house.store.get(smock)
    answer = client.post(f"/episodes/{smock}/thread", data={field: typed})
    assert answer.status_code == 422
    told = answer.context["view"].answers
    assert told.errors[field].startswith(why)
    where = {"waste_per_cent": "waste", "spool_m": "spool"}.get(field, field.replace(" ", "-"))
    assert f'<p class="error" id="{where}-error">{told.errors[field]}</p>' in answer.text
    if field != "spool_m":  # nothing can be typed in it
        assert f'name="{field}" id="{where}" value="{typed}"' in answer.text
    assert house.store.get(smock) == before


def test_a_ratio_stays_in_sight_when_nothing_is_sewn_with_it(
    client: TestClient, smock: str, house: House
) -> None:
    house.store.change(
        smock, "own", lambda e: changed(e, thread=ThreadChoices(ratios={"304": 6, "overcast": 2}))
    )
    asked = {one.key: one for one in _view(client, smock).stitches}
    assert (asked["304"].own, asked["304"].published) == ("6", "Published: 5.5; elsewhere 7.")
    assert asked["overcast"].own == "2"


def test_a_plan_that_sews_nothing_says_where_to_begin(client: TestClient, empty: str) -> None:
    assert _view(client, empty).thread.rows == ()
    assert "No step says yet what it sews." in client.get(f"/episodes/{empty}/thread").text
