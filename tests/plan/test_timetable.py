"""A day as a timetable and as a drawing to scale."""

from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from tests.plan.day_specimens import MACHINE, MONDAY, TABLE, TUESDAY, day, episode, shot, step
from webapp.filming.clock_changes import missing_times
from webapp.filming.looks import Look
from webapp.filming.shoot_days import Break, Noise
from webapp.plan.day_strip import day_strip
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.timetable import TimetableRow, evening_lines, timetable, to_wear

STEPS = (step("wash", 30), step("cut", 20, "wash"), step("sew", 40, "cut"))


def _rows(one: Episode) -> tuple[TimetableRow, ...]:
    plan = evaluate(one)
    return timetable(plan, plan.days[0])


def _episode(*shots: Any, **fields: Any) -> Episode:
    names = tuple(one.id for one in shots)
    looks = fields.pop("looks", ())
    return episode(STEPS, shots, day(MONDAY, *names, **fields), looks=looks)


def test_a_shot_comes_after_its_work_and_its_setting_up() -> None:
    rows = _rows(_episode(shot("a", "cut"), shot("b", "sew", MACHINE)))
    assert [line.kind for line in rows[0].ahead] == ["work", "set up"]
    assert [line.words for line in rows[0].ahead] == ["wash", f"Camera: {TABLE}"]
    assert [line.words for line in rows[1].ahead] == [f"Camera: {MACHINE}"]
    assert [(line.kind, line.words) for line in rows[0].after] == [("go on", "cut")]
    assert rows[0].ahead[0].at == 9 * 60
    assert rows[0].after[0].at == rows[0].timed.ends.likely


def test_the_camera_that_stays_is_no_line() -> None:
    rows = _rows(_episode(shot("a"), shot("b")))
    assert [line.kind for line in rows[0].ahead] == ["set up"]
    assert rows[1].ahead == ()


def test_the_minutes_of_the_lines_fill_the_clock() -> None:
    """Each line begins where the one before it ends, breaks and waits among them."""
    shots = (
        shot("a", "cut", light="lamps"),
        shot("b", "sew", MACHINE, quiet=True, light="lamps"),
        shot("c", place=MACHINE, light="lamps"),
        shot("d", light="daylight"),
    )
    noise = Noise(starts="09:40", ends="11:45", what="the mower")
    rows = _rows(
        _episode(
            *shots,
            breaks=(Break(at="09:10", minutes=10), Break(at="11:50", minutes=30)),
            noise=(noise,),
            light_from="15:30",
        )
    )
    now = 9 * 60.0
    kinds = [line.kind for row in rows for line in (*row.ahead, *row.after)]
    assert kinds.count("break") == 2
    assert kinds.count("wait") == 2
    for row in rows:
        last_work = 0.0
        for line in row.ahead:
            if line.kind == "break" and last_work:  # within the work, whose minutes leave it out
                now += line.minutes
                continue
            assert line.at == pytest.approx(now, abs=1e-6) or line.kind == "break", line
            now += line.minutes
            last_work = line.at if line.kind == "work" else 0.0
        if not any(line.kind == "set up" for line in row.ahead):
            now = row.timed.rolls.likely  # getting ready where the camera stays is no line
        assert row.at == pytest.approx(now, abs=1e-6), row.timed.plan.shot.id
        now = row.timed.ends.likely
        for line in row.after:
            assert line.at == pytest.approx(now, abs=1e-6) or line.kind == "break", line
            now += line.minutes
        assert row.timed.free.likely == pytest.approx(now, abs=1e-6)


@pytest.mark.parametrize(
    ("ends", "by"), [("17:00", 21 * 60), ("23:00", 23 * 60)], ids=["by 21:00", "once it is over"]
)
def test_what_is_done_in_the_evening_is_a_line_of_the_day_that_ends(ends: str, by: int) -> None:
    """Hung up on Monday evening for Tuesday's hem: it rests from then on."""
    hang = step("hang", 3, "sew", rest_hours=9.5, off_camera=True)
    steps = (*STEPS, hang, step("hem", 20, "hang"))
    shots = (shot("a", "sew", MACHINE), shot("b", "hem", MACHINE))
    days = (day(MONDAY, "a", ends=ends), day(TUESDAY, "b", beforehand=("hang",)))
    plan = evaluate(episode(steps, shots, *days))
    (line,) = evening_lines(plan, MONDAY)
    assert (line.at, line.kind, line.minutes) == (by, "evening", pytest.approx(3))
    assert (line.words, line.then) == ("hang", "then it rests for 9.5 hours")
    assert evening_lines(plan, TUESDAY) == ()


def test_what_is_worn_is_named_and_got_ready_once() -> None:
    looks = (
        Look(id="belt", name="With a belt", press="The smock\n\nThe trousers", at_hand="The belt"),
        Look(id="plain", name="Plain"),
        Look(id="other", name="Of another day"),
    )
    shots = (shot("a", look="belt"), shot("b", look="plain"), shot("c", look="belt"), shot("d"))
    one = _episode(*shots, looks=looks)
    plan = evaluate(one)
    rows = timetable(plan, plan.days[0])
    assert [row.worn for row in rows] == ["With a belt", "Plain", "With a belt", ""]
    assert [line.words for line in rows[3].ahead] == ["Put on: what you sew in"]
    wear = to_wear(plan, plan.days[0])
    assert [(each.look.id, each.press, each.at_hand) for each in wear] == [
        ("belt", ("The smock", "The trousers"), ("The belt",)),
        ("plain", (), ()),
    ]


