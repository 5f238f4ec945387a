"""The companion page: what is chosen for the sheet, made, looked at, out of date, refused."""

import html5lib
import pytest
from starlette.testclient import TestClient

from tests.pages.printing import empty_leaves_at_once, print_leaves
from webapp.errors import PdfToolsMissingError
from webapp.jobs import Job
from webapp.pages import prints
from webapp.pages.companion import CompanionView
from webapp.pages.house import House
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import PrintedFile
from webapp.plan.edits import changed, with_choice, with_step
from webapp.plan.episode import Episode

IN_PART = {"HX-Request": "true"}


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    empty_leaves_at_once(monkeypatch)


@pytest.fixture
def companion(smock: str) -> str:
    return f"/episodes/{smock}/companion"


def _view(client: TestClient, address: str) -> CompanionView:
    view = client.get(address).context["view"]  # type: ignore[attr-defined]
    assert isinstance(view, CompanionView)
    return view


def _page(client: TestClient, address: str) -> str:
    """The page, which must be read by the HTML standard's own parsing rules without a fault."""
    text = client.get(address).text
    html5lib.HTMLParser(strict=True).parse(text)
    return text


def _quotes_nothing(episode: Episode) -> Episode:
    """A step that quotes a figure there is none of."""
    step = episode.garments[0].steps[0]
    return with_step(episode, step.id, lambda one: changed(one, words="Cut along {Nobody.hem}."))


def test_it_is_made_looked_at_and_taken_out(client: TestClient, companion: str) -> None:
    assert "Make the companion" in client.get(companion).text
    answer = client.post(f"{companion}/print")
    assert (answer.status_code, answer.headers["location"]) == (303, f"{companion}#printed")
    page = _page(client, companion)
    it = _view(client, companion).printing
    assert it.is_current
    assert f'href="{it.path}" download' in page
    assert page.count('loading="lazy"') == len(it.pages) == 3
    image = client.get(it.image(2))
    assert image.headers["content-type"] == "image/png"
    assert "immutable" in image.headers["cache-control"]
    file = client.get(it.path)
    assert file.headers["content-type"] == "application/pdf"
    name = "lighthouse-smock-companion-a4.pdf"
    assert file.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert client.get(f"{companion}/companion.pdf").content == file.content


def test_one_page_is_shown_large_with_the_way_to_its_neighbours(
    client: TestClient, companion: str
) -> None:
    client.post(f"{companion}/print")
    page = _page(client, f"{companion}?look=2")
    assert "Page 2 of 3" in page
    assert f'href="{companion}?look=1#printed"' in page
    assert f'href="{companion}?look=3#printed"' in page
    assert "size=large" in page
    assert "Page 9 of" not in client.get(f"{companion}?look=9").text


def test_a_page_that_is_not_there_is_said(client: TestClient, companion: str) -> None:
    client.post(f"{companion}/print")
    it = _view(client, companion).printing
    assert client.get(it.image(4)).status_code == 404
    assert client.get(f"{it.path}x").status_code == 404
    assert client.get(it.image(1, "huge")).status_code == 422  # type: ignore[arg-type]


