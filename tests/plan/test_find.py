"""Finding in an episode: all the words, the nearest first, whatever their capitals and accents."""

import re

import pytest

from tests.demo_documents import EPISODES, SMOCK
from webapp.draft.recipe import Body
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate
from webapp.plan.find import Hit, Marked, find, fold, near
from webapp.plan.find_in import candidates, examples
from webapp.plan.results import Place, Plan
from webapp.plan.texts import with_text


@pytest.fixture(scope="module")
def plan() -> Plan:
    return evaluate(EPISODES[SMOCK])


def _plain(parts: Marked) -> str:
    return "".join(text for text, _ in parts)


def _held(hit: Hit) -> list[str]:
    return [text.lower() for text, is_asked in (*hit.name, *hit.passage) if is_asked]


@pytest.mark.parametrize(
    ("asked", "kind", "name"),
    [
        ("front hem", "Edge", "Front: hem"),
        ("FRONT.HEM", "Edge", "Front: hem"),
        ("pocket", "Piece", "Pocket"),
        ("body ease", "Figure", "body ease"),
        ("shot 3", "Shot", "Shot 3, Linen drying on the line"),
        ("facing the window", "Camera place", "Facing the window"),
        ("main cloth", "Cloth", "Main cloth"),
    ],
)
def test_what_bears_the_words_as_its_name_comes_first(
    plan: Plan, asked: str, kind: str, name: str
) -> None:
    first = find(plan, asked)[0]
    assert (first.kind, _plain(first.name)) == (kind, name)


@pytest.mark.parametrize("name", ["2XL", "12th"])
def test_letters_behind_a_number_are_found_with_it(plan: Plan, name: str) -> None:
    sizes = (changed(plan.episode.body, name=name), changed(plan.episode.body, name="XL"))
    hits = find(evaluate(changed(plan.episode, sizes=sizes)), name.lower())
    assert [_plain(hit.name) for hit in hits if hit.kind == "Size"] == [name]


def test_every_kind_of_thing_is_found_by_its_own_name(plan: Plan) -> None:
    for one in candidates(plan):
        found = find(plan, one.name)
        assert any(hit.place == one.place for hit in found), one
    kinds = {one.kind for one in candidates(plan)}
    assert {"Step", "Shot", "Figure", "Edge", "Piece", "Cloth", "Notion", "Camera place", "Look",
            "Fitting", "Narration", "Card", "Step, in words", "Brief"} <= kinds  # fmt: skip
    assert {kind for kind, _ in examples(plan)} <= kinds


@pytest.mark.parametrize("asked", ["31 cm", "31cm", "12 1/4", "12¼", "12 1/4 in"])
def test_a_figure_is_found_by_its_value_in_either_unit(plan: Plan, asked: str) -> None:
    hit = find(plan, asked)[0]
    assert (hit.kind, _plain(hit.name), hit.place.piece) == ("Edge", "Front: hem", "Front")


def test_a_number_is_met_by_the_same_number_alone(plan: Plan) -> None:
    for asked in ("12", "1/4", "31"):
        for hit in find(plan, asked):
            told = f"{_plain(hit.name)} {_plain(hit.passage)}"
            assert f" {asked} " in f" {told.translate(dict.fromkeys(map(ord, '(),.:;–'), ' '))} "
    assert not find(plan, "2 1/4 in 31 cm 7777")


def test_every_word_is_needed_and_marked(plan: Plan) -> None:
    found = find(plan, "linen press")
    assert found
    for hit in found:
        assert {"linen", "press"} <= set(_held(hit))
    assert len(found) < len(find(plan, "linen"))


def test_the_passage_shown_is_around_the_rarest_of_the_words(plan: Plan) -> None:
    hit = next(one for one in find(plan, "the overnight sun") if one.kind == "Step, in words")
    assert "sun" in _held(hit)


def test_a_short_word_is_no_part_of_another(plan: Plan) -> None:
    found = find(plan, "of")
    assert found
    for hit in found:
        held = [text.lower() for text, is_asked in (*hit.name, *hit.passage) if is_asked]
        told = f"{_plain(hit.name)} {_plain(hit.passage)}".lower()
        assert all(f" {one}" in f" {told.replace('“', ' ')}" for one in held)


def test_a_word_is_met_where_a_word_begins_and_each_thing_stands_once(plan: Plan) -> None:
    found = find(plan, "hem")
    held = [text for hit in found for text in _held(hit)]
    assert set(held) == {"hem"}
    for hit in found:
        told = f" {_plain(hit.name)} {_plain(hit.passage)}".lower()
        assert re.search(r"\bhem", told)
    keys = [(_plain(hit.name), hit.place) for hit in found]
    assert len(keys) == len(set(keys))


def test_only_what_is_said_can_be_asked_for(plan: Plan) -> None:
    assert find(plan, "hem", only_said=True)
    assert {hit.kind for hit in find(plan, "hem", only_said=True)} <= {"Narration", "Card"}


def test_accents_and_capitals_make_no_difference_and_the_marks_stay_in_place() -> None:
    episode = changed(EPISODES[SMOCK], body=Body(name="Zoë"))
    typed = "Die Säume: ½ Zoll, Straße, ﬁn"
    episode = with_text(episode, ("shot", "intro", "narration"), typed)
    plan = evaluate(episode)
    for asked, held in (("SAUME", "säume"), ("strasse", "straße"), ("fin", "ﬁn"), ("1/2", "½")):
        hit = next(one for one in find(plan, asked) if one.kind == "Narration")
        assert held in _held(hit)
        assert _plain(hit.passage) == typed


def test_the_place_is_where_the_text_is_edited(plan: Plan) -> None:
    hit = next(one for one in find(plan, "pull-on linen smock") if one.kind == "Brief")
    assert hit.place == Place("brief", item="promise")


@pytest.mark.parametrize("asked", ["", "   ", "()", "{}"])
def test_nothing_asked_finds_nothing(plan: Plan, asked: str) -> None:
    assert find(plan, asked) == ()


@pytest.mark.parametrize("asked", ["\\", "[a", "(?:", "x" * 9000, "a " * 4000, "\ud800", "\x00"])
def test_any_text_can_be_asked_for(plan: Plan, asked: str) -> None:
    find(plan, asked)
    near(plan, asked)


def test_what_is_like_it_is_offered(plan: Plan) -> None:
    assert find(plan, "sleve") == ()
    assert near(plan, "sleve")[0] == "Sleeve"
    assert near(plan, "qqqqqq") == ()


def test_an_empty_episode_has_its_body_and_cloth_to_find() -> None:
    plan = evaluate(Episode(id="new", title="New"))
    assert find(plan, "main cloth")
    assert find(plan, "front") == ()


def test_folding_keeps_count_of_where_each_character_stood() -> None:
    folded, stood = fold("Näh 28½")
    assert folded == "nah 28 1/2"
    assert stood == (0, 1, 2, 3, 4, 5, 6, 6, 6, 6)
