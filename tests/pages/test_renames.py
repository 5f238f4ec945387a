"""Names changed on the draft page: what quotes one follows, what cannot be is told beside it."""

import pytest
from starlette.testclient import TestClient

from webapp.filming.shots import Shot
from webapp.pages.draft_view import DraftView
from webapp.pages.house import House
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.results import Plan
from webapp.store.episode_file import to_text

GARMENT = "lighthouse-smock"
IN_PART = {"HX-Request": "true"}


@pytest.fixture
def base(smock: str) -> str:
    return f"/episodes/{smock}/draft/{GARMENT}"


def _shown(plan: Plan) -> list[object]:
    """What viewers and the camera see, which holds no name."""
    texts = [step.words.plain for step in plan.steps]
    texts += [text.plain for shot in plan.shots for text in (shot.narration, shot.card)]
    texts += [text.plain for one in plan.notions for text in (one.amount, one.why)]
    minutes = [step.work for step in plan.steps]
    checks = [check.garment_mm for draft in plan.drafts for check in draft.checks]
    seams = [seam.one_mm for draft in plan.drafts for seam in draft.seams]
    return [texts, minutes, checks, seams, len(plan.loose_threads)]


def _view(answer: object) -> DraftView:
    view = answer.context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, DraftView)
    return view


