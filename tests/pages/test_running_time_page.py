"""The running time page: how long, what to shorten, chapters, and the publish date."""

import re
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest
from starlette.testclient import TestClient

from tests.pages.test_threads_page import _lands
from webapp.filming.shoot_days import told_day
from webapp.filming.shots import Filmed
from webapp.pages.house import House
from webapp.pages.running_time import RunningTimeView
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.results import Place

IN_PART = {"HX-Request": "true"}
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def here(smock: str, house: House) -> str:
    """The address of the running time of a smock without chapters, by the table's rates."""

    def edit(e: Episode) -> Episode:
        shots = tuple(changed(shot, chapter="") for shot in e.shots)
        return changed(e, shots=shots, rates=(), time_log=(), earlier_times=())

    house.store.change(smock, "no chapters", edit)
    return f"/episodes/{smock}/running-time"


def _view(client: TestClient, here: str) -> RunningTimeView:
    view = client.get(here).context["view"]
    assert isinstance(view, RunningTimeView)
    return view


def _text(client: TestClient, here: str) -> str:
    return re.sub(r"\s+", " ", client.get(here).text)


def _target(house: House, episode: str, target: int) -> None:
    def edit(e: Episode) -> Episode:
        return changed(e, brief=changed(e.brief, target_seconds=target))

    house.store.change(episode, "target", edit)


def _published(house: House, episode: str, days: int, *, filmed: bool = True) -> date:
    """All filmed, to be published so many days from today."""
    day = date.today() + timedelta(days=days)

    def edit(e: Episode) -> Episode:
        shots = tuple(changed(s, filmed=Filmed() if filmed else None) for s in e.shots)
        return changed(e, shots=shots, brief=changed(e.brief, publish_date=day))

    house.store.change(episode, "date", edit)
    return day


# --- How long --------------------------------------------------------------------------------


def test_the_page_says_how_long_the_video_runs_against_its_target(
    client: TestClient, here: str
) -> None:
    """16:28 of 18:30, the extra 1:56 apart."""
    text = _text(client, here)
    assert "Under its target of 18:30</dt><dd>2:02</dd>" in text
    assert "<dd>16:28</dd>" in text
    assert "The members’ extra runs</dt><dd>1:56</dd>" in text
    assert "What to shorten first" not in text
    assert text.count("<title>The video to scale</title>") == 2  # on a wide screen, on a narrow


