"""The page of rates: every rate with its source, hers in its place, and the table's again."""

from datetime import date

import pytest
from starlette.testclient import TestClient

from webapp.build.rates import OwnRate
from webapp.filming.every_rate import EVERY_RATE
from webapp.pages.house import House
from webapp.pages.rate_words import rate_called, rate_name
from webapp.pages.rates import RateRow, RatesView
from webapp.pages.time_fields import rate_figure
from webapp.plan.edits import changed

BLUNT = {"rate": "cut: scissors", "low": "400", "likely": "700", "high": "1500",
         "note": "my shears are blunt"}  # fmt: skip
# 10 and 100000 mm / 25.4 are 0.394 and 3937 inches.
BEYOND = (
    "The table’s likely figure is 1000 mm a minute (39.4 inches a minute): write one from "
    "10 mm a minute (0.394 inches a minute) to 100000 mm a minute (3937 inches a minute)."
)


@pytest.fixture
def rates(smock: str, house: House) -> str:
    """The address of the rates of a smock that has none of its own, nor times."""
    none = {"time_log": (), "earlier_times": (), "rates": ()}
    house.store.keep(smock, lambda e: changed(e, **none))
    return f"/episodes/{smock}/rates"


def _view(client: TestClient, address: str) -> RatesView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, RatesView)
    return view


def _row(view: RatesView, key: str) -> RateRow:
    rows = (row for group in view.groups for row in group.rows)
    return next(row for row in rows if row.table.key == key)


def test_every_rate_is_shown_once_with_its_unit_and_where_it_is_from(
    client: TestClient, rates: str
) -> None:
    rows = [row.table for group in _view(client, rates).groups for row in group.rows]
    assert sorted(row.key for row in rows) == sorted(EVERY_RATE)
    text = client.get(rates).text
    assert "Smithsonian Bulletin 254" in text
    assert "common practice, no source" in text
    assert len({row.id for group in _view(client, rates).groups for row in group.rows}) == len(rows)


def test_every_rate_has_a_name_of_its_own_that_needs_no_key() -> None:
    names = {key: rate_name(key) for key in EVERY_RATE}
    assert len(set(names.values())) == len(names)
    assert not [name for key, name in names.items() if key in name or not name[0].isupper()]
    assert rate_called("hand length: plain") == "length of a plain stitch"


def test_metric_rates_are_told_by_the_yard_too(client: TestClient, rates: str) -> None:
    """1000 mm / 25.4 = 39.4; 0.6 min a metre × 0.9144 = 0.549; 3500 mm are 138 inches."""
    view = _view(client, rates)
    for key, value, told in (
        ("cut: scissors", 1000, "39.4 inches a minute"),
        ("cut: scissors", 3500, "138 inches a minute"),
        ("draw: line", 0.6, "0.549 minutes a yard"),
        ("hand length: plain", 2.5, "0.0984 inches"),
        ("press: handling", 1, ""),
    ):
        assert _row(view, key).in_yards(value) == told


def test_all_three_figures_of_a_metric_rate_stand_in_both_units(
    client: TestClient, rates: str
) -> None:
    """500, 1000 and 1800 mm / 25.4 are 19.69, 39.37 and 70.87; 0.5, 1 and 2 × 0.9144."""
    text = client.get(rates).text
    for key, told in (
        ("cut: scissors", "19.7, 39.4, 70.9 inches a minute"),
        ("press: line", "0.457, 0.914, 1.83 minutes a yard"),
    ):
        row = _row(_view(client, rates), key)
        assert told in text.split(f'id="{row.id}"')[1].split("</li>")[0]
    assert _row(_view(client, rates), "press: handling").used_in_yards == ""


def test_a_rate_of_hers_moves_every_estimate_and_the_tables_stays_beside_it(
    client: TestClient, rates: str
) -> None:
    before = _view(client, rates).report.work.likely
    assert client.post(rates, data=BLUNT).status_code == 303
    view = _view(client, rates)
    row = _row(view, "cut: scissors")
    assert row.own == OwnRate(
        key="cut: scissors", low=400, likely=700, high=1500, note="my shears are blunt"
    )
    assert view.report.work.likely > before
    text = client.get(rates).text
    assert "my shears are blunt" in text
    assert "15.7, 27.6, 59.1 inches a minute" in text  # hers
    assert "The table’s: 500, 1000, 1800 mm a minute (19.7, 39.4, 70.9 inches a minute)." in text
    assert view.own == 1


def test_every_field_of_a_rate_tells_its_unit(client: TestClient, rates: str) -> None:
    form = client.get(f"{rates}?rate=cut: scissors").text.split('id="rate-cut--scissors-form"')[1]
    for told in ("Smallest, mm a minute", "Likely, mm a minute", "Largest, mm a minute",
                 "= 19.7 inches a minute", "= 39.4 inches a minute"):  # fmt: skip
        assert told in form
    rows = [row for group in _view(client, rates).groups for row in group.rows]
    assert not {word for row in rows for word in row.unit.split()} & {"min", "s", "h", "×"}


def test_a_rate_is_put_back(client: TestClient, rates: str, smock: str, house: House) -> None:
    before = _view(client, rates).report.work
    client.post(rates, data=BLUNT)
    assert client.post(f"{rates}/back", data={"rate": "cut: scissors"}).status_code == 303
    assert house.store.get(smock).rates == ()
    assert _view(client, rates).report.work == before
    assert house.store.standing(smock).undo == "the table’s rate: cut along a line with scissors"