def test_after_a_change_it_is_out_of_date_and_after_undo_it_is_not(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    client.post(f"{companion}/print")
    house.store.change(
        smock, "longer", lambda e: with_choice(e, "lighthouse-smock", "smock length", "74 cm")
    )
    page = _page(client, companion)
    assert "Something was changed since these pages were made." in page
    assert "Make the companion anew" in page
    assert "download>" not in page
    gone = client.get(f"{companion}/companion.pdf")
    assert (gone.status_code, gone.headers["location"]) == (303, f"{companion}#printed")
    client.post(f"/episodes/{smock}/undo", data={"page": "companion"})
    assert _view(client, companion).printing.is_current


def test_choices_are_kept_in_the_episode_and_undone(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    size = house.store.get(smock).sizes[-1].name
    chosen = {"paper": "letter", "first_unit": "in", "drawn_for": size, "sizes": ["", "M", size]}
    assert client.post(f"{companion}/choices", data=chosen).status_code == 303
    choices = house.store.get(smock).print_choices
    assert (choices.paper, choices.first_unit, choices.drawn_for) == ("letter", "in", size)
    assert choices.sizes == ("M", size)
    view = _view(client, companion)
    assert view.size == size
    assert view.printing.order.file_name == f"lighthouse-smock-companion-{size.lower()}-letter.pdf"
    client.post(f"/episodes/{smock}/undo", data={"page": "companion"})
    assert house.store.get(smock).print_choices.sizes == ()


def test_with_every_size_ticked_later_ones_come_too_and_none_is_refused(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    episode = house.store.get(smock)
    every = [body.name for body in (episode.body, *episode.sizes)]
    client.post(f"{companion}/choices", data={"sizes": ["", "M"]})
    client.post(f"{companion}/choices", data={"sizes": ["", *every]})
    assert house.store.get(smock).print_choices.sizes == ()
    answer = client.post(f"{companion}/choices", data={"sizes": ""})
    assert answer.status_code == 422
    assert "Tick one size at least." in answer.text
    assert client.post(f"{companion}/choices", data={"paper": "a0"}).status_code == 422


def test_a_size_that_is_renamed_is_still_the_one_printed(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    place = [size.name for size in house.store.get(smock).sizes].index("M")
    client.post(f"{companion}/choices", data={"drawn_for": "M", "sizes": ["", "S", "M"]})
    client.post(f"/episodes/{smock}/sizes/{place}", data={"name": "Medium"})
    choices = house.store.get(smock).print_choices
    assert (choices.drawn_for, choices.sizes) == ("Medium", ("S", "Medium"))
    client.post(f"/episodes/{smock}/sizes/{place}/delete")
    choices = house.store.get(smock).print_choices
    assert (choices.drawn_for, choices.sizes) == ("", ("S",))


def test_what_was_chosen_on_a_page_out_of_date_is_told_and_kept(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    seen = house.store.edition(smock)
    client.post(f"{companion}/choices", data={"paper": "a4"})
    sent = {"paper": "letter", "sizes": ["", "M", "XL"]}
    answer = client.post(f"{companion}/choices?edition={seen}", data=sent)
    assert answer.status_code == 422
    assert "changed in another tab" in answer.text
    form = answer.context["view"].choices  # type: ignore[attr-defined]
    assert (form.sizes, form.answers.typed["paper"]) == (("M", "XL"), "letter")
    assert house.store.get(smock).print_choices.paper == "a4"


def test_what_would_mislead_is_made_only_after_a_word_for_that_state_of_the_plan(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    house.store.change(smock, "a figure there is none of", _quotes_nothing)
    page = _page(client, companion)
    assert "would mislead whoever cuts by this sheet" in page
    assert "Nobody.hem" in page
    assert "all the same, marked “draft edition”" in page
    refused = client.post(f"{companion}/print")
    assert refused.status_code == 422
    assert "so nothing was made" in refused.text
    state = _view(client, companion).printing.state
    house.store.change(smock, "other words", lambda e: changed(e, title="The Other Smock"))
    stale = client.post(f"{companion}/print", data={"confirmed": state})
    assert stale.status_code == 422
    state = _view(client, companion).printing.state
    assert client.post(f"{companion}/print", data={"confirmed": state}).status_code == 303
    assert "So it is marked “draft edition”." in client.get(companion).text


def test_what_misleads_is_of_the_size_that_is_printed(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    """The garment fails in one size alone; a sheet without that size misleads nobody."""

    def without_bust(episode: Episode) -> Episode:
        last = episode.sizes[-1]
        measures = {name: value for name, value in last.measures.items() if name != "bust"}
        return changed(episode, sizes=(*episode.sizes[:-1], changed(last, measures=measures)))

    house.store.change(smock, "a size without a bust", without_bust)
    failing = house.store.get(smock).sizes[-1].name
    assert _view(client, companion).printing.misleading
    client.post(f"{companion}/choices", data={"sizes": ["", "M"]})
    assert not _view(client, companion).printing.misleading
    client.post(f"{companion}/choices", data={"drawn_for": failing})
    (first, *_) = _view(client, companion).printing.misleading
    assert "bust" in first.what
    worksheet = f"/episodes/{smock}/worksheet"
    refused = client.post(f"{worksheet}/print", data={"size": failing, "blank": ""})
    assert refused.status_code == 422
    assert client.post(f"{worksheet}/print", data={"size": "M", "blank": ""}).status_code == 303


def test_an_edition_that_would_mislead_is_numbered_only_after_a_word(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    house.store.change(smock, "a figure there is none of", _quotes_nothing)
    refused = client.post(f"{companion}/edition", data={"number": "1"})
    assert refused.status_code == 422
    assert "so nothing was numbered" in refused.text
    assert house.store.get(smock).editions == ()
    state = _view(client, companion).printing.state
    sent = {"number": "1", "confirmed": state}
    assert client.post(f"{companion}/edition", data=sent).status_code == 303
    assert len(house.store.get(smock).editions) == 1


def test_while_it_is_made_the_page_tells_how_far_it_is_and_looks_again(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    order = prints.order_of(house, smock, "companion")
    job = Job(prints.job_key(order), progress="Laying out the companion: page 12.")
    house.jobs._jobs[job.key] = job
    page = _page(client, companion)
    assert "Laying out the companion: page 12." in page
    assert f'hx-get="{companion}"' in page
    assert f'<noscript><p><a href="{companion}#printed">Look again</a>' in page
    house.store.change(smock, "another title", lambda e: changed(e, title="Another"))
    assert "The plan has changed since this was begun." in client.get(companion).text
    job.state = "done"


def test_a_job_that_ends_while_the_page_is_put_together_is_not_lost(
    client: TestClient, companion: str, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ends just after the file was looked for in vain: the page looks again, and finds it."""
    client.post(f"{companion}/print")
    house.store.change(smock, "another title", lambda e: changed(e, title="Another"))
    order = prints.order_of(house, smock, "companion")
    job = Job(prints.job_key(order))
    house.jobs._jobs[job.key] = job
    newest = house.prints.newest

    def ends_then(of: Order) -> PrintedFile | None:
        found = newest(of)
        house.prints.put(order, print_leaves(None, order))
        job.state = "done"
        return found

    monkeypatch.setattr(house.prints, "newest", ends_then)
    page = _page(client, companion)
    assert f'hx-get="{companion}"' in page
    assert "Something was changed since" not in page
    assert "Download the companion" in _page(client, companion)


def test_a_fault_of_ours_is_told_in_plain_words_with_the_technical_ones_behind(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    order = prints.order_of(house, smock, "companion")
    job = Job(prints.job_key(order), "failed", error="Wrong.", technical="KeyError: <no filter>")
    house.jobs._jobs[job.key] = job
    page = _page(client, companion)
    assert "could not be made.</strong> Wrong. <span" in page
    assert "KeyError: &lt;no filter&gt;" in page


def test_what_was_stopped_says_so_and_can_be_made(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    order = prints.order_of(house, smock, "companion")
    job = Job(prints.job_key(order), "cancelled")
    house.jobs._jobs[job.key] = job
    page = _page(client, companion)
    assert "Making the companion was stopped." in page
    assert "<button>Make the companion</button>" in page


def test_without_pango_the_page_says_what_to_install_and_the_rest_runs(
    client: TestClient, companion: str, smock: str, house: House
) -> None:
    sentence = "Install Pango: sudo apt-get install libpango-1.0-0"
    order = prints.order_of(house, smock, "companion")
    job = Job(prints.job_key(order), "failed", error=PdfToolsMissingError(sentence).sentence)
    house.jobs._jobs[job.key] = job
    answer = client.get(companion)
    assert answer.status_code == 200
    assert "The companion could not be made." in answer.text
    assert sentence in answer.text
    assert "Make the companion" in answer.text
    assert client.get(f"/episodes/{smock}/draft").status_code == 200


def test_an_empty_episode_has_nothing_to_print(client: TestClient, empty: str) -> None:
    page = client.get(f"/episodes/{empty}/companion").text
    assert "There is no piece yet" in page
    assert "Make the companion" not in page


def test_htmx_is_answered_with_the_page_itself(client: TestClient, companion: str) -> None:
    answer = client.post(f"{companion}/print", headers=IN_PART)
    assert answer.status_code == 200
    assert "Download the companion" in answer.text
    assert client.post(f"{companion}/print/stop", headers=IN_PART).status_code == 200
