"""Series: their pages, and what the episodes of one share."""

import html5lib
import pytest
from starlette.testclient import TestClient

from webapp.errors import ChangedElsewhereError, StoreError
from webapp.pages.house import House
from webapp.pages.series_keeping import put_in_series
from webapp.pages.series_shared import series_address, series_slug, shared_one
from webapp.plan.edits import changed
from webapp.plan.episode import Episode
from webapp.plan.series import KeptBody
from webapp.store.episode_file import to_text
from webapp.store.library import understood
from webapp.store.repository import EpisodeStore

PAGE = "/series/small-wardrobe"


@pytest.fixture
def two(smock: str, empty: str) -> tuple[str, str]:
    """Two episodes of one series, the second on another body."""
    return smock, empty


def test_the_list_and_a_series_show_the_episodes_in_order(
    client: TestClient, two: tuple[str, str]
) -> None:
    assert f'href="{PAGE}"' in client.get("/series").text
    page = client.get(PAGE)
    view = page.context["view"]  # type: ignore[attr-defined]
    assert [one.number for one in view.episodes] == [3, 5]
    html5lib.HTMLParser(strict=True).parse(page.text)
    assert all(f'href="/episodes/{one}"' in page.text for one in two)


@pytest.mark.parametrize("name", ["..", "a/b", "a-b", "a b", "Ü%2F?#", "~", "-", "x" * 200, "🧵"])
def test_any_name_has_an_address_of_its_own(
    client: TestClient, house: House, smock: str, name: str
) -> None:
    house.store.change(smock, "series", lambda e: changed(e, series=name))
    page = client.get(series_address(name))
    assert page.status_code == 200
    assert page.context["view"].name == name  # type: ignore[attr-defined]
    assert set(series_slug(name)) <= set("abcdefghijklmnopqrstuvwxyz0123456789~-_ABCDEF")


def test_a_series_that_its_last_body_is_taken_out_of_offers_it_again(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/series/body")
    (entry,) = house.library.entries("body")
    client.post(f"/episodes/{smock}/delete")
    out = client.post(f"{PAGE}/kept/body/{entry.id}/take-out")
    assert out.status_code == 303
    page = client.get(out.headers["location"])
    assert f"{PAGE}/kept/body/{entry.id}/put-back" in page.text
    assert f'href="{PAGE}"' not in client.get("/series").text
    assert client.post(f"{PAGE}/kept/body/{entry.id}/put-back").status_code == 303
    assert house.library.entries("body") == (entry,)


def test_a_damaged_episode_keeps_its_line_and_hides_nothing_of_the_others(
    client: TestClient, two: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    smock, other = two
    client.post(f"/episodes/{smock}/series/body")
    get = EpisodeStore.get

    def damaged(of: EpisodeStore, episode_id: str) -> Episode:
        if episode_id == other:
            raise StoreError("A stored plan cannot be read.")
        return get(of, episode_id)

    monkeypatch.setattr(EpisodeStore, "get", damaged)
    view = client.get(PAGE).context["view"]  # type: ignore[attr-defined]
    assert {one.id for one in view.episodes} == set(two)
    assert [used.episode.id for row in view.bodies for used in row.used] == [smock]
    started = client.post(f"{PAGE}/episodes", data={"title": "Next", "starter": "tube-cowl"})
    assert started.status_code == 303


def test_a_cloth_is_not_called_otherwise_where_no_series_can_keep_it(
    client: TestClient, house: House, smock: str
) -> None:
    house.store.change(smock, "no series", lambda e: changed(e, series=""))
    answer = client.post(f"/episodes/{smock}/series/cloths/0", data={"name": "Linen"})
    assert answer.status_code == 404
    assert "Give the episode a series on the brief first." in answer.text
    assert house.store.get(smock).cloths[0].name != "Linen"


def test_names_that_differ_have_addresses_that_differ() -> None:
    names = ("a b", "a-b", "a~2db", "a~b", "", "-", ".", "..", "ä", "a")
    assert len({series_slug(one) for one in names}) == len(names)


def test_a_body_is_kept_taken_and_followed(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    body = house.store.get(smock).body
    before = to_text(house.store.get(other))
    assert client.post(f"/episodes/{smock}/series/body").status_code == 303
    (entry,) = house.library.entries("body")
    assert to_text(house.store.get(other)) == before  # nothing is changed in any episode

    taken = client.post(f"/episodes/{other}/series/take/body", data={"entry": entry.id})
    assert taken.status_code == 303
    assert house.store.get(other).body == body
    assert "is as the series has it" in client.get(f"/episodes/{other}/brief").text

    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})
    client.post(f"/episodes/{smock}/series/body")
    assert house.store.get(other).body == body
    told = client.get(f"/episodes/{other}/brief").text
    assert f"The series’ {body.name} has changed." in told
    assert "99 cm (39 in)" in told.replace("\u00a0", " ")
    assert "an older copy" in client.get(PAGE).text

    client.post(f"/episodes/{other}/series/take/body", data={"entry": entry.id})
    assert house.store.get(other).body.measures["bust"] == "99 cm"
    assert house.store.standing(other).undo == f"{body.name} from the series"
    client.post(f"/episodes/{other}/undo")
    assert house.store.get(other).body == body


def test_a_shared_body_can_be_as_before_taken_out_and_put_back(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, _ = two
    client.post(f"/episodes/{smock}/series/body")
    (entry,) = house.library.entries("body")
    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})
    client.post(f"/episodes/{smock}/series/body")
    kept = f"{PAGE}/kept/body/{entry.id}"
    client.post(f"{kept}/as-before")
    back = shared_one(house.library, "body", entry.id)
    assert back.kept.one == understood(entry, KeptBody).one
    entry = house.library.get("body", entry.id)
    client.post(f"{kept}/take-out")
    assert house.library.entries("body") == ()
    assert "Put it back" in client.get(PAGE).text
    house.store.change(smock, "series", lambda e: changed(e, series="SMALL  wardrobe"))
    assert "Put it back" in client.get(PAGE).text  # however the name is written now
    client.post(f"{kept}/put-back")
    assert house.library.entries("body") == (entry,)


