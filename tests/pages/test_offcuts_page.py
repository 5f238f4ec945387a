"""The page of offcuts: what is left, what fits in it, and an extra that is added from it."""

import re
import time
from typing import Any

import pytest
from starlette.testclient import TestClient

from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.laid import Cloth, Lay
from webapp.cloth.offcuts import Offcut
from webapp.draft.recipe import Recipe
from webapp.jobs import Job
from webapp.pages.house import House
from webapp.pages.offcut_words import rounded_down, where
from webapp.pages.offcuts import OffcutsView
from webapp.plan.edits import changed
from webapp.plan.episode import Episode

HTMX = {"HX-Request": "true"}


def recipe_of(id: str, name: str, width: str, length: str, **piece: Any) -> Recipe:
    move = {"kind": "rectangle", "width": width, "length": length}
    panel = {"name": "Panel", "moves": [move], **piece}
    made = {"id": id, "name": name, "seam_allowance": "0 cm", "pieces": [panel]}
    return Recipe.model_validate(made)


# Cut from a lining besides, which is not looked at.
HOLDER = recipe_of("holder", "Pot holder", "20 cm", "30 cm", cloth="Canvas", cut_count=2)


@pytest.fixture
def curtain(house: House, empty: str) -> str:
    """A panel of 60 by 100 cm on linen 100 cm wide, 40 cm free beside it; a recipe of her own."""
    one = recipe_of("curtain", "Curtain", "60 cm", "100 cm", cloth="Linen")
    cloth = EpisodeCloth(name="Linen", width="100 cm", edge_margin="0 cm", shrinks_along=4)
    house.store.change(empty, "begun", lambda e: changed(e, garments=(one,), cloths=(cloth,)))
    house.library.put("recipe", HOLDER.name, HOLDER.model_dump_json())
    return empty


def view_of(answer: Any) -> OffcutsView:
    view = answer.context["view"]
    assert isinstance(view, OffcutsView)
    return view


def looked(client: TestClient, episode: str) -> OffcutsView:
    """The page once the search has ended."""
    client.post(f"/episodes/{episode}/offcuts/0/look")
    for _ in range(1_800):
        view = view_of(client.get(f"/episodes/{episode}/offcuts"))
        job = view.cloths[0].job
        assert job is not None
        if not job.is_going_on:
            return view
        time.sleep(0.05)
    raise AssertionError("The search did not end within 90 s.")


def job_of(house: House, episode: str) -> Job:
    """The search that was started last."""
    return house.jobs.beginning(f"offcuts {episode} 0 ")[0]


def test_offcuts_are_drawn_and_listed_with_what_is_bought(client: TestClient, curtain: str) -> None:
    """1.1 m bought, less 4 %, less 2 cm: 103.6 cm, of which the lay takes 100."""
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert answer.status_code == 200
    (cloth,) = view_of(answer).cloths
    (row,) = cloth.offcuts
    plain = row.size.replace("\N{NO-BREAK SPACE}", " ")
    assert plain == "40 cm (15 5/8 in) × 103.5 cm (40 3/4 in)"
    assert row.place == "At the start, along the upper selvedge"
    assert cloth.beyond.replace("\N{NO-BREAK SPACE}", " ") == "3.5 cm (1 3/8 in)"
    assert "Offcut 1" in cloth.drawing
    assert 'aria-current="page">Offcuts</a>' in answer.text
    assert "1.1\N{NO-BREAK SPACE}m (1\N{NO-BREAK SPACE}1/4\N{NO-BREAK SPACE}yd)" in answer.text


def test_what_fits_is_found_and_told(client: TestClient, curtain: str) -> None:
    view = looked(client, curtain)
    (cloth,) = view.cloths
    assert cloth.job is not None
    assert cloth.job.state == "done"
    found = {extra.name: extra for extra in cloth.extras}
    assert found["Pot holder"].fits == ("One size: offcut 1",)
    assert found["Pot holder"].on_camera
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert "no proof that nothing does" in answer.text
    assert "Curtain" not in found


def test_an_extra_is_added_in_the_offcut_and_the_length_to_buy_stays(
    client: TestClient, house: House, curtain: str
) -> None:
    before = house.plan(curtain).lays[0].purchase
    key = next(e.key for e in looked(client, curtain).cloths[0].extras if e.name[:3] == "Pot")
    answer = client.post(f"/episodes/{curtain}/offcuts/0/add", data={"recipe": key})
    assert answer.status_code == 303
    episode = house.store.get(curtain)
    assert [garment.name for garment in episode.garments] == ["Curtain", "Pot holder"]
    assert [cloth.name for cloth in episode.cloths] == ["Linen"]
    assert episode.garments[1].pieces[0].cloth == "Linen"
    (lay,) = house.plan(curtain).lays
    assert lay.lay is not None
    assert len(lay.lay.placements) == 3
    assert lay.purchase == before
    page = client.get(answer.headers["location"])
    assert "“Pot holder” is added" in page.text
    assert "Pot holder" not in {e.name for e in view_of(page).cloths[0].extras}
    client.post(f"/episodes/{curtain}/undo")
    assert [garment.name for garment in house.store.get(curtain).garments] == ["Curtain"]


