"""Loose threads: every link lands on the thing itself; a mend is one click and one undo."""

import re
import time
from collections.abc import Callable
from html import escape
from urllib.parse import unquote, urlsplit

import pytest
from starlette.testclient import TestClient

from tests.pages.printing import at_once
from tests.plan import test_mends
from tests.plan.test_loose_threads import CASES, GARMENT
from webapp.cloth.cloths import OtherCloth
from webapp.draft.fittings import ChoiceChange
from webapp.draft.recipe import Notion
from webapp.jobs import Report
from webapp.pages import ways_work
from webapp.pages.house import House
from webapp.pages.places import address
from webapp.pages.threads import ThreadsView
from webapp.plan.cloth_edits import with_width
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed, with_choice, with_garment
from webapp.plan.episode import Episode, Fitting, Picture
from webapp.plan.evaluate import evaluate
from webapp.plan.loose_threads import Rule
from webapp.plan.missing import missing
from webapp.plan.results import LooseThread, Place
from webapp.plan.ways import WaysAsked

Edit = Callable[[Episode], Episode]


def _lands(client: TestClient, house: House, episode: str, place: Place) -> None:
    """The page of the place answers, and holds the element that its address names, once."""
    where, words = address(house.plan(episode), place)
    answer = client.get(where)
    assert answer.status_code == 200, where
    assert words.startswith(("Open ", "Begin "))
    fragment = unquote(urlsplit(where).fragment)
    assert fragment, place
    assert re.findall(r'\sid="([^"]*)"', answer.text).count(escape(fragment)) == 1, where


def _view(client: TestClient, address: str) -> ThreadsView:
    view: ThreadsView = client.get(address).context["view"]  # type: ignore[attr-defined]
    return view


def _shown(view: ThreadsView) -> list[LooseThread]:
    return [row.thread for _, pages in view.rows for _, rows in pages for row in rows]


@pytest.mark.parametrize(("rule", "edit"), [case[:2] for case in CASES], ids=lambda c: c.__name__)
def test_the_place_of_every_rule_is_there(
    client: TestClient, house: House, smock: str, rule: Rule, edit: Edit
) -> None:
    house.store.change(smock, "loosen", edit)
    places = dict.fromkeys(thread.place for thread in rule(house.plan(smock)))
    assert places
    for place in list(places)[:4]:
        _lands(client, house, smock, place)


@pytest.mark.parametrize("edit", test_mends.CASES.values(), ids=test_mends.CASES)
def test_the_place_of_what_is_mended_at_once_is_there(
    client: TestClient, house: House, smock: str, edit: Edit
) -> None:
    house.store.change(smock, "loosen", edit)
    for place in {thread.place: None for thread in house.plan(smock).loose_threads}:
        _lands(client, house, smock, place)


def test_the_place_of_cloth_at_hand_of_care_and_of_days_is_there(
    client: TestClient, house: House, smock: str
) -> None:
    def loosen(episode: Episode) -> Episode:
        brief = changed(episode.brief, wearer="under 3", sleepwear=True)
        cloth = changed(episode.cloths[0], have="1 m")
        wool = OtherCloth(name="Wool", instead_of=cloth.name, have="1 m")
        button = Notion(name="Small button", kind="buttons")
        return changed(
            episode,
            brief=brief,
            cloths=(cloth, *episode.cloths[1:]),
            other_cloths=(wool,),
            notions=(*episode.notions, button),
        )

    house.store.change(smock, "loosen", loosen)
    places = {thread.place: None for thread in house.plan(smock).loose_threads}
    assert {"cloth", "other-cloths", "shopping", "build"} <= {place.page for place in places}
    for place in (*places, Place("days")):
        _lands(client, house, smock, place)


def test_the_place_of_pictures_of_fittings_and_of_the_edition_is_there(
    client: TestClient, house: House, smock: str
) -> None:
    picture = Picture(file="0" * 64 + ".jpg")

    def loosen(episode: Episode) -> Episode:
        episode = changed(episode, sizes=(), other_cloths=())  # whose cloth takes long to lay
        numbered = with_edition(evaluate(episode), None)
        too_deep = ChoiceChange(garment=GARMENT, choice="front neck depth", value="2 m")
        fitting = Fitting(id="deep", title="Deep", photo=picture, changes=(too_deep,))
        deeper = with_choice(numbered, GARMENT, "front neck depth", "11 cm")
        brief = changed(episode.brief, sketch=picture)
        return changed(deeper, brief=brief, fittings=(*episode.fittings, fitting))

    house.store.change(smock, "loosen", loosen)
    places = {thread.place: None for thread in house.plan(smock).loose_threads}
    assert {"brief", "fittings", "companion"} <= {place.page for place in places}
    for place in places:
        _lands(client, house, smock, place)