def test_the_strip_is_drawn_to_scale(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    """Each block as wide as its seconds, side by side from end to end; the target in its place."""
    _target(house, smock, 900)
    view = _view(client, here)
    root = ElementTree.fromstring(view.strip(1100))
    blocks = [each for each in root.iter(f"{SVG}rect") if each.find(f"{SVG}title") is not None]
    scale = (1100 - 20) / view.video.seconds
    assert len(blocks) == len(view.video.shots)
    for block, on in zip(blocks, view.video.shots, strict=True):
        assert float(block.get("width", "")) == pytest.approx(scale * on.seconds, abs=1.1)
        assert float(block.get("x", "")) == pytest.approx(10 + scale * on.starts_s, abs=1.1)
    (dashed,) = [each for each in root.iter(f"{SVG}line") if each.get("stroke-dasharray")]
    assert float(dashed.get("x1", "")) == pytest.approx(10 + scale * 900, abs=0.1)
    (told,) = [each.text for each in root.iter(f"{SVG}desc")]
    assert told == ("The video runs 16:28 in 59 shots. Its target is 15:00: it is 1:28 over that.")


def test_a_target_is_typed_here(client: TestClient, here: str, house: House, smock: str) -> None:
    assert client.post(f"{here}/target", data={"target_seconds": "15:00"}).status_code == 303
    assert house.store.get(smock).brief.target_seconds == 900
    answer = client.post(f"{here}/target", data={"target_seconds": "soon"})
    assert answer.status_code == 422
    assert "Write minutes and seconds, like 18:00." in answer.text
    assert 'value="soon"' in answer.text


def test_seconds_and_pace_are_typed_beside_each_shot(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    data = {"pace": "sped up", "screen_seconds": "45"}
    assert client.post(f"{here}/shots/hem-sew", data=data).status_code in (303, 422)
    shot = house.store.get(smock).shots[8]
    answer = client.post(f"{here}/shots/{shot.id}", data=data, headers=IN_PART)
    assert answer.status_code == 200
    after = house.store.get(smock).shots[8]
    assert (after.pace, after.screen_seconds) == ("sped up", 45)
    client.post(f"{here}/shots/{shot.id}", data={"screen_seconds": ""})
    assert house.store.get(smock).shots[8].screen_seconds is None


def test_what_cannot_be_read_is_told_beside_its_shot_with_what_was_typed(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    shot = house.store.get(smock).shots[8]
    answer = client.post(f"{here}/shots/{shot.id}", data={"screen_seconds": "a while"})
    assert answer.status_code == 422
    assert 'value="a while"' in answer.text
    assert f'id="screen-{shot.id}-seconds-error"' in answer.text
    gone = client.post(f"{here}/shots/gone", data={"screen_seconds": "9"})
    assert gone.status_code == 422


# --- What to shorten -------------------------------------------------------------------------


def test_acts_are_one_click_until_the_target_is_met(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _target(house, smock, 970)
    view = _view(client, here)
    assert view.saved_by_first >= view.video.over_s > 0
    for _ in range(10):
        first = _view(client, here).first
        if not first:
            break
        act = {"act": first[0].act, "arg": first[0].args[0]}
        assert client.post(f"{here}/act", data=act).status_code == 303
    assert _view(client, here).video.over_s <= 0
    assert house.store.standing(smock).undo.startswith(("speed up", "show", "talk over"))  # type: ignore[union-attr]


def test_all_that_is_enough_is_one_click_and_undone_with_another(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _target(house, smock, 900)
    before = house.store.get(smock)
    offered = client.get(here).text
    assert f"Do all {len(_view(client, here).first)}" in offered
    answer = client.post(f"{here}/enough")
    assert answer.headers["location"] == f"{here}#how-long"  # with script: data-result
    assert 'data-result="how-long"' in offered
    assert 'id="how-long"' in client.get(here).text
    assert _view(client, here).video.seconds <= 900
    client.post(f"/episodes/{smock}/undo")
    assert house.store.get(smock) == before


def test_fewer_words_are_told_as_a_share(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    """To 30 s less of 950 s or so of words, one in thirty of them goes."""
    _target(house, smock, 958)
    view = _view(client, here)
    assert view.fewer_words == pytest.approx(0.032, abs=0.004)
    assert f"about one word in {view.one_word_in} out of every text, 3 %" in _text(client, here)


def test_when_all_is_not_enough_it_is_said(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _target(house, smock, 60)
    text = _text(client, here)
    assert "All of these together save" in text
    assert "Do all" not in text


def test_what_is_not_offered_is_not_done(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    first = house.store.get(smock).shots[0]
    for act, arg in (("leave out", first.id), ("fly", ""), ("publish on", "2020-01-01")):
        before = house.store.get(smock)
        answer = client.post(f"{here}/act", data={"act": act, "arg": arg})
        assert answer.status_code == 422
        assert "That is not offered any more, so nothing was changed." in answer.text
        assert house.store.get(smock) == before


# --- Chapters --------------------------------------------------------------------------------


def test_every_shot_stands_under_its_chapter_and_what_is_wrong_shows_while_it_is_closed(
    client: TestClient, here: str
) -> None:
    assert [one.chapter for one in _view(client, here).chapters] == [None]  # all in one
    client.post(f"{here}/chapters")
    view = _view(client, here)
    assert [on for one in view.chapters for on in one.shots] == list(view.video.shots)
    assert [one.chapter for one in view.chapters] == list(view.video.chapters)
    spoken = next(on for on in view.video.shots if on.spoken_s > 20).plan.shot.id
    client.post(f"{here}/shots/{spoken}", data={"screen_seconds": "1"})
    (wrong,) = [one for one in _view(client, here).chapters if one.too_short]
    assert spoken in [on.plan.shot.id for on in wrong.shots]
    line = client.get(here).text.split(f'id="{wrong.id}"')[1].split("</summary>")[0]
    assert "1 shot too short for the words" in line


def test_the_suggested_chapters_are_taken_and_renamed(client: TestClient, here: str) -> None:
    assert "No shot opens a chapter yet" in client.get(here).text
    assert client.post(f"{here}/chapters").status_code == 303
    view = _view(client, here)
    assert len(view.video.chapters) >= 8
    assert view.video.chapter_faults == ()
    second = view.video.chapters[1]
    client.post(f"{here}/shots/{second.first}", data={"chapter": "Chalk"})
    text = client.get(here).text
    assert f"0:00 {view.video.chapters[0].title}\n1:39 Chalk\n" in text
    client.post(f"{here}/shots/{second.first}", data={"chapter": ""})
    assert len(_view(client, here).video.chapters) == len(view.video.chapters) - 1


def test_chapters_that_no_site_takes_are_told(client: TestClient, here: str) -> None:
    view = _view(client, here)
    client.post(f"{here}/shots/{view.video.shots[3].plan.shot.id}", data={"chapter": "Measure"})
    text = _text(client, here)
    assert "Sites commonly show chapters from 3 on; there are 2." in text
    assert "The first shot opens no chapter" in text


# --- The date --------------------------------------------------------------------------------


def test_the_chance_and_the_last_days_to_begin_are_told(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    """18:24 of video and extra are 25 h of editing, 55 to be safe: 14 days of 4 h."""
    day = _published(house, smock, 40)
    view = _view(client, here)
    schedule = view.outlook.schedule
    assert schedule is not None
    assert schedule.begin_by(schedule.editing.high) == day - timedelta(days=14)
    text = _text(client, here)
    assert "You make it more than 19 times in 20." in text
    assert "There are 40 days for voice-over and editing. Likely they take" in text
    assert "all is filmed" in text


def test_a_date_that_is_past_says_what_to_change(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    day = _published(house, smock, -300)
    text = _text(client, here)
    assert f"It was to be out on {told_day(day)}" in text
    assert "<strong>That date is past.</strong> Set a later one below;" in text
    assert "You make it" not in text
    assert "Begin by" not in text
    (later,) = [row.help.publish for row in _view(client, here).helps if row.help.publish]
    client.post(f"{here}/act", data={"act": "publish on", "arg": later.isoformat()})
    assert _view(client, here).is_likely


def test_a_day_to_begin_by_that_is_past_is_told_as_past(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    """25 h of editing are 7 days of 4 h: begun 7 days before the date at the latest."""
    day = _published(house, smock, 5)
    begun = told_day(day - timedelta(days=7))
    assert f'"Begin by"><span class="error">{begun}, which is past</span>' in _text(client, here)
    _published(house, smock, 40)
    assert "which is past" not in _text(client, here)


def test_what_helps_is_told_with_its_chance_and_the_date_is_moved_in_one_click(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    day = _published(house, smock, 5)
    view = _view(client, here)
    assert not view.is_likely
    (later,) = [row.help for row in view.helps if row.help.publish]
    assert later.publish is not None
    assert later.publish > day
    assert later.words in _text(client, here)
    answer = client.post(
        f"{here}/act", data={"act": "publish on", "arg": later.publish.isoformat()}
    )
    assert answer.status_code == 303
    assert house.store.get(smock).brief.publish_date == later.publish
    assert _view(client, here).is_likely


def test_shots_of_a_day_gone_by_are_told(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _published(house, smock, 60, filmed=False)
    past = date.today() - timedelta(days=3)

    def edit(e: Episode) -> Episode:
        return changed(e, shoot_days=(changed(e.shoot_days[0], day=past),))

    house.store.change(smock, "past", edit)
    assert "1 shoot day is past with shots that are not marked as filmed" in _text(client, here)


def test_date_hours_and_what_is_done_are_typed_here(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    data = {
        "publish_date": "2031-03-01", "edit_hours_a_day": "2,5", "voice-over": ["no", "yes"],
        "editing": "no",
    }  # fmt: skip
    assert client.post(f"{here}/date", data=data).status_code == 303
    brief = house.store.get(smock).brief
    assert (brief.publish_date, brief.edit_hours_a_day) == (date(2031, 3, 1), 2.5)
    assert brief.done == ("voice-over",)
    assert '<td data-label="Takes">done</td>' in client.get(here).text
    client.post(f"{here}/date", data={"voice-over": "no"})
    assert house.store.get(smock).brief.done == ()
    answer = client.post(f"{here}/date", data={"edit_hours_a_day": "lots"})
    assert answer.status_code == 422
    assert 'value="lots"' in answer.text


def test_without_a_date_the_first_good_one_is_told(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _published(house, smock, 9)

    def edit(e: Episode) -> Episode:
        return changed(e, brief=changed(e.brief, publish_date=None))

    house.store.change(smock, "no date", edit)
    view = _view(client, here)
    assert view.earliest is not None
    assert 13 <= (view.earliest - date.today()).days <= 15
    assert "No publish date is set yet. You would make it 9 times in 10 from" in _text(client, here)


def test_an_episode_without_shoot_days_says_so_with_a_link(
    client: TestClient, here: str, house: House, smock: str
) -> None:
    _published(house, smock, 60, filmed=False)
    house.store.change(smock, "no days", lambda e: changed(e, shoot_days=()))
    told = "No shoot day is planned yet. The filming is counted from today on."
    days = f'<a href="/episodes/{smock}/days#new-day-form">Open the shoot days</a>'
    assert f"{told} {days}" in _text(client, here)
    _published(house, smock, 60)
    assert "No shoot day is planned yet" not in _text(client, here)


def test_an_episode_without_shots_says_what_to_do_first(client: TestClient, empty: str) -> None:
    text = _text(client, f"/episodes/{empty}/running-time")
    assert "There is no shot yet." in text
    assert 'nothing can be worked out. <a href="' in text
    assert "The video to scale" not in text


def test_every_place_of_the_page_is_there(client: TestClient, house: House, smock: str) -> None:
    for item in ("", "publish", "chapters", house.store.get(smock).shots[4].id):
        _lands(client, house, smock, Place("running-time", item=item))


def test_what_is_drawn_is_named_by_its_shape(
    client: TestClient, here: str, smock: str, house: House
) -> None:
    """A tone is another one on a dark page."""
    _published(house, smock, 60, filmed=False)
    captions = re.findall(r"<figcaption>(.*?)</figcaption>", _text(client, here))
    assert any("Blocks of a day: shoot days" in one for one in captions)
    assert not [one for one in captions if re.search(r"\b(dark|light|pale)", one, re.IGNORECASE)]