def test_what_was_found_for_another_draft_is_not_shown(
    client: TestClient, house: House, curtain: str
) -> None:
    assert looked(client, curtain).cloths[0].extras
    house.library.put("recipe", "Another", changed(HOLDER, name="Another").model_dump_json())
    view = view_of(client.get(f"/episodes/{curtain}/offcuts"))
    assert view.cloths[0].job is None
    assert view.cloths[0].extras == ()
    client.post(f"/episodes/{curtain}/cloth/cloths/0", data={"width": "130 cm"})
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert view_of(answer).cloths[0].job is None
    assert "has changed since you last looked" in answer.text


def test_a_search_that_ends_while_the_page_is_made_is_told_as_it_was(
    client: TestClient, house: House, curtain: str
) -> None:
    """Else a page could tell that nothing fits, just because the answer came after it looked."""
    looked(client, curtain)
    job = job_of(house, curtain)
    job.state, job.result = "running", None
    view = view_of(client.get(f"/episodes/{curtain}/offcuts"))
    job.state = "done"
    assert view.cloths[0].job is not None
    assert view.cloths[0].job.state == "running"


def test_looking_shows_how_far_it_is_and_can_be_stopped(client: TestClient, curtain: str) -> None:
    answer = client.post(f"/episodes/{curtain}/offcuts/0/look", headers=HTMX)
    assert 'hx-trigger="every 1s"' in answer.text
    answer = client.post(f"/episodes/{curtain}/offcuts/0/look/cancel", headers=HTMX)
    assert "Stopped; nothing was kept." in answer.text
    assert "Look again what fits" in answer.text
    assert "every 1s" not in answer.text


def test_a_search_that_was_killed_says_so_and_is_offered_again(
    client: TestClient, house: House, curtain: str
) -> None:
    client.post(f"/episodes/{curtain}/offcuts/0/look")
    job = job_of(house, curtain)
    for _ in range(1_800):
        if not job.is_going_on:
            break
        if job._process is not None and job._process.is_alive():
            job._process.kill()  # it is begun once more
        time.sleep(0.05)
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert job.state == "failed"
    assert job.error in answer.text
    assert "Look again what fits" in answer.text


def test_a_recipe_that_is_not_offered_changes_nothing(
    client: TestClient, house: House, curtain: str
) -> None:
    answer = client.post(f"/episodes/{curtain}/offcuts/0/add", data={"recipe": "own gone"})
    assert answer.status_code == 422
    assert "is not offered any more" in answer.text
    assert len(house.store.get(curtain).garments) == 1


def test_an_outdated_page_is_told(client: TestClient, house: House, curtain: str) -> None:
    key = next(e.key for e in looked(client, curtain).cloths[0].extras if e.name[:3] == "Pot")
    edition = house.store.edition(curtain)
    address = f"/episodes/{curtain}/offcuts/0/add"
    client.post(address, data={"recipe": key})
    answer = client.post(f"{address}?edition={edition}", data={"recipe": key})
    assert answer.status_code == 422
    assert len(house.store.get(curtain).garments) == 2


def test_the_spare_is_told_as_cloth_to_keep(client: TestClient, curtain: str) -> None:
    """The panel once more does not go beside the first: 100 cm are bought for it."""
    client.post(f"/episodes/{curtain}/cloth/cloths/0", data={"spare": "all"})
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert view_of(answer).cloths[0].spare.replace("\N{NO-BREAK SPACE}", " ") == (
        "Panel can be cut once more, should one go wrong: 100 cm (39 3/8 in) of the length was "
        "bought for that, so cut the extra last."
    )
    assert "so cut the extra last" in answer.text


def test_a_spare_that_comes_from_the_offcuts_costs_no_length(
    client: TestClient, curtain: str
) -> None:
    """On 130 cm (51 1/8 in) a second panel lies beside the first."""
    client.post(f"/episodes/{curtain}/cloth/cloths/0", data={"spare": "all", "width": "130 cm"})
    view = view_of(client.get(f"/episodes/{curtain}/offcuts"))
    assert view.cloths[0].spare == (
        "Panel can be cut once more, should one go wrong: the spare is cut from among the "
        "offcuts, so cut the extra last."
    )


