"""An entry sent twice, as when its answer was lost, is accepted once."""

import pytest

from tests.histories import history
from webapp.plan.episode import Episode
from webapp.store.repository import Edit, EpisodeStore

pytestmark = pytest.mark.usefixtures("database")


def numbered(number: int) -> Edit:
    return lambda episode: episode.model_copy(update={"number": number})


def refuse(_: Episode) -> Episode:
    raise ValueError("No.")


def test_an_entry_counts_once(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    store.change(own, "the number", numbered(7), once="entry-1")
    revision = store.revision(own)
    assert store.change(own, "the number", numbered(8), once="entry-1").number == 7
    assert store.keep(own, numbered(9), once="entry-1").number == 7
    assert store.get(own).number == 7
    assert store.revision(own) == revision
    assert [one.words for one in history(store, own)] == ["the number"]


def test_an_entry_that_was_undone_stays_undone(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    store.change(own, "the number", numbered(7), once="entry-1")
    store.undo(own)
    store.change(own, "the number", numbered(7), once="entry-1")
    assert store.get(own) == smock
    assert store.standing(own).redo == "the number"


def test_a_refused_entry_can_be_sent_again(store: EpisodeStore, smock: Episode) -> None:
    own = store.add(smock)
    with pytest.raises(ValueError, match=r"No\."):
        store.change(own, "x", refuse, once="entry-1")
    with pytest.raises(ValueError, match=r"No\."):
        store.keep(own, refuse, once="entry-1")
    assert not store.has_accepted(own, "entry-1")
    store.keep(own, numbered(7), once="entry-1")
    assert store.has_accepted(own, "entry-1")
    assert store.get(own).number == 7


def test_an_entry_that_alters_nothing_is_accepted_all_the_same(
    store: EpisodeStore, smock: Episode
) -> None:
    own = store.add(smock)
    store.change(own, "nothing", lambda episode: episode, once="entry-1")
    store.change(own, "the number", numbered(7), once="entry-1")
    assert store.get(own) == smock


def test_another_episode_may_have_an_entry_of_that_name(
    store: EpisodeStore, smock: Episode
) -> None:
    one, other = store.add(smock), store.add(smock)
    store.change(one, "the number", numbered(7), once="entry-1")
    store.change(other, "the number", numbered(8), once="entry-1")
    assert (store.get(one).number, store.get(other).number) == (7, 8)
