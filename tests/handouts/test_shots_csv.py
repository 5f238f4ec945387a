"""The shot list, read back by the standard library's csv module."""

import csv
import io
import re
from collections.abc import Callable
from typing import Any, Final

import pytest

from tests.demo_documents import EPISODES, SMOCK
from tests.handouts.conftest import Change
from tests.handouts.test_captions import HOSTILE, shot_plan
from webapp.filming.figures import single_unit_measurements
from webapp.handouts.shots_csv import shots_csv
from webapp.handouts.spreadsheet import table
from webapp.plan.days_json import days_json
from webapp.plan.evaluate import evaluate
from webapp.plan.results import Plan
from webapp.plan.said_json import said_json

RFC_4180: Final = b'\xef\xbb\xbfaaa,bbb\r\n"b\r\nbb","c""c"\r\n"d,d",\r\n'


def rows(content: bytes | None) -> list[dict[str, str]]:
    assert content is not None
    text = io.StringIO(content.decode("utf-8-sig"), newline="")
    return list(csv.DictReader(text, strict=True))


@pytest.fixture(scope="module")
def smock() -> Plan:
    return evaluate(EPISODES[SMOCK])


def test_a_table_is_written_as_its_standard_says() -> None:
    """RFC 4180, section 2, rules 1, 6 and 7: CRLF; breaks, commas and quotes quoted."""
    assert table(("aaa", "bbb"), [("b\r\nbb", 'c"c'), ("d,d", "")]) == RFC_4180


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "＝", "\r", "\t"])
def test_no_cell_is_a_formula(sign: str) -> None:
    written = io.StringIO(table(("a",), [[f"{sign}1+1"]]).decode(), newline="")
    _, row = csv.reader(written)
    assert row[0][0] == "'"
    assert row[0].replace("'", "") == f"{sign}1+1"


@pytest.mark.parametrize("between", [";", "; ", ';"', "; ;", "\t", '\n"', "\r\n", ';\n ""'])
@pytest.mark.parametrize("sign", ["=", "+", "@", "－"])
def test_nor_is_what_a_spreadsheet_of_another_language_takes_for_one(
    between: str, sign: str
) -> None:
    """OWASP, “CSV Injection”: separators and quotes in a text may begin a cell of their own.

    Where numbers have commas, a semicolon ends a cell, and quotes that stand within one count for
    nothing.
    """
    written = table(("a", "b"), [["Hem", f"Pin{between}{sign}1+1"], ["1; 2", "half; quarter"]])
    for cell in re.split(r"[;\t\r\n]", written.decode("utf-8-sig")):
        assert not cell.strip(' "').startswith(sign)
    assert b"1; 2,half; quarter" in written


def test_every_shot_has_a_line_with_what_is_planned_of_it(smock: Plan) -> None:
    found = rows(shots_csv(smock))
    assert [row["Title"] for row in found] == [one.shot.title for one in smock.shots]
    planned = {
        shot["id"]: (day["day"], shot["starts"], shot["rolls"], round(shot["minutes"]["likely"]))
        for day in days_json(smock)["shoot_days"]
        for shot in day["shots"]
    }
    for one, row in zip(smock.shots, found, strict=True):
        clocks = row["Set up from"], row["Rolls at"]
        assert (row["Day"], *clocks, int(row["Minutes"])) == planned[one.shot.id]
        assert float(row["Seconds on screen"]) == pytest.approx(one.screen_seconds, abs=0.051)
        assert (row["Narration"], row["Card"]) == (one.narration.plain, one.card.plain)
        assert (row["One way"], row["Filmed"]) == ("yes" if one.one_way else "no", "no")
    neck = next(row for row in found if row["Title"] == "Cut both necks")
    step = next(row for row in smock.steps if row.step.name == neck["Step"])
    assert neck["Spare"] == step.spare.plain != ""
    assert neck["One way"] == "yes"


def test_each_shot_starts_when_those_before_it_have_been_seen(smock: Plan) -> None:
    for which, whole in (
        ("video", smock.running_time_s),
        ("members’ extra", smock.extra_running_time_s),
    ):
        starts = 0.0
        for row in rows(shots_csv(smock)):
            if row["Video"] == which:
                hours, minutes, seconds = map(int, row["Starts at"].split(":"))
                told = 3600 * hours + 60 * minutes + seconds
                # Each of those before it is told to a tenth of a second, it to the second.
                assert told == pytest.approx(starts, abs=0.5 + 0.05 * len(smock.shots))
                starts += float(row["Seconds on screen"])
        assert starts == pytest.approx(whole, abs=0.05 * len(smock.shots))


def test_no_cell_tells_a_length_in_one_unit(smock: Plan) -> None:
    cells = [cell for row in rows(shots_csv(smock)) for cell in row.values()]
    assert [
        single_unit_measurements(cell) for cell in cells if single_unit_measurements(cell)
    ] == []


def test_a_filmed_shot_tells_what_was_said_and_what_puts_it_right(
    smock_with: Callable[[Change], Plan],
) -> None:
    def filmed(document: dict[str, Any]) -> None:
        shot = next(one for one in document["shots"] if one["id"] == "shoulder-sew")
        shot["filmed"] = {
            "day": "2026-12-18",
            "narration": "24 cm (9 1/2 in).",
            "said": [{"name": "Front.shoulder", "cm": "24 cm", "inch": "9 1/2 in"}],
            "corrected": ["Front.shoulder"],
        }

    plan = smock_with(filmed)
    (row,) = (one for one in rows(shots_csv(plan)) if one["Filmed"] != "no")
    assert (row["Filmed"], row["Narration"]) == ("2026-12-18", "24 cm (9 1/2 in).")
    (shot,) = (one for one in plan.shots if one.shot.filmed)
    assert [row["Card"]] == said_json(shot, "cm")["correction_cards"]
    assert (row["Set up from"], row["Rolls at"], row["Minutes"]) == (
        "",
        "",
        "",
    )  # it takes no time any more


def test_a_shot_on_no_day_has_its_minutes_alone() -> None:
    (row,) = rows(shots_csv(shot_plan({"narration": "Hello."})))
    assert (row["Day"], row["Set up from"], row["Rolls at"]) == ("", "", "")
    assert int(row["Minutes"]) > 0


@pytest.mark.parametrize("text", [*HOSTILE, "=1+1", 'a,"b"\r\nc;d', "\r\n=cmd|' /c calc'!A0"])
def test_hostile_text_stays_in_its_cell(text: str) -> None:
    title = text[:80].strip() or "x"
    (row,) = rows(shots_csv(shot_plan({"title": title, "narration": text, "note": text})))
    for told in (row["Camera notes"], row["Narration"]):  # as it is, but for what guards it
        assert told.replace("'", "") == text.replace("'", "")
    assert not row["Title"].startswith(("=", "+", "-", "@", "\t", "\r"))


def test_without_shots_there_is_no_file() -> None:
    assert shots_csv(shot_plan()) is None