def test_what_was_not_tried_and_what_missed_is_told_by_recipe(
    client: TestClient, house: House, curtain: str
) -> None:
    """The offcut is 40 by 103.6 cm; the further size has no measure."""

    def patchy(episode: Episode) -> Episode:
        body = changed(episode.body, name="Wren", measures={"waist": "72 cm", "hip": "96 cm"})
        return changed(episode, body=body, sizes=(changed(body, name="S", measures={}),))

    house.store.change(curtain, "measures", patchy)
    wide = recipe_of("rug", "Rug", "50 cm", "60 cm")
    house.library.put("recipe", wide.name, wide.model_dump_json())
    two = recipe_of("mats", "Mats", "39 cm", "60 cm", cut_count=2)
    house.library.put("recipe", two.name, two.model_dump_json())
    view = looked(client, curtain)
    told = {
        row.name: " ".join(row.sentences).replace("\N{NO-BREAK SPACE}", " ")
        for row in view.cloths[0].outcomes
    }
    there = "the nearest offcut is 40 cm (15 5/8 in) × 103.5 cm (40 3/4 in)."
    rug = "Too large: the Panel in Wren is 50 cm (19 5/8 in) × 60 cm (23 5/8 in); "
    assert told["Rug"] == rug + there
    assert told["Mats"].startswith("Each piece by itself would fit, but they were not found to")
    assert "Pot holder" not in told
    assert told["Half-circle skirt"].startswith(
        "Not tried in S, where the measures are missing: waist and hip. Too large: the Skirt "
    )
    assert told["Slipway trousers"] == (
        "Not tried in Wren, where the measures are missing: rise and inside leg. "
        "Not tried in S, where the measures are missing: waist, hip, rise and inside leg."
    )
    page = client.get(f"/episodes/{curtain}/offcuts").text
    assert "What did not fit or was not tried" in page


def test_a_second_layer_that_is_not_wanted_is_told(client: TestClient, curtain: str) -> None:
    client.post(f"/episodes/{curtain}/cloth/cloths/0", data={"laid": "folded across"})
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert view_of(answer).cloths[0].alone == ("Panel",)
    assert "Of Panel only one is wanted" in answer.text


def test_an_episode_without_pieces_says_where_to_begin(client: TestClient, empty: str) -> None:
    answer = client.get(f"/episodes/{empty}/offcuts")
    assert answer.status_code == 200
    assert "Nothing is cut from a cloth yet" in answer.text
    assert client.post(f"/episodes/{empty}/offcuts/0/look").status_code == 404
    assert client.post(f"/episodes/{empty}/offcuts/9/look").status_code == 404


def test_a_cloth_too_narrow_says_why(client: TestClient, curtain: str) -> None:
    client.post(f"/episodes/{curtain}/cloth/cloths/0", data={"width": "40 cm"})
    answer = client.get(f"/episodes/{curtain}/offcuts")
    assert answer.status_code == 200
    text = answer.text.replace("&#39;", "'").replace("\N{NO-BREAK SPACE}", " ")
    assert view_of(answer).cloths[0].plan.problem in text


def test_every_figure_is_in_both_units(client: TestClient, smock: str) -> None:
    page = client.get(f"/episodes/{smock}/offcuts").text
    plain = re.sub(r"<[^>]*>", " ", page).replace("\N{NO-BREAK SPACE}", " ")
    cm = len(re.findall(r"\d cm\b(?!²)", plain))
    inch = len(re.findall(r"\d in\b(?!²)", plain))
    assert cm == inch
    assert cm > 10


@pytest.mark.parametrize(
    ("mm", "shown"),
    [(1036.0, "103.5 cm (40 3/4 in)"), (400.0, "40 cm (15 5/8 in)"), (254.0, "25 cm (10 in)")],
)
def test_a_size_is_rounded_down_in_each_unit(mm: float, shown: str) -> None:
    """1036 mm is 40.79 in, 400 mm 15.75 in less a hair: the figure shown is always there."""
    assert rounded_down(mm, "cm").replace("\N{NO-BREAK SPACE}", " ") == shown


@pytest.mark.parametrize(
    ("offcut", "words"),
    [
        (Offcut(0, 0, 200, 300), "At the start, along the lower selvedge"),
        (Offcut(800, 200, 200, 300), "20 cm (7 7/8 in) from the start, along the upper selvedge"),
        (Offcut(0, 1000, 1000, 300), "Past the end of the lay, the whole width"),
        (Offcut(0, 0, 200, 300, 2, "folded"), "At the start, along the fold"),
        (Offcut(300, 0, 200, 300, 2, "folded"), "At the start, along the two selvedges"),
        (
            Offcut(250, 0, 200, 300, 2, "folded across"),
            "At the fold, 25 cm (9 7/8 in) in from the lower selvedge",
        ),
    ],
)
def test_where_an_offcut_lies_is_told_as_it_is_drawn(offcut: Offcut, words: str) -> None:
    lay = Lay(Cloth(1000, laid=offcut.laid), (), (), 1000.0, 0.5)
    assert where(offcut, lay, "cm").replace("\N{NO-BREAK SPACE}", " ") == words
