"""Entries as a browser sends them from the table, and what it is answered."""

from datetime import UTC, datetime, timedelta
from typing import Any

from starlette.testclient import TestClient

from webapp.pages.table_view import TableView

NOON = datetime(2026, 12, 18, 12, tzinfo=UTC)
STEP = "cut-neck"


def view_of(client: TestClient, address: str) -> TableView:
    answer: Any = client.get(address)
    view = answer.context["view"]
    assert isinstance(view, TableView)
    return view


def send(client: TestClient, table: str, *entries: dict[str, Any], **more: Any) -> dict[str, Any]:
    answer = client.post(f"{table}/entries", json={"entries": entries, **more})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def told(answer: dict[str, Any]) -> list[str]:
    return [one["told"] for one in answer["answers"]]


def tick(shot: str, number: int = 1, /, **more: Any) -> dict[str, Any]:
    return {"id": f"entry-number-{number}", "act": "filmed", "item": shot, **more}


def press(act: str, number: int, minute: float = 0, **more: Any) -> dict[str, Any]:
    at = (NOON + timedelta(minutes=minute)).isoformat()
    return {"id": f"entry-number-{number}", "act": act, "item": STEP, "at": at, **more}
