"""The head of every page says what the last change moved, with undo beside it."""

from starlette.testclient import TestClient

from webapp.pages.house import House

HEAD = "figures moved"


def test_every_page_says_what_the_last_change_moved(client: TestClient, smock: str) -> None:
    episode = f"/episodes/{smock}"
    assert HEAD not in client.get(f"{episode}/brief").text
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c body ease": "24 cm"})
    for page in ("draft", "shots", "cloth", "threads"):
        text = client.get(f"{episode}/{page}").text
        assert HEAD in text
        assert "<dt>Front: hem</dt>" in text
    client.post(f"{episode}/undo")
    assert HEAD not in client.get(f"{episode}/shots").text
    client.post(f"{episode}/redo")
    assert HEAD in client.get(f"{episode}/shots").text


def test_where_a_figure_is_told_leads_there(client: TestClient, smock: str, house: House) -> None:
    episode = f"/episodes/{smock}"
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c front neck depth": "10 cm"})
    text = client.get(f"{episode}/brief").text
    told = text.split('class="told-in')[1].split("</ul>")[0]
    quoting = [row for row in house.plan(smock).shots if "{front neck depth}" in row.shot.narration]
    assert quoting
    for row in quoting:
        where = f"{episode}/shots?edit={row.shot.id}#shot-{row.shot.id}"
        assert f'<li><a href="{where}">Shot {row.number}, narration</a></li>' in told
    assert "<dt>Front neck depth</dt>" in text


def test_a_change_of_words_moves_nothing(client: TestClient, smock: str) -> None:
    episode = f"/episodes/{smock}"
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c body ease": "24 cm"})
    client.post(f"{episode}/brief", data={"title": "The Lighthouse Smock again"})
    assert HEAD not in client.get(f"{episode}/draft").text


def test_the_cloth_to_buy_is_told_where_it_is_known(
    client: TestClient, smock: str, house: House
) -> None:
    episode = f"/episodes/{smock}"
    before = house.plan(smock).lays[0].purchase
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c smock length": "90 cm"})
    assert "Main cloth to buy" not in client.get(f"{episode}/brief").text  # not laid yet
    now = house.plan(smock).lays[0].purchase
    text = client.get(f"{episode}/brief").text.replace("\u00a0", " ")
    assert before and now
    assert (
        f"<dt>Main cloth to buy</dt><dd>{before.metres} ({before.yards}) → "
        f"<strong>{now.metres} ({now.yards})</strong></dd>"
    ) in text
    assert before.metres != now.metres


def test_a_table_of_ways_that_the_change_made_outdated_is_named(
    client: TestClient, smock: str
) -> None:
    """At once on a whole page; in an edit's answer it comes with the count of loose threads."""
    episode, named = f"/episodes/{smock}", "ways of laying Main cloth</a>"
    sent = {"c smock length": "75 cm"}
    part = {"hx-request": "true"}
    answer = client.post(f"{episode}/draft/lighthouse-smock/choices", data=sent, headers=part)
    assert HEAD in answer.text and named not in answer.text
    count = client.get(f"{episode}/threads/count", headers=part).text
    assert 'hx-swap-oob="true"' in count and named in count
    assert named in client.get(f"{episode}/shots").text
    client.post(f"{episode}/draft/lighthouse-smock/choices", data={"c smock length": "76 cm"})
    assert named not in client.get(f"{episode}/shots").text  # it was of an older draft before
