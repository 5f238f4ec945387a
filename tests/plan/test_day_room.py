"""Days that could end in time more often: when planning with room left is worth a word."""

from tests.plan.day_specimens import MONDAY, TUESDAY, YARD, day, episode, shot
from webapp.plan.day_room import told_room
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

TALKS = [shot(f"t{n}", screen_seconds=900, place=YARD) for n in range(4)]
NAMES = [one.id for one in TALKS]


def _two_days(ends: str, *tuesday: str, dark: str | None = None) -> Episode:
    monday = [name for name in NAMES if name not in tuesday]
    return episode(
        (), TALKS, day(MONDAY, *monday, ends=ends, dark_from=dark), day(TUESDAY, *tuesday)
    )


def _likely_end() -> int:
    return round(evaluate(_two_days("17:00")).days[0].ends.likely)


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"


def test_a_day_that_is_likely_late_while_another_is_empty_asks_for_room() -> None:
    told = told_room(evaluate(_two_days(_clock(_likely_end()))))
    assert told == (
        "4 January 2027 ends in time only 5 times in 10, while 5 January 2027 is empty: plan the "
        "days with “Leave room” ticked."
    )
    light = told_room(evaluate(_two_days("17:00", dark=_clock(_likely_end()))))
    assert light.startswith("4 January 2027 ends in time and in its light only 5 times in 10, ")


def test_a_day_that_ends_hours_early_is_told_with_its_hours() -> None:
    one = _two_days(_clock(_likely_end()), "t3")
    monday, tuesday = evaluate(one).days
    tight = changed(one.shoot_days[0], ends=_clock(round(monday.ends.likely)))
    told = told_room(evaluate(changed(one, shoot_days=(tight, one.shoot_days[1]))))
    over = round(17 * 60 - tuesday.ends.likely)
    assert f"5 January 2027 likely ends {over // 60} h {over % 60} min early: plan" in told


def test_nothing_is_told_where_no_room_can_be_left() -> None:
    tight = _two_days(_clock(_likely_end()))
    assert told_room(evaluate(_two_days("17:00"))) == ""
    assert told_room(evaluate(tight), TUESDAY) == ""  # one day alone is left
    left_out = changed(tight, shots=(*TALKS, shot("more")))
    assert told_room(evaluate(left_out)) == ""
    full = changed(tight, shoot_days=(tight.shoot_days[0], day(TUESDAY, ends="10:15")))
    assert told_room(evaluate(full)) == ""
