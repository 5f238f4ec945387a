"""Entries made at the table: of which moment they are, and what they leave alone."""

from datetime import UTC, datetime, timedelta, timezone

from webapp.plan.at_table import TableEntry, moment_of, plan_print, with_entry
from webapp.plan.edits import changed
from webapp.plan.episode import Episode

NOON = datetime(2026, 12, 18, 12, tzinfo=UTC)


def test_a_moment_is_told_by_how_long_ago_it_was_whatever_the_device_shows() -> None:
    wrong = timedelta(hours=-7, minutes=3)
    at, sent = NOON + wrong - timedelta(minutes=40), NOON + wrong
    assert moment_of(at, sent, NOON) == NOON - timedelta(minutes=40)
    abroad = timezone(timedelta(hours=9))
    assert moment_of(at.astimezone(abroad), sent, NOON) == NOON - timedelta(minutes=40)
    assert moment_of(None, sent, NOON) == NOON
    assert moment_of(sent + timedelta(minutes=5), sent, NOON) == NOON  # from the future
    assert moment_of(datetime(1970, 1, 1, tzinfo=UTC), sent, NOON) == NOON  # a clock never set


def test_an_entry_alters_nothing_else(smock: Episode) -> None:
    entry = TableEntry(id="entry-number-1", act="filmed", item=smock.shots[0].id)
    after = with_entry(smock, entry, NOON)
    assert after.shots[0].filmed is not None and smock.shots[0].filmed is None
    assert changed(after, shots=smock.shots) == smock
    assert after.shots[1:] == smock.shots[1:]


def test_a_tick_taken_out_and_made_again_changes_nothing_that_is_read(smock: Episode) -> None:
    """Its earlier take is kept until it is ticked again."""
    shot = smock.shots[0].id
    tick = TableEntry(id="entry-number-1", act="filmed", item=shot)
    shown = TableEntry(id="entry-number-2", act="filmed", item=shot, said=(), narration="So.")
    ticked = with_entry(smock, tick, NOON)
    back = with_entry(ticked, TableEntry(id="entry-number-3", act="to film", item=shot), NOON)
    assert back.shots[0].earlier == ticked.shots[0].filmed
    for again in (tick, shown):
        assert with_entry(back, again, NOON).shots[0].earlier is None
    assert plan_print(back) == plan_print(ticked) == plan_print(smock)