def test_the_place_of_every_text_is_there(client: TestClient, house: House, smock: str) -> None:
    wool = {"name": "Wool & more", "instead_of": "Main cloth"}
    house.store.change(smock, "a cloth", lambda e: changed(e, other_cloths=(wool,)))
    places = {text.key[0]: text.place for text in house.plan(smock).texts}
    assert set(places) == {
        *("brief", "garment", "piece", "cloth", "other cloth", "notion", "step", "shot")
    }
    for place in places.values():
        _lands(client, house, smock, place)


def test_the_place_of_every_problem_of_a_draft_is_there(
    client: TestClient, house: House, smock: str
) -> None:
    """A measure that is no measure, a choice, a seam, a check, a finished measure, a move."""

    def broken(episode: Episode) -> Episode:
        raw = episode.model_dump(mode="json")
        raw["body"]["measures"]["head"] = "sixty"
        recipe = raw["garments"][0]
        recipe["choices"][0]["value"] = "nowhere + 1 cm"
        recipe["seams"].append({"name": "odd", "one": [{"edge": "Pocket.gone"}],
                                "other": [{"edge": "Pocket.mouth"}]})  # fmt: skip
        recipe["checks"].append({"name": "Odd", "garment": "nowhere", "at_least": "1 cm"})
        recipe["finished"].append({"name": "Length", "figure": "nowhere"})
        recipe["pieces"][0]["moves"].append({"kind": "notch", "edge": "gone", "at": "1 cm"})
        return Episode.model_validate(raw)

    house.store.change(smock, "break it", broken)
    places = {thread.place.part: thread.place for thread in house.plan(smock).loose_threads}
    assert {"measure", "choice", "seam", "check", "finished"} <= set(places)
    moves = [t.place for t in house.plan(smock).loose_threads if t.place.move is not None]
    for place in (*places.values(), *moves[:2]):
        _lands(client, house, smock, place)


def test_a_mend_is_one_click_and_undone_with_another(
    client: TestClient, house: House, smock: str
) -> None:
    edit = test_mends.CASES["shots in order"]
    loose = house.store.change(smock, "loosen", edit)
    here = f"/episodes/{smock}/threads"
    thread, *others = _shown(_view(client, here))
    assert any("plan them again" in one.sentence for one in others)  # the days were, as it was
    (mend,) = thread.mends
    page = client.get(here).text
    assert f">{mend.words}</button>" in page
    answer = client.post(f"{here}/mend", data={"act": mend.act, "arg": mend.args, "page": ""})
    assert answer.status_code == 303
    shown = client.get(answer.headers["location"])
    assert "<strong>Done:</strong> move " in shown.text
    assert "Nothing is loose" in shown.text
    assert house.store.get(smock).shots != loose.shots
    client.post(f"/episodes/{smock}/undo", data={"page": "threads"})
    assert house.store.get(smock).shots == loose.shots
    again = client.get(answer.headers["location"])  # the address the browser still shows
    assert "Done:" not in again.text


