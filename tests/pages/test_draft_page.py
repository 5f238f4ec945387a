"""The draft page: pieces, moves, and the choices, seams, checks and measures of a garment."""

import pytest
from starlette.testclient import TestClient

from webapp.draft.recipe import Recipe
from webapp.pages.draft_view import DraftView
from webapp.pages.house import House
from webapp.plan.edits import changed, with_garment
from webapp.plan.episode import Episode

GARMENT = "lighthouse-smock"
IN_PART = {"HX-Request": "true"}


def view_of(client: TestClient, address: str) -> DraftView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, DraftView)
    return view


@pytest.fixture
def base(smock: str) -> str:
    return f"/episodes/{smock}/draft/{GARMENT}"


def test_a_piece_shows_its_moves_with_what_they_say(client: TestClient, smock: str) -> None:
    view = view_of(client, f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front")
    assert view.piece is not None
    titles = [move.form.title for move in view.piece.moves]
    assert titles == ["Rectangle", "Scoop", "Slope", "Cut in"]
    # The demo's choice “neck half width” is 12.5 cm.
    assert view.piece.moves[1].words[0].show("cm").startswith("Mark 12.5 cm (4 ")


def _shapes(client: TestClient, episode: str, garment: str, piece: str) -> set[str]:
    view = view_of(client, f"/episodes/{episode}/draft?garment={garment}&piece={piece}")
    assert view.piece is not None
    return {kind for _, moves in view.piece.families for kind, _ in moves}


def test_the_first_piece_is_offered_no_shape_that_comes_from_another(
    client: TestClient, smock: str, base: str
) -> None:
    from_another = {"copy", "split part", "facing"}
    client.post(f"{base}/pieces", data={"name": "Bib"})
    assert from_another <= _shapes(client, smock, GARMENT, "Bib")
    client.post(f"/episodes/{smock}/draft/garments", data={"starter": "blank"})
    client.post(f"/episodes/{smock}/draft/garment/pieces", data={"name": "Apron"})
    kinds = _shapes(client, smock, "garment", "Apron")
    assert "rectangle" in kinds
    assert not from_another & kinds


def test_a_move_offers_the_edges_there_were_before_it(client: TestClient, smock: str) -> None:
    view = view_of(client, f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front")
    assert view.piece is not None
    (edge,) = (f for f in view.piece.moves[1].form.fields if f.name == "edge")
    assert "neck" not in edge.options  # the scoop makes it
    (edge,) = (f for f in view.piece.moves[2].form.fields if f.name == "edge")
    assert "neck" in edge.options


def test_a_piece_offers_no_figure_of_its_own_or_of_a_later_piece(
    client: TestClient, smock: str
) -> None:
    view = view_of(client, f"/episodes/{smock}/draft?garment={GARMENT}&piece=Back")
    assert view.piece is not None
    assert "Front.neck" in view.piece.figures
    assert "bust" in view.piece.figures
    assert not [n for n in view.piece.figures if n.startswith(("Back.", "Sleeve."))]


def test_a_move_goes_in_before_another(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    sent = {"kind": "taper", "edge": "side", "end": "hem", "by": "-2 cm", "at": "1"}
    client.post(f"{base}/pieces/Front/moves", data=sent)
    moves = house.store.get(smock).garments[0].pieces[0].moves
    assert [move.kind for move in moves[:3]] == ["rectangle", "taper", "scoop"]


@pytest.mark.parametrize("at", ["", "2"])
def test_the_form_of_a_move_opens_at_the_end_or_before_another(
    client: TestClient, smock: str, at: str
) -> None:
    address = f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front&at={at}&add=round corner"
    view = view_of(client, address)
    assert view.piece is not None
    assert view.piece.adding is not None
    assert view.place.at == (int(at) if at else None)


def test_a_refused_entry_leaves_the_last_good_drawing_marked_as_old(
    client: TestClient, smock: str, base: str
) -> None:
    answer = client.post(f"{base}/pieces/Front/moves/1", data={"width": "90 cm"}, headers=IN_PART)
    assert answer.status_code == 422
    assert '<figure class="drawing old"' in answer.text
    assert "As it was before the entry that could not be used." in answer.text
    assert "36.5 cm" in answer.text  # its cut size, as before
    again = client.get(f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front")
    assert '<figure class="drawing old"' not in again.text


def test_a_choice_is_added_quoted_and_kept_while_it_is_quoted(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    new = {"name": "yoke depth", "value": "14", "least": "8", "most": "20", "reason": "Ours."}
    client.post(f"{base}/choices/new", data=new)
    choice = house.store.get(smock).garments[0].choices[-1]
    assert (choice.name, choice.value, choice.most) == ("yoke depth", "14 cm", "20 cm")
    client.post(f"{base}/pieces/Pocket/moves/0", data={"length": "yoke depth"})
    place = len(house.store.get(smock).garments[0].choices) - 1
    refused = client.post(f"{base}/choices/{place}/delete", headers=IN_PART)
    assert refused.status_code == 422
    assert "yoke depth" in refused.text
    client.post(f"{base}/pieces/Pocket/moves/0", data={"length": "20 cm"})
    assert client.post(f"{base}/choices/{place}/delete", headers=IN_PART).status_code == 200
    assert len(house.store.get(smock).garments[0].choices) == place


def test_a_choice_without_a_unit_stays_a_bare_number(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    client.post(
        f"{base}/choices/new", data={"name": "roundness", "value": "0.5", "bare": ["no", "yes"]}
    )
    assert house.store.get(smock).garments[0].choices[-1].value == "0.5"
    assert house.plan(smock).drafts[0].names["roundness"].dimension == 0


def test_a_choice_is_had_by_the_way_that_is_picked(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    place = len(house.store.get(smock).garments[0].choices)
    client.post(f"{base}/choices/new", data={"name": "body width", "value": "62 cm"})
    for way, figure in (("straight", "62 cm"), ("largest girth", "max(bust, hip) / 2 + 12 cm")):
        client.post(f"{base}/choices/{place}/ways", data={"way": way, "figure": figure})
    client.post(f"{base}/choices", data={"c body width": "62 cm", "w body width": "1"})
    choice = house.store.get(smock).garments[0].choices[place]
    assert choice.way is not None
    assert choice.way.name == "largest girth"
    names = house.plan(smock).drafts[0].names
    girth = max(names["bust"].value, names["hip"].value)
    assert names["body width"].value == pytest.approx(girth / 2 + 120)
    client.post(f"{base}/choices", data={"c body width": "63 cm", "w body width": "own"})
    assert house.store.get(smock).garments[0].choices[place].way is None


def test_a_seam_is_added_compared_and_taken_out(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    seams = len(house.plan(smock).drafts[0].seams)
    sent = {"name": "pocket to hem", "one": "2 × Pocket.foot", "other": "Front.hem", "sewn": "1"}
    client.post(f"{base}/seams/new", data=sent)
    seam = house.plan(smock).drafts[0].seams[-1]
    assert (seam.name, seam.agrees) == ("pocket to hem", False)
    client.post(f"{base}/seams/{seams}", data={"one": "Front.hem"})
    assert house.plan(smock).drafts[0].seams[-1].agrees
    client.post(f"{base}/seams/{seams}/delete")
    assert len(house.plan(smock).drafts[0].seams) == seams


@pytest.mark.parametrize("name", ["seam allowance", "max", "cm"])
def test_a_choice_cannot_take_a_word_that_figures_use(
    client: TestClient, base: str, name: str
) -> None:
    sent = {"name": name, "value": "2 cm"}
    answer = client.post(f"{base}/choices/new", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert "has a meaning of its own" in answer.text


def test_a_seam_with_an_edge_that_is_not_there_is_refused(client: TestClient, base: str) -> None:
    sent = {"name": "odd", "one": "Front.collar", "other": "Back.hem", "sewn": "1"}
    answer = client.post(f"{base}/seams/new", data=sent, headers=IN_PART)
    assert answer.status_code == 422
    assert "Front.collar" in answer.text
    assert 'value="Back.hem"' in answer.text  # nothing typed is lost


def test_a_form_with_one_bad_field_keeps_all_that_was_typed_in_the_others(
    client: TestClient, base: str
) -> None:
    move = {"kind": "rectangle", "width": "as wide", "length": "21 cm", "edges": "a, b, c, d"}
    client.post(f"{base}/pieces", data={"name": "Bib"})
    text = client.post(f"{base}/pieces/Bib/moves", data=move, headers=IN_PART).text
    for typed in ("as wide", "21 cm", "a, b, c, d"):
        assert f'value="{typed}"' in text
    piece = {"name": "{Bib}", "cut_count": "4", "on_fold": ["no", "yes"]}
    text = client.post(f"{base}/pieces", data=piece, headers=IN_PART).text
    assert 'value="{Bib}"' in text
    assert 'id="new-piece-count" value="4"' in text
    assert 'id="new-piece-fold" value="yes" checked' in text
    choice = {"name": "max", "value": "0.5", "bare": ["no", "yes"], "reason": "Half of it."}
    text = client.post(f"{base}/choices/new", data=choice, headers=IN_PART).text
    assert 'name="bare"' in text
    assert 'value="yes" checked' in text.partition('type="checkbox" name="bare"')[2][:60]
    assert "Half of it." in text


def test_checks_and_finished_measures_are_added_and_changed(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    checks = len(house.plan(smock).drafts[0].checks)
    sent = {"name": "Hem", "garment": "4 * Front.hem", "at_least": "hip + 30 cm", "why": "Stride."}
    client.post(f"{base}/checks/new", data=sent)
    assert not house.plan(smock).drafts[0].checks[checks].holds
    client.post(f"{base}/checks/{checks}", data={"at_least": "hip + 4 cm"})
    assert house.plan(smock).drafts[0].checks[checks].holds
    client.post(f"{base}/finished/new", data={"name": "Hem round", "figure": "4 * Front.hem"})
    finished = house.plan(smock).drafts[0].finished_mm
    assert finished["Hem round"] == pytest.approx(4 * house.plan(smock).figures_mm["front.hem"])


def test_the_seam_allowance_and_the_measures_are_the_garments_own(
    client: TestClient, smock: str, base: str, house: House
) -> None:
    client.post(f"{base}/about", data={"seam_allowance": "1 cm", "m neck": "yes"})
    draft = house.plan(smock).drafts[0]
    assert draft.names["seam allowance"].value == pytest.approx(10)
    assert draft.recipe.measures[-1] == "neck"
    client.post(f"{base}/about", data={"m neck": "no"})
    assert "neck" not in house.plan(smock).drafts[0].recipe.measures


def test_a_bias_strip_says_what_square_gives_it(client: TestClient, smock: str) -> None:
    view = view_of(client, f"/episodes/{smock}/draft?garment={GARMENT}&piece=Neck binding")
    assert view.piece is not None
    assert view.piece.drawn is not None
    width, length = view.piece.drawn.cut_size_mm
    assert view.piece.bias_square_mm is not None
    side, strip = view.piece.bias_square_mm
    assert strip >= max(width, length)
    # The root of its area, up to the next inch.
    assert 0 <= side - (width * length) ** 0.5 < 25.4


def test_a_piece_that_waits_is_shown_as_far_as_it_got(
    client: TestClient, smock: str, house: House
) -> None:
    def spoil(episode: Episode) -> Episode:
        def edit(recipe: Recipe) -> Recipe:
            front = recipe.pieces[0]
            broken = changed(front.moves[1], width="90 cm")
            moves = (front.moves[0], broken, *front.moves[2:])
            return changed(recipe, pieces=(changed(front, moves=moves), *recipe.pieces[1:]))

        return with_garment(episode, GARMENT, edit)

    house.store.change(smock, "spoilt", spoil)
    view = view_of(client, f"/episodes/{smock}/draft?garment={GARMENT}&piece=Front")
    assert view.piece is not None
    assert view.piece.drawn is not None
    assert not view.piece.is_whole
    assert "wider than" in view.piece.moves[1].form.problem
