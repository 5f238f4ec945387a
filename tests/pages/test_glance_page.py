"""The front page of an episode: what is next, and each part with the way to where it is changed."""

from datetime import date, timedelta
from xml.etree import ElementTree

import html5lib
import pytest
from starlette.testclient import TestClient

from tests.specimens import WREN
from webapp.cloth.yardage import Purchase
from webapp.filming.shoot_days import told_day
from webapp.filming.shots import Filmed
from webapp.pages.glance import GlanceView
from webapp.pages.house import House
from webapp.pages.wording import bought
from webapp.plan.editions import with_edition
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.evaluate import evaluate

STARTERS = ("drop-shoulder-smock", "lined-tote", "half-circle-skirt", "a-line-skirt",
            "bound-apron", "open-front-jacket", "ear-flap-hat", "gathered-skirt",
            "elastic-waist-trousers", "tube-cowl", "envelope-cushion", "blank")  # fmt: skip


def _view(client: TestClient, episode: str) -> GlanceView:
    answer = client.get(f"/episodes/{episode}")
    assert answer.status_code == 200
    # The HTML standard's own parsing rules, by html5lib in strict mode.
    html5lib.HTMLParser(strict=True).parse(answer.text)
    view = answer.context["view"]
    assert isinstance(view, GlanceView)
    return view


def _links(text: str) -> set[str]:
    tree = html5lib.parse(text, namespaceHTMLElements=False)
    (main,) = tree.iter("main")
    return {link.attrib["href"] for link in main.iter("a")}


@pytest.mark.parametrize("starter", STARTERS)
def test_a_new_episode_shows_one_next_act_that_leads_to_an_open_page(
    client: TestClient, starter: str
) -> None:
    client.post("/episodes", data={"title": "New", "starter": starter})
    view = _view(client, "new")
    assert view.next is not None
    assert client.get(view.next.address.partition("#")[0]).status_code == 200
    page = client.get("/episodes/new")
    assert view.next.act.words in page.text


def test_every_part_of_a_whole_plan_leads_to_its_page(client: TestClient, smock: str) -> None:
    view = _view(client, smock)
    links = _links(client.get(f"/episodes/{smock}").text)
    base = f"/episodes/{smock}"
    for page in ("draft", "cloth", "build", "running-time", "shopping", "threads", "companion"):
        assert f"{base}/{page}" in links
    assert {piece.address for piece in view.pieces} <= links
    assert len(view.pieces) == len(view.plan.pieces)


def test_no_lay_is_made_for_the_page_but_for_the_part_it_asks_for(
    client: TestClient, house: House
) -> None:
    here = _cowl(client, house)
    page = client.get(here)
    view = page.context["view"]
    assert not view.is_laid
    assert f'hx-get="{here}/glance/cloth"' in page.text
    part = client.get(f"{here}/glance/cloth").text
    purchase = view.plan.lays[0].purchase
    assert isinstance(purchase, Purchase)
    assert bought(purchase, "cm") in part
    again = client.get(here)
    assert bought(purchase, "cm") in again.text
    assert "140 cm (55 1/8 in) wide" in again.text.replace("\u00a0", " ")
    assert "glance/cloth" not in again.text


def _cowl(client: TestClient, house: House) -> str:
    client.post("/episodes", data={"title": "Cowl", "starter": "tube-cowl"})
    house.store.change("cowl", "body", lambda e: changed(e, body=WREN))
    return "/episodes/cowl"


def test_pieces_are_drawn_to_one_scale(client: TestClient, smock: str) -> None:
    view = _view(client, smock)
    scales = set()
    for row in view.pieces:
        drawing = ElementTree.fromstring(row.drawing)
        piece = next(one for one in view.plan.pieces if one.name == row.name)
        xs = [x for x, _ in piece.whole_cut_points]
        scales.add(round((float(drawing.attrib["width"]) - 2) / (max(xs) - min(xs)), 4))
    assert len(scales) == 1


