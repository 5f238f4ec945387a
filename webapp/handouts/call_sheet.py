"""The call sheet: a shoot day to pin to the wall, to tick, and to read from a metre away.

Letters at least 1/200 as high as they are far away can be read (the FAA's human factors course,
hf.faa.gov, size1a.htm: read): 5 mm at 1 m, or 22 pt of Source Sans, whose capitals are 0.66 of its
size. Clock times should fill 20 minutes of arc (the same course, for what is critical): 26 pt. What
is read from a step closer needs 10 minutes of arc (pc.ibm.com/ww/healthycomputing/vdc-crf.html:
read): 14 pt has 11 at 1 m. The sizes stand in `call-sheet.css`.
"""

from collections.abc import Iterable, Iterator, Set
from dataclasses import replace
from datetime import date
from typing import Final

from webapp.filming.clock_changes import clock_faults
from webapp.filming.day_clock import gone_by
from webapp.filming.figures import single_unit_measurements
from webapp.filming.filming_time import same_place
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_clock, told_day
from webapp.handouts.call_sheet_ready import at_hand, before, short_cautions, steps_of
from webapp.handouts.call_sheet_view import (
    Between,
    CallSheet,
    Check,
    Clock,
    DaySheet,
    Entry,
    ShotEntry,
    Stretch,
)
from webapp.handouts.companion import issue_of
from webapp.handouts.printing import PaperName, pdf_of
from webapp.handouts.templating import render as fill
from webapp.plan.day_moves import wrong_way_round
from webapp.plan.day_plan import DayPlan, hours
from webapp.plan.results import Plan
from webapp.plan.screen_time import Video, extra, video
from webapp.plan.timetable import Line, TimetableRow, evening_lines, evening_of, timetable

_MOST_STRETCHES: Final = 14  # told at the head of a day; each has its own line below
_FIRST_WORDS: Final = 56  # characters: a line
_JOINERS: Final = "\u200d\ufe0f"  # a sign made of several is not cut within
_CHECK_AT_STOP, _CHECK_AT_LEAST = 30.0, 60.0  # minutes since the last; common practice, no source


def call_sheet_pdf(
    plan: Plan, day: date | None = None, paper: PaperName | None = None
) -> bytes | None:
    """The sheet of a day, or of every shoot day, as a PDF; None when it has no shots.

    Without a paper it is the one chosen for printed sheets. The same plan gives the same bytes.
    PdfToolsMissingError when this computer cannot print PDF files.
    """
    html = call_sheet_html(plan, day, paper)
    return None if html is None else pdf_of(html)


def call_sheet_html(
    plan: Plan, day: date | None = None, paper: PaperName | None = None
) -> str | None:
    """The same as one HTML document that leans on the style sheets below /static/css/."""
    sheet = call_sheet_of(plan, day, paper)
    return fill("handouts/call_sheet.html", sheet) if sheet.days else None


def call_sheet_of(plan: Plan, day: date | None = None, paper: PaperName | None = None) -> CallSheet:
    """Everything the call sheet of this plan shows."""
    episode = plan.episode
    shown = [one for one in plan.days if one.shots]
    return CallSheet(
        paper=paper or episode.print_choices.paper_for(episode.first_unit),
        channel=episode.channel,
        issue=issue_of(plan),
        title=episode.title,
        first_unit=episode.first_unit,
        days=tuple(
            _day(plan, one, f"Day {number} of {len(shown)}" if len(shown) > 1 else "")
            for number, one in enumerate(shown, start=1)
            if day is None or one.day.day == day
        ),
    )