def test_with_script_the_page_comes_back_mended(
    client: TestClient, house: House, smock: str
) -> None:
    house.store.change(smock, "loosen", test_mends.CASES["cut from"])
    here = f"/episodes/{smock}/threads"
    mend = _shown(_view(client, here))[0].mends[0]
    sent = {"act": mend.act, "arg": mend.args, "page": ""}
    answer = client.post(f"{here}/mend", data=sent, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "<strong>Done:</strong> cut Pocket from Main cloth." in answer.text
    # The button on a page that was shown before: nothing is left to mend.
    late = client.post(f"{here}/mend", data=sent, headers={"HX-Request": "true"})
    assert late.status_code == 422
    assert "That loose thread is not there any more, so nothing was changed." in late.text


@pytest.mark.parametrize("sent", [{}, {"act": "delete all"}, {"act": "lay open", "arg": "Gone"}])
def test_what_no_thread_offers_is_not_done(
    client: TestClient, house: House, smock: str, sent: dict[str, str]
) -> None:
    before = house.store.get(smock)
    assert client.post(f"/episodes/{smock}/threads/mend", data=sent).status_code == 422
    assert house.store.get(smock) == before


def test_many_are_shown_by_page(client: TestClient, house: House, smock: str) -> None:
    def loosen(episode: Episode) -> Episode:
        steps = [{"id": f"s{n}", "name": f"Step {n}", "one_way": n < 3} for n in range(14)]
        return with_garment(episode, "lighthouse-smock", lambda r: changed(r, steps=steps))

    house.store.change(smock, "loosen", loosen)
    here = f"/episodes/{smock}/threads"
    whole = _view(client, here)
    assert _shown(whole) and len(whole.threads) > 12
    severities = [severity for severity, _ in whole.rows]
    assert severities == ["must", "should"]
    assert sum(number for _, _, number in whole.pages) == len(whole.threads)
    for page, name, number in whole.pages:
        view = _view(client, f"{here}?page={page}")
        assert {thread.page for thread in _shown(view)} == {page}
        assert len(_shown(view)) == number
        assert f"{name} {number}</a>" in client.get(here).text
    assert len(_shown(_view(client, f"{here}?page=nowhere"))) == len(whole.threads)


def test_a_page_whose_last_thread_is_mended_gives_way_to_all(
    client: TestClient, house: House, smock: str
) -> None:
    house.store.change(smock, "loosen", test_mends.CASES["cut from"])
    view = _view(client, f"/episodes/{smock}/threads?page=sizes")
    assert view.only == "" and _shown(view)


def test_the_count_tells_how_many_must_be_mended(
    client: TestClient, house: House, smock: str
) -> None:
    count = f"/episodes/{smock}/threads/count"
    assert " loose</span>" in client.get(count).text
    house.store.change(smock, "loosen", test_mends.CASES["cut count"])
    found = house.plan(smock).loose_threads
    must = sum(thread.severity == "must" for thread in found)
    text = client.get(count).text
    assert f">{len(found)}</span>" in text and f"loose, {must} must be mended</span>" in text
    assert f"loose, {must} must be mended</span>" in client.get(f"/episodes/{smock}/draft").text


def test_an_episode_that_holds_together_says_so(client: TestClient, smock: str) -> None:
    assert "Nothing is loose" in client.get(f"/episodes/{smock}/threads").text


def test_what_is_not_planned_at_all_is_told_where_nothing_is_loose(
    client: TestClient, house: House, empty: str, smock: str
) -> None:
    here = f"/episodes/{empty}/threads"
    text = client.get(here).text
    assert "Nothing is loose in what is planned so far." in text
    told = [sentence for sentence, *_ in _view(client, here).missing]
    assert told == ["There is no garment yet.", "There is no shot yet."]
    _lands(client, house, empty, missing(house.plan(empty))[1].place)
    assert "Not planned yet" not in client.get(f"/episodes/{smock}/threads").text


def _rest(report: Report, asked: WaysAsked, *_: object) -> None:
    report(f"1 of {len(asked.widths)} widths laid.")
    time.sleep(60)


def test_long_work_that_mends_a_thread_is_begun_there_and_tells_how_far_it_is(
    client: TestClient, house: House, smock: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, sent = f"/episodes/{smock}/threads", {"what": "ways", "item": "Binding cloth"}
    assert client.post(f"{here}/work", data=sent).status_code == 422  # nothing to work out
    house.store.change(smock, "a width", lambda e: with_width(e, 1, "44 in"))
    (thread,) = _shown(_view(client, here))
    assert thread.work is not None and f">{thread.work.words}</button>" in client.get(here).text
    assert client.post(f"{here}/work", data={**sent, "item": "Gone"}).status_code == 422
    with monkeypatch.context() as patched:
        patched.setattr(ways_work, "ways_table", _rest)
        assert client.post(f"{here}/work", data=sent).status_code == 303
        (job,) = house.jobs.beginning(f"ways {smock} ")
        for _ in range(1_800):
            if "widths laid" in job.progress:
                break
            time.sleep(0.05)
        text = client.get(here).text
        assert "Being worked out. 1 of 6 widths laid." in text
        assert f">{thread.work.words}</button>" not in text
        house.jobs.cancel(job.key)
    assert f">{thread.work.words}</button>" in client.get(here).text
    at_once(monkeypatch)
    client.post(f"{here}/work", data=sent)
    assert _shown(_view(client, here)) == []
