"""Running time: how long the video is, what to shorten first, its chapters, and the date."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, get_args

from fastapi import APIRouter, Request, Response
from markupsafe import Markup

from webapp.errors import NotThereError
from webapp.filming.chapters import Chapter
from webapp.filming.publishing import told_chance
from webapp.filming.shots import Pace
from webapp.pages.brief import hours_a_day
from webapp.pages.forms import (
    UNANSWERED,
    Answers,
    Field,
    day,
    one_of,
    read_form,
    seconds,
    status_of,
    text,
    ticked,
    whole_number,
)
from webapp.pages.house import House, InHouse, Sent, answered
from webapp.pages.places import address
from webapp.plan.date_strip import draw_days
from webapp.plan.date_words import told_filming, told_slack
from webapp.plan.edits import changed, changed_one
from webapp.plan.episode import AfterFilming, Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.mends import mended
from webapp.plan.missing import Missing, missing
from webapp.plan.publishing import (
    GOOD_CHANCE,
    Help,
    Outlook,
    earliest,
    helps,
    outlook,
)
from webapp.plan.results import Act, Mend, Plan
from webapp.plan.screen_time import OnScreen, Video, extra, video, with_suggested_chapters
from webapp.plan.shortening import (
    Shortening,
    enough,
    fewer_words,
    shortenings,
    with_shortened,
)
from webapp.plan.video_strip import draw_strip
from webapp.remembered import Same

router = APIRouter(prefix="/episodes/{episode_id}/running-time")

PACES: Final = tuple((pace, pace.capitalize()) for pace in get_args(Pace))
_SHOT_FIELDS: Final = (
    Field("pace", one_of(get_args(Pace))),
    Field("screen_seconds", whole_number(1, 3600)),
    Field("chapter", text(80)),
)
_WANTED: Final = (Field("target_seconds", seconds(30, 6 * 3600)),)
_DATE_FIELDS: Final = (
    Field("publish_date", day),
    Field("edit_hours_a_day", hours_a_day),
    Field("voice-over", ticked),
    Field("editing", ticked),
)


@dataclass(frozen=True)
class HelpRow:
    """What makes the date likelier, and the address and words of the link to where it is done."""

    help: Help
    address: str
    where: str

    @property
    def chance_told(self) -> str:
        """The chance it comes to, in words."""
        return told_chance(self.help.chance)


@dataclass(frozen=True)
class MissingRow:
    """What is not planned yet, and the address and words of the link to where it is begun."""

    missing: Missing
    address: str
    where: str


@dataclass(frozen=True)
class ChapterRow:
    """A chapter with its shots; all the shots while none opens a chapter."""

    chapter: Chapter | None
    shots: tuple[OnScreen, ...]

    @property
    def id(self) -> str:
        """Its element on the page: it stays the same while its first shot does."""
        return f"from-{self.shots[0].plan.shot.id}"

    @property
    def too_short(self) -> int:
        """How many of its shots are seen for less than their words take."""
        return sum(on.too_short_for_words for on in self.shots)


@dataclass(frozen=True)
class RunningTimeView:
    """The video and the extra; what shortens it, the first that are enough; the date."""

    video: Video
    extra: Video
    shortenings: tuple[Shortening, ...]
    first: tuple[Shortening, ...]
    fewer_words: float | None
    outlook: Outlook
    helps: tuple[HelpRow, ...]
    edit_hours_a_day: float
    publish_date: date | None
    base: str  # the address of the episode
    missing: MissingRow | None = None  # what must be planned before all can be worked out
    shot: str = ""  # the id of the shot whose form was sent
    answers: Answers = UNANSWERED
    target_answers: Answers = UNANSWERED
    date_answers: Answers = UNANSWERED
    act_answers: Answers = UNANSWERED

    def strip(self, width: int) -> Markup:
        """The video drawn to scale, so many pixels wide; draw_strip escapes every text in it."""
        return Markup(draw_strip(self.video, "The video to scale", width))

    def days(self, width: int) -> Markup:
        """The days to the date, drawn so many pixels wide; empty without any to draw."""
        schedule = self.outlook.schedule
        filming = tuple(one.day for one in self.outlook.filming.days)
        return Markup(draw_days(schedule, filming, width) if schedule else "")

    @property
    def chance_told(self) -> str:
        """The chance that the date is made, in words; empty without a schedule."""
        schedule = self.outlook.schedule
        return told_chance(schedule.chance) if schedule else ""

    @property
    def has_begin_by(self) -> bool:
        """True when days to begin by can be told: of a date to come."""
        return self.outlook.schedule is not None and not self.outlook.is_past

    def is_gone(self, day: date) -> bool:
        """True for a day before today."""
        return self.outlook.today is not None and day < self.outlook.today

    @property
    def is_likely(self) -> bool:
        """True when the date is made 9 times in 10."""
        schedule = self.outlook.schedule
        return schedule is not None and schedule.chance >= GOOD_CHANCE

    @property
    def earliest(self) -> date | None:
        """The first date that could be set and is made 9 times in 10."""
        found = self.outlook
        if found.schedule is not None or found.is_done:
            return None
        return earliest(found, self.edit_hours_a_day)

    @property
    def slack_told(self) -> str:
        """How many days there are, how many are needed and how many are to spare."""
        schedule = self.outlook.schedule
        return told_slack(schedule) if schedule else ""

    @property
    def filming_told(self) -> str:
        """What is left to film."""
        return told_filming(self.outlook.filming)

    @property
    def spoken_after(self) -> float:
        """Seconds of speech that are recorded after filming, the extra's counted in."""
        return self.video.voice_over_s + self.extra.voice_over_s

    def answers_for(self, shot: str) -> Answers | None:
        """The answers if they belong to the form of this shot."""
        return self.answers if shot == self.shot else None

    def kept_by(self, on: OnScreen) -> tuple[Hashable, ...] | None:
        """All that the row of a shot shows: see `kept_parts`. None for one whose form was sent."""
        if on.plan.shot.id == self.shot:
            return None
        return "row on screen", self.base, Same((on.plan,)), on.starts_s, on.spoken_s, on.speed

    @property
    def chapters(self) -> tuple[ChapterRow, ...]:
        """The shots of the video by chapter."""
        opens = {one.first: one for one in self.video.chapters}
        found: list[tuple[Chapter | None, list[OnScreen]]] = []
        for on in self.video.shots:
            if on.plan.shot.id in opens or not found:
                found.append((opens.get(on.plan.shot.id), []))
            found[-1][1].append(on)
        return tuple(ChapterRow(chapter, tuple(shots)) for chapter, shots in found)

    @property
    def saved_by_first(self) -> float:
        """Seconds that the first acts save together."""
        return sum(one.saves_s for one in self.first)

    @property
    def others(self) -> tuple[Shortening, ...]:
        """The acts that are not among the first."""
        first = {(one.act, *one.args) for one in self.first}
        return tuple(one for one in self.shortenings if (one.act, *one.args) not in first)

    @property
    def paces(self) -> tuple[tuple[Pace, str], ...]:
        """The paces with their words."""
        return PACES

    @property
    def one_word_in(self) -> int:
        """Which word of all would have to go: one in so many."""
        return max(1, int(1 / self.fewer_words)) if self.fewer_words else 0


