"""The page of keys and words tells what is there: no key of a page is missing, none is made up."""

import re

from starlette.testclient import TestClient

from webapp.pages.keys import KeysView


def test_every_access_key_is_listed_and_is_there(client: TestClient, smock: str) -> None:
    listed = set(re.findall(r"Access key \+ ([A-Z])", client.get("/keys").text))
    there = re.findall(r'accesskey="(\w)"', client.get(f"/episodes/{smock}/draft").text)
    assert listed == {key.upper() for key in there}
    assert len(there) == len(set(there)), "no key opens two places"


def test_a_word_is_told_in_one_short_sentence() -> None:
    words = KeysView().words
    assert [word for word, _ in words] == sorted(word for word, _ in words)
    for word, meaning in words:
        assert len(meaning.split()) <= 20, word
        assert meaning.endswith(".") and ". " not in meaning, word