def test_a_day_is_drawn_to_scale() -> None:
    one = _episode(
        shot("a", "cut"),
        breaks=(Break(at="09:10", minutes=30),),
        noise=(Noise(starts="08:00", ends="11:00"),),
        light_from="10:00",
        dark_from="16:00",
    )
    plan = evaluate(one)
    strip = day_strip(plan.days[0], 800)
    assert strip is not None  # from 9 to 17: 100 for an hour
    assert [text for _, text in strip.hours][:3] == ["9", "10", "11"]
    assert [at for at, _ in strip.hours] == [100.0 * hour for hour in range(9)]
    assert [(bar.kind, bar.at, bar.width) for bar in strip.behind] == [
        ("noise", 0, 200),
        ("dark", 0, 100),
        ("dark", 700, 100),
    ]
    assert strip.end == 800
    day_plan = plan.days[0]
    assert strip.ends[1] == pytest.approx((day_plan.ends.likely - 540) * 100 / 60)
    film = next(bar for bar in strip.bars if bar.kind == "film")
    timed = day_plan.shots[0]
    assert film.at == pytest.approx((timed.rolls.likely - 540) * 100 / 60)
    goes_on = strip.bars[-2]
    assert goes_on.kind == "work"
    assert film.at + film.width == pytest.approx(goes_on.at)
    assert goes_on.at + goes_on.width == pytest.approx(strip.ends[1])
    rest = next(bar for bar in strip.bars if bar.kind == "break")
    assert (rest.at, rest.width) == pytest.approx((100 / 6, 50))


def test_a_day_on_which_the_clocks_go_forward_is_as_wide_as_its_hours() -> None:
    """Lisbon, 28 March 2027: from 01:00 the clocks show 02:00 (Directive 2000/84/EC)."""
    one = episode(STEPS, (shot("a"),), day(date(2027, 3, 28), "a", starts="00:00", ends="05:00"))
    one = changed(one, brief=changed(one.brief, time_zone="Europe/Lisbon"))
    plan = evaluate(one)
    strip = day_strip(plan.days[0], 400, missing_times(date(2027, 3, 28), "Europe/Lisbon"))
    assert strip is not None  # four hours pass: 100 for an hour
    assert strip.hours == ((0, "0"), (100, "2"), (200, "3"), (300, "4"), (400, "5"))
    assert strip.end == 400
    assert len(day_strip(plan.days[0], 400).hours) == 6  # as it would be on another day


def test_a_day_shows_where_the_camera_stands_and_what_cannot_be_taken_back() -> None:
    steps = (step("wash", 30), step("cut", 20, "wash", one_way=True))
    shots = (shot("a", "wash"), shot("b", "cut"), shot("c", place=MACHINE))
    plan = evaluate(episode(steps, shots, day(MONDAY, "a", "b", "c")))
    strip = day_strip(plan.days[0], 8000)
    assert strip is not None
    table, machine = strip.stands
    assert (table.words, machine.words) == (TABLE, MACHINE)
    assert table.at + table.width <= machine.at
    (cut,) = strip.one_way
    assert cut == pytest.approx((plan.days[0].shots[1].rolls.likely - 540) * 8000 / 480)


def test_a_place_is_named_whole_or_by_a_letter() -> None:
    """The same letter for the same place, and nothing where not even that has room."""
    machine, window = "At the sewing machine", "Facing the window"
    places = {"a": machine, "b": window, "c": machine, "d": window}
    shots = [shot(name, place=place) for name, place in places.items()]
    plan = evaluate(episode(STEPS, tuple(shots), day(MONDAY, *places)))
    wide, narrow, least = (day_strip(plan.days[0], width) for width in (8000, 700, 100))
    assert wide and narrow and least
    assert ([one.words for one in wide.stands], wide.letters) == ([*places.values()], ())
    assert [one.words for one in narrow.stands] == ["A", "B", "A", window]  # to the day's end
    assert narrow.letters == (("A", machine), ("B", window))
    assert [one.words for one in least.stands] == ["", "", "", "A"]
    assert least.letters == (("A", window),)


def test_hours_on_a_narrow_drawing_keep_their_numbers_apart() -> None:
    plan = evaluate(_episode(shot("a")))
    strip = day_strip(plan.days[0], 150)
    assert strip is not None
    numbered = [at for at, words in strip.hours if words]
    assert min(b - a for a, b in pairwise(numbered)) >= 28


def test_a_day_with_nothing_to_film_is_not_drawn() -> None:
    plan = evaluate(episode(STEPS, (shot("a"),), day(TUESDAY)))
    assert day_strip(plan.days[0], 300) is None