def test_a_garment_that_nobody_is_measured_for_is_drawn_on_an_example(
    client: TestClient, house: House
) -> None:
    client.post("/episodes", data={"title": "Smock", "starter": "drop-shoulder-smock"})
    view = _view(client, "smock")
    assert view.on_example
    told = client.get("/episodes/smock").text
    assert "on an example body until yours is measured" in told
    drawn = ElementTree.fromstring(view.drawing)
    assert len(list(drawn.iter("{http://www.w3.org/2000/svg}path"))) > 4
    # The pocket alone asks for no measure: its cloth would be a firm length of nothing to buy.
    for part in ("?laid=now", "", "/glance/cloth"):
        card = client.get(f"/episodes/smock{part}").text.partition('id="glance-cloth"')[2]
        card = card.partition("</section>")[0]
        assert "Measures are missing" in card and " m (" not in card
        assert "/brief#body-bust" in card and "hx-get" not in card
    house.store.change("smock", "body", lambda e: changed(e, body=WREN))
    assert not _view(client, "smock").on_example
    whole = client.get("/episodes/smock?laid=now").text
    assert "an example body" not in whole and "that are not drawn" not in whole


def test_everything_filmed_asks_for_no_filming(
    client: TestClient, smock: str, house: House
) -> None:
    def edit(e: Episode) -> Episode:
        shots = tuple(changed(shot, filmed=Filmed()) for shot in e.shots)
        done = changed(e.brief, publish_date=date.today() + timedelta(days=40))
        return changed(e, shots=shots, brief=done)

    house.store.change(smock, "filmed", edit)
    view = _view(client, smock)
    assert view.filmed == len(view.plan.shots)
    told = [row.act.words for row in view.acts]
    assert not [words for words in told if words.startswith(("Film", "Buy", "Plan"))]


def test_an_edition_out_of_date_is_told(client: TestClient, house: House) -> None:
    _cowl(client, house)
    house.store.change("cowl", "edition", lambda e: with_edition(evaluate(e), None))
    assert "out of date" not in client.get("/episodes/cowl").text
    client.post("/episodes/cowl/draft/tube-cowl/choices", data={"c cowl ease": "60 cm"})
    view = _view(client, "cowl")
    assert view.outdated
    assert "It is out of date" in client.get("/episodes/cowl").text


def test_undo_on_the_front_page_comes_back_to_it(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/brief", data={"title": "Another"})
    answer = client.post(f"/episodes/{smock}/undo", data={"page": "glance"})
    assert answer.headers["location"] == f"/episodes/{smock}"
    there = {"referer": f"http://127.0.0.1/episodes/{smock}"}
    answer = client.post(f"/episodes/{smock}/redo", data={"page": "glance"}, headers=there)
    assert answer.headers["location"] == f"/episodes/{smock}"


def test_the_drawing_of_an_episode_is_an_image_that_is_kept(
    client: TestClient, smock: str, empty: str
) -> None:
    for episode in (smock, empty):
        answer = client.get(f"/episodes/{episode}/glance/drawing.svg")
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert "immutable" in answer.headers["cache-control"]
        root = ElementTree.fromstring(answer.text)
        assert root.find("{http://www.w3.org/2000/svg}title") is not None
        assert "currentColor" not in answer.text  # it stands alone


def test_an_episode_that_is_not_there_has_no_front_page(client: TestClient) -> None:
    for path in ("", "/glance/cloth", "/glance/card", "/glance/drawing.svg"):
        assert client.get(f"/episodes/none{path}").status_code == 404


def test_what_to_do_next_follows_the_day_it_is_looked_at(house: House, smock: str) -> None:
    plan = house.plan(smock)
    publish, first = plan.episode.brief.publish_date, plan.episode.shoot_days[0].day
    assert publish is not None

    def words(today: date) -> list[str]:
        return [one.act.words for one in GlanceView(plan, today).acts]

    assert f"Film on {told_day(first)}" in words(first - timedelta(days=1))
    assert f"Film on {told_day(first)}, today" in words(first)
    assert "Set a new publish date" not in words(publish)
    assert "Set a new publish date" in words(publish + timedelta(days=1))


def test_when_all_is_filmed_no_shoot_day_is_told_of_any_more(smock: str, house: House) -> None:
    early = Filmed(day=house.plan(smock).episode.shoot_days[0].day - timedelta(days=9))

    def filmed(episode: Episode) -> Episode:
        return changed(episode, shots=tuple(changed(s, filmed=early) for s in episode.shots))

    house.store.change(smock, "all filmed", filmed)
    view = GlanceView(house.plan(smock), early.day or date.today())
    assert [one for one in house.plan(smock).loose_threads if one.place.page == "days"] == []
    assert view.next is not None and view.next.act.words == "Record the voice-over"


def test_the_hours_of_rest_stand_beside_the_work(client: TestClient, smock: str) -> None:
    """By the demo: the smock hangs 12 hours before its hem, and dries 4 before it is cut."""
    assert "and 16 h of rest" in client.get(f"/episodes/{smock}").text.replace("\u00a0", " ")