def test_a_piece_has_another_name_on_its_page_and_undo_gives_the_old_one_back(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    before, text = _shown(house.plan(smock)), to_text(house.store.get(smock))
    answer = client.post(f"{base}/pieces/Front/name", data={"name": "Bodice"})
    assert answer.status_code == 303
    assert answer.headers["location"].endswith(f"garment={GARMENT}&piece=Bodice")
    assert "<h1>Bodice</h1>" in client.get(answer.headers["location"]).text
    assert _shown(house.plan(smock)) == before
    after = to_text(house.store.get(smock))
    assert "{Front." not in after
    assert "2 * (Bodice.neck + Back.neck)" in after
    client.post(f"/episodes/{smock}/undo", data={"page": "draft"})
    assert to_text(house.store.get(smock)) == text


BAD_PIECE_NAMES = [
    ("", "Write something here."),
    ("Front.left", "plain words of letters and digits"),
    ("{Front}", "plain words of letters and digits"),
    ("2 fronts", "plain words of letters and digits"),
    ("a" * 41, "40 is the most"),
    ("back", "Lighthouse Smock has a piece called “Back” already"),
    ("Cowl", "Tube cowl has a piece called “Cowl” already"),
]


@pytest.mark.parametrize(("typed", "sentence"), BAD_PIECE_NAMES)
def test_a_name_a_piece_cannot_have_is_told_beside_the_field(
    client: TestClient, smock: str, base: str, house: House, typed: str, sentence: str
) -> None:
    before = to_text(house.store.get(smock))
    for address in (f"{base}/pieces/Front/name", f"{base}/pieces"):
        answer = client.post(address, data={"name": typed}, headers=IN_PART)
        assert answer.status_code == 422
        view = _view(answer)
        assert sentence in view.answers.errors["name"]
        assert view.answers.typed["name"] == typed
        assert not view.is_old  # the drawings are as they were
        assert 'aria-invalid="true"' in answer.text
    assert to_text(house.store.get(smock)) == before


def test_a_choice_has_another_name_in_its_own_row(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    before = _shown(house.plan(smock))
    place = [c.name for c in house.store.get(smock).garments[0].choices].index("smock length")
    page = client.get(f"/episodes/{smock}/draft").text
    assert f'id="choice-{place}-about-name" value="smock length"' in page
    client.post(f"{base}/choices/{place}", data={"name": "full length", "reason": "As worn."})
    choice = house.store.get(smock).garments[0].choices[place]
    assert (choice.name, choice.reason) == ("full length", "As worn.")
    assert _shown(house.plan(smock)) == before
    assert "smock length" not in to_text(house.store.get(smock))


BAD_CHOICE_NAMES = [
    ("", "Write something here."),
    ("body.ease", "plain words"),
    ("{ease}", "plain words"),
    ("arm depth", "a choice called “arm depth” already"),
    ("hip", "a measure of the body"),
    ("max", "meaning of its own"),
]


@pytest.mark.parametrize(("typed", "sentence"), BAD_CHOICE_NAMES)
def test_a_name_a_choice_cannot_have_is_told_beside_the_field(
    client: TestClient, smock: str, base: str, house: House, typed: str, sentence: str
) -> None:
    before = [choice.name for choice in house.store.get(smock).garments[0].choices]
    for address in (f"{base}/choices/0", f"{base}/choices/new"):
        sent = {"name": typed, "value": "26 cm"}
        answer = client.post(address, data=sent, headers=IN_PART)
        assert answer.status_code == 422
        assert sentence in _view(answer).answers.errors["name"]
    assert [choice.name for choice in house.store.get(smock).garments[0].choices] == before


def test_a_refused_name_does_not_lose_what_else_was_typed(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    sent = {"name": "hip", "most": "50 cm"}
    answer = client.post(f"{base}/choices/0", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert 'value="hip"' in answer.text
    choice = house.store.get(smock).garments[0].choices[0]
    assert (choice.name, choice.most) == ("body ease", "50 cm")


@pytest.mark.parametrize(("part", "name"), [("seams", "tops"), ("finished", "Way for the head")])
def test_a_seam_and_a_finished_measure_are_followed_too(
    client: TestClient, smock: str, base: str, house: House, part: str, name: str
) -> None:
    before = _shown(house.plan(smock))
    client.post(f"{base}/{part}/0", data={"name": name})
    assert getattr(house.store.get(smock).garments[0], part)[0].name == name
    assert _shown(house.plan(smock)) == before
    taken = getattr(house.store.get(smock).garments[0], part)[1].name
    answer = client.post(f"{base}/{part}/0", data={"name": taken.upper()}, headers=IN_PART)
    assert answer.status_code == 422
    assert "already; choose another name" in _view(answer).answers.errors["name"]


def test_the_history_does_not_tell_of_a_name_that_was_refused(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    answer = client.post(f"{base}/choices/0", data={"name": "bust", "reason": "It is roomy."})
    assert answer.status_code == 422
    assert house.store.get(smock).garments[0].choices[0].reason == "It is roomy."
    assert house.store.standing(smock).undo == "choice body ease"


def test_a_name_a_card_has_no_room_for_loses_nothing_else_that_was_typed(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    card = "x" * 180 + " {body ease}"

    def edit(episode: Episode) -> Episode:
        shot = Shot(id="long-card", kind="talking", title="Long", card=card)
        return changed(episode, shots=(*episode.shots, shot))

    house.store.change(smock, "a long card", edit)
    sent = {"name": "room around the body", "reason": "It is roomy."}
    answer = client.post(f"{base}/choices/0", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert "choose a shorter one" in _view(answer).answers.errors["name"]
    choice = house.store.get(smock).garments[0].choices[0]
    assert (choice.name, choice.reason) == ("body ease", "It is roomy.")


@pytest.mark.parametrize(
    ("part", "name", "sent"),
    [
        ("seams", "COWL long seam", {"one": "Front.side", "other": "Back.side"}),
        ("seams", "neck seam", {"one": "Front.side", "other": "Back.side"}),
        ("finished", "neck opening", {"figure": "4 cm"}),
    ],
)
def test_what_is_added_cannot_have_a_name_that_is_taken(
    client: TestClient,
    smock: str,
    base: str,
    house: House,
    part: str,
    name: str,
    sent: dict[str, str],
) -> None:
    """A seam of another garment, too: the steps that sew it name it alone."""
    before = house.store.get(smock)
    answer = client.post(f"{base}/{part}/new", data={"name": name, **sent}, headers=IN_PART)
    assert answer.status_code == 422
    assert "already; choose another name" in _view(answer).answers.errors["name"]
    assert house.store.get(smock) == before


@pytest.mark.parametrize("name", ["Neck.opening", "a} {b"])
def test_a_finished_measure_has_a_name_that_a_text_can_quote(
    client: TestClient, base: str, name: str
) -> None:
    for address in ("0", "new"):
        sent = {"name": name, "figure": "4 cm"}
        answer = client.post(f"{base}/finished/{address}", data=sent, headers=IN_PART)
        assert answer.status_code == 422
        assert "no full stop or brace" in _view(answer).answers.errors["name"]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2 hem", "plain words"),
        ("a/b", "plain words"),
        ("hem backwards", "leave it out"),
        ("Hem Backwards", "leave it out"),
    ],
)
def test_an_edge_has_a_name_that_seams_and_figures_can_quote(
    client: TestClient, smock: str, base: str, house: House, typed: str, sentence: str
) -> None:
    before = to_text(house.store.get(smock))
    piece = f"{base}/pieces/Pocket"
    rectangle = {"kind": "rectangle", "width": "30 cm", "length": "20 cm"}
    for address, field, sent in (
        (f"{piece}/edges", "edge_name", {"edge": "mouth"}),
        (f"{base}/pieces/Front/moves/1", "name", {}),
        (f"{piece}/moves", "edges", rectangle),
    ):
        answer = client.post(address, data={**sent, field: typed}, headers=IN_PART)
        assert answer.status_code == 422
        assert sentence in _view(answer).answers.errors[field]
    assert to_text(house.store.get(smock)) == before


def test_an_edge_has_another_name_where_a_move_gives_it(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    before = _shown(house.plan(smock))
    client.post(f"{base}/pieces/Front/moves/1", data={"name": "neckline"})
    assert house.store.get(smock).garments[0].pieces[0].moves[1].name == "neckline"  # type: ignore[union-attr]
    assert "{Front.neckline depth}" in to_text(house.store.get(smock))
    assert _shown(house.plan(smock)) == before


def test_an_edge_has_another_name_in_the_list_of_edges(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    before = _shown(house.plan(smock))
    page = client.get(f"/episodes/{smock}/draft?garment={GARMENT}&piece=Pocket").text
    assert "Rename an edge" in page
    sent = {"edge": "mouth", "edge_name": "opening"}
    assert client.post(f"{base}/pieces/Pocket/edges", data=sent).status_code == 303
    assert "{Pocket.opening allowance}" in to_text(house.store.get(smock))
    assert _shown(house.plan(smock)) == before


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Write something here."),
        ("side.1", "plain words"),
        ("left {side}", "plain words"),
        ("Foot", "Pocket has an edge called “foot” already"),
        ("width", "A figure of Pocket is called so already"),
    ],
)
def test_a_name_an_edge_cannot_have_is_told_beside_the_field(
    client: TestClient, smock: str, base: str, house: House, typed: str, sentence: str
) -> None:
    before = to_text(house.store.get(smock))
    sent = {"edge": "mouth", "edge_name": typed}
    answer = client.post(f"{base}/pieces/Pocket/edges", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    view = _view(answer)
    assert sentence in view.answers.errors["edge_name"]
    assert view.answers.typed == sent
    assert to_text(house.store.get(smock)) == before


def test_an_edge_that_is_there_already_is_refused_at_the_move_that_names_it(
    client: TestClient, base: str
) -> None:
    sent = {"name": "shoulder"}
    answer = client.post(f"{base}/pieces/Front/moves/1", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert "shoulder" in _view(answer).answers.errors["name"]
    assert 'value="shoulder"' in answer.text