def test_the_form_stands_in_the_table_with_the_figures_as_they_are(
    client: TestClient, rates: str
) -> None:
    assert 'id="rate-pin--one-form"' not in client.get(rates).text
    text = client.get(f"{rates}?rate=pin: one").text
    form = text[text.index('id="rate-pin--one-form"') :]
    assert 'value="4"' in form[: form.index("</form>")]


@pytest.mark.parametrize(
    ("sent", "field", "sentence"),
    [
        ({"likely": "300"}, "likely", "The likely figure is not smaller than the smallest."),
        ({"high": "600"}, "high", "The largest figure is not smaller than the likely."),
        ({"low": "fast"}, "low", "Write a number, like 0.5 or 800."),
        ({"low": "0"}, "low", "A rate is more than nothing and at most a million."),
        ({"high": "2000000"}, "high", "A rate is more than nothing and at most a million."),
        (
            {"high": "1000000"},
            "high",
            BEYOND,
        ),
        ({"low": "9"}, "low", BEYOND),
        ({"high": "1,500"}, "high", "Write it without a comma, 1500, or with a point: 1.500."),
    ],
)
def test_figures_that_cannot_be_meant_are_told_beside_their_field(
    client: TestClient, rates: str, smock: str, house: House, sent: dict[str, str], field: str,
    sentence: str,
) -> None:  # fmt: skip
    answer = client.post(rates, data={**BLUNT, **sent})
    assert answer.status_code == 422
    view: RatesView = answer.context["view"]  # type: ignore[attr-defined]
    assert view.answers.errors == {field: sentence}
    assert f'value="{sent[field]}"' in answer.text
    assert 'value="my shears are blunt"' in answer.text
    assert house.store.get(smock).rates == ()


@pytest.mark.parametrize(
    ("typed", "value"), [("800", 800), ("0.5", 0.5), ("0,5", 0.5), (".5", 0.5), ("1/2", 0.5),
                         ("1 1/2", 1.5), ("2/3", 2 / 3), ("1000000", 1e6)]
)  # fmt: skip
def test_a_figure_is_read_as_people_write_it(typed: str, value: float) -> None:
    assert rate_figure(typed) == pytest.approx(value)


@pytest.mark.parametrize("typed", ["", "-1", "1e3", "1/0", "7 apples", "1000001", "٣"])
def test_what_is_no_figure_is_told(typed: str) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        rate_figure(typed)


def test_a_rate_that_no_table_has_is_told_and_can_be_taken_out(
    client: TestClient, rates: str, smock: str, house: House
) -> None:
    own = OwnRate(key="felting: needle", low=1, likely=2, high=3, note="from an old file")
    house.store.change(smock, "an old rate", lambda e: changed(e, rates=(own,)))
    text = client.get(rates).text
    assert "Yours that nothing is worked out from" in text
    assert "Felting: needle: 1, 2, 3, from an old file" in text
    assert client.post(f"{rates}/back", data={"rate": own.key}).status_code == 303
    assert house.store.get(smock).rates == ()
    assert client.post(rates, data={**BLUNT, "rate": own.key}).status_code == 422


@pytest.mark.parametrize("figure", [1e-320, 1e-6, 999_999.0])
@pytest.mark.parametrize("key", ["editing", "voice-over", "speaking", "battery: lasts", "retries"])
def test_a_stored_rate_that_cannot_be_meant_is_told_and_no_page_falls(
    client: TestClient, rates: str, smock: str, house: House, key: str, figure: float
) -> None:
    """As from a file that another hand has written; a video to be out on a day is counted on."""
    own = OwnRate(key=key, low=figure, likely=figure, high=figure)
    house.store.keep(
        smock, lambda e: changed(e, rates=(own,), brief=changed(
            e.brief, publish_date=date(2027, 3, 1), edit_hours_a_day=0.5)
        ),
    )  # fmt: skip
    text = client.get(rates).text
    assert "Yours that nothing is worked out from" in text
    assert "until you write others the table’s are used." in text
    for name in ("running-time", "times", "days", "build", "set-ups", "threads", "shots"):
        assert client.get(f"/episodes/{smock}/{name}").status_code == 200, name
    assert client.post(f"{rates}/back", data={"rate": key}).status_code == 303
    assert house.store.get(smock).rates == ()


def test_times_taken_by_another_rate_are_told(client: TestClient, rates: str, smock: str) -> None:
    times = f"/episodes/{smock}/times"
    client.post(times, data={"time": "step:cut-pieces", "kind": "cut", "minutes": "60"})
    assert "Your times are" in client.get(rates).text
    warned = "1 time was worked out from this rate: with other figures it does not count any more"
    assert warned in client.get(f"{rates}?rate=cut: scissors").text
    assert warned not in client.get(f"{rates}?rate=cut: rotary cutter").text
    answer = client.post(rates, data=BLUNT, headers={"HX-Request": "true"})
    row = answer.text.split('id="rate-cut--scissors"')[1].split('id="rate-cut--rotary-cutter"')[0]
    assert "“the rate: cut along a line with scissors” moved what is likely" in row
    assert "1 time does not count here" in client.get(rates).text
    client.post(f"{rates}/back", data={"rate": "cut: scissors"})
    assert "does not count here" not in client.get(rates).text
