"""Two edits of one plan, from the same page: which of them may both be made."""

from collections.abc import Callable
from itertools import combinations
from typing import Final

import pytest

from webapp.build.time_log import TimeEntry, WorkedOut
from webapp.draft.recipe import Body
from webapp.errors import NotThereError
from webapp.filming.shots import Shot
from webapp.plan.beside import but_for_others, differences, stands_beside, were_there
from webapp.plan.edits import changed, changed_one, shifted, with_choice, with_measure, without
from webapp.plan.episode import Episode, Picture
from webapp.plan.time_edits import with_time_changed, with_time_right
from webapp.store.demo import demo_episodes

Edit = Callable[[Episode], Episode]

OTHER: Final = f"{2:064}.png"
SMOCK: Final = changed(
    demo_episodes()[-1],
    brief=changed(demo_episodes()[-1].brief, sketch=Picture(file=f"{1:064}.png")),
    time_log=(TimeEntry(id="t", title="Sew", minutes=9, table=WorkedOut(), shown=WorkedOut()),),
)
FIRST, SECOND, THIRD = (shot.id for shot in SMOCK.shots[:3])


def _shot(id: str, **told: object) -> Edit:
    return lambda e: changed(
        e, shots=changed_one(e.shots, "id", id, lambda shot: changed(shot, **told))
    )


def _brief(**told: object) -> Edit:
    return lambda e: changed(e, brief=changed(e.brief, **told))


def _bust(text: str, measure: str = "bust") -> Edit:
    return lambda e: changed(e, body=with_measure(e.body, measure, text))


def _shot_out(id: str) -> Edit:
    return lambda e: changed(e, shots=without(e.shots, "id", id))


def _shot_up(place: int) -> Edit:
    return lambda e: changed(e, shots=shifted(e.shots, place, -1))


def _shot_in(id: str, place: int | None = None) -> Edit:
    def edit(episode: Episode) -> Episode:
        at = len(episode.shots) if place is None else place
        shots = episode.shots
        return changed(episode, shots=(*shots[:at], Shot(id=id, title=id), *shots[at:]))

    return edit


def _two_out(episode: Episode) -> Episode:
    return _shot_out(FIRST)(_shot_out(SECOND)(episode))


def _sketch(**told: object) -> Edit:
    def edit(episode: Episode) -> Episode:
        return _brief(sketch=changed(episode.brief.sketch, **told))(episode)

    return edit


def _size_in(name: str) -> Edit:
    return lambda e: changed(e, sizes=(*e.sizes, Body(name=name)))


BESIDE: Final[dict[str, tuple[Edit, Edit]]] = {
    "two fields of a form": (_brief(promise="Theirs"), _brief(audience="Mine")),
    "two pages": (_shot(FIRST, title="Theirs"), _bust("91 cm")),
    "two shots": (_shot(FIRST, narration="Theirs"), _shot(SECOND, narration="Mine")),
    "two fields of a shot": (_shot(FIRST, title="Theirs"), _shot(FIRST, narration="Mine")),
    "two measures": (_bust("91 cm"), _bust("71 cm", "waist")),
    "a shot while another is taken out": (_shot_out(FIRST), _shot(SECOND, title="Mine")),
    "a shot while it moves": (_shot_up(1), _shot(SECOND, title="Mine")),
    "one taken out while another is changed": (_shot(FIRST, title="Theirs"), _shot_out(SECOND)),
    "a shot at the end each": (_shot_in("theirs"), _shot_in("mine")),
    "the same by both": (_brief(promise="Ours"), _brief(promise="Ours")),
    "a part of what was changed": (
        _brief(promise="Ours", audience="All"),
        _brief(promise="Ours"),
    ),
    "one taken out each": (_shot_out(FIRST), _shot_out(THIRD)),
}
AGAINST: Final[dict[str, tuple[Edit, Edit]]] = {
    "the same field": (_brief(promise="Theirs"), _brief(promise="Mine")),
    "the same measure": (_bust("91 cm"), _bust("92 cm")),
    "a shot taken out that was changed": (_shot(FIRST, title="Theirs"), _shot_out(FIRST)),
    "moved by its place, where another stands now": (_shot_out(FIRST), _shot_up(2)),
    "both in another order": (_shot_up(1), _shot_up(2)),
    "words of another picture": (_sketch(file=OTHER), _sketch(alt="Mine")),
    "another picture, with words of the one before": (_sketch(alt="Theirs"), _sketch(file=OTHER)),
    "right, said of other minutes": (
        lambda e: with_time_changed(e, "t", minutes=90),
        lambda e: with_time_right(e, "t"),
    ),
    "nothing to alter there, and not done": (
        _two_out,
        lambda e: _shot_up(0)(_shot_up(1)(e)),
    ),
    "two of one name": (_size_in("14"), _size_in("14")),
    "put at a place where others follow now": (_shot_in("theirs", 1), _shot_in("mine", 3)),
}


