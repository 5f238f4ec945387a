"""What is sent once more, as when its answer was lost, is done once and told as done."""

import pytest

from tests.histories import history
from webapp.errors import AlreadyDoneError, ChangedElsewhereError
from webapp.plan.episode import Episode
from webapp.store.history import Change
from webapp.store.repository import Edit, EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def numbered(number: int) -> Edit:
    return lambda episode: episode.model_copy(update={"number": number})


def _change(of: Change | None) -> Change:
    assert of is not None
    return of


def test_a_form_that_made_the_last_change_is_known_again(
    store: EpisodeStore, smock: Episode
) -> None:
    own = store.add(smock)
    shown = store.edition(own)
    store.refuse_repeated(own, "form-a")
    store.change(own, "the number", numbered(7), expected=shown, sent="form-a")
    with pytest.raises(AlreadyDoneError):
        store.refuse_repeated(own, "form-a")
    with pytest.raises(AlreadyDoneError):
        store.change(own, "the number", numbered(7), expected=shown, sent="form-a")
    assert [one.words for one in history(store, own)] == ["the number"]


def test_another_form_of_an_outdated_page_is_told(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    shown = store.edition(own)
    store.change(own, "the number", numbered(7), expected=shown, sent="form-a")
    store.refuse_repeated(own, "form-b")
    with pytest.raises(ChangedElsewhereError):
        store.change(own, "the number", numbered(8), expected=shown, sent="form-b")
    assert store.get(own).number == 7


@pytest.mark.parametrize("between", ["undo", "change"])
def test_it_is_not_told_as_done_when_something_came_between(
    store: EpisodeStore, smock: Episode, between: str
) -> None:
    own = store.add(smock)
    shown = store.edition(own)
    store.change(own, "the number", numbered(7), expected=shown, sent="form-a")
    if between == "undo":
        store.undo(own)
    else:
        store.change(own, "the number", numbered(9))
    store.refuse_repeated(own, "form-a")
    with pytest.raises(ChangedElsewhereError):
        store.change(own, "the number", numbered(7), expected=shown, sent="form-a")
    assert store.get(own).number == (smock.number if between == "undo" else 9)


def test_an_episode_is_made_once_for_a_request(store: EpisodeStore, smock: Episode) -> None:
    first = store.add(smock, once="ask-1")
    assert store.add(smock, once="ask-1") == first
    assert store.add(smock, once="ask-2") != first
    assert store.add(smock) not in (first, "")
    assert store.count() == 3


def test_who_has_seen_it_or_deleted_it_and_asks_again_wants_another(
    store: EpisodeStore, smock: Episode
) -> None:
    first = store.add(smock, once="ask-1")
    store.arrived(first)
    second = store.add(smock, once="ask-1")
    assert second != first
    store.delete(second)
    assert store.add(smock, once="ask-1") not in (first, second)


def test_undo_takes_back_only_the_change_that_is_named(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    store.change(own, "seven", numbered(7))
    shown = _change(store.standing(own).to_undo)
    store.change(own, "eight", numbered(8))
    with pytest.raises(ChangedElsewhereError, match=r"Nothing was undone.*“eight”"):
        store.undo(own, shown.id)
    assert store.get(own).number == 8
    assert store.undo(own, _change(store.standing(own).to_undo).id) == "eight"
    assert store.undo(own, shown.id) == "seven"
    assert store.undo(own, shown.id) == "seven"  # its answer was lost: it is taken back already
    assert store.get(own) == smock
    assert [one.undone for one in history(store, own)] == [True, True]


def test_redo_makes_only_the_change_that_is_named(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    for number in (7, 8):
        store.change(own, f"to {number}", numbered(number))
    last = _change(store.standing(own).to_undo)
    store.undo(own, last.id)
    store.undo(own)
    with pytest.raises(ChangedElsewhereError, match=r"Nothing was made again.*“to 7”"):
        store.redo(own, last.id)
    assert store.get(own) == smock
    store.redo(own)
    assert store.redo(own, last.id) == "to 8"
    assert store.redo(own, last.id) == "to 8"
    assert store.get(own).number == 8


def test_a_number_used_again_is_another_change(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    store.change(own, "seven", numbered(7))
    first = _change(store.standing(own).to_undo)
    store.undo(own)
    store.change(own, "eight", numbered(8))
    second = _change(store.standing(own).to_undo)
    assert second.number == first.number
    with pytest.raises(ChangedElsewhereError):
        store.undo(own, first.id)
    assert store.get(own).number == 8
