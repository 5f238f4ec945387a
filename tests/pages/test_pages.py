"""Every page answers, whole or in part, with and without content.

That their HTML is valid is seen in test_valid_html.
"""

import pytest
from starlette.testclient import TestClient

from webapp.pages.build_order import BuildView
from webapp.pages.draft_view import DraftView
from webapp.pages.house import House
from webapp.pages.shots import ShotsView

PAGES = ("brief", "draft", "fittings", "sizes", "worksheet", "cloth", "shopping", "build",
         "shots", "set-ups", "days", "running-time", "times", "rates", "table", "companion",
         "pattern", "call-sheets", "files", "threads", "find")  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("which", ["smock", "empty"])
def test_a_page_answers_for_a_full_and_for_an_empty_episode(
    client: TestClient, request: pytest.FixtureRequest, page: str, which: str
) -> None:
    episode = request.getfixturevalue(which)
    answer = client.get(f"/episodes/{episode}/{page}")
    assert answer.status_code == 200
    assert 'aria-current="page"' in answer.text


@pytest.mark.parametrize("page", PAGES)
def test_htmx_gets_the_page_without_the_house_around_it(
    client: TestClient, smock: str, page: str
) -> None:
    answer = client.get(f"/episodes/{smock}/{page}", headers={"HX-Request": "true"})
    assert answer.text.lstrip().startswith('<div id="page">')
    assert "<html" not in answer.text


def test_an_episode_that_is_not_there_is_said_in_a_sentence(client: TestClient) -> None:
    answer = client.get("/episodes/not-there/draft")
    assert answer.status_code == 404
    assert "Back to the episodes" in answer.text


def test_the_draft_page_shows_every_piece_drawn(client: TestClient, smock: str) -> None:
    answer = client.get(f"/episodes/{smock}/draft")
    view: DraftView = answer.context["view"]  # type: ignore[attr-defined]
    assert view.draft is not None
    assert [piece.name for piece in view.draft.pieces][:3] == ["Front", "Back", "Sleeve"]
    assert answer.text.count('<figure class="drawing">') == len(view.draft.pieces)


def test_the_build_page_lists_the_steps_in_an_order_that_keeps_every_wait(
    client: TestClient, smock: str
) -> None:
    view: BuildView = client.get(f"/episodes/{smock}/build").context["view"]  # type: ignore[attr-defined]
    done: set[str] = set()
    assert len(view.steps) >= 18
    for row in view.steps:
        assert set(row.step.after) <= done
        done.add(row.step.id)


def test_the_shots_page_counts_what_it_lists(client: TestClient, smock: str, house: House) -> None:
    view: ShotsView = client.get(f"/episodes/{smock}/shots").context["view"]  # type: ignore[attr-defined]
    episode = house.store.get(smock)
    assert len(view.shots) == len(episode.shots) >= 40
    extra = {step.id for garment in episode.garments[1:] for step in garment.steps}
    seconds = [row.screen_seconds for row in view.shots if row.shot.step not in extra]
    assert len(seconds) < len(view.shots)
    assert view.running_time_s == pytest.approx(sum(seconds))


def test_typed_markup_stays_text(client: TestClient, smock: str) -> None:
    client.post(f"/episodes/{smock}/brief", data={"title": "<script>alert(1)</script> 🧵"})
    answer = client.get(f"/episodes/{smock}/brief")
    assert "<script>alert" not in answer.text
    assert "&lt;script&gt;alert(1)&lt;/script&gt; 🧵" in answer.text
