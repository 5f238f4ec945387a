"""The shot list as a table for a spreadsheet."""

from collections.abc import Iterator
from typing import Final

from webapp.filming.running_time import to_second
from webapp.filming.shoot_days import told_clock
from webapp.handouts.shot_words import said_in, shown_in
from webapp.handouts.spreadsheet import table
from webapp.plan.day_plan import TimedShot
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.screen_time import extra, video

_COLUMNS: Final = (
    "Number", "Title", "Step", "Place", "Camera notes", "Look", "Light", "Takes",
    "Day", "Set up from", "Rolls at", "Minutes", "Pace", "Seconds on screen", "Video", "Starts at",
    "Narration", "Card", "One way", "Spare", "Filmed",
)  # fmt: skip


def shots_csv(plan: Plan) -> bytes | None:
    """A line for each shot in the order it is seen; None without shots.

    `Set up from` is when the camera is likely set up for it on its day, `Rolls at` when it rolls,
    as on the call sheet, `Minutes` what both likely take. `Starts at` is when it is seen in the
    video or the members' extra, with hours: a spreadsheet reads 1:23 as hours and minutes. A filmed
    shot tells what was said in it, and the cards that put it right.
    """
    return table(_COLUMNS, _rows(plan)) if plan.shots else None


def _rows(plan: Plan) -> Iterator[tuple[str, ...]]:
    on_days = {
        timed.plan.shot.id: (day.day.day.isoformat(), timed)
        for day in plan.days
        for timed in day.shots
    }
    looks = {look.id: look.name for look in plan.episode.looks}
    spares = {row.step.id: row.spare.plain for row in plan.steps}
    seen = {
        one.plan.shot.id: (which, _from_start(one.starts_s))
        for which, shown in (("video", video(plan)), ("members’ extra", extra(plan)))
        for one in shown.shots
    }
    for row in plan.shots:
        shot = row.shot
        day, timed = on_days.get(shot.id, ("", None))
        yield (
            str(row.number),
            shot.title,
            row.step_name,
            shot.place,
            shot.note,
            looks.get(shot.look, ""),
            shot.light,
            str(shot.takes),
            day,
            *_times(row, timed),
            shot.pace,
            f"{row.screen_seconds:.1f}",
            *seen[shot.id],
            said_in(row),
            "\n".join(shown_in(row, plan.episode.first_unit)),
            "yes" if row.one_way else "no",
            spares.get(shot.step, ""),
            _filmed(row),
        )


def _times(row: ShotPlan, timed: TimedShot | None) -> tuple[str, str, str]:
    """When it is set up, when it rolls and the minutes of both; on its day where it has one."""
    if timed is None:
        return "", "", f"{row.filming.likely:.0f}" if row.shot.filmed is None else ""
    if timed.filmed:
        return "", "", ""
    starts, rolls = told_clock(timed.starts.likely), told_clock(timed.rolls.likely)
    return starts, rolls, f"{timed.filming.likely:.0f}"


def _from_start(seconds: float) -> str:
    minutes, rest = divmod(to_second(seconds), 60)
    return f"{minutes // 60}:{minutes % 60:02}:{rest:02}"


def _filmed(row: ShotPlan) -> str:
    filmed = row.shot.filmed
    if filmed is None:
        return "no"
    return filmed.day.isoformat() if filmed.day else "yes"
