"""An episode once more, to make another of it: what comes along, and what stays with the first."""

import re
from collections.abc import Collection, Iterator
from typing import Final

from webapp.plan.edits import changed
from webapp.plan.episode import Episode

LONGEST_TITLE: Final = 80


def copied(episode: Episode, title: str, episode_id: str, number: int | None) -> Episode:
    """The whole plan under another title, as if nothing of it had been done yet.

    The garment stays as it is drafted now, with every fitting made in it. What was found, filmed,
    timed, printed, bought and dated is the first one's and stays there.
    """
    return changed(
        episode,
        id=episode_id,
        title=title,
        number=number,
        brief=changed(episode.brief, publish_date=None, done=()),
        cloths=tuple(changed(cloth, have="") for cloth in episode.cloths),
        other_cloths=tuple(changed(cloth, have="") for cloth in episode.other_cloths),
        shots=tuple(changed(shot, filmed=None, earlier=None) for shot in episode.shots),
        bought=(),
        shoot_days=(),
        planned_days=None,
        time_log=(),
        timer=None,
        fittings=(),
        revisions=(),
        editions=(),
    )


def title_of_copy(title: str, taken: Collection[str]) -> str:
    """`Smock (copy)`, `Smock (copy 2)`: the first that no other episode has."""
    known = {one.casefold() for one in taken}
    number, ending = 1, " (copy)"
    while (found := title[: LONGEST_TITLE - len(ending)].rstrip() + ending).casefold() in known:
        number += 1
        ending = f" (copy {number})"
    return found


def is_called_a_copy(title: str) -> bool:
    """True while it has the title that its copying gave it."""
    return re.search(r" \(copy(?: \d+)?\)$", title) is not None


def left_behind(episode: Episode) -> tuple[str, ...]:
    """What a copy does not have of an episode, in words, such as `2 shoot days`."""
    return tuple(_left_behind(episode))


def _left_behind(episode: Episode) -> Iterator[str]:
    cloths = (*episode.cloths, *episode.other_cloths)
    if episode.brief.publish_date:
        yield "the publish date"
    counts = (
        (sum(shot.filmed is not None for shot in episode.shots), "mark of a filmed shot",
         "marks of filmed shots"),
        (sum(shot.earlier is not None for shot in episode.shots), "earlier take of a shot",
         "earlier takes of shots"),
        (len(episode.shoot_days), "shoot day", "shoot days"),
        (len(episode.time_log), "time taken", "times taken"),
        (len(episode.fittings), "fitting", "fittings"),
        (len(episode.editions), "edition of the companion", "editions of the companion"),
        (len(episode.bought), "tick on the shopping list", "ticks on the shopping list"),
        (sum(bool(cloth.have) for cloth in cloths), "length of cloth at hand",
         "lengths of cloth at hand"),
    )  # fmt: skip
    yield from (f"{count} {one if count == 1 else many}" for count, one, many in counts if count)
