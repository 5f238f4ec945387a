"""Brief: what the episode is to be, and the body it is drafted on."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request, Response

from webapp.pages.bodies import Asked, asked_of, body_fields, with_answers
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
from webapp.pages.shell import Shell
from webapp.plan.edits import changed, with_bodies
from webapp.plan.episode import Episode, Wearer

router = APIRouter(prefix="/episodes/{episode_id}")

WEARERS: Final[Mapping[Wearer, str]] = {
    "14 and over": "Someone of 14 years or over",
    "7 to 13": "A child of 7 to 13 years",
    "3 to 6": "A child of 3 to 6 years",
    "under 3": "A child under 3 years",
}


def hours_a_day(typed: str) -> float:
    """Hours out of a day; a decimal comma is understood."""
    plain = typed.removesuffix("h").strip().replace(",", ".")
    digits = plain.replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()) or len(plain) > 6:
        raise ValueError("Write a number of hours, like 4 or 2.5.")
    if not 0 < float(plain) <= 24:
        raise ValueError(f"{plain} is out of range: a day has more than 0 and up to 24 hours.")
    return float(plain)


_BRIEF_FIELDS: Final = (
    Field("title", text(80, required=True)),
    Field("channel", text(200)),
    Field("series", text(200)),
    Field("number", whole_number(0, 9999)),
    Field("first_unit", one_of(("cm", "in"))),
    Field("audience", text(200)),
    Field("promise", text(4000)),
    Field("target_seconds", seconds(30, 6 * 3600)),
    Field("publish_date", day),
    Field("wearer", one_of(WEARERS)),
    Field("sleepwear", ticked),
    Field("edit_hours_a_day", hours_a_day),
    Field("members_extra", text(4000)),
    Field("notes", text(4000)),
)
_ON_EPISODE: Final = ("title", "channel", "series", "number", "first_unit")
_LABELS: Final = {
    "audience": "who the video is for",
    "first_unit": "unit that stands first",
    "target_seconds": "target running time",
    "publish_date": "publish date",
    "members_extra": "members' extra",
    "wearer": "who will wear it",
    "edit_hours_a_day": "hours of editing a day",
}


@dataclass(frozen=True)
class BriefView:
    """The brief, the body's measures, and what was typed wrong where."""

    episode: Episode
    asked: Asked
    answers: Answers = UNANSWERED
    body_answers: Answers = UNANSWERED
    sketch_answers: Answers = UNANSWERED
    series_answers: Answers = UNANSWERED

    def kept_by(self, part: str, shell: Shell) -> tuple[Hashable, ...] | None:
        """All that a part of the page shows: see `kept_parts`. None after a form."""
        told = (self.answers, self.body_answers, self.sketch_answers, self.series_answers)
        if any(one is not UNANSWERED for one in told):
            return None
        return f"{part} of the brief", *shell.but_shots

    @property
    def wearers(self) -> tuple[tuple[Wearer, str], ...]:
        """Who may wear it, by years, with the words."""
        return tuple(WEARERS.items())


@router.get("/brief")
def brief(request: Request, episode_id: str, house: InHouse) -> Response:
    return show(request, house, episode_id)


@router.post("/brief")
def save_brief(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    answers = read_form(sent, _BRIEF_FIELDS)
    episode = house.store.get(episode_id)
    words = _words(episode, answers.values)
    answers = house.save(episode_id, words, answers, lambda e: _with_brief(e, answers.values))
    return _done(request, house, episode_id, answers=answers)


@router.post("/body")
def save_body(request: Request, episode_id: str, sent: Sent, house: InHouse) -> Response:
    unit = house.store.get(episode_id).first_unit
    answers = read_form(sent, body_fields(unit))
    answers = house.save(
        episode_id,
        "measurements of the body",
        answers,
        lambda e: with_bodies(e, with_answers(e.body, answers.values), e.sizes),
    )
    return _done(request, house, episode_id, body_answers=answers)


def _with_brief(episode: Episode, values: Mapping[str, Any]) -> Episode:
    own = {name: value for name, value in values.items() if name in _ON_EPISODE}
    brief = {name: value for name, value in values.items() if name not in _ON_EPISODE}
    return changed(episode, **own, brief=changed(episode.brief, **brief))


def _words(episode: Episode, values: Mapping[str, Any]) -> str:
    altered = [
        _LABELS.get(name, name)
        for name, value in values.items()
        if getattr(episode if name in _ON_EPISODE else episode.brief, name) != value
    ]
    return ", ".join(altered) or "the brief"


def _done(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    return answered(
        request,
        f"/episodes/{episode_id}/brief",
        told.values(),
        lambda: show(request, house, episode_id, **told),
    )


def show(request: Request, house: House, episode_id: str, **told: Any) -> Response:
    """The page, with the answers of the forms that were filled in."""
    shell = house.shell(episode_id, "brief")
    view = BriefView(shell.episode, asked_of(shell.episode), **told)
    return house.show(request, "brief/brief.html", view, shell=shell, status=status_of(view))
