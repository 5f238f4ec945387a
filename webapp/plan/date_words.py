"""What the publish date has, needs and waits for, in sentences."""

from webapp.draft.names import plural
from webapp.filming.publishing import Schedule
from webapp.filming.shoot_days import told_day
from webapp.plan.publishing import FilmingLeft


def told_slack(schedule: Schedule) -> str:
    """The days there are after the filming, and those needed, likely and to be safe, in sentences.

    `There are 8 days for the editing. Likely it takes 4 days: 4 to spare. To be safe, 9 times in
    10, 9 days: 1 too few.`
    """
    if schedule.needed.high == 0:
        return "Nothing is left to record or to edit."
    both = schedule.voice_over.high > 0 and schedule.editing.high > 0
    what = "editing" if schedule.editing.high else "voice-over"
    what, takes = ("voice-over and editing", "they take") if both else (f"the {what}", "it takes")
    free, likely, safe = schedule.free_days, schedule.likely_days, schedule.safe_days
    if schedule.publish < schedule.begins:
        there = f"No day is left for {what}, which can begin on {told_day(schedule.begins)}."
    elif free <= 0:
        there = f"No day is left for {what}."
    else:
        there = f"There {'is' if free == 1 else 'are'} {_days(free)} for {what}."
    if safe == likely:
        sure = f"Likely, and to be safe 9 times in 10, {takes} {_days(safe)}"
        return f"{there} {sure}: {_spared(free - safe)}."
    told = f"{there} Likely {takes} {_days(likely)}: {_spared(free - likely)}."
    return f"{told} To be safe, 9 times in 10, {_days(safe)}: {_spared(free - safe)}."


def told_filming(left: FilmingLeft) -> str:
    """What is left to film, and when, in a few words."""
    told = []
    if left.days:
        last = left.days[-1].day
        days = f"on {told_day(last)}" if len(left.days) == 1 else f"until {told_day(last)}"
        told.append(f"{plural(sum(day.shots for day in left.days), 'shot')} {days}")
    if left.unplanned:
        told.append(
            f"{plural(len(left.unplanned), 'shot')} on no day to come: about "
            f"{_days(left.more_days)} more"
        )
    return "; ".join(told) or "all is filmed"


def _spared(days: int) -> str:
    return f"{-days} too few" if days < 0 else f"{days or 'none'} to spare"


def _days(count: int) -> str:
    return plural(count, "day")
