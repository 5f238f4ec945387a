"""A local server refuses other names, other sites and oversized bodies."""

import pytest
from starlette.testclient import TestClient

from webapp.pages.shell import House


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "", "192.0.2.7:8765", "[", "127.0.0.1]"]
)
def test_a_foreign_host_name_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:1", "[::1]:8765"])
def test_this_machine_is_answered_on_any_port(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://["},
        {"origin": "http://127.0.0.1:9999"},
    ],
)
def test_a_change_asked_for_by_another_site_is_refused(
    client: TestClient, house: House, headers: dict[str, str]
) -> None:
    answer = client.post("/episodes", data={"title": "X", "starter": "blank"}, headers=headers)
    assert answer.status_code == 403
    assert house.store.list() == ()


def test_answers_forbid_framing_and_anything_from_elsewhere(client: TestClient) -> None:
    policy = client.get("/").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'self'" in policy
    assert "unsafe" not in policy


def test_a_body_beyond_the_limit_is_refused_before_it_is_read(client: TestClient) -> None:
    answer = client.post("/episodes", content=b"", headers={"content-length": "99999999"})
    assert answer.status_code == 413