@router.get("")
def running_time(request: Request, episode_id: str, house: InHouse) -> Response:
    return _show(request, house, episode_id)


@router.post("/target")
def save_target(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _WANTED)
    answers = house.save(
        episode_id, "target running time", answers, lambda e: _with_brief(e, answers.values)
    )
    return _done(request, house, episode_id, target_answers=answers)


@router.post("/date")
def save_date(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _DATE_FIELDS)
    answers = house.save(
        episode_id, "what the date rests on", answers, lambda e: _with_date(e, answers.values)
    )
    return _done(request, house, episode_id, at="publish", date_answers=answers)


@router.post("/shots/{shot_id}")
def save_shot(
    request: Request, episode_id: str, shot_id: str, sent: Sent, house: InHouse
) -> Response:
    answers = read_form(sent, _SHOT_FIELDS)

    def edit(episode: Episode) -> Episode:
        shots = changed_one(
            episode.shots, "id", shot_id, lambda shot: changed(shot, **answers.values)
        )
        return changed(episode, shots=shots)

    words = "a chapter" if "chapter" in answers.values else "how long a shot is seen"
    answers = house.save(episode_id, words, answers, edit)
    return _done(request, house, episode_id, at=f"screen-{shot_id}", shot=shot_id, answers=answers)


@router.post("/chapters")
def take_chapters(request: Request, episode_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the chapters that the build suggests",
        UNANSWERED,
        lambda e: with_suggested_chapters(evaluate(e)),
    )
    return _done(request, house, episode_id, at="chapters", act_answers=answers)


