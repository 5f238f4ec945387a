"""Work that was asked for before a restart, begun again for the plan as it stands now."""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any, Final, get_args

from webapp.errors import NotThereError, SeamslateError
from webapp.jobs import MOST_BEGUN
from webapp.log import LOGGER
from webapp.pages import cloth, day_search, offcuts, prints, shoot_days, ways_work
from webapp.pages.forms import UNANSWERED, Answers
from webapp.pages.house import House
from webapp.pages.print_orders import Order, PrintedKind
from webapp.store.asked_work import Asked, AskedWork
from webapp.store.repository import utc_now

_TOO_OLD: Final = timedelta(days=3)  # as in a copy that was put back
_OLD: Final = "This was asked for days ago. Ask for it again if you still want it."
_TOOK_DOWN: Final = (
    "Seamslate ended twice while it worked on this, so it was not begun again. Your plan is as it "
    "was."
)
_NO_SENSE: Final = "After the restart this could not be begun again. Ask for it anew."


def _lay(house: House, asked: Mapping[str, Any]) -> None:
    cloth.begin_search(house, *_cloth(house, asked))


def _ways(house: House, asked: Mapping[str, Any]) -> None:
    ways_work.begin(house, *_cloth(house, asked))


def _offcuts(house: House, asked: Mapping[str, Any]) -> None:
    offcuts.begin_looking(house, *_cloth(house, asked))


def _days(house: House, asked: Mapping[str, Any]) -> None:
    first_day = max(date.fromisoformat(asked["first_day"]), shoot_days.now().date())
    _refused(
        day_search.begin(
            house, asked["episode"], first_day, UNANSWERED, surely=asked["surely"] is True
        )
    )


def _print(house: House, asked: Mapping[str, Any]) -> None:
    kind, pages, day = asked["kind"], asked["pages"], asked["day"]
    if kind not in get_args(PrintedKind) or pages not in ("", "a4", "letter"):
        raise ValueError(kind)
    episode = house.plan(asked["episode"]).episode
    on = date.fromisoformat(day) if day else None
    _refused(prints.begin(house, Order(kind, episode, asked["size"], on, pages), asked))


# How each kind of work is begun; SeamslateError when it makes no sense (any more).
BEGIN: Final[Mapping[str, Callable[[House, Mapping[str, Any]], None]]] = {
    "lay": _lay,
    "ways": _ways,
    "offcuts": _offcuts,
    "days": _days,
    "print": _print,
}


def begin_again(house: House) -> None:
    """Begin all that was asked for and has not ended, in its order; drop what cannot be begun.

    Runs beside the pages: where the list cannot be read or written, that is logged.
    """
    if house.asked is None:
        return
    try:
        _begin_all(house, house.asked)
    except SeamslateError as error:
        LOGGER.warning("The list of work cannot be gone through. %s", error.sentence)
    except Exception as error:
        if not house.jobs.is_closed:  # else the database is closed meanwhile
            LOGGER.error("The list of work cannot be gone through.", exc_info=error)


def _begin_all(house: House, work: AskedWork) -> None:
    for asked in work.list():
        if house.jobs.is_closed:
            return
        if not house.share.holds(str(asked.arguments.get("episode", ""))):
            continue  # another process sees to it
        why = _begun(house, asked)
        if house.jobs.is_closed:
            return  # that may be why: the next server sees to it
        if why:
            LOGGER.warning("Work dropped: %s %s. %s", asked.kind, asked.address, why)
            house.jobs.failed(asked.key, why, asked.called, asked.address)
        job = house.jobs.get(asked.key)
        if why or job is None:  # by another name now, or it is there already
            work.ended(asked.key)


def _begun(house: House, asked: Asked) -> str:
    """Begin it; why not, if not."""
    if asked.begun >= MOST_BEGUN:
        return _TOOK_DOWN
    if utc_now() - asked.asked_at > _TOO_OLD:
        return _OLD
    try:
        BEGIN[asked.kind](house, asked.arguments)
    except SeamslateError as error:
        return error.sentence
    except Exception as error:  # arguments of another version, or a fault of ours
        LOGGER.error("Work of the kind %s cannot be begun.", asked.kind, exc_info=error)
        return _NO_SENSE
    LOGGER.info("Work begun again: %s %s", asked.kind, asked.address)
    return ""


def _cloth(house: House, asked: Mapping[str, Any]) -> tuple[str, int]:
    """The episode, and where its cloth of that name is now."""
    names = [one.name for one in house.plan(asked["episode"]).episode.cloths]
    if asked["cloth"] not in names:
        raise NotThereError(f"There is no {asked['cloth']} any more.")
    return asked["episode"], names.index(asked["cloth"])


def _refused(answers: Answers) -> None:
    if answers.errors:
        raise SeamslateError(" ".join(answers.errors.values()))