def _may_both(theirs: Edit, mine: Edit) -> bool:
    now = theirs(SMOCK)
    try:
        return stands_beside(SMOCK, mine(SMOCK), now, mine(now))
    except (NotThereError, ValueError):
        return False


@pytest.mark.parametrize("edits", BESIDE.values(), ids=BESIDE)
def test_what_touches_other_things_may_be_made_too(edits: tuple[Edit, Edit]) -> None:
    assert _may_both(*edits)


@pytest.mark.parametrize("edits", AGAINST.values(), ids=AGAINST)
def test_what_would_write_over_or_mean_another_may_not(edits: tuple[Edit, Edit]) -> None:
    assert not _may_both(*edits)


def test_whoever_comes_first_the_plan_is_the_same() -> None:
    """Then neither has written over the other. Edits that go by a place mean another one after."""
    by_name = [
        edit
        for name, edits in {**BESIDE, **AGAINST}.items()
        if not any(word in name for word in ("moves", "place", "order", "end"))
        for edit in edits
    ]
    pairs = [pair for pair in combinations(by_name, 2) if _may_both(*pair)]
    assert len(pairs) > 150
    for theirs, mine in pairs:
        assert mine(theirs(SMOCK)) == theirs(mine(SMOCK))


def test_what_was_not_there_between_is_another_thing_of_its_name() -> None:
    between = [_shot_out(FIRST)(SMOCK), _shot_up(2)(SMOCK)]
    for edit, is_same in (
        (_shot(FIRST, title="Mine"), False),
        (_shot_out(FIRST), False),
        (_shot(SECOND, title="Mine"), True),
        (_shot_in("mine", 1), True),
        (_shot_up(2), True),
        (_bust("91 cm"), True),
        (_sketch(alt="Mine"), True),
    ):
        assert were_there(SMOCK, edit(SMOCK), between) is is_same


def test_an_edit_of_what_is_gone_is_refused_by_itself() -> None:
    with pytest.raises(NotThereError):
        _shot(FIRST, title="Mine")(_shot_out(FIRST)(SMOCK))


def test_a_choice_beside_a_measure_is_known_by_its_name() -> None:
    garment = SMOCK.garments[0]
    choice = garment.choices[0]
    after = with_choice(SMOCK, garment.id, choice.name, "3 cm")
    ((path, (was, now)),) = differences(SMOCK, after).items()
    assert path == ("garments", garment.id, "choices", choice.name, "value")
    assert (was, now) == (choice.value, "3 cm")


def _whole_brief(**typed: object) -> Edit:
    """As a form without script, which sends every field as it stood."""
    of_before = {name: getattr(SMOCK.brief, name) for name in type(SMOCK.brief).model_fields}
    return _brief(**{**of_before, **typed})


def test_a_form_that_sends_all_its_fields_leaves_those_it_did_not_alter() -> None:
    theirs, mine = _brief(promise="Theirs"), _whole_brief(audience="Mine")
    now = theirs(SMOCK)
    made = but_for_others(SMOCK, mine(SMOCK), now, mine(now))
    assert made == _brief(audience="Mine")(now)


@pytest.mark.parametrize(
    ("theirs", "mine"),
    [
        (_brief(promise="Theirs"), _whole_brief(promise="Mine")),
        (_brief(audience="Theirs"), _whole_brief(audience="Mine", promise="Mine")),
        (_shot_out(FIRST), _shot_up(2)),
        (_shot_up(1), _shot_up(2)),
    ],
)
def test_what_it_did_alter_is_a_choice_where_others_did_too(theirs: Edit, mine: Edit) -> None:
    now = theirs(SMOCK)
    assert but_for_others(SMOCK, mine(SMOCK), now, mine(now)) is None