@router.post("/enough")
def shorten(request: Request, episode_id: str, house: InHouse) -> Response:
    answers = house.save(
        episode_id,
        "the video shortened to its target",
        UNANSWERED,
        lambda e: with_shortened(evaluate(e)),
    )
    return _done(request, house, episode_id, at="how-long", act_answers=answers)


@router.post("/act")
def act(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    asked, arg = str(sent.get("act", "")), str(sent.get("arg", ""))
    answers = UNANSWERED
    try:
        found = _offered(house.plan(episode_id), asked, arg)
    except NotThereError as error:
        answers = answers.failed(error.sentence)
    else:
        words = found.words[:1].lower() + found.words[1:]
        answers = house.save(
            episode_id, words, answers, lambda e: mended(evaluate(e), found.act, found.args)
        )
    at = "publish" if asked == "publish on" else ""
    return _done(request, house, episode_id, at=at, act_answers=answers)


def _offered(plan: Plan, asked: str, arg: str) -> Mend:
    """The act as the page offers it now. NotThereError when it does not."""
    for one in shortenings(plan):
        if (one.act, one.args) == (asked, (arg,)):
            return Mend(one.act, one.args, one.words)
    publish_on: Act = "publish on"
    for help_ in helps(plan, outlook(plan, date.today())):
        if asked == publish_on and help_.publish and help_.publish.isoformat() == arg:
            return Mend(publish_on, (arg,), help_.words)
    raise NotThereError("That is not offered any more, so nothing was changed.")


def _missing(plan: Plan) -> MissingRow | None:
    """The first of shots and shoot days that there are none of."""
    found = (one for one in missing(plan) if one.place.page in ("shots", "days"))
    return next((MissingRow(one, *address(plan, one.place)) for one in found), None)


def _with_brief(episode: Episode, values: Mapping[str, Any]) -> Episode:
    return changed(episode, brief=changed(episode.brief, **values))


def _with_date(episode: Episode, values: Mapping[str, Any]) -> Episode:
    kinds: tuple[AfterFilming, ...] = get_args(AfterFilming)
    done = tuple(kind for kind in kinds if values.get(kind, kind in episode.brief.done))
    brief = {name: value for name, value in values.items() if name not in kinds}
    return _with_brief(episode, {**brief, "done": done})


def _done(
    request: Request, house: House, episode_id: str, *, at: str = "", **told: Any
) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/running-time" + (f"#{at}" if at else ""),
        told.values(),
        lambda: _show(request, house, episode_id, **told),
    )


def _show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    shell = house.shell(episode_id, "running-time")
    plan = shell.plan
    shown, found = video(plan), outlook(plan, date.today())
    ways = shortenings(plan)
    view = RunningTimeView(
        shown,
        extra(plan),
        ways,
        enough(ways, shown.over_s) if shown.over_s > 0 else (),
        fewer_words(shown),
        found,
        tuple(HelpRow(one, *address(plan, one.place)) for one in helps(plan, found)),
        plan.episode.brief.edit_hours_a_day,
        plan.episode.brief.publish_date,
        shell.base,
        _missing(plan),
        **told,
    )
    template = "running_time/running_time.html"
    return house.show(request, template, view, shell=shell, status=status_of(view))
