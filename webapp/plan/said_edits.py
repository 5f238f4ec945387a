"""What is decided about filmed shots: filmed, to be filmed again, put right by a card, accepted."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date
from typing import Final

from webapp.draft.names import listed, name_key
from webapp.errors import NotThereError, SeamslateError
from webapp.filming.said import ChangedFigure, accepted_as, as_filmed
from webapp.filming.shoot_days import told_day
from webapp.filming.shots import Filmed, Shot
from webapp.plan.edits import changed, changed_one
from webapp.plan.episode import Episode
from webapp.plan.results import Plan, ShotPlan

_NOT_STALE: Final = "Nothing that this shot says has changed since it was filmed."
_NO_EARLIER: Final = "No earlier take of that shot is kept."
_FILM_AGAIN: Final = (
    "Shot “{title}” was filmed and is to be filmed again, since this page was shown. Tick it once "
    "more if that is done."
)
_NOT_FILMED: Final = "That shot is not marked as filmed."


def with_shot_filmed(plan: Plan, shot_id: str, day: date | None) -> Episode:
    """The episode with a shot filmed on that day, saying what its texts say now.

    NotThereError when there is no such shot.
    """
    return with_shots_filmed(plan, (shot_id,), day)


def with_shots_filmed(plan: Plan, shot_ids: Sequence[str], day: date | None) -> Episode:
    """The episode with these shots filmed on that day. NotThereError when one is not there."""
    return with_takes(plan.episode, takes(plan, shot_ids, day))


def takes(plan: Plan, shot_ids: Sequence[str], day: date | None) -> dict[str, Filmed]:
    """What is said in these shots, by their ids, when they are filmed on that day as the plan tells
    them. NotThereError when one is not there."""
    shots = {one: _shot_plan(plan, one).shot for one in shot_ids}
    first = plan.episode.first_unit
    return {
        one: as_filmed(shot, plan.figures_of_step(shot.step), first, day)
        for one, shot in shots.items()
    }


def with_takes(episode: Episode, taken: Mapping[str, Filmed]) -> Episode:
    """The episode with these shots filmed so, whatever became of their words since.

    NotThereError when one is not there, SeamslateError when it was filmed otherwise already.
    """
    for shot_id, take in taken.items():

        def filmed(shot: Shot, take: Filmed = take) -> Shot:
            if shot.filmed not in (None, take):
                raise ticked_already(shot)
            return changed(shot, filmed=take, earlier=None)

        episode = _with_shot(episode, shot_id, filmed)
    return episode


def refuse_unseen_takes(seen: Episode, now: Episode, shot_ids: Collection[str]) -> None:
    """SeamslateError where a shot is to be filmed again of a take that was not seen: that is kept
    until she knows of it."""
    takes_seen = {shot.id: _as_taken(shot.earlier) for shot in seen.shots}
    for shot in now.shots:
        is_to_film = shot.id in shot_ids and shot.filmed is None and shot.earlier is not None
        if is_to_film and _as_taken(shot.earlier) != takes_seen.get(shot.id):
            raise SeamslateError(_FILM_AGAIN.format(title=shot.title))


def _as_taken(take: Filmed | None) -> tuple[date | None, str, str] | None:
    """What no new name of a figure alters, nor what is decided about it."""
    return (take.day, take.narration, take.card) if take else None


def ticked_already(shot: Shot, *more: Shot) -> SeamslateError:
    """Why a shot that is filmed, or several, is not ticked once more."""
    day = shot.filmed.day if shot.filmed else None
    since = f" on {told_day(day)}" if day else ""
    others = listed([f"“{one.title}”" for one in more]) if len(more) < 4 else f"{len(more)} others"
    so = f" So {'was' if len(more) == 1 else 'were'} {others}." if more else ""
    return SeamslateError(f"Shot “{shot.title}” was ticked already: filmed{since}.{so}")


def with_shot_to_film(episode: Episode, shot_id: str) -> Episode:
    """The episode with a shot still to be filmed. NotThereError when there is no such shot.

    What was said in it and decided about it is kept as its earlier take, until it is filmed anew.
    """
    return _with_shot(
        episode,
        shot_id,
        lambda shot: changed(shot, filmed=None, earlier=shot.filmed or shot.earlier),
    )


def with_earlier_take(episode: Episode, shot_id: str) -> Episode:
    """The episode with a shot filmed as it was before it was to be filmed again.

    NotThereError when nothing of that is kept.
    """

    def put_back(shot: Shot) -> Shot:
        if shot.earlier is None:
            raise NotThereError(_NO_EARLIER)
        return changed(shot, filmed=shot.earlier, earlier=None)

    return _with_shot(episode, shot_id, put_back)


def with_words_said(plan: Plan, shot_id: str) -> Episode:
    """The episode with a filmed shot whose words, as they are now, are those that were said.

    Figures that were said stay as they were said; one that is quoted only now is said as it is.
    NotThereError when the shot is not filmed.
    """
    shot = _shot_plan(plan, shot_id).shot
    figures, first = plan.figures_of_step(shot.step), plan.episode.first_unit

    def edit(filmed: Filmed) -> Filmed:
        new = as_filmed(shot, figures, first, filmed.day, filmed.said)
        names = {name_key(one.name) for one in new.said}
        return changed(
            new,
            corrected=tuple(name for name in filmed.corrected if name_key(name) in names),
            accepted=tuple(one for one in filmed.accepted if name_key(one.name) in names),
        )

    return _with_filmed(plan.episode, shot_id, edit)


def with_correction_card(plan: Plan, shot_id: str) -> Episode:
    """The episode with a card that puts right what is stale in a shot and still exists.

    NotThereError when there is nothing for a card to tell.
    """
    names = [one.name for one in _shot_plan(plan, shot_id).stale if one.now is not None]
    if not names:
        raise NotThereError(_NOT_STALE)

    def edit(filmed: Filmed) -> Filmed:
        return changed(filmed, corrected=tuple(dict.fromkeys((*filmed.corrected, *names))))

    return _with_filmed(plan.episode, shot_id, edit)


def with_change_accepted(plan: Plan, shot_id: str, note: str) -> Episode:
    """The episode with what is stale in a shot accepted as it is now, for the reason in the note.

    ValueError without a note; NotThereError when nothing is stale.
    """
    if not note.strip():
        raise ValueError("Say why it can stay as it was filmed.")
    stale = _shot_plan(plan, shot_id).stale
    if not stale:
        raise NotThereError(_NOT_STALE)
    names = {one.name for one in stale}

    def edit(filmed: Filmed) -> Filmed:
        kept = tuple(one for one in filmed.accepted if one.name not in names)
        new = tuple(accepted_as(one, note.strip()) for one in stale)
        return changed(filmed, accepted=(*kept, *new))

    return _with_filmed(plan.episode, shot_id, edit)


def with_answers_taken_back(episode: Episode, shot_id: str) -> Episode:
    """The episode without cards and acceptances of a shot: what they answered is stale again."""
    return _with_filmed(episode, shot_id, lambda filmed: changed(filmed, corrected=(), accepted=()))


def with_needless_cards_out(plan: Plan, shot_id: str) -> Episode:
    """The episode without the cards of a shot that have nothing to put right any more.

    NotThereError when there is none.
    """
    needless = needless_cards(plan, _shot_plan(plan, shot_id))
    if not needless:
        raise NotThereError("Every card of this shot has something to put right.")

    def edit(filmed: Filmed) -> Filmed:
        kept = tuple(name for name in filmed.corrected if name not in needless)
        return changed(filmed, corrected=kept)

    return _with_filmed(plan.episode, shot_id, edit)


def needless_cards(plan: Plan, row: ShotPlan) -> tuple[str, ...]:
    """The figures of a shot that a card puts right although they are as they were said."""
    if row.shot.filmed is None:
        return ()
    told = {name_key(one.name) for one in row.changed}
    return tuple(
        name
        for name in row.shot.filmed.corrected
        if name_key(name) not in told and not plan.lacks(name)  # it is not known for now
    )


def cards(row: ShotPlan) -> tuple[ChangedFigure, ...]:
    """What the correction cards of a shot tell."""
    return tuple(one for one in row.changed if one.answer == "card")


def _shot_plan(plan: Plan, shot_id: str) -> ShotPlan:
    for row in plan.shots:
        if row.shot.id == shot_id:
            return row
    raise NotThereError("That shot is not there any more.")


def _with_shot(episode: Episode, shot_id: str, edit: Callable[[Shot], Shot]) -> Episode:
    return changed(episode, shots=changed_one(episode.shots, "id", shot_id, edit))


def _with_filmed(episode: Episode, shot_id: str, edit: Callable[[Filmed], Filmed]) -> Episode:
    def edit_shot(shot: Shot) -> Shot:
        if shot.filmed is None:
            raise NotThereError(_NOT_FILMED)
        return changed(shot, filmed=edit(shot.filmed))

    return _with_shot(episode, shot_id, edit_shot)