def _day(plan: Plan, day: DayPlan, place: str) -> DaySheet:
    own, rows = day.day, timetable(plan, day)
    stretches = tuple(_stretches(rows))
    return DaySheet(
        key=own.day.isoformat(),
        weekday=own.day.strftime("%A"),
        date=told_day(own.day),
        place=place,
        hours=f"{own.starts} to {own.ends}"
        + (f", goes on at {own.goes_on_at}" if own.goes_on_at else ""),
        likely=told_clock(day.ends.likely) if day.to_film else "",
        light=_light(day),
        noise=tuple(f"{one.starts} to {one.ends} {one.what}".strip() for one in own.noise),
        told=_told(day),
        warnings=tuple(_warnings(plan, day)),
        stretches=stretches if len(stretches) <= _MOST_STRETCHES else (),
        before=tuple(before(plan, day)),
        at_hand=tuple(at_hand(plan, day)),
        cautions=short_cautions(
            (*steps_of(plan, day), *(one.step for one in evening_of(plan, own.day)))
        ),
        entries=(
            *_in_bars(_entries(plan, day, rows)),
            *(_between(line) for line in evening_lines(plan, own.day)),
        ),
        video=_filmed_by(plan, day),
    )


def _told(day: DayPlan) -> str:
    """Whether it ends in time and in daylight; when it likely ends stands above in large type."""
    if not day.to_film:
        return day.told
    late = told_clock(day.ends.high)
    if day.over.likely > 0:
        told = f"{hours(day.over.likely)} past its end; 9 times in 10 by {late}."
    elif day.over.high > 0:
        past = hours(day.over.high)
        told = f"In time, but 9 times in 10 only by {late}, {past} past its end."
    else:
        told = f"In time; 9 times in 10 by {late}."
    return f"{told} {day.told_light}"


def _light(day: DayPlan) -> str:
    since, until = day.day.light_from, day.day.dark_from
    if since and until:
        return f"{since} to {until}"
    return f"from {since}" if since else f"until {until}" if until else ""


def _warnings(plan: Plan, day: DayPlan) -> Iterator[str]:
    yield from clock_faults(day.day, plan.episode.brief.time_zone)
    for wrong in wrong_way_round(plan):
        if wrong.day == day.day.day:
            yield from wrong.few
            if wrong.more:
                yield f"{wrong.told_more}: see the page of the shoot days."


def _stretches(rows: tuple[TimetableRow, ...]) -> Iterator[Stretch]:
    last = None
    for row in rows:
        shot = row.timed.plan.shot
        if not row.timed.filmed and (last is None or not same_place(last, shot)):
            yield Stretch(told_clock(row.timed.starts.likely), shot.place)
            last = shot


# --- The day, in order ------------------------------------------------------------------------


def _entries(plan: Plan, day: DayPlan, rows: tuple[TimetableRow, ...]) -> Iterator[Entry]:
    """Every line of the day's timetable and every shot, with a look at the clock now and then."""
    spared: set[str] = set()
    voiced = _voiced_over(plan)
    to_film, done, looked = len(day.to_film), 0, day.begins
    for at, row in enumerate(rows):
        yield from (_between(line) for line in row.ahead)
        yield _shot(plan, day, row, spared, voiced)
        yield from (_between(line) for line in row.after if line.kind != "go on")
        if row.timed.filmed:
            continue
        done += 1
        free = row.timed.free.likely
        since = gone_by(free, row.missing) - gone_by(looked, row.missing)
        due = since >= (_CHECK_AT_STOP if _stops(rows, at) else _CHECK_AT_LEAST)
        if done == to_film or due:
            looked = free
            yield Check(_clock(free), f"{done} of {to_film}")


def _in_bars(entries: Iterable[Entry]) -> Iterator[Entry]:
    """A look at the clock stands in the line of what begins then, where there is such a line."""
    check: Check | None = None
    for one in entries:
        if check and isinstance(one, Between) and one.clock == check.clock:
            yield replace(one, by_then=check.shots)
        else:
            yield from (check,) if check else ()
            yield from () if isinstance(one, Check) else (one,)
        check = one if isinstance(one, Check) else None
    yield from (check,) if check else ()


def _stops(rows: tuple[TimetableRow, ...], at: int) -> bool:
    """True where the camera is moved after a shot, or a break is taken."""
    ahead = rows[at + 1].ahead if at + 1 < len(rows) else ()
    return any(line.kind in ("set up", "break") for line in (*rows[at].after, *ahead))


