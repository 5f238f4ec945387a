"""The shot list as a table for a spreadsheet."""

from collections.abc import Iterator
from typing import Final

from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_clock
from webapp.handouts.shot_words import said_in, shown_in
from webapp.handouts.spreadsheet import table
from webapp.plan.day_plan import TimedShot
from webapp.plan.results import Plan, ShotPlan
from webapp.plan.screen_time import extra, video

_COLUMNS: Final = (
    "Number", "Title", "Step", "Place", "Camera notes", "Look", "Light", "Takes",
    "Day", "From", "Minutes", "Pace", "Seconds on screen", "Video", "Starts at",
    "Narration", "Card", "One way", "Spare", "Filmed",
)  # fmt: skip


def shots_csv(plan: Plan) -> bytes | None:
    """A line for each shot in the order it is seen; None without shots.

    `From` is when the camera is likely set up for it on its day, `Minutes` what filming it likely
    takes, `Starts at` when it is seen in the video or the members' extra. A filmed shot tells what
    was said in it, and the cards that put it right.
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
        one.plan.shot.id: (which, clock(one.starts_s))
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


def _times(row: ShotPlan, timed: TimedShot | None) -> tuple[str, str]:
    """When it is set up and the minutes of filming; on its day where it has one."""
    if timed is None:
        return "", f"{row.filming.likely:.0f}" if row.shot.filmed is None else ""
    if timed.filmed:
        return "", ""
    return told_clock(timed.starts.likely), f"{timed.filming.likely:.0f}"


def _filmed(row: ShotPlan) -> str:
    filmed = row.shot.filmed
    if filmed is None:
        return "no"
    return filmed.day.isoformat() if filmed.day else "yes"
