"""Schemathesis, a tester of web APIs, over all that the app says it answers: no fault of ours."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, seed, settings
from schemathesis import Case, GenerationMode
from starlette.testclient import TestClient

from webapp.app import create_app
from webapp.jobs import Job, Jobs
from webapp.plan.episode import Episode
from webapp.settings import Settings, files_dir

EXAMPLES = 2  # for each of some 200 operations
URL_ENCODED = "application/x-www-form-urlencoded"
DELETED = "/episodes/{episode_id}/delete"  # asked last
# What there is of each thing that an address names; parts of it are made up as often.
THERE = {
    "episode_id": "small-wardrobe-4", "garment": "market-day-skirt", "piece": "Skirt front",
    "place": "0", "number": "0", "part": "choices", "act": "off", "way": "later",
    "kind": "choice", "name": "description.txt", "press": "drop",
}  # fmt: skip


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    patch = pytest.MonkeyPatch()
    patch.setattr(Jobs, "warm", lambda _: None)
    patch.setattr(Jobs, "start", lambda _, key, *__, **___: Job(key, state="cancelled"))
    app = create_app(Settings(data_dir=tmp_path_factory.mktemp("api")))
    app.state.house.store.add(_skirt())
    yield app
    app.state.house.close()
    patch.undo()


def _skirt() -> Episode:
    file = Path(files_dir("demo_data")) / "episode-4-market-day-skirt.json"
    plan = json.loads(file.read_text("utf-8"))
    plan |= {"sizes": plan["sizes"][:1], "other_cloths": [], "shots": plan["shots"][:3]}
    return Episode.model_validate_json(json.dumps(plan | {"shoot_days": []}))


def _document(app: FastAPI) -> dict[str, Any]:
    """What the app says of itself, and of each name in an address what there is."""
    document: dict[str, Any] = json.loads(json.dumps(app.openapi()))
    for operations in document["paths"].values():
        for operation in operations.values():
            for told in operation.get("parameters", []):
                if told["in"] == "path" and told["name"] in THERE:
                    there = {"type": "string", "enum": [THERE[told["name"]]]}
                    always = told["name"] in ("episode_id", "garment")
                    told["schema"] = there if always else {"anyOf": [there, told["schema"]]}
            # Forms are read by hand, so the document tells nothing of them.
            operation.setdefault("requestBody", {"content": {URL_ENCODED: {"schema": _FORM}}})
        operations.get("get", {}).pop("requestBody", None)
    return document


_FORM = {
    "type": "object",
    "properties": {
        name: {"type": "string"}
        for name in ("title", "name", "value", "kind", "width", "step", "shot", "day", "edition")
    },
}


def _sent(client: TestClient, case: Case) -> int:
    path = case.formatted_path
    body = case.body if isinstance(case.body, dict) else {}
    form = {str(k): str(v).encode("utf-8", "replace") for k, v in body.items()}
    if case.method == "POST" and case.media_type == "application/json":
        answer = client.post(path, params=case.query, json=case.body if body else None)
    else:
        headers = {"content-type": URL_ENCODED} if case.method == "POST" else {}
        content = urlencode(form).encode() if case.method == "POST" else None
        answer = client.request(
            case.method, path, params=case.query, content=content, headers=headers
        )
    return answer.status_code


def test_nothing_it_is_asked_is_a_fault_of_ours(app: FastAPI) -> None:
    schema = schemathesis.openapi.from_dict(_document(app))
    statuses: dict[int, int] = {}
    with TestClient(app, "http://127.0.0.1", follow_redirects=False) as client:
        operations = [found.ok() for found in schema.get_all_operations()]
        for operation in sorted(operations, key=lambda one: one.path == DELETED):

            @seed(3)
            @settings(
                max_examples=EXAMPLES,
                database=None,
                deadline=None,
                phases=[Phase.generate],
                suppress_health_check=list(HealthCheck),
            )
            @given(operation.as_strategy(generation_mode=GenerationMode.POSITIVE))
            def asked(case: Case) -> None:
                status = _sent(client, case)
                statuses[status] = statuses.get(status, 0) + 1
                waits = status == 503 and case.path.endswith(".pdf")  # nothing is made here
                assert status < 500 or waits, (
                    case.method,
                    case.formatted_path,
                    case.query,
                    case.body,
                )

            asked()
    assert sum(statuses.values()) > 300, statuses
    assert statuses[200] > 50, statuses  # half of what is named is there
    assert set(statuses) <= {200, 204, 303, 404, 409, 422, 503}, statuses