@pytest.mark.parametrize("act", ["body", "cloths/0", "take/body", "take/cloth"])
def test_an_outdated_page_keeps_and_takes_nothing(
    client: TestClient, house: House, two: tuple[str, str], act: str
) -> None:
    smock, other = two
    client.post(f"/episodes/{other}/series/body")
    client.post(f"/episodes/{other}/series/cloths/0", data={"name": "Slate linen"})
    kept = {kind: house.library.entries(kind) for kind in ("body", "cloth")}
    shown = house.store.edition(smock)
    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})  # in another tab
    before = to_text(house.store.get(smock))
    name = house.store.get(smock).cloths[0].name
    sent = {"name": name, "entry": kept[act.removeprefix("take/")][0].id if "take" in act else ""}
    page = client.get(f"/episodes/{smock}/{'brief' if 'body' in act else 'cloth'}").text
    assert f"/series/{act}?edition={shown + 1}" in page
    answer = client.post(f"/episodes/{smock}/series/{act}?edition={shown}", data=sent)
    assert answer.status_code == 422
    assert "changed in another tab or window" in answer.text
    assert to_text(house.store.get(smock)) == before
    assert kept == {kind: house.library.entries(kind) for kind in kept}  # type: ignore[arg-type]


def test_a_cloth_is_kept_and_taken_as_one_more_or_in_place(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    keep = f"/episodes/{smock}/series/cloths/0"
    assert client.post(keep).status_code == 422  # it is told by a name
    client.post(keep, data={"name": "Slate linen"})
    (entry,) = house.library.entries("cloth")
    linen = house.store.get(smock).cloths[0]
    assert linen.name == "Slate linen"
    assert "Slate linen" in {p.cloth for g in house.store.get(smock).garments for p in g.pieces}
    take = f"/episodes/{other}/series/take/cloth"
    client.post(take, data={"entry": entry.id, "place": "0"})
    cloths = house.store.get(other).cloths
    assert [one.name for one in cloths] == [linen.name]
    assert cloths[0].width == linen.width
    again = client.post(take, data={"entry": entry.id})
    assert again.status_code == 422  # it has a cloth of that name already
    assert 'href="#series-cloth-error"' in again.text  # told on the page, which no longer offers it
    assert house.store.get(other).cloths == cloths
    assert client.get(f"/episodes/{other}/cloth").text.count("is as the series has it") == 1


@pytest.mark.parametrize("name", ["", "x" * 81, "Binding cloth"])
def test_a_refused_name_is_told_beside_its_field_with_what_was_typed(
    client: TestClient, house: House, smock: str, name: str
) -> None:
    before = to_text(house.store.get(smock))
    answer = client.post(f"/episodes/{smock}/series/cloths/0", data={"name": name})
    assert answer.status_code == 422
    page = html5lib.parse(answer.text, namespaceHTMLElements=False)
    (field,) = page.findall(".//input[@id='keep-0']")
    assert (field.get("aria-invalid"), field.get("value")) == ("true", name)
    assert page.find(f".//p[@id='{field.get('aria-describedby')}']") is not None
    assert len(page.findall(".//section[@id='to-mend']//a[@href='#keep-0']")) == 1
    assert to_text(house.store.get(smock)) == before


def test_a_body_that_a_size_is_called_like_is_refused_on_the_brief(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    body, size = house.store.get(other).body, house.store.get(smock).sizes[0]
    house.store.change(other, "x", lambda e: changed(e, body=changed(body, name=size.name)))
    client.post(f"/episodes/{other}/series/body")
    (entry,) = house.library.entries("body")
    answer = client.post(f"/episodes/{smock}/series/take/body", data={"entry": entry.id})
    assert answer.status_code == 422
    page = html5lib.parse(answer.text, namespaceHTMLElements=False)
    assert page.find(".//select[@id='series-body'][@aria-invalid='true']") is not None
    assert page.find(".//details[@id='series-bodies'][@open]") is not None


def test_the_next_episode_takes_name_number_and_body(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, _ = two
    client.post(f"/episodes/{smock}/series/body")
    (entry,) = house.library.entries("body")
    form = {"title": "Harbour coat", "starter": "blank", "body": entry.id}
    answer = client.post(f"{PAGE}/episodes", data=form)
    assert answer.status_code == 303
    new = house.store.get(answer.headers["location"].rpartition("/")[2])
    like = house.store.get(smock)
    assert (new.title, new.series, new.number) == ("Harbour coat", like.series, 6)
    assert (new.body, new.channel) == (like.body, like.channel)
    assert client.post(f"{PAGE}/episodes", data={"title": ""}).status_code == 422


def test_what_is_not_there_is_told(client: TestClient, house: House, smock: str) -> None:
    assert client.get("/series/none").status_code == 404
    assert client.post(f"/episodes/{smock}/series/cloths/99", data={"name": "x"}).status_code == 404
    for kind in ("body", "cloth", "prayer"):
        sent = client.post(f"/episodes/{smock}/series/take/{kind}", data={"entry": "none"})
        assert sent.status_code == 404
    house.store.change(smock, "none", lambda e: changed(e, series=""))
    assert client.post(f"/episodes/{smock}/series/body").status_code == 404
    assert "share bodies and cloths" in client.get("/series/-").text
    assert "for the series" not in client.get(f"/episodes/{smock}/brief").text


def test_a_cloth_of_the_same_name_is_no_older_copy(
    client: TestClient, two: tuple[str, str]
) -> None:
    smock, other = two
    client.post(f"/episodes/{smock}/series/cloths/0", data={"name": "Main cloth"})
    shown = client.get(f"/episodes/{other}/cloth").text
    assert "Main cloth: the series has another of that name" in shown
    assert "has changed." not in shown


def shown_by(client: TestClient, page: str, form: str) -> dict[str, str]:
    """What a form of the page sends unseen."""
    tree = html5lib.parse(client.get(page).text, namespaceHTMLElements=False)
    (found,) = [one for one in tree.iter("form") if one.get("action", "").startswith(form)]
    return {
        str(one.get("name")): one.get("value", "")
        for one in found.iter("input")
        if one.get("type") == "hidden"
    }


def test_what_was_kept_since_the_page_was_shown_is_not_replaced_before_it_is_seen(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    client.post(f"/episodes/{smock}/series/body")
    name = house.store.get(other).body.name
    client.post(f"/episodes/{other}/body", data={"m waist": "77 cm"})
    form = f"/episodes/{other}/series/body"
    stale = shown_by(client, f"/episodes/{other}/brief", form)
    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})
    client.post(f"/episodes/{smock}/series/body")
    (kept,) = house.library.entries("body")
    answer = client.post(form, data=stale)
    assert answer.status_code == 422
    assert f"“{name}” was changed in another tab or window" in answer.text
    assert "99 cm (39 in)" in answer.text.replace("\u00a0", " ")  # both are shown
    assert house.library.entries("body") == (kept,)
    assert client.post(form, data=shown_by(client, f"/episodes/{other}/brief", form)).is_redirect
    now = shared_one(house.library, "body", kept.id).kept
    assert (now.one, len(now.before)) == (house.store.get(other).body, 2)


def test_what_was_kept_while_another_is_put_in_its_place_is_not_written_over(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/series/body")
    (entry,) = house.library.entries("body")
    there = shared_one(house.library, "body", entry.id)
    mine = changed(there.kept, one=changed(there.kept.one, name="Mine"))
    elsewhere = changed(there.kept, one=changed(there.kept.one, name="Elsewhere"))
    put_in_series(house, elsewhere, there)
    (kept,) = house.library.entries("body")
    with pytest.raises(ChangedElsewhereError):
        put_in_series(house, mine, there)
    assert house.library.entries("body") == (kept,)


def test_what_is_kept_already_is_not_told_as_another(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, _ = two
    form = f"/episodes/{smock}/series/body"
    stale = shown_by(client, f"/episodes/{smock}/brief", form)
    assert client.post(form, data=stale).is_redirect
    kept = house.library.entries("body")
    assert client.post(form, data=stale).is_redirect  # sent twice
    assert house.library.entries("body") == kept


def test_figures_that_were_not_shown_are_not_taken(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    client.post(f"/episodes/{smock}/series/body")
    client.post(f"/episodes/{other}/body", data={"m waist": "77 cm"})
    take = f"/episodes/{other}/series/take/body"
    stale = shown_by(client, f"/episodes/{other}/brief", take)
    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})
    client.post(f"/episodes/{smock}/series/body")
    before = to_text(house.store.get(other))
    answer = client.post(take, data=stale)
    assert answer.status_code == 422
    assert "was changed in another tab or window" in answer.text
    assert to_text(house.store.get(other)) == before
    assert client.post(take, data=shown_by(client, f"/episodes/{other}/brief", take)).is_redirect
    assert house.store.get(other).body.measures["bust"] == "99 cm"


def test_figures_given_back_from_an_outdated_page_are_told(
    client: TestClient, house: House, smock: str
) -> None:
    for bust in ("98 cm", "99 cm"):
        client.post(f"/episodes/{smock}/body", data={"m bust": bust})
        client.post(f"/episodes/{smock}/series/body")
    (entry,) = house.library.entries("body")
    form = f"{PAGE}/kept/body/{entry.id}/as-before"
    stale = shown_by(client, PAGE, form)
    assert client.post(form, data=stale).is_redirect
    kept = house.library.entries("body")
    answer = client.post(form, data=stale)  # in another window
    assert answer.status_code == 422
    assert "was changed in another tab or window" in answer.text
    assert house.library.entries("body") == kept


def test_a_cloth_does_not_take_the_place_of_one_that_was_not_shown_beside_it(
    client: TestClient, house: House, two: tuple[str, str]
) -> None:
    smock, other = two
    client.post(f"/episodes/{smock}/series/cloths/0", data={"name": "Slate linen"})
    kept, before = house.library.entries("cloth"), to_text(house.store.get(other))
    form = f"/episodes/{other}/series/cloths/0"
    sent = shown_by(client, f"/episodes/{other}/cloth", form) | {"name": "Slate linen"}
    answer = client.post(form, data=sent)
    assert answer.status_code == 422
    assert "The series has a “Slate linen” already" in answer.text
    assert (house.library.entries("cloth"), to_text(house.store.get(other))) == (kept, before)


def test_what_was_taken_out_of_the_series_meanwhile_is_told(
    client: TestClient, house: House, smock: str
) -> None:
    client.post(f"/episodes/{smock}/series/body")
    client.post(f"/episodes/{smock}/body", data={"m bust": "99 cm"})
    form = f"/episodes/{smock}/series/body"
    stale = shown_by(client, f"/episodes/{smock}/brief", form)
    (entry,) = house.library.entries("body")
    client.post(f"{PAGE}/kept/body/{entry.id}/take-out")
    answer = client.post(form, data=stale)
    assert answer.status_code == 422
    assert "was taken out of the series" in answer.text
    assert house.library.entries("body") == ()
    assert client.post(form, data=shown_by(client, f"/episodes/{smock}/brief", form)).is_redirect
    assert len(house.library.entries("body")) == 1