def _between(line: Line) -> Between:
    kind = "work" if line.kind == "go on" else line.kind
    # A wait says its minutes itself.
    told = () if kind == "wait" else (hours(line.minutes), line.then)
    return Between(kind, _clock(line.at), line.words, ", ".join(one for one in told if one))


def _shot(
    plan: Plan, day: DayPlan, row: TimetableRow, spared: set[str], voiced: Set[str]
) -> ShotEntry:
    timed = row.timed
    shot, filled = timed.plan.shot, timed.plan
    if timed.filmed:
        return ShotEntry(_clock(row.at), filled.number, shot.title, filmed=True)
    spare = ""
    if filled.one_way and shot.step not in spared:
        spare = next((step.spare.plain for step in plan.steps if step.step.id == shot.step), "")
        spared.add(shot.step)
    spoken = "" if shot.id in voiced else " ".join(filled.narration.plain.split())
    says = first_words(spoken)
    return ShotEntry(
        clock=_clock(row.at),
        number=filled.number,
        title=shot.title,
        filmed=False,
        minutes=hours(row.minutes),
        takes=f"{shot.takes} take" if shot.takes == 1 else f"{shot.takes} takes",
        place=shot.place,
        facts=tuple(_facts(row)),
        in_the_dark=timed in day.in_the_dark,
        card=filled.card.plain,
        says=says,
        goes_on=says != spoken,
        note=shot.note,
        one_way=filled.one_way,
        spare=spare,
        too_soon=tuple(late.told for late in timed.too_soon),
        after=tuple(_between(line) for line in row.after if line.kind == "go on"),
    )


def _facts(row: TimetableRow) -> Iterator[str]:
    shot = row.timed.plan.shot
    if row.worn:
        yield row.worn
    if shot.pace != "real time":
        yield shot.pace
    if shot.quiet:
        yield "quiet"
    if shot.light == "lamps":
        yield "lamps"


def _voiced_over(plan: Plan) -> Set[str]:
    """The ids of the shots whose words are recorded after the filming."""
    shots = (*video(plan).shots, *extra(plan).shots)
    return {one.plan.shot.id for one in shots if one.is_voiced_over}


def _clock(minutes: float) -> Clock:
    time, _, later = told_clock(minutes).partition(" ")
    return Clock(time, later)


def first_words(text: str, most: int = _FIRST_WORDS) -> str:
    """The beginning of what is spoken, in whole words, no measurement without its other unit."""
    whole = " ".join(text.split())
    if len(whole) <= most:
        return whole
    words = whole[: most + 1].split(" ")[:-1] or [_cut(whole, most)]
    as_typed = single_unit_measurements(whole)
    while words and set(single_unit_measurements(" ".join(words))) - set(as_typed):
        words.pop()
    while words and not words[-1][0].isalpha():  # a number without its unit
        words.pop()
    return " ".join(words).rstrip(" ,;:(")


def _cut(word: str, most: int) -> str:
    """The beginning of a word without an end, no sign of several parts divided."""
    while most > 1 and (word[most] in _JOINERS or word[most - 1] in _JOINERS):
        most -= 1
    return word[:most]


# --- The video --------------------------------------------------------------------------------


def _filmed_by(plan: Plan, day: DayPlan) -> str:
    """How much of the video, and of the extra, is filmed by the end of a day; empty of none."""
    filmed = {one.shot.id for one in plan.shots if one.shot.filmed is not None}
    for one in plan.days:
        if one.day.day <= day.day.day:
            filmed |= {shot.plan.shot.id for shot in one.shots}
    told = []
    for called, of in (("the video", video(plan)), ("the members’ extra", extra(plan))):
        if of.shots:
            done = clock(sum(one.seconds for one in of.shots if one.plan.shot.id in filmed))
            whole = clock(of.seconds)
            so_far = f"{done} of {whole}" if done != whole else f"all {whole}"
            told.append(f"{so_far} of {called}{_aim(of)}")
    return f"Filmed by its end: {'; '.join(told)}." if told else ""


def _aim(of: Video) -> str:
    return "" if of.target_s is None else f", which is to run {clock(of.target_s)}"
