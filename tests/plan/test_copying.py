"""A copy of an episode is its plan with nothing done yet."""

from datetime import date

import pytest

from tests.demo_documents import EPISODES, SMOCK, each_episode
from webapp.filming.shots import Filmed
from webapp.plan.copying import copied, left_behind, title_of_copy
from webapp.plan.edits import changed
from webapp.plan.episode import Edition, Episode
from webapp.plan.evaluate import evaluate

# Every part of the document is listed: a new one is decided about before this passes again.
COMES_ALONG = {
    "version", "channel", "series", "first_unit", "body", "sizes", "garments", "notions", "thread",
    "currency", "looks", "place_changes", "rates", "earlier_times", "print_choices", "kept_lays",
    "kept_ways",
}  # fmt: skip
IS_ITS_OWN = {"id", "title", "number"}
IS_AS_IF_NOT_DONE = {"brief", "cloths", "other_cloths", "shots"}
STAYS = {
    "bought", "shoot_days", "planned_days", "time_log", "timer", "fittings",
    "revisions", "editions",
}  # fmt: skip


@each_episode
def test_every_part_of_the_plan_comes_along_or_stays(episode: Episode) -> None:
    parts = set(Episode.model_fields)
    assert parts == COMES_ALONG | IS_ITS_OWN | IS_AS_IF_NOT_DONE | STAYS
    copy, fresh = copied(episode, "Again", "again", 9), Episode(id="again", title="Again")
    for part in COMES_ALONG:
        assert getattr(copy, part) == getattr(episode, part), part
    for part in STAYS:
        assert getattr(copy, part) == getattr(fresh, part), part
    assert (copy.id, copy.title, copy.number) == ("again", "Again", 9)


def test_a_copy_computes_the_same_figures() -> None:
    first = evaluate(EPISODES[SMOCK])
    again = evaluate(copied(EPISODES[SMOCK], "Again", "again", None))
    assert again.figures_mm == first.figures_mm
    assert [row.narration for row in again.shots] == [row.narration for row in first.shots]
    assert [lay.key for lay in again.lays] == [lay.key for lay in first.lays]


def test_what_was_done_is_told_and_not_copied() -> None:
    episode = EPISODES[SMOCK]
    done = changed(
        episode,
        brief=changed(episode.brief, publish_date=date(2027, 1, 15), done=("voice-over",)),
        cloths=(changed(episode.cloths[0], have="3 m"), *episode.cloths[1:]),
        shots=(
            changed(episode.shots[0], filmed=Filmed(said=())),
            changed(episode.shots[1], earlier=Filmed(said=())),
            *episode.shots[2:],
        ),
        editions=(Edition(number=1),),
        bought=("thread",),
    )
    told = left_behind(done)
    for one in ("the publish date", "1 length of cloth at hand", "1 mark of a filmed shot",
                "1 earlier take of a shot",
                "1 edition of the companion", "1 tick on the shopping list"):  # fmt: skip
        assert one in told
    copy = copied(done, "Again", "again", None)
    assert left_behind(copy) == ()
    assert copy.brief.done == ()
    assert copy.brief.promise == episode.brief.promise


@pytest.mark.parametrize(
    ("title", "taken", "found"),
    [
        ("Smock", [], "Smock (copy)"),
        ("Smock", ["smock (COPY)"], "Smock (copy 2)"),
        ("Smock", ["Smock (copy)", "Smock (copy 2)"], "Smock (copy 3)"),
        ("x" * 80, [], "x" * 73 + " (copy)"),
    ],
)
def test_a_copy_has_a_title_of_its_own(title: str, taken: list[str], found: str) -> None:
    assert title_of_copy(title, taken) == found
