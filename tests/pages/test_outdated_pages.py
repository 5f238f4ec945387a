"""What was changed elsewhere while a page was made is never taken for shown."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from webapp.pages.forms import Answers
from webapp.pages.shell import House
from webapp.plan.edits import changed, changed_one
from webapp.plan.episode import Episode
from webapp.plan.results import Plan


def test_a_page_never_claims_a_newer_edition_than_it_shows(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = house.plan(smock)

    def slow(of: House, episode_id: str) -> Plan:  # saved elsewhere meanwhile
        of.store.change(episode_id, "the number", lambda e: e.model_copy(update={"number": 8}))
        return shown

    edition = house.store.edition(smock)
    monkeypatch.setattr(House, "plan", slow)
    shell = house.shell(smock, "brief")
    monkeypatch.undo()
    assert (shell.episode.number, shell.edition) == (3, edition)
    late = client.post(f"/episodes/{smock}/brief?edition={edition}", data={"number": "9"})
    assert late.status_code == 422
    assert house.store.get(smock).number == 8


def test_rows_are_sent_again_when_a_change_came_between_save_and_answer(
    client: TestClient, smock: str, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = (shot.id for shot in house.store.get(smock).shots[:2])
    edition, save = house.store.edition(smock), House.save

    def and_another(of: House, *told: Any, **more: Any) -> Answers:
        answers = save(of, *told, **more)
        house.plan(smock)  # as the other tab shows it
        of.store.change(smock, "in another tab", lambda e: _with_title(e, second, "Elsewhere"))
        return answers

    client.get(f"/episodes/{smock}/shots")
    monkeypatch.setattr(House, "save", and_another)
    answer = client.post(
        f"/episodes/{smock}/shots/{first}?edition={edition}",
        data={"title": "Here"},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 200
    assert "data-same" not in answer.text
    assert "Elsewhere" in answer.text


def _with_title(episode: Episode, shot_id: str, title: str) -> Episode:
    return changed(
        episode,
        shots=changed_one(episode.shots, "id", shot_id, lambda shot: changed(shot, title=title)),
    )
